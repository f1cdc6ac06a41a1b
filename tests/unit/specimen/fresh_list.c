/* Tests of fresh concrete read, computed, refused and matched; invented but for the case numbers, which density.c explains. */
#include "set_reading.h"
#include "specimen/fresh_list.h"
#include "base/memory.h"
#include "support/check.h"

#include <math.h>

static struct fresh_list list;
static struct problem_list problems;

static enum status read_fresh(const char *text)
{
    problem_list_release(&problems);
    return fresh_list_read(temporary_text("fresh.csv", text), &list, &problems);
}

static void end_fresh(void)
{
    fresh_list_release(&list);
    problem_list_release(&problems);
}

#define HEADING "batch,mix,mass_measure_full_kg,mass_measure_empty_kg,measure_volume_L,batch_mass_kg,design_volume_m3,cement_mass_kg,air_free_volume_m3\n"

/* D3 and D4, ASTM C138. T = 1010 kg / V = 2010 kg/m3. */
static void check_values(void)
{
    CU_ASSERT_EQUAL_FATAL(read_fresh(HEADING "b,m,16.90,3.10,7.07,1010,0.5,180,0.50248756218905473\n"), STATUS_OK);
    const struct fresh_batch *batch = &list.items[0];
    CU_ASSERT_EQUAL_FATAL(list.n_items, 1);
    check_close("D3 density", batch->density_kg_m3, 1951.91, 3e-6);
    check_close("D4 yield", batch->yield_m3, 0.517442, 1e-6);
    check_close("D4 relative yield", batch->relative_yield, 1.03488, 4e-6);
    check_close("D4 cement content", batch->cement_content_kg_m3, 347.865, 2e-6);
    check_close("D4 air", batch->air_pct, 2.89008, 2e-6);
    CU_ASSERT(isnan(batch->oven_dry_kg_m3) && isnan(batch->air_measured_pct));
    CU_ASSERT_FALSE(list.us_units);
    CU_ASSERT_EQUAL(problems.n_items, 0);
    end_fresh();
}

/* D7, ASTM C567: the batch is a cubic metre of 1900 kg. A column that is not there is an aggregate that nobody used. */
static void oven_dry(void)
{
    CU_ASSERT_EQUAL_FATAL(read_fresh("batch,fresh_density_kg_m3,batch_mass_kg,cement_mass_kg,fine_dry_mass_kg,coarse_dry_mass_kg\n"
                                     "a,1900,1900,360,800,430\nb,1900,1900,360,800,\nc,1900,1900,360,800,0\n"), STATUS_OK);
    check_close("D7", list.items[0].oven_dry_kg_m3, 1662, 1e-12);
    CU_ASSERT(isnan(list.items[1].oven_dry_kg_m3));
    check_close("none is told", list.items[2].oven_dry_kg_m3, 1232, 1e-12);
    end_fresh();
    CU_ASSERT_EQUAL_FATAL(read_fresh("batch,fresh_density_kg_m3,batch_mass_kg,cement_mass_kg,fine_dry_mass_kg\na,1900,1900,360,800\n"), STATUS_OK);
    check_close("no column", list.items[0].oven_dry_kg_m3, 1232, 1e-12);
    end_fresh();
    CU_ASSERT_EQUAL_FATAL(read_fresh("batch,fresh_density_kg_m3,batch_mass_kg,cement_mass_kg\na,1900,1900,360\n"), STATUS_OK);
    CU_ASSERT(isnan(list.items[0].oven_dry_kg_m3));
    end_fresh();
}

/* The same batch in pounds, cubic feet and yards. */
static void us_units(void)
{
    CU_ASSERT_EQUAL_FATAL(read_fresh("batch,mass_measure_full_lb,mass_measure_empty_lb,measure_volume_ft3,batch_mass_lb,design_volume_yd3\n"
                                     "b,37.258122,6.8343301,0.24967469,2226.6688,0.65397533\n"), STATUS_OK);
    check_close("D3 density", list.items[0].density_kg_m3, 1951.91, 3e-6);
    check_close("D4 relative yield", list.items[0].relative_yield, 1.03488, 4e-6);
    CU_ASSERT_TRUE(list.us_units);
    end_fresh();
}

static void check_refused(const char *text, size_t line, const char *column, const char *words)
{
    CU_ASSERT_EQUAL(read_fresh(text), STATUS_INPUT);
    CU_ASSERT_EQUAL(list.n_items, 0);
    CU_ASSERT_FATAL(problems.n_items > 0);
    CU_ASSERT_EQUAL(problems.items[0].line, line);
    check_text(problems.items[0].column, column);
    if (!strstr(problems.items[0].text, words)) {
        CU_FAIL("another problem");
        fprintf(stderr, "'%s' is not about '%s'\n", problems.items[0].text, words);
    }
    end_fresh();
}

static void refused(void)
{
    check_refused(HEADING "b,m,3.1,16.9,7.07,,,,\n", 2, "mass_measure_full_kg", "were the two exchanged");
    check_refused(HEADING "b,m,3.1,3.1,7.07,,,,\n", 2, "mass_measure_full_kg", "not more than the empty measure");
    check_refused(HEADING "b,m,16.9,,7.07,,,,\n", 2, "mass_measure_empty_kg", "is missing");
    check_refused(HEADING "b,m,16.9,3.1,,,,,\n", 2, "measure_volume_L", "is missing");
    check_refused(HEADING "b,m,,,,60,,,\n", 2, "batch", "no fresh density is told");
    check_refused(HEADING ",m,16.9,3.1,7.07,,,,\n", 2, "batch", "the name is empty");
    check_refused(HEADING "b,m,16.9,3.1,7.07,,,,\nc,m,16.9,3.1,7.07,,,,\nb,m,16.9,3.1,7.07,,,,\n", 4, "batch", "stands twice, first on line 2");
    check_refused(HEADING "b,m,16.9,3.1,7.07,60,,61,\n", 2, "batch_mass_kg", "everything that went into the mixer");
    check_refused(HEADING "b,m,16.9,3.1,7.07,-60,,,\n", 2, "batch_mass_kg", "is not possible");
    check_refused(HEADING "b,m,16.9,3.1,7.07,x,,,\n", 2, "batch_mass_kg", "is not a number");
    check_refused("batch,fresh_density_kg_m3,mass_measure_full_kg,mass_measure_empty_kg,measure_volume_L\nb,1930,16.9,3.1,7.07\n", 2,
                  "fresh_density_kg_m3", "does not agree with 1951.9 kg/m3");
    check_refused("batch,fresh_density_kg_m3,air_pct\nb,1930,101\n", 2, "air_pct", "is not possible");
    check_refused("mix,fresh_density_kg_m3\nb,1930\n", 1, "", "no column is 'batch'");
    static const char *const measured[] = { "mass_measure_full", "mass_measure_empty", "measure_volume", "batch_mass", "design_volume",
                                            "air_free_volume", "cement_mass", "fine_dry_mass", "coarse_dry_mass", "fresh_density", "air" };
    for (size_t i = 0; i < sizeof measured / sizeof *measured; i++) {
        char text[120];
        snprintf(text, sizeof text, "batch,%s\nb,1930\n", measured[i]);
        check_refused(text, 1, measured[i], "has no unit");
    }
}

/* One problem that is no error. */
static void check_asked(const char *text, enum severity severity, const char *column, const char *words)
{
    CU_ASSERT_EQUAL(read_fresh(text), STATUS_OK);
    CU_ASSERT_EQUAL_FATAL(problems.n_items, 1);
    CU_ASSERT_EQUAL(problems.items[0].severity, severity);
    check_text(problems.items[0].column, column);
    CU_ASSERT_PTR_NOT_NULL(strstr(problems.items[0].text, words));
    end_fresh();
}

static void asked_about(void)
{
    check_asked(HEADING "b,m,16.9,3.1,0.00707,,,,\n", SEVERITY_DOUBT, "measure_volume_L", "litres or cubic metres");
    check_asked("batch,fresh_density_kg_m3\nb,120\n", SEVERITY_DOUBT, "fresh_density_kg_m3", "which unit?");
    check_asked(HEADING "b,m,16.9,3.1,7.07,60,30,,\n", SEVERITY_DOUBT, "design_volume_m3", "litres or cubic metres");
    check_asked(HEADING "b,m,16.9,3.1,7.07,60,,,0.0312\n", SEVERITY_DOUBT, "air_free_volume_m3", "makes the air");
    check_asked(HEADING "b,m,16.9,3.1,7.07,,0.03,,\n", SEVERITY_NOTICE, "batch_mass_kg", "there is no yield");
    /* Within its rounding a ready density agrees; an empty measure may be tared away. */
    CU_ASSERT_EQUAL(read_fresh("batch,fresh_density_kg_m3,mass_measure_full_kg,mass_measure_empty_kg,measure_volume_L\nb,1960,13.8,0,7.07\n"), STATUS_OK);
    CU_ASSERT_EQUAL(problems.n_items, 0);
    check_close("the measure counts", list.items[0].density_kg_m3, 1951.91, 3e-6);
    end_fresh();
}

static void matched(void)
{
    struct reading reading = read_text("specimen,mix,batch,aggregate_fraction,density_kg_m3\n1,r,a,0,2300\n2,m,a,0.4,1500\n3,m,b,0.4,1500\n4,n,c,,1500\n");
    CU_ASSERT_EQUAL_FATAL(reading.status, STATUS_OK);
    const char *text = "batch,mix,fresh_density_kg_m3\na,m,1700\nb,,1700\na,r,2300\nc,n,1700\nz,m,1700\na,x,1700\n";
    CU_ASSERT_EQUAL_FATAL(read_fresh(text), STATUS_OK);
    CU_ASSERT_EQUAL(fresh_list_match(&list, &reading.set, &problems), STATUS_OK);
    CU_ASSERT_EQUAL(problems.n_notices, 2);
    CU_ASSERT_EQUAL(list.items[0].set_batch, 1);
    CU_ASSERT_EQUAL(list.items[1].set_mix, 1);
    CU_ASSERT_EQUAL(list.items[1].set_batch, 2);
    CU_ASSERT_EQUAL(list.items[2].set_batch, 0);
    CU_ASSERT_FALSE(list.items[2].air_doubtful); /* the reference has no light aggregate */
    CU_ASSERT(list.items[0].air_doubtful && list.items[3].air_doubtful && list.items[5].air_doubtful);
    CU_ASSERT(list.items[4].set_mix == 1 && list.items[4].set_batch == FRESH_NOT_FOUND);
    CU_ASSERT(list.items[5].set_mix == FRESH_NOT_FOUND && list.items[5].set_batch == FRESH_NOT_FOUND);
    end_fresh();
    CU_ASSERT_EQUAL_FATAL(read_fresh("batch,fresh_density_kg_m3\na,1700\n"), STATUS_OK);
    CU_ASSERT_EQUAL(fresh_list_match(&list, &reading.set, &problems), STATUS_INPUT);
    CU_ASSERT_PTR_NOT_NULL(strstr(problems.items[0].text, "several mixes"));
    end_fresh();
    end(&reading);
}

static void memory(void)
{
    unsigned long n = 0;
    for (;;) {
        memory_fail_at(++n, false);
        enum status status = read_fresh(HEADING "b,m,16.9,3.1,7.07,60,0.03,10,\nc,m,16.9,3.1,7.07,60,0.03,10,\n");
        bool failed = memory_calls() >= n;
        memory_fail_at(0, false);
        CU_ASSERT((failed && status == STATUS_MEMORY && list.n_items == 0) || (status == STATUS_OK && list.n_items == 2));
        end_fresh();
        if (!failed || n > 1000)
            break;
    }
    CU_ASSERT(n > 5 && n < 1000);
}

int main(void)
{
    static const struct check_case cases[] = {
        { "check values", check_values }, { "oven-dry", oven_dry }, { "US units", us_units }, { "refused", refused },
        { "asked about", asked_about }, { "matched", matched }, { "memory", memory },
    };
    if (!temporary_start())
        return 1;
    int failed = check_run("fresh_list", cases, sizeof cases / sizeof *cases);
    temporary_end();
    return failed;
}
