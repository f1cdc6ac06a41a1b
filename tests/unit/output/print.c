#include "support/check.h"

#include "output/print.h"

#include <signal.h>
#include <unistd.h>

static void errors_first_then_doubts_then_notes(void)
{
    struct problem_list problems = {0};
    struct text out = {0};
    struct place place = {.path = "a.csv", .line = 3, .column = "mass"};
    problem_list_add(&problems, SEVERITY_NOTICE, STATUS_OK, NULL, "five rows");
    problem_list_add(&problems, SEVERITY_DOUBT, STATUS_OK, &place, "very heavy");
    problem_list_add(&problems, SEVERITY_ERROR, STATUS_USAGE, NULL, "no such option");
    problem_list_add(&problems, SEVERITY_ERROR, STATUS_INPUT, &place, "no number");
    print_problems(&problems, "tool", false, &out);
    check_text(out.bytes, "tool: no such option\n"
                          "a.csv:3: column 'mass': no number\n"
                          "doubtful: a.csv:3: column 'mass': very heavy\n"
                          "tool: note: five rows\n");
    text_clear(&out);
    print_problems(&problems, "tool", true, &out);
    CU_ASSERT_PTR_NULL(strstr(out.bytes, "note:"));
    CU_ASSERT_PTR_NOT_NULL(strstr(out.bytes, "doubtful:"));
    text_release(&out);
    problem_list_release(&problems);
}

static size_t count_lines(const struct text *text)
{
    size_t n = 0;
    for (size_t i = 0; i < text->length; i++)
        n += text->bytes[i] == '\n';
    return n;
}

static void fifty_are_shown_and_the_rest_counted(void)
{
    struct problem_list problems = {0};
    struct text out = {0};
    for (int i = 0; i < PRINT_PROBLEMS + 1; i++)
        problem_list_add(&problems, SEVERITY_ERROR, STATUS_INPUT, NULL, "problem %d", i);
    print_problems(&problems, "tool", false, &out);
    CU_ASSERT_EQUAL(count_lines(&out), PRINT_PROBLEMS + 1);
    CU_ASSERT_PTR_NOT_NULL(strstr(out.bytes, "tool: problem 49\ntool: and 1 more error\n"));
    for (int i = 0; i < 1000; i++)
        problem_list_add(&problems, SEVERITY_ERROR, STATUS_INPUT, NULL, "another");
    text_clear(&out);
    print_problems(&problems, "tool", false, &out);
    CU_ASSERT_PTR_NOT_NULL(strstr(out.bytes, "tool: and 1001 more errors\n"));
    text_release(&out);
    problem_list_release(&problems);
}

static void hostile_text_is_masked(void)
{
    struct problem_list problems = {0};
    struct text out = {0};
    problem_list_add(&problems, SEVERITY_ERROR, STATUS_INPUT, NULL, "'a\033[2Kb' is odd");
    print_problems(&problems, "tool", false, &out);
    check_text(out.bytes, "tool: 'a\xEF\xBF\xBD[2Kb' is odd\n");
    text_release(&out);
    problem_list_release(&problems);
}

static void bytes_that_do_not_arrive_are_told(void)
{
    struct text text = {0};
    struct problem problem = {0};
    int ends[2];
    CU_ASSERT_EQUAL(print_bytes(-1, "standard output", &text, &problem), STATUS_OK); /* nothing to say, nobody to hear */
    text_add(&text, "answer");
    CU_ASSERT_EQUAL(print_bytes(-1, "standard output", &text, &problem), STATUS_IO);
    check_text(problem.text, "standard output is closed");
    signal(SIGPIPE, SIG_IGN);
    CU_ASSERT_EQUAL_FATAL(pipe(ends), 0);
    close(ends[0]);
    CU_ASSERT_EQUAL(print_bytes(ends[1], "standard output", &text, &problem), STATUS_IO);
    check_text(problem.text, "");
    close(ends[1]);
    CU_ASSERT_EQUAL_FATAL(pipe(ends), 0);
    CU_ASSERT_EQUAL(print_bytes(ends[1], "standard output", &text, &problem), STATUS_OK);
    char got[16] = "";
    CU_ASSERT_EQUAL(read(ends[0], got, sizeof got - 1), 6);
    check_text(got, "answer");
    close(ends[0]);
    close(ends[1]);
    text_release(&text);
}

int main(void)
{
    static const struct check_case cases[] = {
        {"errors first, then doubts, then notes", errors_first_then_doubts_then_notes},
        {"fifty are shown and the rest counted", fifty_are_shown_and_the_rest_counted},
        {"hostile text is masked", hostile_text_is_masked},
        {"bytes that do not arrive are told", bytes_that_do_not_arrive_are_told},
    };
    return check_run("print", cases, sizeof cases / sizeof cases[0]);
}
