/* What rows share is kept once until one differs: whichever row that is, and by whichever way it is read, each row keeps its own. */
#include "set_reading.h"
#include "support/check.h"

#include "base/memory.h"
#include "base/text.h"

#define ROWS 4000u
#define A_BATCH 3u

/* The row, if any, from which on a study is no longer of one age, state, day a batch, or of ids that are numbers which rise. */
struct study {
    unsigned age, state, day, id;
};
#define NEVER (2 * ROWS)

static unsigned age_of(const struct study *study, unsigned row)
{
    return row < study->age ? 28 : 7;
}

static enum moisture state_of(const struct study *study, unsigned row)
{
    return row < study->state ? MOISTURE_AIR_DRY : row % 2 ? MOISTURE_OVEN_DRY : MOISTURE_AIR_DRY;
}

/* Days of February 2024, one a batch as long as there is nothing odd. */
static unsigned day_of(const struct study *study, unsigned row)
{
    return row < study->day ? 1 + row / A_BATCH % 28 : 1 + row % 28;
}

/* Numbers with gaps; odd ones are a word, a number below, one with a blank or nothing, in turn. */
static void id_of(const struct study *study, unsigned row, char out[24])
{
    static const char *const forms[] = { "S%u", "0%u", "%u 5", "" };
    const unsigned number = 10 * row + row / 1000;
    if (row < study->id || row % 5 == 4)
        snprintf(out, 24, "%u", number);
    else
        snprintf(out, 24, forms[row % 4], number); /* NOLINT(clang-diagnostic-format-nonliteral): one of the above */
}

/* fail_at: the call for memory that fails while it is read; 0: none. */
static struct reading read_shared(const struct study *study, const char *quote, unsigned long fail_at)
{
    const struct specimen_set_settings strict = { 0 };
    struct text text = { 0 };
    char id[24];
    text_add(&text, "specimen,mix,batch,density [kg/m3],age_days,moisture,cast_on\n");
    for (unsigned row = 0; row < ROWS; row++) {
        id_of(study, row, id);
        text_addf(&text, "%s%s%s,mix,%u,%u,%u,%s,2024-02-%02u\n", quote, id, quote, row / A_BATCH, 2000 + row % 7, age_of(study, row),
                  moisture_word(state_of(study, row)), day_of(study, row));
    }
    const char *path = temporary_bytes("in.csv", text.bytes, text.length);
    text_release(&text);
    memory_fail_at(fail_at, false);
    struct reading reading = read_with(&path, 1, &strict);
    memory_fail_at(0, false);
    return reading;
}

static size_t count_others(const struct specimen_set *set, const struct study *study)
{
    const int32_t january_31 = 19753;
    size_t n_other = 0;
    for (unsigned row = 0; row < set->n; row++) {
        char id[24], batch[24];
        id_of(study, row, id);
        if (!id[0])
            snprintf(id, sizeof id, "row %u", row + 2);
        snprintf(batch, sizeof batch, "%u", row / A_BATCH);
        n_other += specimen_set_age(set, row) != age_of(study, row) || specimen_set_moisture(set, row) != state_of(study, row)
            || specimen_set_cast_on(set, row) != january_31 + (int32_t)day_of(study, row) || strcmp(ID_OF(set, row), id) != 0
            || strcmp(BATCH_NAME(set, set->batch[row]), batch) != 0;
    }
    return n_other;
}

/* Which of them some row has otherwise than the first one, or the first one of its batch. */
static struct study differing(const struct study *study)
{
    struct study differs = { 0 };
    for (unsigned row = 0; row < ROWS; row++) {
        differs.age |= age_of(study, row) != age_of(study, 0);
        differs.state |= state_of(study, row) != state_of(study, 0);
        differs.day |= day_of(study, row) != day_of(study, row - row % A_BATCH);
        differs.id |= row >= study->id && row % 5 != 4;
    }
    return differs;
}

static void check_study(const struct study *study)
{
    const struct study differs = differing(study);
    struct reading readings[] = { read_shared(study, "", 0), read_shared(study, "\"", 0) };
    for (size_t way = 0; way < 2; way++) {
        const struct specimen_set *set = &readings[way].set;
        CU_ASSERT_EQUAL(readings[way].status, STATUS_OK);
        CU_ASSERT_EQUAL_FATAL(set->n, ROWS);
        CU_ASSERT_EQUAL(count_others(set, study), 0);
        CU_ASSERT_EQUAL(!set->age_days, !differs.age);
        CU_ASSERT_EQUAL(!set->moisture, !differs.state);
        CU_ASSERT_EQUAL(!set->cast_on, !differs.day);
        CU_ASSERT_EQUAL(!set->id, !differs.id);
        end(&readings[way]);
    }
}

static void each_differs(void)
{
    static const unsigned at[] = { 0, 1, 2, 1023, 1024, 2500, ROWS - 1, NEVER };
    for (size_t i = 0; i < sizeof at / sizeof *at; i++) {
        check_study(&(struct study){ at[i], NEVER, NEVER, NEVER });
        check_study(&(struct study){ NEVER, at[i] | 1, NEVER, NEVER }); /* an odd row is the first of another state */
        check_study(&(struct study){ NEVER, NEVER, at[i], NEVER });
        check_study(&(struct study){ NEVER, NEVER, NEVER, at[i] });
        check_study(&(struct study){ at[i], at[i] | 1, at[i], at[i] });
    }
}

/* Rows that go take their ids, ages and days with them. */
static void kept(void)
{
    const struct study study = { NEVER, NEVER, NEVER, NEVER };
    struct reading reading = read_shared(&study, "", 0);
    struct specimen_set *set = &reading.set;
    static bool wanted[ROWS];
    CU_ASSERT_EQUAL_FATAL(set->n, ROWS);
    for (unsigned row = 0; row < ROWS; row++)
        wanted[row] = row % 7 == 3;
    memory_fail_at(1, true);
    CU_ASSERT_FALSE(specimen_set_keep(set, wanted));
    memory_fail_at(0, false);
    CU_ASSERT_EQUAL(count_others(set, &study), 0);
    CU_ASSERT_TRUE(specimen_set_keep(set, wanted));
    CU_ASSERT_EQUAL_FATAL(set->n, (ROWS + 3) / 7);
    for (unsigned row = 0; row < set->n; row++) {
        char id[24];
        id_of(&study, 7 * row + 3, id);
        check_text(ID_OF(set, row), id);
        CU_ASSERT_EQUAL(specimen_set_cast_on(set, row), 19753 + (int32_t)day_of(&study, 7 * row + 3));
    }
    end(&reading);
}

/* A row whose batch is not told counts with another, and keeps its day. */
static void day_of_an_untold_batch(void)
{
    struct reading reading = read_text("specimen,mix,batch,density_kg_m3,cast_on\n1,M,1,1500,2024-02-01\n2,M,,1510,2024-02-02\n3,M,2,1520,\n4,M,2,1520,\n");
    const struct specimen_set *set = &reading.set;
    CU_ASSERT_EQUAL_FATAL(set->n, 4);
    CU_ASSERT_EQUAL(set->batch[0], set->batch[1]);
    CU_ASSERT_EQUAL(specimen_set_cast_on(set, 1) - specimen_set_cast_on(set, 0), 1);
    CU_ASSERT_EQUAL(specimen_set_cast_on(set, 2), INT32_MIN);
    end(&reading);
}

/* The sign of 0 is shown, so it is kept by whichever way a row is read. */
static void sign_of_an_age(void)
{
    const char *const texts[] = { "specimen,density_kg_m3,age_days\n1,1500,0\n2,1500,-0\n", "specimen,density_kg_m3,age_days\n\"1\",1500,0\n\"2\",1500,-0\n" };
    for (size_t way = 0; way < 2; way++) {
        struct reading reading = read_text(texts[way]);
        CU_ASSERT_EQUAL_FATAL(reading.set.n, 2);
        CU_ASSERT(!signbit(specimen_set_age(&reading.set, 0)) && signbit(specimen_set_age(&reading.set, 1)));
        end(&reading);
    }
}

static void no_age_at_all(void)
{
    struct reading reading = read_text("specimen,density_kg_m3\nA,1400\nB,1500\n");
    CU_ASSERT(isnan(specimen_set_age(&reading.set, 1)) && !reading.set.age_days);
    CU_ASSERT_EQUAL(specimen_set_cast_on(&reading.set, 1), INT32_MIN);
    CU_ASSERT_EQUAL(specimen_set_moisture(&reading.set, 1), MOISTURE_UNKNOWN);
    end(&reading);
}

/* Memory that runs out where a column is made, and before and after it. */
static void no_memory(void)
{
    const struct study study = { 2500, 2501, 2502, 2503 };
    unsigned n_failed = 0;
    for (unsigned long n = 1; n < 200; n++) {
        struct reading reading = read_shared(&study, n % 2 ? "\"" : "", n);
        n_failed += reading.status == STATUS_MEMORY;
        CU_ASSERT(reading.status == STATUS_MEMORY || (reading.status == STATUS_OK && count_others(&reading.set, &study) == 0));
        end(&reading);
    }
    CU_ASSERT(n_failed > 20);
}

int main(void)
{
    static const struct check_case cases[] = {
        { "each differs", each_differs }, { "rows kept", kept }, { "day of an untold batch", day_of_an_untold_batch },
        { "sign of an age", sign_of_an_age }, { "no age at all", no_age_at_all }, { "no memory", no_memory },
    };
    if (!temporary_start())
        return 2;
    int result = check_run("what rows share", cases, sizeof cases / sizeof *cases);
    temporary_end();
    return result;
}
