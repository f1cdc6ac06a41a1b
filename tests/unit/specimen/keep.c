#include "set_reading.h"

#include "support/check.h"

static const char *const table =
    "specimen,mix,batch,density_kg_m3,compressive_strength_MPa,absorption_pct,age_days,cast_on\n"
    "a,M1,1,1500,10,,7,2024-03-01\n"
    "b,M1,1,1510,,12.5,28,\n"
    "c,M2,1,1520,14,,28,2024-03-02\n"
    "d,M2,2,1530,15,,56,\n";

static void rows_move_whole(void)
{
    struct reading reading = read_text(table);
    CU_ASSERT_EQUAL_FATAL(reading.status, STATUS_OK);
    const bool wanted[] = { true, false, true, true };
    CU_ASSERT_EQUAL(specimen_set_keep(&reading.set, wanted), 1);
    CU_ASSERT_EQUAL_FATAL(reading.set.n, 3);
    check_text(specimen_set_id(&reading.set, 0), "a");
    check_text(specimen_set_id(&reading.set, 1), "c");
    check_text(specimen_set_id(&reading.set, 2), "d");
    CU_ASSERT_EQUAL(specimen_set_place(&reading.set, 2).line, 5);
    check_close("density", specimen_set_value(&reading.set, 1, PROPERTY_DENSITY), 1520, 1e-12);
    check_close("age", reading.set.age_days[1], 28, 0);
    check_text(reading.set.mixes[specimen_set_mix(&reading.set, 1)].name, "M2");
    CU_ASSERT_EQUAL(reading.set.cast_on[1] - reading.set.cast_on[0], 1);
    CU_ASSERT_EQUAL(reading.set.cast_on[2], INT32_MIN);
    CU_ASSERT_PTR_NULL(reading.set.value[PROPERTY_ABSORPTION]); /* only b had one */
    CU_ASSERT_PTR_NOT_NULL(reading.set.value[PROPERTY_COMPRESSIVE_STRENGTH]);
    end(&reading);
}

static void all_and_none(void)
{
    struct reading reading = read_text(table);
    const bool all[] = { true, true, true, true }, none[4] = { false };
    CU_ASSERT_EQUAL(specimen_set_keep(&reading.set, all), 0);
    CU_ASSERT_EQUAL(reading.set.n, 4);
    check_close("kept", specimen_set_value(&reading.set, 1, PROPERTY_ABSORPTION), 12.5, 1e-12);
    CU_ASSERT_EQUAL(specimen_set_keep(&reading.set, none), 4);
    CU_ASSERT_EQUAL(reading.set.n, 0);
    end(&reading);
}

int main(void)
{
    static const struct check_case cases[] = {
        { "rows move whole", rows_move_whole },
        { "all and none", all_and_none },
    };
    if (!temporary_start())
        return 2;
    int result = check_run("keep", cases, sizeof cases / sizeof cases[0]);
    temporary_end();
    return result;
}
