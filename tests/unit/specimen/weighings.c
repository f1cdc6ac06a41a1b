/* Weighings read, sorted and refused; all invented. */
#include "specimen/weighings.h"
#include "base/memory.h"
#include "support/check.h"
#include "support/temporary.h"

#include <math.h>

static struct weighing_list list;
static struct problem_list problems;

static enum status read_text(const char *text)
{
    return weighing_list_read(temporary_text("weighings.csv", text), &list, &problems);
}

static void end(void)
{
    weighing_list_release(&list);
    problem_list_release(&problems);
}

static void sorted_by_specimen_and_time(void)
{
    CU_ASSERT_EQUAL(read_text("mass (lb),hours,specimen,dried_in,note\n4,10,A,,\n5,0,B,air,\n6,-2,A,oven,\"first,\nwet\"\n5.5,4,A,,\n4.5,48,B,,\n"), STATUS_OK);
    CU_ASSERT_EQUAL_FATAL(list.n_series, 2);
    const struct weighing_series *a = &list.series[0], *b = &list.series[1];
    check_text(a->specimen, "A");
    CU_ASSERT_EQUAL_FATAL(a->n_items, 3);
    check_close("first", a->items[0].hours, -2, 0);
    check_close("first", a->items[0].mass_kg, 6 * 0.45359237, 1e-15);
    check_close("second", a->items[1].hours, 4, 0);
    check_close("last", a->items[2].mass_kg, 4 * 0.45359237, 1e-15);
    CU_ASSERT_EQUAL(a->lines[0], 4);
    CU_ASSERT_EQUAL(a->lines[2], 2);
    CU_ASSERT_EQUAL(a->line, 2);
    CU_ASSERT_EQUAL(a->place, DRYING_PLACE_OVEN);
    CU_ASSERT_EQUAL(b->place, DRYING_PLACE_AIR);
    CU_ASSERT_EQUAL(b->n_items, 2);
    CU_ASSERT_TRUE(list.us_units);
    end();
}

static void times(void)
{
    CU_ASSERT_EQUAL(read_text("specimen,days,mass_kg\nA,0,2\nA,1.5,1.9\n"), STATUS_OK);
    check_close("days", list.series[0].items[1].hours, 36, 0);
    end();
    CU_ASSERT_EQUAL(read_text("specimen,weighed_on,mass_kg\nA,2024-02-28,2\nA,2024-03-01,1.9\n"), STATUS_OK);
    check_close("dates", list.series[0].items[1].hours - list.series[0].items[0].hours, 48, 0);
    CU_ASSERT_FALSE(list.us_units);
    end();
}

static void check_refused(const char *text, size_t line, const char *column, const char *words)
{
    CU_ASSERT_EQUAL(read_text(text), STATUS_INPUT);
    CU_ASSERT_EQUAL(list.n_series, 0);
    CU_ASSERT_FATAL(problems.n_items > 0);
    CU_ASSERT_EQUAL(problems.items[0].line, line);
    check_text(problems.items[0].column, column);
    if (!strstr(problems.items[0].text, words)) {
        CU_FAIL("another problem");
        fprintf(stderr, "'%s' is not about '%s'\n", problems.items[0].text, words);
    }
    end();
}

static void refused(void)
{
    check_refused("specimen,hours,mass_g\nA,0,2000\nA,0,1990\n", 3, "", "at this time already, on line 2");
    check_refused("specimen,hours,mass_g\nA,0,0\n", 2, "mass_g", "not above zero");
    check_refused("specimen,hours,mass_g\nA,0,\n", 2, "mass_g", "is empty");
    check_refused("specimen,hours,mass_g\nA,,5\n", 2, "hours", "is empty");
    check_refused("specimen,hours,mass_g\n,1,5\n", 2, "specimen", "is empty");
    check_refused("specimen,hours,mass_g\nA,soon,5\n", 2, "hours", "is not a number");
    check_refused("specimen,weighed_on,mass_g\nA,2024-02-30,5\n", 2, "weighed_on", "not in the calendar");
    check_refused("specimen,hours,mass_g,dried_in\nA,1,5,sun\n", 2, "dried_in", "neither 'oven' nor 'air'");
    check_refused("specimen,hours,mass_g,dried_in\nA,1,5,air\nA,2,5,oven\n", 3, "dried_in", "an earlier row");
    check_refused("specimen,mass_g\nA,1\n", 1, "", "no column tells the time");
    check_refused("specimen,hours,days,mass_g\nA,1,1,1\n", 1, "", "more than one column");
    check_refused("specimen,hours\nA,1\n", 1, "", "no column is 'mass'");
    check_refused("hours,mass_g\n1,1\n", 1, "", "no column is 'specimen'");
    check_refused("specimen,hours,mass\nA,1,1\n", 1, "mass", "has no unit");
}

static void memory(void)
{
    unsigned long n = 0;
    for (;;) {
        memory_fail_at(++n, false);
        enum status status = read_text("specimen,hours,mass_g\nA,0,2000\nA,1,1990\nB,1,1990\n");
        bool failed = memory_calls() >= n;
        memory_fail_at(0, false);
        CU_ASSERT((failed && status == STATUS_MEMORY) || (status == STATUS_OK && list.n_series == 2)); /* no memory, or all of it */
        end();
        if (!failed || n > 1000)
            break;
    }
    CU_ASSERT(n > 5 && n < 1000);
}

int main(void)
{
    static const struct check_case cases[] = {
        { "sorted by specimen and time", sorted_by_specimen_and_time }, { "times", times }, { "refused", refused }, { "memory", memory },
    };
    if (!temporary_start())
        return 1;
    int failed = check_run("weighings", cases, sizeof cases / sizeof *cases);
    temporary_end();
    return failed;
}
