/* A long file is read by several threads where nothing is to be said of its rows; a quote in every row keeps it to one. Both ways give one set. */
#include "set_reading.h"
#include "support/check.h"

#include "base/text.h"

#define ROWS 12000u

static unsigned draw(unsigned *state, unsigned below)
{
    *state = *state * 1664525u + 1013904223u; /* Numerical Recipes' quick generator will do here */
    return (*state >> 8) % below;
}

/* What a row can have that is worth a word; 0: nothing. */
enum oddity { ODD_NONE, ODD_TWICE, ODD_CAPITALS, ODD_FRACTION, ODD_MASS, ODD_WORD, ODD_NO_BATCH, ODD_NO_ID, ODD_KINDS };

#define PICK(state, choices) choices[draw(state, sizeof choices / sizeof *choices)]

/* Cells that repeat those above, go empty and come back, without a word about any of it. */
static void add_quiet_cells(struct text *text, unsigned *state)
{
    static const char *const moistures[] = { "air-dry", "air-dry", "air-dry", "saturated", " saturated ", "-", "" };
    static const char *const loadings[] = { "axial", "axial", "", "NA" };
    static const char *const results[] = { "", "", "pass", "fail", "n/a" };
    static const char *const dates[] = { "2024-02-01", "2024-02-01", "2024-02-02", "" };
    static const char *const ages[] = { "28", "28", " 28", "7", "" };
    text_addf(text, "%s,%s,%s,%s,%s", PICK(state, ages), PICK(state, moistures), PICK(state, loadings), PICK(state, results),
              PICK(state, dates));
}

static void add_row(struct text *text, unsigned *state, unsigned row, enum oddity odd, const char *quote)
{
    unsigned batch = draw(state, 20) ? row / 3 : row / 3 + 1, mix = batch * 7 % 6, number = odd == ODD_TWICE && row > 100 ? row - 90 : row;
    const char *name = odd == ODD_CAPITALS ? "Mix" : "mix";
    text_addf(text, "%s", quote);
    if (odd != ODD_NO_ID)
        text_addf(text, "S%u", number);
    text_addf(text, "%s,%s-%u,", quote, name, mix);
    if (odd != ODD_NO_BATCH)
        text_addf(text, "B%u", batch);
    text_addf(text, ",perlite,%.2f,%s,%u.%u,", 0.1 * mix + (odd == ODD_FRACTION ? 0.01 : 0), odd == ODD_WORD ? "cub" : "cube",
              odd == ODD_KINDS ? 150 : 100, draw(state, 10));
    if (draw(state, 8) || odd == ODD_MASS)
        text_addf(text, "%u", (odd == ODD_MASS ? 20 : 2) * (700 + draw(state, 300)));
    text_addf(text, ",%u.%u,", 90 + draw(state, 60), draw(state, 10));
    add_quiet_cells(text, state);
    text_add(text, draw(state, 9) ? "\n" : "\r\n");
}

/* The seed of a study in which no row tells its batch. */
#define UNTOLD 100u

static struct text study(unsigned seed, unsigned rarity, const char *quote)
{
    struct text text = { 0 };
    unsigned state = seed;
    text_add(&text, "specimen,mix,batch,aggregate,aggregate_fraction,shape,length_mm,mass_g,break_load_kN,age_days,moisture,loading,result,cast_on\n");
    for (unsigned row = 0; row < ROWS; row++) {
        enum oddity odd = rarity > 0 && draw(&state, rarity) == 0 ? (enum oddity)(1 + draw(&state, ODD_KINDS)) : ODD_NONE;
        odd = seed == UNTOLD ? ODD_NO_BATCH : odd;
        add_row(&text, &state, row, odd, quote);
    }
    return text;
}

static struct reading read_study(unsigned seed, unsigned rarity, const char *quote, const char *aside)
{
    struct specimen_set_settings settings = { .set_aside_path = aside };
    struct text text = study(seed, rarity, quote);
    const char *path = temporary_bytes("in.csv", text.bytes, text.length);
    struct reading reading = read_with(&path, 1, &settings);
    text_release(&text);
    return reading;
}

static bool same_row(const struct specimen_set *a, const struct specimen_set *b, size_t i)
{
    bool same = strcmp(ID_OF(a, i), ID_OF(b, i)) == 0 && a->batch[i] == b->batch[i] && specimen_set_line(a, i) == specimen_set_line(b, i)
        && specimen_set_moisture(a, i) == specimen_set_moisture(b, i) && specimen_set_kind_index(a, i) == specimen_set_kind_index(b, i) && a->flags[i] == b->flags[i] && same_number(specimen_set_age(a, i), specimen_set_age(b, i))
        && (!a->result || a->result[i] == b->result[i]) && specimen_set_cast_on(a, i) == specimen_set_cast_on(b, i);
    for (enum property p = 0; p < PROPERTY_COUNT; p++)
        same = same && same_number(specimen_set_value(a, i, p), specimen_set_value(b, i, p));
    for (enum further f = 0; f < FURTHER_COUNT; f++)
        same = same && same_number(specimen_set_further(a, i, f), specimen_set_further(b, i, f));
    return same;
}

static void check_same_columns(const struct specimen_set *a, const struct specimen_set *b)
{
    CU_ASSERT_EQUAL(!a->age_days, !b->age_days);
    CU_ASSERT_EQUAL(!a->cast_on, !b->cast_on);
    CU_ASSERT_EQUAL(!a->id, !b->id);
    CU_ASSERT_EQUAL(!a->moisture, !b->moisture);
    CU_ASSERT_EQUAL(!a->result, !b->result);
    for (enum property p = 0; p < PROPERTY_COUNT; p++)
        CU_ASSERT_EQUAL(!a->value[p], !b->value[p]);
    for (enum further f = 0; f < FURTHER_COUNT; f++)
        CU_ASSERT_EQUAL(!a->further[f], !b->further[f]);
}

static void check_same(const struct reading *a, const struct reading *b)
{
    size_t n_other = 0;
    check_same_columns(&a->set, &b->set);
    CU_ASSERT_EQUAL(a->status, b->status);
    CU_ASSERT_EQUAL_FATAL(a->set.n, b->set.n);
    CU_ASSERT_EQUAL(a->set.n_mixes, b->set.n_mixes);
    CU_ASSERT_EQUAL(a->set.n_batches, b->set.n_batches);
    CU_ASSERT_EQUAL(a->set.n_kinds, b->set.n_kinds);
    CU_ASSERT_EQUAL(a->set.n_set_aside, b->set.n_set_aside);
    for (size_t i = 0; i < a->set.n; i++)
        n_other += !same_row(&a->set, &b->set, i);
    CU_ASSERT_EQUAL(n_other, 0);
    CU_ASSERT_EQUAL(a->problems.n_errors, b->problems.n_errors);
    CU_ASSERT_EQUAL(a->problems.n_doubts, b->problems.n_doubts);
    CU_ASSERT_EQUAL_FATAL(a->problems.n_items, b->problems.n_items);
    for (size_t i = 0; i < a->problems.n_items; i++) {
        CU_ASSERT_EQUAL(a->problems.items[i].line, b->problems.items[i].line);
        check_text(a->problems.items[i].text, b->problems.items[i].text);
    }
}

static void check_clean(unsigned seed)
{
    struct reading threads = read_study(seed, 0, "", NULL), alone = read_study(seed, 0, "\"", NULL);
    CU_ASSERT_EQUAL(threads.status, STATUS_OK);
    CU_ASSERT_EQUAL(threads.set.n, ROWS);
    CU_ASSERT_EQUAL(threads.problems.n_items, 0);
    CU_ASSERT(seed != UNTOLD || threads.set.n_batches == ROWS);
    check_same(&threads, &alone);
    end(&threads);
    end(&alone);
}

static void clean_studies(void)
{
    check_clean(1);
    check_clean(UNTOLD);
}

static void odd_studies(void)
{
    static const unsigned rarities[] = { 10, 300, 4000 };
    for (unsigned seed = 2; seed < 11; seed++) {
        struct reading threads = read_study(seed, rarities[seed % 3], "", NULL), alone = read_study(seed, rarities[seed % 3], "\"", NULL);
        CU_ASSERT(threads.problems.n_items > 0);
        check_same(&threads, &alone);
        end(&threads);
        end(&alone);
    }
}

static void odd_studies_set_aside(void)
{
    for (unsigned seed = 11; seed < 15; seed++) {
        struct reading threads = read_study(seed, 300, "", temporary_path("threads.csv"));
        struct reading alone = read_study(seed, 300, "\"", temporary_path("alone.csv"));
        CU_ASSERT(threads.set.n_set_aside > 0);
        CU_ASSERT_EQUAL(threads.status, STATUS_OK);
        check_same(&threads, &alone);
        end(&threads);
        end(&alone);
    }
}

/* A long file in which one row is of an id that stands above, and alone has an age, a date, a strength and a result. */
static struct reading read_one_refused(const char *quote, const char *aside)
{
    struct specimen_set_settings settings = { .set_aside_path = aside };
    struct text text = { 0 };
    text_add(&text, "specimen,mix,density [kg/m3],age_days,cast_on,compressive_strength [MPa],result\n");
    for (unsigned row = 0; row < 3 * ROWS; row++) {
        const bool refused = row == 2 * ROWS;
        text_addf(&text, "%s%u%s,mix,%u,%s\n", quote, refused ? row - 1 : row, quote, 2000 + row % 7, refused ? "28,2024-02-01,30,pass" : ",,,");
    }
    const char *path = temporary_bytes("in.csv", text.bytes, text.length);
    struct reading reading = read_with(&path, 1, &settings);
    text_release(&text);
    return reading;
}

/* What has a column has results, so a row that is refused must not make one. */
static void refused_columns(void)
{
    struct reading threads = read_one_refused("", temporary_path("threads.csv")), alone = read_one_refused("\"", temporary_path("alone.csv"));
    const struct specimen_set *sets[] = { &threads.set, &alone.set };
    for (size_t i = 0; i < 2; i++) {
        CU_ASSERT_EQUAL_FATAL(sets[i]->n, 3 * ROWS - 1);
        CU_ASSERT_EQUAL(sets[i]->n_set_aside, 1);
        CU_ASSERT_PTR_NULL(sets[i]->value[PROPERTY_COMPRESSIVE_STRENGTH]);
        CU_ASSERT_PTR_NULL(sets[i]->age_days);
        CU_ASSERT_PTR_NULL(sets[i]->cast_on);
        CU_ASSERT_PTR_NULL(sets[i]->result);
        CU_ASSERT_EQUAL(specimen_set_value(sets[i], 3 * ROWS - 2, PROPERTY_DENSITY), 2000 + (3 * ROWS - 1) % 7);
    }
    end(&threads);
    end(&alone);
}

int main(void)
{
    static const struct check_case cases[] = {
        { "clean studies", clean_studies }, { "studies with odd rows", odd_studies }, { "odd rows set aside", odd_studies_set_aside },
        { "columns of a refused row", refused_columns },
    };
    if (!temporary_start())
        return 2;
    int result = check_run("long files", cases, sizeof cases / sizeof *cases);
    temporary_end();
    return result;
}
