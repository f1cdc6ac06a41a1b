#include "support/check.h"

#include "output/gather.h"

static void add(struct problem_list *problems, enum severity severity, size_t line, const char *text)
{
    struct place place = {.path = "a.csv", .line = line, .column = "mass"};
    problem_list_add(problems, severity, STATUS_OK, &place, "%s", text);
}

/* Takes the next sentence and holds it and its count against what is wanted. */
static void check_next(struct gathering *gathering, size_t n_wanted, const char *wanted)
{
    char sentence[1024] = "";
    size_t n = 0;
    const struct problem *first = NULL;
    CU_ASSERT(gathering_next(gathering, &first, &n, sentence, sizeof sentence));
    check_text(sentence, wanted);
    CU_ASSERT_EQUAL(n, n_wanted);
}

static void check_end(struct gathering *gathering)
{
    char sentence[64];
    size_t n;
    const struct problem *first;
    CU_ASSERT(!gathering_next(gathering, &first, &n, sentence, sizeof sentence));
}

static void the_like_come_once_with_their_lines(void)
{
    struct problem_list problems = {0};
    struct gathering doubts = {&problems, SEVERITY_DOUBT, 0};
    static const size_t lines[] = {4, 5, 6, 9, 9, 11};
    char text[80];
    for (size_t i = 0; i < 6; i++) {
        snprintf(text, sizeof text, "'%d.%d g' of 'P-%d' is small: core's or kg?", (int)i, 5, (int)i);
        add(&problems, SEVERITY_DOUBT, lines[i], text);
        add(&problems, SEVERITY_NOTICE, lines[i], text);
    }
    add(&problems, SEVERITY_DOUBT, 20, "'7 g' of 'P-7' is small: ounces?");
    check_next(&doubts, 6, "a.csv:4: column 'mass': '0.5 g' of 'P-0' is small: core's or kg? (and 5 more like it: lines 5 to 6, 9, 11)");
    check_next(&doubts, 1, "a.csv:20: column 'mass': '7 g' of 'P-7' is small: ounces?");
    check_end(&doubts);
    problem_list_release(&problems);
}

static void a_few_are_told_one_by_one(void)
{
    struct problem_list problems = {0};
    struct gathering doubts = {&problems, SEVERITY_DOUBT, 0};
    for (size_t i = 1; i <= GATHER_FEW; i++)
        add(&problems, SEVERITY_DOUBT, i, "small");
    check_next(&doubts, 1, "a.csv:1: column 'mass': small");
    check_next(&doubts, 1, "a.csv:2: column 'mass': small");
    check_next(&doubts, 1, "a.csv:3: column 'mass': small");
    check_end(&doubts);
    problem_list_release(&problems);
}

/* Each is to be mended, so each is told. */
static void errors_are_not_gathered(void)
{
    struct problem_list problems = {0};
    struct gathering errors = {&problems, SEVERITY_ERROR, 0};
    for (size_t i = 1; i <= 10; i++)
        add(&problems, SEVERITY_ERROR, i, "is no number");
    for (size_t i = 1; i <= 10; i++) {
        char wanted[80];
        snprintf(wanted, sizeof wanted, "a.csv:%zu: column 'mass': is no number", i);
        check_next(&errors, 1, wanted);
    }
    check_end(&errors);
    problem_list_release(&problems);
}

static void other_words_columns_and_files_stay_apart(void)
{
    struct problem_list problems = {0};
    struct gathering doubts = {&problems, SEVERITY_DOUBT, 0};
    static const struct { const char *path, *column, *text; } kinds[] = {
        {"a.csv", "mass", "small"}, {"b.csv", "mass", "small"}, {"a.csv", "age", "small"}, {"a.csv", "mass", "small 1"},
    };
    for (size_t i = 0; i < 16; i++) {
        struct place place = {.path = kinds[i % 4].path, .line = i + 1, .column = kinds[i % 4].column};
        problem_list_add(&problems, SEVERITY_DOUBT, STATUS_OK, &place, "%s", kinds[i % 4].text);
    }
    check_next(&doubts, 4, "a.csv:1: column 'mass': small (and 3 more like it: lines 5, 9, 13)");
    check_next(&doubts, 4, "b.csv:2: column 'mass': small (and 3 more like it: lines 6, 10, 14)");
    check_next(&doubts, 4, "a.csv:3: column 'age': small (and 3 more like it: lines 7, 11, 15)");
    check_next(&doubts, 4, "a.csv:4: column 'mass': small 1 (and 3 more like it: lines 8, 12, 16)");
    check_end(&doubts);
    problem_list_release(&problems);
}

/* Lines far apart fill no page, and what has no line has none to tell. */
static void many_places_are_cut_and_none_is_no_list(void)
{
    struct problem_list problems = {0};
    struct gathering doubts = {&problems, SEVERITY_DOUBT, 0}, notices = {&problems, SEVERITY_NOTICE, 0};
    for (size_t i = 0; i < 50; i++)
        add(&problems, SEVERITY_DOUBT, 2 + 10 * i, "small");
    for (size_t i = 0; i < 4; i++)
        problem_list_add(&problems, SEVERITY_NOTICE, STATUS_OK, NULL, "left out: mix '%zu'", i);
    check_next(&doubts, 50, "a.csv:2: column 'mass': small (and 49 more like it: lines 12, 22, 32, 42, 52, 62, 72, 82, ...)");
    check_next(&notices, 4, "left out: mix '0' (and 3 more like it)");
    problem_list_release(&problems);
}

int main(void)
{
    static const struct check_case cases[] = {
        {"the like come once with their lines", the_like_come_once_with_their_lines},
        {"a few are told one by one", a_few_are_told_one_by_one},
        {"errors are not gathered", errors_are_not_gathered},
        {"other words, columns and files stay apart", other_words_columns_and_files_stay_apart},
        {"many places are cut and none is no list", many_places_are_cut_and_none_is_no_list},
    };
    return check_run("gather", cases, sizeof cases / sizeof cases[0]);
}
