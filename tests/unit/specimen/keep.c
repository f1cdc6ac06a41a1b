#include "set_reading.h"

#include "support/check.h"

#include "base/memory.h"

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
    CU_ASSERT_TRUE(specimen_set_keep(&reading.set, wanted));
    CU_ASSERT_EQUAL_FATAL(reading.set.n, 3);
    check_text(ID_OF(&reading.set, 0), "a");
    check_text(ID_OF(&reading.set, 1), "c");
    check_text(ID_OF(&reading.set, 2), "d");
    CU_ASSERT_EQUAL(specimen_set_line(&reading.set, 0), 2);
    CU_ASSERT_EQUAL(specimen_set_line(&reading.set, 1), 4);
    CU_ASSERT_EQUAL(specimen_set_place(&reading.set, 2).line, 5);
    check_close("density", specimen_set_value(&reading.set, 1, PROPERTY_DENSITY), 1520, 1e-12);
    check_close("age", specimen_set_age(&reading.set, 1), 28, 0);
    check_text(reading.set.mixes[specimen_set_mix(&reading.set, 1)].name, "M2");
    CU_ASSERT_EQUAL(specimen_set_cast_on(&reading.set, 1) - specimen_set_cast_on(&reading.set, 0), 1);
    CU_ASSERT_EQUAL(specimen_set_cast_on(&reading.set, 2), INT32_MIN);
    CU_ASSERT_PTR_NULL(reading.set.value[PROPERTY_ABSORPTION]); /* only b had one */
    CU_ASSERT_PTR_NOT_NULL(reading.set.value[PROPERTY_COMPRESSIVE_STRENGTH]);
    end(&reading);
}

/* What row i of a set stands as: "1:4" is line 4 of the first file. */
static void check_places(const struct specimen_set *set, const char *expected)
{
    char text[200] = "";
    for (size_t i = 0, used = 0; i < set->n; i++)
        used += (size_t)snprintf(text + used, sizeof text - used, "%s%zu:%zu", i ? " " : "", specimen_set_file(set, i) + 1, specimen_set_line(set, i));
    check_text(text, expected);
}

/* Rows know their lines behind what is passed over, from one file to the next, and once others are gone. */
static void places(void)
{
    const char *paths[] = { NULL, NULL };
    const struct specimen_set_settings settings = { 0 };
    paths[0] = temporary_text("one.csv", "specimen,density_kg_m3\na,1500\nb,1500\n\n# a comment\nc,1500\n");
    paths[1] = temporary_text("two.csv", "specimen,density_kg_m3,compressive_strength_MPa\nd,1500,9\n\"e\",1500,9\nf,1500,9\n");
    struct reading reading = read_with(paths, 2, &settings);
    CU_ASSERT_EQUAL_FATAL(reading.status, STATUS_OK);
    check_places(&reading.set, "1:2 1:3 1:6 2:2 2:3 2:4");
    CU_ASSERT_STRING_EQUAL(specimen_set_place(&reading.set, 4).path, paths[1]);
    check_text(specimen_set_heading(&reading.set, 2, "density"), "density_kg_m3");
    check_text(specimen_set_heading(&reading.set, 3, "compressive_strength"), "compressive_strength_MPa");
    CU_ASSERT_PTR_NULL(specimen_set_heading(&reading.set, 2, "compressive_strength"));
    CU_ASSERT_PTR_NULL(specimen_set_heading(&reading.set, 2, "no such column"));

    const bool wanted[] = { false, true, true, true, false, true };
    memory_fail_at(1, true);
    CU_ASSERT_FALSE(specimen_set_keep(&reading.set, wanted));
    memory_fail_at(0, false);
    check_places(&reading.set, "1:2 1:3 1:6 2:2 2:3 2:4");
    CU_ASSERT_TRUE(specimen_set_keep(&reading.set, wanted));
    check_places(&reading.set, "1:3 1:6 2:2 2:4");
    end(&reading);
}

/* Kinds are kept row by row only where there are several. */
static void kinds(void)
{
    struct reading one = read_text("specimen,shape,length_mm,mass_g\na,cube,100,2000\nb,cube,100,2010\n");
    struct reading two = read_text("specimen,shape,length_mm,mass_g\na,cube,100,2000\nb,cube,100,2010\nc,cube,150,7000\nd,cube,100,2000\n");
    CU_ASSERT_PTR_NULL(one.set.kind);
    check_close("size", specimen_set_kind(&one.set, 1).size_mm, 100, 0);
    CU_ASSERT_EQUAL_FATAL(two.set.n, 4);
    check_close("first", specimen_set_kind(&two.set, 0).size_mm, 100, 0);
    check_close("other", specimen_set_kind(&two.set, 2).size_mm, 150, 0);
    check_close("last", specimen_set_kind(&two.set, 3).size_mm, 100, 0);
    end(&one);
    end(&two);
}

static void all_and_none(void)
{
    struct reading reading = read_text(table);
    const bool all[] = { true, true, true, true }, none[4] = { false };
    CU_ASSERT_TRUE(specimen_set_keep(&reading.set, all));
    CU_ASSERT_EQUAL(reading.set.n, 4);
    check_close("kept", specimen_set_value(&reading.set, 1, PROPERTY_ABSORPTION), 12.5, 1e-12);
    CU_ASSERT_TRUE(specimen_set_keep(&reading.set, none));
    CU_ASSERT_EQUAL(reading.set.n, 0);
    end(&reading);
}

int main(void)
{
    static const struct check_case cases[] = {
        { "rows move whole", rows_move_whole },
        { "all and none", all_and_none },
        { "places", places },
        { "kinds", kinds },
    };
    if (!temporary_start())
        return 2;
    int result = check_run("keep", cases, sizeof cases / sizeof cases[0]);
    temporary_end();
    return result;
}
