#include "support/check.h"
#include "support/temporary.h"

#include "base/memory.h"
#include "base/text.h"
#include "set_reading.h"

#include <stdbool.h>

static void check_refused(const char *text, const char *place, const char *word)
{
    struct reading reading = read_text(text);
    CU_ASSERT_EQUAL(reading.status, STATUS_INPUT);
    SAYS(&reading.problems, SEVERITY_ERROR, place, word);
    end(&reading);
}

static void check_doubted(const char *text, const char *place, const char *word)
{
    struct reading reading = read_text(text);
    CU_ASSERT_EQUAL(reading.status, STATUS_OK);
    SAYS(&reading.problems, SEVERITY_DOUBT, place, word);
    end(&reading);
}

static void columns_of_a_set(void)
{
    struct reading reading = read_text("specimen,mix,batch,aggregate,aggregate_fraction_pct,shape,length_mm,width_mm,height_mm,mass_g,"
                                       "break_load_kN,moisture,age_days,cast_on,result\n"
                                       "A1,PL30,1,perlite,30,cube,100,100,100,1400,145,air-dry,28,2024-03-01,\n"
                                       "A2,PL30,1,perlite,30,cube,100,100,100,1410,150,air-dry,28,2024-03-01,pass\n"
                                       "A3,PL30,2,perlite,30,cube,100,100,100,1390,,oven-dry,28,,FAIL\n"
                                       "B1,REF,1,sand,0,cube,100,100,100,2300,400,air-dry,28,2024-03-02,\n");
    struct specimen_set *set = &reading.set;
    CU_ASSERT_EQUAL(reading.status, STATUS_OK);
    CU_ASSERT_EQUAL(set->n, 4);
    CU_ASSERT_EQUAL(set->n_mixes, 2);
    CU_ASSERT_EQUAL(set->n_batches, 3); /* batch 1 of PL30 is not batch 1 of REF */
    CU_ASSERT_EQUAL(set->n_aggregates, 2);
    check_text(set->mixes[0].name, "PL30");
    check_text(set->aggregates[set->mixes[0].aggregate], "perlite");
    check_close("fraction", set->mixes[0].aggregate_fraction, 0.3, 1e-12);
    CU_ASSERT_EQUAL(set->mixes[0].n_specimens, 3);
    CU_ASSERT_EQUAL(set->mixes[0].n_batches, 2);
    check_text(ID_OF(set, 3), "B1");
    CU_ASSERT_EQUAL(specimen_set_place(set, 3).line, 5);
    check_close("density", specimen_set_value(set, 0, PROPERTY_DENSITY), 1400, 1e-12);
    check_close("strength", specimen_set_value(set, 1, PROPERTY_COMPRESSIVE_STRENGTH), 15, 1e-12);
    CU_ASSERT_TRUE(isnan(specimen_set_value(set, 2, PROPERTY_COMPRESSIVE_STRENGTH)));
    CU_ASSERT_PTR_NULL(set->value[PROPERTY_VOIDS]);
    CU_ASSERT_TRUE(isnan(specimen_set_value(set, 0, PROPERTY_VOIDS)));
    CU_ASSERT_EQUAL(specimen_set_moisture(set, 2), MOISTURE_OVEN_DRY);
    CU_ASSERT_EQUAL(set->result[0], RESULT_NONE);
    CU_ASSERT_EQUAL(set->result[1], RESULT_PASS);
    CU_ASSERT_EQUAL(set->result[2], RESULT_FAIL);
    CU_ASSERT_EQUAL(specimen_set_cast_on(set, 0), 19783);
    CU_ASSERT_EQUAL(specimen_set_cast_on(set, 2), INT32_MIN);
    check_close("age", specimen_set_age(set, 0), 28, 0);
    CU_ASSERT_TRUE(set->has_aggregate_column && set->has_batch_column && set->has_fraction && !set->us_units);
    end(&reading);
    CU_ASSERT_PTR_NULL(reading.set.store);
}

static void names_left_out(void)
{
    struct reading reading = read_text("aggregate,aggregate_fraction,density_kg_m3\nperlite,0.3,1400\nperlite,0.3,1410\nperlite,0.45,1200\n");
    struct specimen_set *set = &reading.set;
    CU_ASSERT_EQUAL(reading.status, STATUS_OK);
    CU_ASSERT_EQUAL(set->n_mixes, 2);
    CU_ASSERT_EQUAL(set->n_batches, 3); /* each row is its own batch */
    check_text(set->mixes[0].name, "perlite 30 %");
    check_text(set->mixes[1].name, "perlite 45 %");
    check_text(ID_OF(set, 1), "row 3");
    CU_ASSERT_EQUAL(set->batches[0].name, 0);
    CU_ASSERT(set->flags[0] & FLAG_NO_BATCH);
    CU_ASSERT_FALSE(set->has_batch_column);
    end(&reading);
    reading = read_text("density_kg_m3\n1400\n1300\n");
    CU_ASSERT_EQUAL(reading.set.n_mixes, 1);
    check_text(reading.set.mixes[0].name, "all");
    check_text(reading.set.aggregates[0], "all");
    CU_ASSERT_FALSE(reading.set.has_fraction || reading.set.has_aggregate_column);
    end(&reading);
}

/* Names are kept in blocks of 65536 bytes: one that with its end fills a whole block, and those beside it. */
static void names_that_fill_a_block(void)
{
    enum { LENGTH = 65535 };
    static char text[3 * LENGTH];
    int start = snprintf(text, sizeof text, "specimen,mix,batch,density_kg_m3\nA,M,first,1500\nB,M,");
    memset(text + start, 'b', LENGTH);
    snprintf(text + start + LENGTH, LENGTH, ",1500\nC,M,last,1500\n");
    struct reading reading = read_text(text);
    CU_ASSERT_EQUAL_FATAL(reading.status, STATUS_OK);
    CU_ASSERT_EQUAL_FATAL(reading.set.n_batches, 3);
    CU_ASSERT_STRING_EQUAL(BATCH_NAME(&reading.set, 0), "first");
    CU_ASSERT_EQUAL(strlen(BATCH_NAME(&reading.set, 1)), LENGTH);
    CU_ASSERT_EQUAL(strspn(BATCH_NAME(&reading.set, 1), "b"), LENGTH);
    CU_ASSERT_STRING_EQUAL(BATCH_NAME(&reading.set, 2), "last");
    end(&reading);
}

/* The value that only a later row has; the rows before are absent, not zero. */
static void late_columns(void)
{
    struct text text = { 0 };
    text_add(&text, "specimen,density_kg_m3,voids_pct\n");
    for (int i = 0; i < 1000; i++)
        text_addf(&text, "S%d,%d,%s\n", i, 1000 + i, i < 700 ? "" : "20");
    struct reading reading = read_text(text.bytes);
    CU_ASSERT_EQUAL(reading.status, STATUS_OK);
    CU_ASSERT_EQUAL(reading.set.n, 1000);
    CU_ASSERT_TRUE(isnan(specimen_set_value(&reading.set, 0, PROPERTY_VOIDS)));
    CU_ASSERT_TRUE(isnan(specimen_set_value(&reading.set, 699, PROPERTY_VOIDS)));
    check_close("voids", specimen_set_value(&reading.set, 700, PROPERTY_VOIDS), 20, 0);
    check_close("density", specimen_set_value(&reading.set, 999, PROPERTY_DENSITY), 1999, 0);
    check_text(ID_OF(&reading.set, 999), "S999");
    text_release(&text);
    end(&reading);
}

static void units_of_the_user(void)
{
    struct reading reading = read_text("specimen,aggregate_fraction_pct,density_lb_ft3,length_mm\nA,30,94,\n");
    CU_ASSERT_TRUE(reading.set.us_units);
    check_close("U3 of NIST SP 811", specimen_set_value(&reading.set, 0, PROPERTY_DENSITY), 1505.7355571522528, 1e-12);
    end(&reading);
    reading = read_text("length_mm,density_lb_ft3\n,94\n");
    CU_ASSERT_FALSE(reading.set.us_units);
    end(&reading);
}

/* Every quantity that comes in several sizes must name its unit; only ages and fractions may go without. */
static void units_left_out(void)
{
    static const char *const asked[] = { "length", "width", "height", "diameter", "span", "break_load", "fracture_from_support", "mass",
        "mass_submerged", "sinker_submerged", "mass_saturated", "mass_oven_dry", "mass_boiled", "density", "compressive_strength",
        "flexural_strength", "splitting_strength", "absorption", "voids" };
    for (size_t i = 0; i < sizeof asked / sizeof *asked; i++) {
        char text[80];
        snprintf(text, sizeof text, "specimen,%s\nA,3\n", asked[i]);
        check_refused(text, asked[i], "has no unit");
    }
    struct reading reading = read_text("specimen,age,aggregate_fraction,density_kg_m3\nA,28,0.3,1500\n");
    CU_ASSERT_EQUAL(reading.status, STATUS_OK);
    end(&reading);
}

/* Nothing that was measured can be nothing. */
static void zero_measured(void)
{
    static const char *const measured[] = { "length_mm", "width_mm", "height_mm", "diameter_mm", "span_mm", "break_load_kN",
        "mass_g", "mass_submerged_g", "sinker_submerged_g", "mass_saturated_g", "mass_oven_dry_g",
        "mass_boiled_g", "compressive_strength_mpa", "flexural_strength_mpa", "splitting_strength_mpa" };
    for (size_t i = 0; i < sizeof measured / sizeof *measured; i++) {
        char text[120];
        snprintf(text, sizeof text, "specimen,%s,density_kg_m3\nA,0,1500\n", measured[i]);
        check_refused(text, measured[i], "'0 ");
    }
}

static void repeated_names(void)
{
    check_refused("specimen,density_kg_m3\nA1,1400\nA2,1400\nA1,1500\n", "in.csv:4: column 'specimen': 'A1' stands twice", "line 2");
    check_doubted("specimen,density_kg_m3\nA1,1400\na1,1500\n", "in.csv:3: column 'specimen'", "line 2");
    check_doubted("specimen,density_kg_m3\nA1,1400\nA 1,1500\n", "in.csv:3: column 'specimen'", "line 2");
    check_doubted("mix,density_kg_m3\nPL,1400\npl,1500\n", "in.csv:3: column 'mix'", "line 2");
    check_doubted("mix,aggregate,density_kg_m3\nA,perlite,1400\nB,Perlite,1500\n", "in.csv:3:", "'perlite'");
    check_refused("specimen,density_kg_m3\nA1,1400\nA1 ,1400\n", "in.csv:3:", "line 2");
    struct reading reading = read_text("density_kg_m3\n1400\n1400\n1400\n"); /* equal rows without a name are fine */
    CU_ASSERT_EQUAL(reading.status, STATUS_OK);
    end(&reading);
}

static void mixes_that_contradict(void)
{
    check_refused("mix,aggregate_fraction,density_kg_m3\nA,0.3,1400\nA,,1400\nA,0.4,1400\n", "in.csv:4: column 'aggregate_fraction'", "line 2");
    check_refused("mix,aggregate,density_kg_m3\nA,,1400\nA,perlite,1400\nA,pumice,1400\n", "in.csv:4: column 'aggregate'", "line 3");
    struct reading reading = read_text("mix,aggregate,aggregate_fraction,density_kg_m3\nA,,,1400\nA,perlite,0.3,1400\nA,,,1400\n");
    CU_ASSERT_EQUAL(reading.status, STATUS_OK);
    check_text(reading.set.aggregates[reading.set.mixes[0].aggregate], "perlite");
    check_close("fraction", reading.set.mixes[0].aggregate_fraction, 0.3, 0);
    CU_ASSERT_EQUAL(reading.set.n_aggregates, 1);
    end(&reading);
}

static void words(void)
{
    check_refused("shape,mass_g\ncubee,1\n", "in.csv:2: column 'shape': 'cubee'", "cube, cylinder");
    check_refused("loading,mass_g\nx,1\n", "in.csv:2: column 'loading'", "third-point");
    check_refused("moisture,mass_g\nwet,1\n", "in.csv:2: column 'moisture'", "oven-dry");
    check_refused("result,mass_g\nmaybe,1\n", "in.csv:2: column 'result'", "pass or fail");
}

static void files_without_use(void)
{
    check_refused("specimen,colour,aggregate_fraction\nA,red,0.3\n", "in.csv:1:", "'specimen', 'colour', 'aggregate_fraction'");
    check_refused("specimen,mass\nA,5\n", "in.csv:1: column 'mass'", "has no unit");
    check_refused("specimen,mass_g\n", "in.csv:1:", "no rows");
}

static void all_problems_at_once(void)
{
    struct reading reading = read_text("specimen,density_kg_m3,age_days\nA,x,y\nB,1400,28\nC,1,2,3\nB,1400,28\n");
    CU_ASSERT_EQUAL(reading.problems.n_errors, 4);
    SAYS(&reading.problems, SEVERITY_ERROR, "in.csv:2: column 'density_kg_m3': 'x' is not a number");
    SAYS(&reading.problems, SEVERITY_ERROR, "in.csv:2: column 'age_days'");
    SAYS(&reading.problems, SEVERITY_ERROR, "in.csv:4: has 4 cells");
    SAYS(&reading.problems, SEVERITY_ERROR, "in.csv:5: column 'specimen'");
    CU_ASSERT_EQUAL(reading.set.n, 1); /* what is good can still be counted */
    end(&reading);
}

/* The computation names columns by their rules; the user must see the own heading. */
static void messages_use_the_users_headings(void)
{
    struct specimen_set_settings settings = { 0 };
    struct column_map map;
    CU_ASSERT_EQUAL(column_map_parse("mass=Weight of cube (g)", &map, NULL), STATUS_OK);
    settings.maps = &map;
    settings.n_maps = 1;
    const char *path = temporary_text("in.csv", "specimen,Weight of cube (g)\nA,-5\n");
    struct reading reading = read_with(&path, 1, &settings);
    CU_ASSERT_EQUAL(reading.status, STATUS_INPUT);
    SAYS(&reading.problems, SEVERITY_ERROR, "in.csv:2: column 'Weight of cube (g)'");
    column_map_release(&map);
    end(&reading);
}

static void several_files(void)
{
    struct specimen_set_settings strict = { .fingerprint = true };
    const char *one = temporary_text("one.csv", "specimen,mix,density_kg_m3\nA1,A,1400\n");
    const char *two = temporary_text("two.csv", "mix;specimen;density [g/cm3]\nA;A2;1,41\n");
    const char *paths[] = { one, two };
    struct reading reading = read_with(paths, 2, &strict);
    CU_ASSERT_EQUAL(reading.status, STATUS_OK);
    CU_ASSERT_EQUAL(reading.set.n, 2);
    CU_ASSERT_EQUAL(reading.set.n_mixes, 1);
    check_close("density", specimen_set_value(&reading.set, 1, PROPERTY_DENSITY), 1410, 1e-12);
    check_text(specimen_set_place(&reading.set, 1).path, two);
    uint64_t print = reading.set.fingerprint;
    end(&reading);
    const char *turned[] = { two, one };
    reading = read_with(turned, 2, &strict);
    CU_ASSERT(reading.set.fingerprint != print);
    end(&reading);
    temporary_text("two.csv", "specimen,density_kg_m3\nA1,1400\n");
    reading = read_with(paths, 2, &strict);
    CU_ASSERT_EQUAL(reading.status, STATUS_INPUT);
    SAYS(&reading.problems, SEVERITY_ERROR, "two.csv:2:", "one.csv:2");
    end(&reading);
}

static void same_file_twice(void)
{
    struct specimen_set_settings strict = { 0 };
    const char *path = temporary_text("in.csv", "specimen,density_kg_m3\nA1,1400\n");
    const char *paths[] = { path, temporary_path("./in.csv") };
    struct reading reading = read_with(paths, 2, &strict);
    CU_ASSERT_EQUAL(reading.status, STATUS_INPUT);
    SAYS(&reading.problems, SEVERITY_ERROR, "./in.csv", "same file");
    end(&reading);
    CU_ASSERT_EQUAL(symlink("in.csv", temporary_path("link.csv")), 0);
    paths[1] = temporary_path("link.csv");
    reading = read_with(paths, 2, &strict);
    CU_ASSERT_EQUAL(reading.status, STATUS_INPUT);
    end(&reading);
}

static void recipes(void)
{
    struct mix_list mixes;
    struct problem_list problems = { 0 };
    const char *recipe = temporary_text("mixes.csv", "mix,aggregate,binder_parts,light_parts,sand_parts\nPL,perlite,1,1,1\nREF,sand,1,0,2\n");
    CU_ASSERT_EQUAL(mix_list_read(recipe, NULL, 0, &mixes, &problems), STATUS_OK);
    struct specimen_set_settings settings = { .mixes = &mixes };
    const char *path = temporary_text("in.csv", "mix,density_kg_m3,aggregate_fraction_pct\nPL,1400,33\nREF,2300,\nother,1000,\n");
    struct reading reading = read_with(&path, 1, &settings);
    CU_ASSERT_EQUAL(reading.status, STATUS_OK);
    check_close("fraction of the recipe", reading.set.mixes[0].aggregate_fraction, 1.0 / 3, 1e-15);
    check_text(reading.set.aggregates[reading.set.mixes[0].aggregate], "perlite");
    check_close("no light part", reading.set.mixes[1].aggregate_fraction, 0, 0);
    SAYS(&reading.problems, SEVERITY_DOUBT, "in.csv:4: column 'mix'", "mixes.csv");
    end(&reading);
    path = temporary_text("in.csv", "mix,aggregate,density_kg_m3,aggregate_fraction_pct\nPL,perlite,1400,40\nPL,pumice,1400,\n");
    reading = read_with(&path, 1, &settings);
    CU_ASSERT_EQUAL(reading.status, STATUS_INPUT);
    SAYS(&reading.problems, SEVERITY_ERROR, "in.csv:2: column 'aggregate_fraction", "mixes.csv:2");
    SAYS(&reading.problems, SEVERITY_ERROR, "in.csv:3: column 'aggregate'", "mixes.csv:2");
    end(&reading);
    mix_list_release(&mixes);
}

/* Each allocation failed in turn: STATUS_MEMORY or the whole set. */
static void memory_failures(void)
{
    struct specimen_set_settings settings = { .set_aside_path = temporary_path("aside.csv") };
    const char *path = temporary_text("in.csv", "specimen,mix,batch,aggregate,density_kg_m3,age_days\nA,M,1,p,1400,28\nB,M,1,p,14x0,28\nC,N,1,q,1300,7\n");
    bool reached = true;
    for (unsigned long n = 1; reached && n < 400; n++) {
        memory_fail_at(n, true);
        struct reading reading = read_with(&path, 1, &settings);
        reached = memory_calls() >= n;
        memory_fail_at(0, false);
        CU_ASSERT(reading.status == STATUS_MEMORY || (!reached && reading.status == STATUS_OK && reading.set.n == 2));
        end(&reading);
    }
    CU_ASSERT_FALSE(reached);
    unlink(settings.set_aside_path);
}

/* A gap among the batches must not count as one more. */
static void empty_batch_cells(void)
{
    struct reading reading = read_text("specimen,mix,batch,density_kg_m3\n1,A,,1000\n2,A,x,1010\n3,A,,1020\n4,A,y,1030\n5,A,,1040\n"
                                         "6,B,,900\n7,B,,910\n8,C,z,800\n");
    const struct specimen_set *set = &reading.set;
    static const char *const batch[] = { "x", "x", "x", "y", "y", "", "", "z" };
    CU_ASSERT_EQUAL(set->n_batches, 4);
    CU_ASSERT_EQUAL(set->n_batch_assumed, 5);
    CU_ASSERT_TRUE(set->has_batch_column);
    for (size_t i = 0; i < 8; i++) {
        check_text(BATCH_NAME(set, set->batch[i]), batch[i]);
        CU_ASSERT_EQUAL((set->flags[i] & FLAG_BATCH_ASSUMED) != 0, i == 0 || i == 2 || i == 4 || i == 5 || i == 6);
        CU_ASSERT_FALSE(set->flags[i] & FLAG_NO_BATCH);
    }
    CU_ASSERT_EQUAL(set->batch[5], set->batch[6]);
    CU_ASSERT_EQUAL(set->mixes[0].n_batches, 2);
    CU_ASSERT_EQUAL(set->mixes[1].n_batches, 1);
    CU_ASSERT_EQUAL(reading.problems.n_doubts, 5);
    CU_ASSERT_PTR_NOT_NULL(strstr(reading.problems.items[1].text, "counts with batch 'x' of its mix"));
    CU_ASSERT_EQUAL(reading.problems.items[1].line, 4);
    check_text(reading.problems.items[1].column, "batch");
    CU_ASSERT_PTR_NOT_NULL(strstr(reading.problems.items[3].text, "as in all rows of mix 'B'"));
    end(&reading);
    /* A column that nobody filled is none. */
    reading = read_text("specimen,mix,batch,density_kg_m3\n1,A,,1000\n2,A,,1010\n");
    CU_ASSERT_EQUAL(set->n_batches, 2);
    CU_ASSERT_FALSE(set->has_batch_column);
    CU_ASSERT_TRUE((set->flags[0] & set->flags[1]) & FLAG_NO_BATCH);
    CU_ASSERT_EQUAL(reading.problems.n_doubts, 0);
    end(&reading);
}

int main(void)
{
    static const struct check_case cases[] = {
        { "columns of a set", columns_of_a_set },
        { "names left out", names_left_out },
        { "empty batch cells", empty_batch_cells },
        { "names that fill a block", names_that_fill_a_block },
        { "late columns", late_columns },
        { "units of the user", units_of_the_user },
        { "units left out", units_left_out },
        { "zero measured", zero_measured },
        { "repeated names", repeated_names },
        { "mixes that contradict", mixes_that_contradict },
        { "words", words },
        { "files without use", files_without_use },
        { "all problems at once", all_problems_at_once },
        { "messages use the user's headings", messages_use_the_users_headings },
        { "several files", several_files },
        { "same file twice", same_file_twice },
        { "recipes", recipes },
        { "memory failures", memory_failures },
    };
    if (!temporary_start())
        return 2;
    int result = check_run("specimen_set", cases, sizeof cases / sizeof cases[0]);
    temporary_end();
    return result;
}
