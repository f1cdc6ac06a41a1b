/* Rows alike are looked for many at a time: the ends found must be those that a look at each row finds. Invented data. */
#include "support/check.h"

#include "analysis/row_filter.h"
#include "support/invented.h"

#define ROWS 700u

static struct invented *study_all_alike(void)
{
    const struct invented_row row = { "k", "clay", NULL, 0.3, 28, MOISTURE_AIR_DRY };
    struct invented *study = invented_new();
    for (size_t i = 0; i < ROWS; i++)
        invented_value(study, invented_add(study, &row), PROPERTY_DENSITY, 1400);
    return study;
}

static bool alike(const struct specimen_set *set, size_t a, size_t b)
{
    return set->moisture[a] == set->moisture[b] && (!set->kind || set->kind[a] == set->kind[b])
        && (!set->age_days || set->age_days[a] == set->age_days[b]);
}

/* The end that rows_alike() finds is right from any row on. */
static void check_ends(const struct specimen_set *set)
{
    size_t n_wrong = 0, end = set->n;
    for (size_t from = set->n; from-- > 0;) {
        if (from + 1 < set->n && !alike(set, from, from + 1))
            end = from + 1;
        n_wrong += rows_alike(set, from) != end;
    }
    CU_ASSERT_EQUAL(n_wrong, 0);
}

static void one_state(void)
{
    struct invented *study = study_all_alike();
    check_ends(&study->set);
    study->set.age_days = NULL;
    check_ends(&study->set);
    free(study);
}

/* A row of another state, age or kind wherever it stands. */
static void one_row_of_another(void)
{
    static uint16_t kind[ROWS];
    struct invented *study = study_all_alike();
    for (size_t odd = 0; odd < ROWS; odd += 7) {
        study->moisture[odd] = MOISTURE_SATURATED;
        check_ends(&study->set);
        study->moisture[odd] = MOISTURE_AIR_DRY;
        study->age_days[odd] = 7;
        check_ends(&study->set);
        study->age_days[odd] = 28;
        study->set.kind = kind;
        kind[odd] = 1;
        check_ends(&study->set);
        kind[odd] = 0;
        study->set.kind = NULL;
    }
    free(study);
}

/* Runs of all lengths, one after the other. */
static void runs_of_all_lengths(void)
{
    struct invented *study = study_all_alike();
    size_t length = 1, left = 1;
    for (size_t i = 0; i < ROWS; i++) {
        study->moisture[i] = length % 2 ? MOISTURE_AIR_DRY : MOISTURE_OVEN_DRY;
        if (--left == 0)
            left = ++length * 5;
    }
    check_ends(&study->set);
    free(study);
}

static void rows_with_values(void)
{
    const double value[] = { 1, NAN, NAN, 4, INFINITY, 0 };
    CU_ASSERT_EQUAL(rows_with_value(value, 0, 6), 4);
    CU_ASSERT_EQUAL(rows_with_value(value, 1, 3), 0);
    CU_ASSERT_EQUAL(rows_with_value(value, 2, 4), 1);
    CU_ASSERT_EQUAL(rows_with_value(value, 3, 3), 0);
}

int main(void)
{
    static const struct check_case cases[] = {
        { "one state", one_state },
        { "one row of another", one_row_of_another },
        { "runs of all lengths", runs_of_all_lengths },
        { "rows with values", rows_with_values },
    };
    return check_run("row filter", cases, sizeof cases / sizeof *cases);
}
