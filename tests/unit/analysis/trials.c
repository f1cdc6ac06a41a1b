/* Passes counted by mix and by whole batch; bounds by their closed forms and by the binomial sum. */
#include "analysis/trials.h"
#include "base/memory.h"
#include "support/check.h"
#include "support/temporary.h"

static struct specimen_set set;
static struct problem_list problems;
static struct mix_trials_list list;

static void read_rows(const char *rows)
{
    static const struct specimen_set_settings strict = { 0 };
    const char *path = temporary_text("in.csv", rows);
    CU_ASSERT_EQUAL_FATAL(specimen_set_read(&path, 1, &strict, &set, &problems), STATUS_OK);
}

static void count(const struct selection *selection, double confidence)
{
    struct problem problem;
    CU_ASSERT_EQUAL_FATAL(mix_trials_list_make(&set, selection, confidence, &list, &problem), STATUS_OK);
}

static void end(void)
{
    mix_trials_list_release(&list);
    specimen_set_release(&set);
    problem_list_release(&problems);
}

/* Seven of eight specimens, two of three batches whole; a row without a result is no trial. */
static void counts(void)
{
    struct selection all = selection_all();
    read_rows("specimen,mix,batch,result\na,M,1,pass\nb,M,1,pass\nc,M,1,pass\nd,M,2,pass\ne,M,2,fail\nf,M,3,pass\ng,M,3,pass\n"
              "h,M,3,pass\ni,M,4,\nj,N,1,\n");
    count(&all, 0.9);
    CU_ASSERT_EQUAL_FATAL(list.n_items, 1);
    const struct mix_trials *got = &list.items[0];
    check_text(set.mixes[got->mix].name, "M");
    CU_ASSERT_EQUAL(got->n_specimens, 8);
    CU_ASSERT_EQUAL(got->n_passed, 7);
    CU_ASSERT_EQUAL(got->n_batches, 3);
    CU_ASSERT_EQUAL(got->n_batches_passed, 2);
    double p = got->at_least, q = got->batches_at_least;
    check_close("chance of 7 or 8 of 8", 8 * pow(p, 7) * (1 - p) + pow(p, 8), 0.1, 1e-10);
    check_close("chance of 2 or 3 of 3", 3 * q * q * (1 - q) + q * q * q, 0.1, 1e-10);
    end();
}

/* All passed: confidence is 1 - p^n. */
static void all_passed(void)
{
    struct selection all = selection_all();
    read_rows("specimen,mix,result\na,M,pass\nb,M,pass\nc,M,pass\nd,M,pass\n");
    count(&all, 0.95);
    CU_ASSERT_EQUAL_FATAL(list.n_items, 1);
    check_close("four of four", list.items[0].at_least, pow(0.05, 0.25), 1e-12);
    CU_ASSERT_EQUAL(list.items[0].n_batches, 0);
    CU_ASSERT(isnan(list.items[0].batches_at_least));
    end();
}

static void only_named_aggregates(void)
{
    static const char *const names[] = { "pumice" };
    struct selection selection = selection_all();
    selection.aggregates = names;
    selection.n_aggregates = 1;
    read_rows("specimen,mix,batch,aggregate,result\na,M,1,perlite,pass\nb,N,1,pumice,fail\n");
    count(&selection, 0.95);
    CU_ASSERT_EQUAL_FATAL(list.n_items, 1);
    check_text(set.mixes[list.items[0].mix].name, "N");
    CU_ASSERT_EQUAL(list.items[0].at_least, 0);
    end();
}

static void no_memory(void)
{
    struct selection all = selection_all();
    struct problem problem;
    read_rows("specimen,mix,batch,result\na,M,1,pass\n");
    for (size_t fail = 1; fail <= 3; fail++) {
        memory_fail_at(fail, false);
        CU_ASSERT_EQUAL(mix_trials_list_make(&set, &all, 0.95, &list, &problem), STATUS_MEMORY);
        memory_fail_at(0, false);
        CU_ASSERT_PTR_NULL(list.items);
    }
    end();
}

int main(void)
{
    static const struct check_case cases[] = {
        { "counts", counts },
        { "all passed", all_passed },
        { "only named aggregates", only_named_aggregates },
        { "no memory", no_memory },
    };
    if (!temporary_start())
        return 2;
    int status = check_run("trials", cases, sizeof cases / sizeof *cases);
    temporary_end();
    return status;
}
