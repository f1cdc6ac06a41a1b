#include "support/check.h"
#include "support/temporary.h"

#include "set_reading.h"

static struct reading read_setting_aside(const char *text, const char *aside)
{
    struct specimen_set_settings settings = { .set_aside_path = aside };
    const char *path = temporary_text("in.csv", text);
    return read_with(&path, 1, &settings);
}

static void rows_set_aside_whole(void)
{
    char text[1000];
    const char *aside = temporary_path("aside.csv");
    struct reading reading = read_setting_aside("specimen,density_kg_m3,note\nA, 1400 ,\"a \"\"b\"\"\"\nB,14O0,\"x, y\"\nC,1400\nA,1500,\n", aside);
    CU_ASSERT_EQUAL(reading.status, STATUS_OK);
    CU_ASSERT_EQUAL(reading.problems.n_errors, 0);
    CU_ASSERT_EQUAL(reading.problems.n_doubts, 3);
    CU_ASSERT_EQUAL(reading.set.n, 1);
    CU_ASSERT_EQUAL(reading.set.n_set_aside, 3);
    SAYS(&reading.problems, SEVERITY_DOUBT, "in.csv:3: column 'density_kg_m3': set aside: '14O0'");
    end(&reading);
    temporary_read(aside, text, sizeof text);
    CU_ASSERT(strncmp(text, "reason,place,specimen,density_kg_m3,note\n", 41) == 0);
    CU_ASSERT(strstr(text, "in.csv:3\",B,14O0,\"x, y\"\n") != NULL);
    CU_ASSERT(strstr(text, "has 2 cells where the heading has 3\"") != NULL);
    CU_ASSERT(strstr(text, "in.csv:4\",C,1400\n") != NULL);
    CU_ASSERT(strstr(text, "in.csv:5\",A,1500,\n") != NULL);
    unlink(aside);
}

/* Fingerprint apart, the same specimens: from a clean file, or from the good rows and the mended ones. */
static void mended_rows_give_the_same_set(void)
{
    struct specimen_set_settings strict = { 0 };
    char text[1000], *slip;
    const char *aside = temporary_path("aside.csv");
    const char *clean = "specimen;mix;batch;density_kg_m3;age_days\nA;M;1;1400,5;28\nB;M;1;1410;28\nC;M;2;1390;28\nD;N;1;1200;7\n";
    struct reading want = read_text(clean);
    struct reading reading = read_setting_aside("specimen;mix;batch;density_kg_m3;age_days\nA;M;1;1400,5;28\nB;M;1;141O;28\nC;M;2;1390;28\nD;N;1;1200;7x\n", aside);
    CU_ASSERT_EQUAL(reading.set.n, 2);
    CU_ASSERT_EQUAL(reading.set.n_set_aside, 2);
    end(&reading);
    temporary_read(aside, text, sizeof text);
    while ((slip = strstr(text, ";141O;")))
        memcpy(slip, ";1410;", 6);
    while ((slip = strstr(text, "1200;7x\n")))
        memcpy(slip, "1200;7 \n", 8);
    temporary_text("good.csv", "specimen;mix;batch;density_kg_m3;age_days\nA;M;1;1400,5;28\nC;M;2;1390;28\n");
    temporary_text("mended.csv", text);
    const char *paths[] = { temporary_path("good.csv"), temporary_path("mended.csv") };
    reading = read_with(paths, 2, &strict);
    CU_ASSERT_EQUAL(reading.status, STATUS_OK);
    CU_ASSERT_EQUAL(reading.problems.n_items, 0); /* reason and place raise no question */
    CU_ASSERT_EQUAL(reading.set.n, want.set.n);
    CU_ASSERT_EQUAL(reading.set.n_batches, want.set.n_batches);
    CU_ASSERT_EQUAL(reading.set.n_mixes, want.set.n_mixes);
    for (size_t i = 0; i < reading.set.n; i++)
        for (size_t j = 0; j < want.set.n; j++)
            if (strcmp(ID_OF(&reading.set, i), ID_OF(&want.set, j)) == 0) {
                check_close("density", specimen_set_value(&reading.set, i, PROPERTY_DENSITY), specimen_set_value(&want.set, j, PROPERTY_DENSITY), 0);
                check_close("age", specimen_set_age(&reading.set, i), specimen_set_age(&want.set, j), 0);
                check_text(reading.set.mixes[specimen_set_mix(&reading.set, i)].name, want.set.mixes[specimen_set_mix(&want.set, j)].name);
                check_text(BATCH_NAME(&reading.set, reading.set.batch[i]), BATCH_NAME(&want.set, want.set.batch[j]));
            }
    end(&reading);
    end(&want);
    unlink(aside);
}

/* A set-aside file mended in part and read again: its old reason and place are replaced, not repeated. */
static void set_aside_again(void)
{
    char text[600];
    const char *aside = temporary_path("aside.csv");
    struct reading reading = read_setting_aside("reason,place,specimen,mass_g,density_kg_m3\n\"old, reason\",\"x:1\",A,,14O0\n\"o\",\"x:2\",B,,1400\n", aside);
    CU_ASSERT_EQUAL(reading.status, STATUS_OK);
    end(&reading);
    temporary_read(aside, text, sizeof text);
    CU_ASSERT(strncmp(text, "reason,place,specimen,mass_g,density_kg_m3\n\"column 'density_kg_m3'", 64) == 0);
    CU_ASSERT(strstr(text, "in.csv:2\",A,,14O0\n") != NULL);
    CU_ASSERT(strstr(text, "old") == NULL);
    CU_ASSERT(strcmp(text + strlen(text) - strlen("in.csv:2\",A,,14O0\n"), "in.csv:2\",A,,14O0\n") == 0); /* nothing of the next row */
    unlink(aside);
}

static void set_aside_limits(void)
{
    const char *aside = temporary_path("aside.csv");
    struct reading reading = read_setting_aside("specimen,density_kg_m3\nA,1400\n", aside);
    CU_ASSERT_EQUAL(reading.status, STATUS_OK);
    CU_ASSERT(access(aside, F_OK) != 0); /* nothing set aside: no file */
    end(&reading);
    reading = read_setting_aside("specimen,density_kg_m3\nA,x\n", aside);
    CU_ASSERT_EQUAL(reading.status, STATUS_TOO_FEW);
    CU_ASSERT_EQUAL(access(aside, F_OK), 0);
    end(&reading);
    unlink(aside);
    reading = read_setting_aside("specimen,density_kg_m3\nA,1400\n", temporary_path("in.csv"));
    CU_ASSERT(reading.status != STATUS_OK);
    SAYS(&reading.problems, SEVERITY_ERROR, "in.csv", "name another file");
    end(&reading);
    reading = read_setting_aside("specimen,density_kg_m3\nA,x\nB,1400\n", temporary_path("none/aside.csv"));
    CU_ASSERT_EQUAL(reading.status, STATUS_IO);
    end(&reading);
    struct specimen_set_settings settings = { .set_aside_path = aside };
    const char *paths[] = { temporary_text("one.csv", "specimen,density_kg_m3\nA,x\n"), temporary_text("two.csv", "mix,density_kg_m3\nA,x\n") };
    reading = read_with(paths, 2, &settings);
    SAYS(&reading.problems, SEVERITY_ERROR, "two.csv:2:", "heading differs");
    CU_ASSERT(access(aside, F_OK) != 0);
    end(&reading);
}

int main(void)
{
    static const struct check_case cases[] = {
        { "rows set aside whole", rows_set_aside_whole },
        { "mended rows give the same set", mended_rows_give_the_same_set },
        { "set aside again", set_aside_again },
        { "set-aside limits", set_aside_limits },
    };
    if (!temporary_start())
        return 2;
    int result = check_run("set_aside", cases, sizeof cases / sizeof cases[0]);
    temporary_end();
    return result;
}
