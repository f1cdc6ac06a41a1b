#include "support/check.h"

#include "base/memory.h"
#include "base/problem.h"
#include "base/text.h"

static void sentence_has_its_place(void)
{
    struct problem problem;
    char text[900];
    struct place place = { "trial.csv", 7, "mass_g" };
    CU_ASSERT_EQUAL(problem_set(&problem, STATUS_INPUT, &place, "'%s' is not a number", "24O1"), STATUS_INPUT);
    problem_sentence(&problem, text, sizeof text);
    check_text(text, "trial.csv:7: column 'mass_g': '24O1' is not a number");
    problem_set(&problem, STATUS_USAGE, NULL, "name a file");
    problem_sentence(&problem, text, sizeof text);
    check_text(text, "name a file");
    place = (struct place){ "-", 0, NULL };
    problem_set(&problem, STATUS_IO, &place, "cannot be read");
    problem_sentence(&problem, text, sizeof text);
    check_text(text, "standard input: cannot be read");
    CU_ASSERT_EQUAL(problem_set(NULL, STATUS_IO, NULL, "x"), STATUS_IO);
}

static void controls_are_masked(void)
{
    struct problem problem;
    char text[900];
    problem_set(&problem, STATUS_INPUT, NULL, "'\x1b[2K\x07\xC2\x9B\xE2\x80\xAE\xFF" "a'");
    problem_sentence(&problem, text, sizeof text);
    check_text(text, "'\xEF\xBF\xBD[2K\xEF\xBF\xBD\xEF\xBF\xBD\xEF\xBF\xBD\xEF\xBF\xBD" "a'");
}

static void long_text_is_cut_between_characters(void)
{
    struct problem problem;
    char longer[1200];
    for (size_t i = 0; i + 2 < sizeof longer; i += 2)
        memcpy(longer + i, "\xC3\xA9", 3);
    struct place place = { longer, 1, longer };
    problem_set(&problem, STATUS_INPUT, &place, "%s", longer);
    CU_ASSERT(text_is_utf8(problem.text, strlen(problem.text), NULL));
    CU_ASSERT(text_is_utf8(problem.path, strlen(problem.path), NULL));
    CU_ASSERT(text_is_utf8(problem.column, strlen(problem.column), NULL));
    CU_ASSERT(strstr(problem.text, "...") != NULL);
    char text[20];
    problem_sentence(&problem, text, sizeof text);
    CU_ASSERT(strlen(text) < sizeof text && text_is_utf8(text, strlen(text), NULL));
}

static void list_keeps_the_first_and_counts_all(void)
{
    struct problem_list list = { 0 };
    for (int i = 0; i < 307; i++)
        problem_list_add(&list, SEVERITY_DOUBT, STATUS_OK, NULL, "doubt %d", i);
    CU_ASSERT_EQUAL(list.worst, STATUS_OK);
    problem_list_add(&list, SEVERITY_ERROR, STATUS_INPUT, NULL, "error");
    problem_list_add(&list, SEVERITY_ERROR, STATUS_IO, NULL, "later error");
    CU_ASSERT_EQUAL(list.n_items, PROBLEM_LIST_KEPT + 2);
    CU_ASSERT_EQUAL(list.n_doubts, 307);
    CU_ASSERT_EQUAL(list.n_errors, 2);
    CU_ASSERT_EQUAL(list.worst, STATUS_INPUT);
    check_text(list.items[0].text, "doubt 0");
    check_text(list.items[PROBLEM_LIST_KEPT].text, "error");
    problem_list_release(&list);
    CU_ASSERT_PTR_NULL(list.items);
}

static void list_without_memory_says_so(void)
{
    struct problem_list list = { 0 };
    memory_fail_at(1, true);
    problem_list_add(&list, SEVERITY_ERROR, STATUS_INPUT, NULL, "error");
    memory_fail_at(0, false);
    CU_ASSERT_EQUAL(list.worst, STATUS_MEMORY);
    CU_ASSERT_EQUAL(list.n_errors, 1);
    CU_ASSERT_EQUAL(list.n_items, 0);
    problem_list_release(&list);
}

static void statuses_have_exit_codes(void)
{
    CU_ASSERT_EQUAL(status_exit_code(STATUS_OK), 0);
    CU_ASSERT_EQUAL(status_exit_code(STATUS_ANSWER_NO), 1);
    CU_ASSERT_EQUAL(status_exit_code(STATUS_USAGE), 2);
    CU_ASSERT_EQUAL(status_exit_code(STATUS_INPUT), 3);
    CU_ASSERT_EQUAL(status_exit_code(STATUS_TOO_FEW), 3);
    CU_ASSERT_EQUAL(status_exit_code(STATUS_IO), 4);
    CU_ASSERT_EQUAL(status_exit_code((enum status)99), 4);
    for (int i = 0; i < STATUS_COUNT; i++)
        CU_ASSERT(strlen(status_text((enum status)i)) > 3);
}

int main(void)
{
    static const struct check_case cases[] = {
        { "a sentence has its place", sentence_has_its_place },
        { "controls are masked", controls_are_masked },
        { "long text is cut between characters", long_text_is_cut_between_characters },
        { "a list keeps the first and counts all", list_keeps_the_first_and_counts_all },
        { "a list without memory says so", list_without_memory_says_so },
        { "statuses have exit codes", statuses_have_exit_codes },
    };
    return check_run("problem", cases, sizeof cases / sizeof cases[0]);
}
