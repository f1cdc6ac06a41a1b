/* What weighings say of specimens; all invented. Fits themselves: tests/unit/stats/approach.c. */
#include "analysis/drying_study.h"
#include "base/memory.h"
#include "support/check.h"
#include "support/temporary.h"

#include <math.h>

static const char specimens[] =
    "specimen,shape,length_mm,mass_g,moisture\nwet,cube,100,2120,oven-dry\ndry,cube,100,2028,oven-dry\nroom,cube,100,1900,air-dry\nplain,cube,100,1900,\n";
static const char weighed[] =
    "specimen,hours,mass_g,dried_in\n"
    "dry,0,2310.4,\ndry,6,2241.1,\ndry,12,2188.8,\ndry,24,2120.0,\ndry,36,2080.2,\ndry,48,2056.7,\ndry,72,2035.1,\ndry,96,2028.1,\n"
    "wet,0,2310,\nwet,4,2262,\nwet,8,2222,\nwet,12,2187,\nwet,24,2120,\n"
    "room,0,2000,\nroom,200,1960,\nroom,400,1930,\nroom,700,1900,\n"
    "plain,0,1904,\nplain,680,1900,\n"
    "other,0,2000,air\nother,24,1990,air\n"
    "line,0,2000,\nline,24,1900,\nline,48,1800,\nline,72,1700,\n";

struct bench {
    struct specimen_set set;
    struct weighing_list weighings;
    struct drying_study study;
    struct problem_list problems;
    enum status status;
};

static void open_bench(struct bench *bench)
{
    const char *path = temporary_text("specimens.csv", specimens);
    struct specimen_set_settings settings = { 0 };
    memset(bench, 0, sizeof *bench);
    CU_ASSERT_EQUAL(specimen_set_read(&path, 1, &settings, &bench->set, &bench->problems), STATUS_OK);
    CU_ASSERT_EQUAL(weighing_list_read(temporary_text("weighings.csv", weighed), &bench->weighings, &bench->problems), STATUS_OK);
    CU_ASSERT_EQUAL(bench->problems.n_items, 0);
}

static void study(struct bench *bench)
{
    bench->status = drying_study_make(&bench->weighings, &bench->set, 0.95, &bench->study, &bench->problems);
}

static void close_bench(struct bench *bench)
{
    drying_study_release(&bench->study);
    weighing_list_release(&bench->weighings);
    specimen_set_release(&bench->set);
    problem_list_release(&bench->problems);
}

static const struct drying_result *of(const struct bench *bench, const char *name)
{
    for (size_t i = 0; i < bench->study.n_items; i++)
        if (strcmp(bench->study.items[i].series->specimen, name) == 0)
            return &bench->study.items[i];
    return NULL;
}

static void rules_and_states(void)
{
    struct bench bench;
    open_bench(&bench);
    study(&bench);
    CU_ASSERT_EQUAL_FATAL(bench.study.n_items, 6);
    CU_ASSERT(of(&bench, "dry")->rule == &drying_rule_oven && of(&bench, "dry")->state.constant);
    CU_ASSERT(of(&bench, "wet")->rule == &drying_rule_oven && !of(&bench, "wet")->state.constant);
    CU_ASSERT(of(&bench, "room")->rule == &drying_rule_equilibrium && !of(&bench, "room")->state.constant); /* said to be air-dry */
    CU_ASSERT(of(&bench, "plain")->rule == &drying_rule_equilibrium && of(&bench, "plain")->state.constant); /* by its 680 h */
    CU_ASSERT(of(&bench, "other")->rule == &drying_rule_equilibrium && !of(&bench, "other")->state.comparable); /* dried in air */
    CU_ASSERT(of(&bench, "line")->rule == &drying_rule_oven); /* by its 72 h */
    CU_ASSERT_EQUAL(of(&bench, "wet")->moisture, MOISTURE_OVEN_DRY);
    CU_ASSERT_EQUAL(of(&bench, "plain")->moisture, MOISTURE_UNKNOWN);
    CU_ASSERT(of(&bench, "plain")->in_set && !of(&bench, "other")->in_set);
    close_bench(&bench);
}

static void curves(void)
{
    struct bench bench;
    open_bench(&bench);
    study(&bench);
    const struct drying_result *dry = of(&bench, "dry"), *line = of(&bench, "line"), *plain = of(&bench, "plain");
    CU_ASSERT(dry->fitted && !line->fitted && !plain->fitted);
    check_close("end", dry->fit.limit, 2.024805905572, 1e-10);
    check_close("to lose", dry->to_lose_pct, 100 * (2.0281 / 2.024805905572 - 1), 1e-7);
    CU_ASSERT(isnan(line->to_lose_pct));
    check_text(line->why_not, "the mass still changes too evenly to tell where it will end: weigh on");
    check_text(plain->why_not, "a drying curve needs 4 weighings, there are 2");
    close_bench(&bench);
}

static void warnings(void)
{
    struct bench bench;
    open_bench(&bench);
    study(&bench);
    CU_ASSERT_EQUAL(bench.problems.n_errors, 0);
    CU_ASSERT_EQUAL_FATAL(bench.problems.n_doubts, 2);
    CU_ASSERT_EQUAL(bench.problems.n_notices, 2);
    CU_ASSERT_EQUAL(bench.problems.items[0].line, 10);
    check_text(bench.problems.items[0].text,
               "'wet' is called oven-dry, but its mass still changed by -9 % in 24 h: its density is not that of a dry specimen");
    CU_ASSERT_PTR_NOT_NULL(strstr(bench.problems.items[1].text, "'room' is called air-dry"));
    CU_ASSERT_PTR_NOT_NULL(strstr(bench.problems.items[2].text, "'other' was weighed, but no specimen"));
    close_bench(&bench);
}

static void memory(void)
{
    unsigned long n = 0;
    for (;;) {
        struct bench bench;
        open_bench(&bench);
        memory_fail_at(++n, false);
        study(&bench);
        bool failed = memory_calls() >= n;
        memory_fail_at(0, false);
        CU_ASSERT(bench.status == (failed ? STATUS_MEMORY : STATUS_OK) || bench.problems.worst == STATUS_MEMORY);
        close_bench(&bench);
        if (!failed || n > 1000)
            break;
    }
    CU_ASSERT(n > 5 && n < 1000);
}

int main(void)
{
    static const struct check_case cases[] = {
        { "rules and states", rules_and_states }, { "curves", curves }, { "warnings", warnings }, { "memory", memory },
    };
    if (!temporary_start())
        return 1;
    int failed = check_run("drying study", cases, sizeof cases / sizeof *cases);
    temporary_end();
    return failed;
}
