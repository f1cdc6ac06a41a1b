#include "support/check.h"
#include "support/invented.h"

static struct invented *study_of_five(void)
{
    static const struct invented_row rows[] = {
        { "k", "clay", "1", 0.3, 7, MOISTURE_AIR_DRY },  { "k", "clay", "1", 0.3, 28, MOISTURE_AIR_DRY },
        { "k", "clay", "1", 0.3, 28.3, MOISTURE_OVEN_DRY }, { "p", "Pumice", "1", 0.4, 28, MOISTURE_AIR_DRY },
        { "p", "Pumice", "1", 0.4, NAN, MOISTURE_UNKNOWN },
    };
    struct invented *study = invented_new();
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        invented_value(study, invented_add(study, &rows[i]), PROPERTY_DENSITY, 1400);
    return study;
}

static void check_rows(const struct invented *study, const struct selection *selection, const char *want)
{
    bool wanted[5];
    size_t n = 0;
    for (const char *mark = want; *mark; mark++)
        n += *mark == 'x' ? 1 : 0;
    CU_ASSERT_EQUAL(selection_rows(&study->set, selection, wanted), n);
    for (size_t i = 0; i < 5; i++)
        CU_ASSERT_EQUAL(wanted[i], want[i] == 'x');
}

static void what_is_told_leaves_out(void)
{
    static const char *const pumice[] = { "pumice" };
    struct invented *study = study_of_five();
    struct selection selection = selection_all();
    check_rows(study, &selection, "xxxxx");
    selection.age_days = 28;
    check_rows(study, &selection, ".xxx.");
    selection.moisture = MOISTURE_AIR_DRY;
    check_rows(study, &selection, ".x.x.");
    selection.aggregates = pumice;
    selection.n_aggregates = 1;
    check_rows(study, &selection, "...x.");
    selection.age_days = 90;
    check_rows(study, &selection, ".....");
    free(study);
}

static void no_age_column(void)
{
    struct invented *study = study_of_five();
    struct selection selection = selection_all();
    study->set.age_days = NULL;
    check_rows(study, &selection, "xxxxx");
    selection.age_days = 28;
    check_rows(study, &selection, ".....");
    free(study);
}

int main(void)
{
    static const struct check_case cases[] = {
        { "what is told leaves out", what_is_told_leaves_out },
        { "no age column", no_age_column },
    };
    return check_run("selection_rows", cases, sizeof cases / sizeof cases[0]);
}
