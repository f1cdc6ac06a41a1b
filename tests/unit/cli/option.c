#include "support/check.h"

#include "base/memory.h"
#include "cli/lookup.h"
#include "cli/option.h"

#include <stddef.h>

struct target {
    bool loud;
    const char *file;
    struct text_list aggregates;
    double confidence;
    unsigned long seed;
    int seek;
};

static const char *const seek_words[] = {"lightest", "strongest", "cheapest", NULL};
static const struct option_row rows[] = {
    {"loud", OPTION_FLAG, NULL, "say more", offsetof(struct target, loud), 0, 0, NULL},
    {"file", OPTION_TEXT, "FILE", "a file", offsetof(struct target, file), 0, 0, NULL},
    {"aggregate", OPTION_TEXT_LIST, "NAME", "one aggregate", offsetof(struct target, aggregates), 0, 0, NULL},
    {"confidence", OPTION_NUMBER, "LEVEL", "how sure", offsetof(struct target, confidence), 0.5, 0.9999, NULL},
    {"seed", OPTION_WHOLE, "N", "start of the random numbers", offsetof(struct target, seed), 1, 4294967295.0, NULL},
    {"seek", OPTION_CHOICE, NULL, "what is best", offsetof(struct target, seek), 0, 0, seek_words},
};
static const struct option_group groups[] = {{"Options", rows, sizeof rows / sizeof rows[0]}, {NULL, NULL, 0}};

struct outcome {
    struct target target;
    struct text_list arguments;
    struct problem_list problems;
    enum status status;
};

static struct outcome parse(int argc, const char *const *argv)
{
    struct outcome outcome = {.target = {.confidence = 0.95, .seed = 1}};
    char *words[16];
    for (int i = 0; i < argc; i++)
        words[i] = (char *)argv[i];
    outcome.status = option_parse(groups, argc, words, &outcome.target, &outcome.arguments, &outcome.problems);
    return outcome;
}
#define PARSE(...) parse((int)(sizeof((const char *[]){__VA_ARGS__}) / sizeof(char *)), (const char *[]){__VA_ARGS__})

static void release(struct outcome *outcome)
{
    text_list_release(&outcome->target.aggregates);
    text_list_release(&outcome->arguments);
    problem_list_release(&outcome->problems);
}

static void check_refused(struct outcome outcome, const char *sentence)
{
    CU_ASSERT_EQUAL(outcome.status, STATUS_USAGE);
    CU_ASSERT_EQUAL(outcome.problems.n_errors, 1);
    check_text(outcome.problems.n_items ? outcome.problems.items[0].text : NULL, sentence);
    release(&outcome);
}

static void values_land_where_their_row_says(void)
{
    struct outcome got = PARSE("one.csv", "--loud", "--file=a=b", "--aggregate", "perlite", "--aggregate=pumice",
                               "--confidence", "0.9", "--seed", "7", "--seek", "cheapest", "-");
    CU_ASSERT_EQUAL(got.status, STATUS_OK);
    CU_ASSERT_TRUE(got.target.loud);
    check_text(got.target.file, "a=b");
    CU_ASSERT_EQUAL_FATAL(got.target.aggregates.n_items, 2);
    check_text(got.target.aggregates.items[0], "perlite");
    check_text(got.target.aggregates.items[1], "pumice");
    check_close("confidence", got.target.confidence, 0.9, 0);
    CU_ASSERT_EQUAL(got.target.seed, 7);
    CU_ASSERT_EQUAL(got.target.seek, 2);
    CU_ASSERT_EQUAL_FATAL(got.arguments.n_items, 2);
    check_text(got.arguments.items[0], "one.csv");
    check_text(got.arguments.items[1], "-");
    release(&got);
}

static void two_dashes_end_the_options(void)
{
    struct outcome got = PARSE("--loud", "--", "--seed");
    CU_ASSERT_EQUAL(got.status, STATUS_OK);
    CU_ASSERT_EQUAL_FATAL(got.arguments.n_items, 1);
    check_text(got.arguments.items[0], "--seed");
    release(&got);
}

static void a_later_value_wins(void)
{
    struct outcome got = PARSE("--seed", "3", "--seed", "4");
    CU_ASSERT_EQUAL(got.target.seed, 4);
    release(&got);
}

static void wrong_options_are_refused_with_the_remedy(void)
{
    check_refused(PARSE("--agregate", "perlite"), "there is no option '--agregate'; did you mean '--aggregate'?");
    check_refused(PARSE("--zzzzzzzz"), "there is no option '--zzzzzzzz' here; --help lists them");
    check_refused(PARSE("-x"), "there is no option '-x': options have two dashes (a file of that name is written './-x')");
    check_refused(PARSE("--loud=1"), "'--loud' takes no value");
    check_refused(PARSE("--file"), "'--file' needs a value: --file=FILE");
    check_refused(PARSE("--file", "--loud"), "'--file' needs a value: --file=FILE");
    check_refused(PARSE("--file="), "'--file' has an empty value");
}

static void wrong_values_are_refused(void)
{
    check_refused(PARSE("--confidence", "2"), "'--confidence': '2' does not lie between 0.5 and 0.9999");
    check_refused(PARSE("--seed", "0"), "'--seed': '0' does not lie between 1 and 4294967295");
    check_refused(PARSE("--seed", "1.5"), "'--seed': '1.5' is not a whole number");
    check_refused(PARSE("--seed", "-1"), "'--seed': '-1' is not a whole number");
    check_refused(PARSE("--seed", "1e300"), "'--seed': '1e300' is not a whole number");
    check_refused(PARSE("--seek", "lightst"),
                  "'--seek': 'lightst' is none of lightest, strongest, cheapest; did you mean 'lightest'?");
    check_refused(PARSE("--seek", "qqqqqqqq"), "'--seek': 'qqqqqqqq' is none of lightest, strongest, cheapest");
}

static void not_a_number_is_refused(void)
{
    static const char *const junk[] = {"abc", "nan", "inf", "0x1", "1,5", "0.9 ", "", "0.95%"};
    for (size_t i = 0; i < sizeof junk / sizeof junk[0]; i++) {
        char argument[64];
        snprintf(argument, sizeof argument, "--confidence=%s", junk[i]);
        struct outcome got = PARSE(argument);
        CU_ASSERT_EQUAL(got.status, STATUS_USAGE);
        check_close("the default stays", got.target.confidence, 0.95, 0);
        release(&got);
    }
}

static void all_problems_are_told_at_once(void)
{
    struct outcome got = PARSE("--sed", "3", "--confidence", "7", "--loud=yes");
    CU_ASSERT_EQUAL(got.problems.n_errors, 3);
    release(&got);
}

static void study_keys_are_set_by_the_same_rows(void)
{
    struct target target = {0};
    struct problem problem;
    CU_ASSERT_EQUAL(option_set(groups, "seek", "strongest", &target, &problem), STATUS_OK);
    CU_ASSERT_EQUAL(target.seek, 1);
    CU_ASSERT_EQUAL(option_set(groups, "loud", "yes", &target, &problem), STATUS_OK);
    CU_ASSERT_TRUE(target.loud);
    CU_ASSERT_EQUAL(option_set(groups, "loud", "no", &target, &problem), STATUS_OK);
    CU_ASSERT_FALSE(target.loud);
    CU_ASSERT_EQUAL(option_set(groups, "loud", "maybe", &target, &problem), STATUS_USAGE);
    check_text(problem.text, "'loud': 'maybe' is neither yes nor no");
    CU_ASSERT_EQUAL(option_set(groups, "sede", "1", &target, &problem), STATUS_USAGE);
    check_text(problem.text, "there is no option 'sede'; did you mean 'seed'?");
    CU_ASSERT_EQUAL(option_set(groups, "seed", "", &target, &problem), STATUS_USAGE);
}

static void no_memory_is_a_status(void)
{
    const char *words[] = {"--aggregate", "perlite", "file.csv"};
    for (unsigned long n = 1; n <= 2; n++) {
        struct target target = {0};
        struct text_list arguments = {0};
        struct problem_list problems = {0};
        char *argv[3];
        for (size_t i = 0; i < 3; i++)
            argv[i] = (char *)words[i];
        memory_fail_at(n, true);
        enum status status = option_parse(groups, 3, argv, &target, &arguments, &problems);
        memory_fail_at(0, false);
        CU_ASSERT_EQUAL(status, STATUS_MEMORY);
        text_list_release(&target.aggregates);
        text_list_release(&arguments);
        problem_list_release(&problems);
    }
}

int main(void)
{
    static const struct check_case cases[] = {
        {"values land where their row says", values_land_where_their_row_says},
        {"two dashes end the options", two_dashes_end_the_options},
        {"a later value wins", a_later_value_wins},
        {"wrong options are refused with the remedy", wrong_options_are_refused_with_the_remedy},
        {"wrong values are refused", wrong_values_are_refused},
        {"not a number is refused", not_a_number_is_refused},
        {"all problems are told at once", all_problems_are_told_at_once},
        {"study keys are set by the same rows", study_keys_are_set_by_the_same_rows},
        {"no memory is a status", no_memory_is_a_status},
    };
    return check_run("option", cases, sizeof cases / sizeof cases[0]);
}
