/* What is drawn when batches are drawn again: batches grouped by mix, several to a unit where a mix has many. */
#include "support/check.h"
#include "support/invented.h"

#include "advise/resample.h"

/* n batches of two specimens of a mix; strengths of the first `strong` batches only. */
static void add_mix(struct invented *study, const char *mix, size_t n, size_t strong)
{
    static char names[100][24];
    for (size_t j = 0; j < n; j++) {
        snprintf(names[j], sizeof names[j], "B%zu", j);
        for (int k = 0; k < 2; k++) {
            struct invented_row row = { mix, "clay", names[j], 0.1 * (double)study->set.n_mixes, 28, MOISTURE_AIR_DRY };
            size_t at = invented_add(study, &row);
            invented_value(study, at, PROPERTY_DENSITY, 1500 + (double)j + k);
            if (j < strong)
                invented_value(study, at, PROPERTY_COMPRESSIVE_STRENGTH, 10 + (double)j + k);
        }
    }
}

static struct sample take(const struct invented *study, uint32_t mix, enum property property)
{
    struct sample sample;
    struct problem problem;
    struct selection selection = selection_all();
    CU_ASSERT_EQUAL_FATAL(sample_take(&study->set, &selection, SAMPLE_ALL, mix, property, SAMPLE_PREDICTOR_NONE, &sample, &problem), STATUS_OK);
    return sample;
}

/* A mix that is in no sample gives no stratum, and those behind it are numbered on without a gap. */
static void mixes_without_results(void)
{
    struct invented *study = invented_new();
    struct sample samples[PROPERTY_COUNT] = { 0 };
    struct unit_list units;
    add_mix(study, "M1", 3, 3);
    add_mix(study, "M2", 4, 0);
    add_mix(study, "M3", 2, 2);
    samples[PROPERTY_COMPRESSIVE_STRENGTH] = take(study, SAMPLE_ALL, PROPERTY_COMPRESSIVE_STRENGTH);
    CU_ASSERT_EQUAL_FATAL(unit_list_make(&units, &study->set, samples), STATUS_OK);
    CU_ASSERT_EQUAL(units.n_units, 5);
    CU_ASSERT_EQUAL(units.n_strata, 2);
    static const uint32_t strata[] = { 0, 0, 0, 1, 1 }, unit_of[] = { 1, 2, 3, 0, 0, 0, 0, 4, 5 };
    for (size_t i = 0; i < 5; i++)
        CU_ASSERT_EQUAL(units.stratum[i], strata[i]);
    for (size_t j = 0; j < 9; j++)
        CU_ASSERT_EQUAL(units.unit_of[j], unit_of[j]);
    unit_list_release(&units);
    sample_release(&samples[PROPERTY_COMPRESSIVE_STRENGTH]);
    free(study);
}

/* Beyond UNITS_A_MIX the batches of a mix are dealt to its units in turn. */
static void many_batches(void)
{
    struct invented *study = invented_new();
    struct sample samples[PROPERTY_COUNT] = { 0 };
    struct unit_list units;
    add_mix(study, "M1", 100, 100);
    add_mix(study, "M2", UNITS_A_MIX, UNITS_A_MIX);
    samples[PROPERTY_DENSITY] = take(study, SAMPLE_ALL, PROPERTY_DENSITY);
    CU_ASSERT_EQUAL_FATAL(unit_list_make(&units, &study->set, samples), STATUS_OK);
    CU_ASSERT_EQUAL(units.n_units, 2 * UNITS_A_MIX);
    CU_ASSERT_EQUAL(units.n_strata, 2);
    for (uint32_t j = 0; j < 100; j++)
        CU_ASSERT_EQUAL(units.unit_of[j], j % UNITS_A_MIX + 1);
    for (uint32_t j = 0; j < UNITS_A_MIX; j++)
        CU_ASSERT_EQUAL(units.unit_of[100 + j], UNITS_A_MIX + j + 1);
    unit_list_release(&units);
    sample_release(&samples[PROPERTY_DENSITY]);
    free(study);
}

/* Nothing can be drawn from a mix with one batch, or from no sample at all. */
static void too_few(void)
{
    struct invented *study = invented_new();
    struct sample samples[PROPERTY_COUNT] = { 0 };
    struct unit_list units;
    add_mix(study, "M1", 3, 3);
    add_mix(study, "M2", 3, 1);
    CU_ASSERT_EQUAL(unit_list_make(&units, &study->set, samples), STATUS_TOO_FEW);
    unit_list_release(&units);
    samples[PROPERTY_DENSITY] = take(study, SAMPLE_ALL, PROPERTY_DENSITY);
    CU_ASSERT_EQUAL(unit_list_make(&units, &study->set, samples), STATUS_OK);
    CU_ASSERT_EQUAL(units.n_units, 6);
    unit_list_release(&units);
    samples[PROPERTY_COMPRESSIVE_STRENGTH] = take(study, SAMPLE_ALL, PROPERTY_COMPRESSIVE_STRENGTH);
    CU_ASSERT_EQUAL(unit_list_make(&units, &study->set, samples), STATUS_TOO_FEW);
    unit_list_release(&units);
    sample_release(&samples[PROPERTY_DENSITY]);
    sample_release(&samples[PROPERTY_COMPRESSIVE_STRENGTH]);
    free(study);
}

int main(void)
{
    static const struct check_case cases[] = {
        { "mixes without results", mixes_without_results }, { "many batches", many_batches }, { "too few", too_few },
    };
    return check_run("resample units", cases, sizeof cases / sizeof *cases);
}
