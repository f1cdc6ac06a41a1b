/* Specimens to rows of a journal and back; all invented. */
#include "specimen/recording.h"
#include "base/memory.h"
#include "ingest/journal.h"
#include "support/check.h"
#include "support/temporary.h"

#include <limits.h>
#include <math.h>

/* A recording of specimens given as NAME=VALUE, ends with NULL. */
static enum status add_typed(struct recording *recording, struct problem_list *problems, const char *const *typed)
{
    struct specimen specimen;
    char names[16][32];
    bool good = true;
    specimen_clear(&specimen);
    for (size_t i = 0; typed[i]; i++) {
        snprintf(names[i], sizeof names[i], "%.*s", (int)strcspn(typed[i], "="), typed[i]);
        good = recording_set_column(&specimen, names[i], strchr(typed[i], '=') + 1, problems) && good;
    }
    return good ? recording_add(recording, &specimen, problems) : STATUS_INPUT;
}
#define ADD(recording, problems, ...) add_typed(recording, problems, (const char *const[]){ __VA_ARGS__, NULL })

static void check_has(const struct problem_list *problems, const char *words)
{
    for (size_t i = 0; i < problems->n_items; i++)
        if (strstr(problems->items[i].text, words))
            return;
    CU_FAIL("problem not told");
    fprintf(stderr, "no problem says '%s'\n", words);
}

static void headings(void)
{
    struct text si = { 0 }, us = { 0 };
    CU_ASSERT_EQUAL(recording_heading(false, &si), STATUS_OK);
    CU_ASSERT_EQUAL(recording_heading(true, &us), STATUS_OK);
    CU_ASSERT_PTR_NOT_NULL(strstr(si.bytes, ",aggregate_fraction,shape,length_mm,"));
    CU_ASSERT_PTR_NOT_NULL(strstr(si.bytes, ",break_load_kN,"));
    CU_ASSERT_PTR_NOT_NULL(strstr(si.bytes, ",mass_g,mass_submerged_g,sinker_submerged_g,"));
    CU_ASSERT_PTR_NOT_NULL(strstr(si.bytes, ",age_days,density_kg_m3,compressive_strength_MPa,"));
    CU_ASSERT_PTR_NOT_NULL(strstr(us.bytes, ",age_days,density_lb_ft3,compressive_strength_psi,"));
    CU_ASSERT_PTR_NOT_NULL(strstr(us.bytes, ",mass_lb,"));
    CU_ASSERT_PTR_NULL(strstr(si.bytes, JOURNAL_CHECK_COLUMN));
    text_release(&si);
    text_release(&us);
}

/* What is recorded is what was measured, not what was computed from it; 15 digits keep every typed number. */
static void rows(void)
{
    struct recording si = { 0 }, us = { .us = true };
    struct problem_list problems = { 0 };
    CU_ASSERT_EQUAL(ADD(&si, &problems, "specimen=A1", "mix=m, 1", "shape=cube", "length=100mm", "mass=1.71kg", "break_load=182kN",
                        "cast_on=2024-02-29", "tested_on=2024-03-28", "aggregate_fraction=30%"), STATUS_OK);
    CU_ASSERT_EQUAL(ADD(&us, &problems, "specimen=A1", "shape=cube", "length=2.01in", "mass=0.582lb", "break_load=15700lb", "age=4weeks"), STATUS_OK);
    CU_ASSERT_EQUAL(problems.n_items, 0);
    check_text(si.items[0].row, "A1,\"m, 1\",,,0.3,cube,100,,,,,,182,,1710,,,,,,,,,,,,,,2024-02-29,2024-03-28,,");
    check_text(us.items[0].row, "A1,,,,,cube,2.01,,,,,,15700,,0.582,,,,,,,28,,,,,,,,,,");
    check_close("density", si.items[0].specimen.value[PROPERTY_DENSITY], 1710, 1e-12);
    check_close("age from the dates", si.items[0].specimen.age_days, 28, 0);
    problem_list_release(&problems);
    recording_release(&si);
    recording_release(&us);
}

static void dates(void)
{
    /* Days since 1970-01-01; GNU date. */
    static const struct { const char *iso; long days; } known[] = {
        { "1970-01-01", 0 }, { "2000-02-29", 11016 }, { "1900-03-01", -25508 }, { "2024-12-31", 20088 }, { "2100-03-01", 47541 },
    };
    for (size_t i = 0; i < sizeof known / sizeof known[0]; i++) {
        struct recording recording = { 0 };
        struct problem_list problems = { 0 };
        struct specimen specimen;
        char want[64];
        specimen_clear(&specimen);
        specimen.id = "A";
        specimen.mass_kg = 1;
        CU_ASSERT(recording_set_column(&specimen, "Cast on", known[i].iso, &problems));
        CU_ASSERT_EQUAL(specimen.cast_on, known[i].days);
        CU_ASSERT_EQUAL(recording_add(&recording, &specimen, &problems), STATUS_OK);
        snprintf(want, sizeof want, ",%s,", known[i].iso);
        CU_ASSERT_PTR_NOT_NULL(strstr(recording.items[0].row, want));
        recording_release(&recording);
        problem_list_release(&problems);
    }
}

static void texts(void)
{
    struct recording recording = { 0 };
    struct problem_list problems = { 0 };
    CU_ASSERT_EQUAL(ADD(&recording, &problems, "specimen=#1", "mass=1kg", "note= wet,\r\nthen \"dry\"\n\nat last \n"), STATUS_OK);
    CU_ASSERT_EQUAL(ADD(&recording, &problems, "specimen==cmd|' /c calc'!A1", "mass=1kg", "note=a\rb"), STATUS_OK);
    CU_ASSERT_EQUAL(strncmp(recording.items[0].row, "\"#1\",", 5), 0);
    CU_ASSERT_PTR_NOT_NULL(strstr(recording.items[0].row, ",\"wet, then \"\"dry\"\" at last\""));
    CU_ASSERT_EQUAL(strncmp(recording.items[1].row, "=cmd|' /c calc'!A1,", 19), 0); /* no guard: it is data */
    CU_ASSERT_PTR_NOT_NULL(strstr(recording.items[1].row, ",a b"));
    recording_release(&recording);
    problem_list_release(&problems);
}

static void refused(void)
{
    struct recording recording = { 0 };
    struct problem_list problems = { 0 };
    CU_ASSERT_EQUAL(ADD(&recording, &problems, "mass=1kg"), STATUS_INPUT);
    check_has(&problems, "each specimen has a name");
    CU_ASSERT_EQUAL(ADD(&recording, &problems, "specimen=A", "note=x", "age=7"), STATUS_INPUT);
    check_has(&problems, "nothing was measured");
    CU_ASSERT_EQUAL(ADD(&recording, &problems, "specimen=A", "mass=1"), STATUS_INPUT);
    check_has(&problems, "has no unit");
    CU_ASSERT_EQUAL(ADD(&recording, &problems, "specimen=A", "mas=1kg"), STATUS_INPUT);
    check_has(&problems, "did you mean 'mass'");
    CU_ASSERT_EQUAL(ADD(&recording, &problems, "specimen=A", "row_check=1/1-00000000"), STATUS_INPUT);
    check_has(&problems, "'row_check' is no column of a specimen");
    CU_ASSERT_EQUAL(ADD(&recording, &problems, "specimen=A", "shape=cube", "length=1mm", "mass_oven_dry=2kg", "mass=1kg"), STATUS_INPUT);
    check_has(&problems, "less than mass_oven_dry");
    CU_ASSERT_EQUAL(recording.n_items, 0);
    recording_release(&recording);
    problem_list_release(&problems);
}

static const char *write_journal(const char *name, bool us, const char *const *journal_rows, size_t n_rows)
{
    const char *path = temporary_path(name);
    struct text heading = { 0 };
    struct journal_result result;
    struct problem problem;
    unlink(path);
    CU_ASSERT_EQUAL(recording_heading(us, &heading), STATUS_OK);
    struct journal_request request = { .path = path, .heading = heading.bytes, .rows = journal_rows, .n_rows = n_rows };
    CU_ASSERT_EQUAL(journal_append(&request, &result, &problem), STATUS_OK);
    text_release(&heading);
    return path;
}

static const char *make_journal(const char *name, bool us)
{
    struct recording recording = { .us = us };
    struct problem_list problems = { 0 };
    CU_ASSERT_EQUAL(ADD(&recording, &problems, "specimen=A1", "mix=m", "aggregate=clay", "aggregate_fraction=0.3", "mass=1.7kg",
                        "mass_oven_dry=1.6kg", "mass_saturated=1.9kg"), STATUS_OK);
    CU_ASSERT_EQUAL(ADD(&recording, &problems, "specimen=A2", "mix=m", "shape=cylinder", "diameter=6in", "length=12in", "mass=21.4lb",
                        "break_load=38000lbf", "moisture=air-dry"), STATUS_OK);
    const char *const lines[] = { recording.items[0].row, recording.items[1].row };
    const char *path = write_journal(name, us, lines, 2);
    recording_release(&recording);
    problem_list_release(&problems);
    return path;
}

/* The journal reads back as what was recorded, in either units. */
static void read_back(void)
{
    for (int us = 0; us < 2; us++) {
        const char *path = make_journal("back.csv", us);
        struct specimen_set_settings settings = { 0 };
        struct specimen_set set;
        struct problem_list problems = { 0 };
        CU_ASSERT_EQUAL(specimen_set_read(&path, 1, &settings, &set, &problems), STATUS_OK);
        CU_ASSERT_EQUAL_FATAL(set.n, 2);
        check_close("absorption", specimen_set_value(&set, 0, PROPERTY_ABSORPTION), 18.75, 1e-12);
        /* 38000 lbf on a circle of 6 in; 21.4 lb in pi 9 12 in3 */
        check_close("strength", specimen_set_value(&set, 1, PROPERTY_COMPRESSIVE_STRENGTH),
                    38000 * 4.4482216152605 / (acos(-1.0) / 4 * 152.4 * 152.4), 1e-13);
        check_close("density", specimen_set_value(&set, 1, PROPERTY_DENSITY),
                    21.4 * 0.45359237 / (acos(-1.0) / 4 * 0.1524 * 0.1524 * 0.3048), 1e-13);
        CU_ASSERT_EQUAL(set.us_units, us == 1);
        CU_ASSERT_EQUAL(recording_units_us(path, !us), us == 1);
        specimen_set_release(&set);
        problem_list_release(&problems);
    }
    CU_ASSERT_TRUE(recording_units_us(temporary_path("nowhere.csv"), true));
    CU_ASSERT_FALSE(recording_units_us(temporary_path("nowhere.csv"), false));
}

static void against_the_journal(void)
{
    const char *path = make_journal("against.csv", false);
    struct recording recording = { 0 };
    struct problem_list problems = { 0 };
    CU_ASSERT_EQUAL(recording_line_of(path, "A2"), 3);
    CU_ASSERT_EQUAL(recording_line_of(path, "a2"), 0);
    CU_ASSERT_EQUAL(recording_line_of(temporary_path("nowhere.csv"), "A2"), 0);
    CU_ASSERT_EQUAL(ADD(&recording, &problems, "specimen=A3", "mix=m", "mass=1kg"), STATUS_OK);
    CU_ASSERT_EQUAL(recording_check(&recording, path, NULL, &problems), STATUS_OK);
    CU_ASSERT_EQUAL(problems.n_items, 0);
    CU_ASSERT_EQUAL(ADD(&recording, &problems, "specimen=A1", "mix=m", "mass=1kg"), STATUS_OK);
    CU_ASSERT_EQUAL(ADD(&recording, &problems, "specimen=A4", "mix=m", "aggregate=perlite", "mass=1kg"), STATUS_OK);
    CU_ASSERT_EQUAL(ADD(&recording, &problems, "specimen=a2", "mix=m", "mass=1kg"), STATUS_OK);
    CU_ASSERT_EQUAL(recording_check(&recording, path, NULL, &problems), STATUS_INPUT);
    check_has(&problems, "'A1' stands twice");
    check_has(&problems, "not the aggregate that this mix has");
    check_has(&problems, "'a2' differs from the specimen on");
    CU_ASSERT_EQUAL(problems.n_errors, 2);
    CU_ASSERT_EQUAL(problems.n_doubts, 1);
    recording_release(&recording);
    problem_list_release(&problems);
}

/* A row changed by hand is the journal's business; one that cannot be read stops what would be added to it. */
static void damaged_journal(void)
{
    static char content[8192];
    const char *path = make_journal("damaged.csv", false);
    struct recording recording = { 0 };
    struct problem_list problems = { 0 };
    temporary_read(path, content, sizeof content);
    char *mass = strstr(content, ",1700,");
    CU_ASSERT_PTR_NOT_NULL_FATAL(mass);
    mass[2] = '8';
    temporary_text("damaged.csv", content);
    CU_ASSERT_EQUAL(ADD(&recording, &problems, "specimen=A3", "mass=1kg"), STATUS_OK);
    CU_ASSERT_EQUAL(recording_check(&recording, path, NULL, &problems), STATUS_OK);
    mass[2] = 'q';
    temporary_text("damaged.csv", content);
    CU_ASSERT_EQUAL(recording_check(&recording, path, NULL, &problems), STATUS_INPUT);
    check_has(&problems, "cannot be read as it stands");
    check_has(&problems, "is not a plain number");
    recording_release(&recording);
    problem_list_release(&problems);
}

static void from_a_file(void)
{
    const char *path = temporary_text("from.csv", "specimen,side (mm),Mass (g),shape\nB1,100,1700,cube\nB2,100,x,cube\nB3,,,\n");
    struct recording recording = { 0 };
    struct problem_list problems = { 0 };
    struct column_map map;
    struct problem problem;
    struct specimen_set set;
    CU_ASSERT_EQUAL(column_map_parse("length=side (mm)", &map, &problem), STATUS_OK);
    CU_ASSERT_EQUAL(recording_add_file(&recording, path, &map, 1, &problems), STATUS_INPUT);
    CU_ASSERT_EQUAL(recording.n_items, 1);
    CU_ASSERT_EQUAL(problems.n_errors, 2);
    check_text(problems.items[0].column, "Mass (g)");
    CU_ASSERT_EQUAL(problems.items[0].line, 3);
    check_has(&problems, "nothing was measured");
    CU_ASSERT_EQUAL(recording_check(&recording, NULL, &set, &problems), STATUS_OK);
    CU_ASSERT_EQUAL_FATAL(set.n, 1);
    check_close("density", specimen_set_value(&set, 0, PROPERTY_DENSITY), 1700, 1e-12);
    CU_ASSERT_EQUAL(specimen_set_line(&set, 0), 2);
    specimen_set_release(&set);
    column_map_release(&map);
    recording_release(&recording);
    problem_list_release(&problems);
}

/* Each allocation failing, from the file to the check against the journal: no memory, or all of it done. */
static void memory(void)
{
    const char *journal = make_journal("memory.csv", false);
    const char *path = temporary_text("rows.csv", "specimen,mass_g\nC1,1\nC2,2\n");
    unsigned long n = 0;
    enum status status;
    do {
        struct recording recording = { 0 };
        struct problem_list problems = { 0 };
        memory_fail_at(++n, false);
        status = recording_add_file(&recording, path, NULL, 0, &problems);
        if (status == STATUS_OK)
            status = recording_check(&recording, journal, NULL, &problems);
        bool failed = memory_calls() >= n;
        memory_fail_at(0, false);
        CU_ASSERT(!failed || status == STATUS_MEMORY || (status == STATUS_OK && recording.n_items == 2) || problems.worst == STATUS_MEMORY);
        recording_release(&recording);
        problem_list_release(&problems);
        if (!failed)
            break;
    } while (n < 10000);
    CU_ASSERT_EQUAL(status, STATUS_OK);
    CU_ASSERT(n > 20 && n < 10000);
}

int main(void)
{
    static const struct check_case cases[] = {
        { "headings", headings }, { "rows", rows }, { "dates", dates }, { "texts", texts }, { "refused", refused },
        { "read back", read_back }, { "against the journal", against_the_journal }, { "damaged journal", damaged_journal },
        { "from a file", from_a_file }, { "memory", memory },
    };
    if (!temporary_start())
        return 1;
    int failed = check_run("recording", cases, sizeof cases / sizeof *cases);
    temporary_end();
    return failed;
}
