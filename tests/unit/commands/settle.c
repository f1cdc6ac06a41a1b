#include "support/check.h"

#include "base/file.h"
#include "commands/study.h"
#include "commands/study_file.h"

#include <stdlib.h>
#include <unistd.h>

struct bench {
    char folder[64], path[128];
    struct run run;
    struct study study;
    enum status status;
};

/* Writes a study file and settles the options of `recommend` with it; words end with NULL. */
static void settle(struct bench *bench, const char *study_text, const char *const *words)
{
    char *argv[16] = {(char *)"--study", bench->path};
    int argc = 2;
    struct problem problem;
    memset(bench, 0, sizeof *bench);
    snprintf(bench->folder, sizeof bench->folder, "/tmp/settle-XXXXXX");
    CU_ASSERT_PTR_NOT_NULL_FATAL(mkdtemp(bench->folder));
    snprintf(bench->path, sizeof bench->path, "%s/study.ini", bench->folder);
    CU_ASSERT_EQUAL_FATAL(file_replace(bench->path, study_text, strlen(study_text), &problem), STATUS_OK);
    for (; *words; words++)
        argv[argc++] = (char *)*words;
    bench->run = (struct run){.argc = argc, .argv = argv};
    bench->status = study_settle_options(&bench->run, recommend_groups, &bench->study);
}
#define SETTLE(bench, text, ...) settle(bench, text, (const char *const[]){__VA_ARGS__, NULL})

static void clear(struct bench *bench)
{
    text_list_release(&bench->study.paths);
    study_options_release(&bench->study.options);
    owned_texts_release(&bench->study.owned);
    problem_list_release(&bench->run.problems);
    unlink(bench->path);
    rmdir(bench->folder);
}

static void check_first_problem(const struct bench *bench, size_t line, const char *sentence)
{
    CU_ASSERT_EQUAL(bench->status, STATUS_USAGE);
    CU_ASSERT_FATAL(bench->run.problems.n_items > 0);
    CU_ASSERT_EQUAL(bench->run.problems.items[0].line, line);
    check_text(bench->run.problems.items[0].text, sentence);
}

static void study_sets_what_the_command_line_leaves_open(void)
{
    struct bench bench;
    SETTLE(&bench, "# our pavers\n\n  confidence = 0.9\nseek=strongest\nspecimens = a.csv\nspecimens = /b.csv\n"
                   "mixes = sub/mixes.csv\ntarget = compressive_strength=10 MPa\n",
           "--seek", "cheapest");
    CU_ASSERT_EQUAL(bench.status, STATUS_OK);
    check_close("confidence", bench.study.options.confidence, 0.9, 0);
    CU_ASSERT_EQUAL(bench.study.options.seek, SEEK_CHEAPEST);
    char want[160];
    CU_ASSERT_EQUAL_FATAL(bench.study.paths.n_items, 2);
    snprintf(want, sizeof want, "%s/a.csv", bench.folder);
    check_text(bench.study.paths.items[0], want);
    check_text(bench.study.paths.items[1], "/b.csv");
    snprintf(want, sizeof want, "%s/sub/mixes.csv", bench.folder);
    check_text(bench.study.options.mixes, want);
    CU_ASSERT_EQUAL_FATAL(bench.study.options.targets.n_items, 1);
    check_text(bench.study.options.targets.items[0], "compressive_strength=10 MPa");
    clear(&bench);
}

static void command_line_wins_name_by_name(void)
{
    struct bench bench;
    SETTLE(&bench, "target = compressive_strength=10MPa\ntarget = flexural_strength=2MPa\naggregate = perlite\naggregate = pumice\n",
           "mine.csv", "--target", "compressive_strength=12MPa", "--target", "splitting_strength=1MPa", "--aggregate=clay");
    CU_ASSERT_EQUAL(bench.status, STATUS_OK);
    const struct text_list *targets = &bench.study.options.targets;
    CU_ASSERT_EQUAL_FATAL(targets->n_items, 3);
    check_text(targets->items[0], "compressive_strength=12MPa");
    check_text(targets->items[1], "flexural_strength=2MPa");
    check_text(targets->items[2], "splitting_strength=1MPa");
    CU_ASSERT_EQUAL_FATAL(bench.study.options.aggregates.n_items, 1);
    check_text(bench.study.options.aggregates.items[0], "clay");
    CU_ASSERT_EQUAL_FATAL(bench.study.paths.n_items, 1);
    check_text(bench.study.paths.items[0], "mine.csv");
    clear(&bench);
}

static void twice_is_refused(void)
{
    struct bench bench;
    SETTLE(&bench, "seed = 1\nseed = 2\n", "a.csv");
    check_first_problem(&bench, 2, "'seed' is given twice");
    clear(&bench);
    SETTLE(&bench, "limit = density=1500kg/m3\nlimit = density=1600kg/m3\n", "a.csv");
    check_first_problem(&bench, 0, "--limit 'density' is given twice");
    clear(&bench);
    SETTLE(&bench, "limit = density=1500kg/m3\n", "a.csv", "--limit=density=1400kg/m3", "--limit=density=1300kg/m3");
    check_first_problem(&bench, 0, "--limit 'density' is given twice");
    clear(&bench);
}

static void unknown_keys_name_their_line(void)
{
    struct bench bench;
    SETTLE(&bench, "age = 28\nconfidense = 0.9\n", "a.csv");
    check_first_problem(&bench, 2, "there is no option 'confidense'; did you mean 'confidence'?");
    clear(&bench);
    SETTLE(&bench, "[study]\nage = 28\n", "a.csv");
    check_first_problem(&bench, 2, "a study file has no sections; take out '[study]'");
    clear(&bench);
    SETTLE(&bench, "age = 28\nnonsense\n", "a.csv");
    check_first_problem(&bench, 2, "this is no 'name = value'");
    clear(&bench);
    SETTLE(&bench, "study = other.ini\n", "a.csv");
    check_first_problem(&bench, 1, "'study' does not belong in a study file");
    clear(&bench);
    SETTLE(&bench, "age = soon\n", "a.csv");
    CU_ASSERT_EQUAL(bench.status, STATUS_USAGE);
    CU_ASSERT_EQUAL(bench.run.problems.items[0].line, 1);
    clear(&bench);
}

static void long_lines_and_crlf(void)
{
    struct bench bench;
    char text[400] = "title = ";
    memset(text + 8, 'x', 300);
    memcpy(text + 308, "\nage = 28\n", 11);
    SETTLE(&bench, text, "a.csv");
    check_first_problem(&bench, 1, "the line is longer than 198 bytes");
    clear(&bench);
    SETTLE(&bench, "\xEF\xBB\xBF" "age = 28\r\nseek = strongest\r\n", "a.csv");
    CU_ASSERT_EQUAL(bench.status, STATUS_OK);
    check_close("age", bench.study.options.age_days, 28, 0);
    CU_ASSERT_EQUAL(bench.study.options.seek, SEEK_STRONGEST);
    clear(&bench);
}

static void no_file_is_refused(void)
{
    struct bench bench;
    SETTLE(&bench, "age = 28\n", "--json");
    check_first_problem(&bench, 0, "no specimen file is named; give one, such as specimens.csv, or a --study that names it");
    clear(&bench);
}

static void unreadable_study_is_input(void)
{
    static const char *const paths[] = {"/nowhere/study.ini", "/tmp", "/dev/zero"};
    for (size_t i = 0; i < sizeof paths / sizeof paths[0]; i++) {
        struct study study = {0};
        char *argv[] = {(char *)"--study", (char *)paths[i]};
        struct run run = {.argc = 2, .argv = argv};
        CU_ASSERT_EQUAL(study_settle_options(&run, check_groups, &study), STATUS_INPUT);
        check_text(run.problems.n_items ? run.problems.items[0].path : NULL, paths[i]);
        text_list_release(&study.paths);
        study_options_release(&study.options);
        owned_texts_release(&study.owned);
        problem_list_release(&run.problems);
    }
}

int main(void)
{
    static const struct check_case cases[] = {
        {"study sets what the command line leaves open", study_sets_what_the_command_line_leaves_open},
        {"command line wins name by name", command_line_wins_name_by_name},
        {"twice is refused", twice_is_refused},
        {"unknown keys name their line", unknown_keys_name_their_line},
        {"long lines and CRLF", long_lines_and_crlf},
        {"no file is refused", no_file_is_refused},
        {"unreadable study is input", unreadable_study_is_input},
    };
    return check_run("settle", cases, sizeof cases / sizeof cases[0]);
}
