/* Rows go to the batch that they name, in their mix, whether batches are numbered through, anew in each mix, or named. */
#include "set_reading.h"
#include "support/check.h"

#include "base/text.h"

#define ROWS 2000u

static unsigned draw(unsigned *state, unsigned below)
{
    *state = *state * 1664525u + 1013904223u; /* Numerical Recipes' quick generator will do here */
    return (*state >> 8) % below;
}

struct told {
    char batch[24];
    unsigned mix;
};

/* Mostly the next number, at times an old one, with a blank or zeros in it, or a name. */
static void draw_batch(unsigned *state, unsigned *number, unsigned seed, char out[24])
{
    static const char *const forms[] = { "%u", "%u", "%u", "%u", "%u", "0%u", "B%u", "%u b", "1 %u", "" };
    const unsigned jump = draw(state, 20);
    *number = jump == 0 ? draw(state, *number + 1) : jump == 1 ? *number + draw(state, 9) : *number + (draw(state, 3) == 0);
    snprintf(out, 24, forms[draw(state, seed % 2 ? 4 : sizeof forms / sizeof *forms)], *number);
}

static struct reading read_told(unsigned seed, struct told *told)
{
    struct specimen_set_settings settings = { 0 };
    struct text text = { 0 };
    unsigned state = seed, number[3] = { 0, 0, 0 };
    text_add(&text, "specimen,mix,batch,density_kg_m3\n");
    for (unsigned i = 0; i < ROWS; i++) {
        const unsigned mix = i > 0 && draw(&state, 4) ? told[i - 1].mix : draw(&state, 3);
        told[i].mix = mix;
        draw_batch(&state, &number[seed % 3 == 0 ? mix : 0], seed, told[i].batch);
        text_addf(&text, "%u,M%u,%s,%u\n", i, mix, told[i].batch, 1000 + draw(&state, 900));
    }
    const char *path = temporary_bytes("in.csv", text.bytes, text.length);
    struct reading reading = read_with(&path, 1, &settings);
    text_release(&text);
    return reading;
}

static void check_batches(unsigned seed)
{
    static struct told told[ROWS];
    struct reading reading = read_told(seed, told);
    const struct specimen_set *set = &reading.set;
    unsigned n_twice = 0, n_other = 0;
    CU_ASSERT_EQUAL_FATAL(set->n, ROWS);
    for (unsigned i = 0; i < ROWS; i++) {
        const struct set_batch *batch = &set->batches[set->batch[i]];
        n_other += told[i].batch[0] && strcmp(BATCH_NAME(set, set->batch[i]), told[i].batch) != 0;
        n_other += set->mixes[batch->mix].name[1] != (char)('0' + told[i].mix);
    }
    for (size_t a = 0; a < set->n_batches; a++)
        for (size_t b = 0; b < a; b++)
            n_twice += set->batches[a].name && set->batches[a].mix == set->batches[b].mix
                && strcmp(BATCH_NAME(set, a), BATCH_NAME(set, b)) == 0;
    CU_ASSERT_EQUAL(n_other, 0);
    CU_ASSERT_EQUAL(n_twice, 0);
    CU_ASSERT(set->n_batches > 100 && set->n_batches < ROWS);
    end(&reading);
}

static void drawn_batches(void)
{
    for (unsigned seed = 1; seed < 13; seed++)
        check_batches(seed);
}

int main(void)
{
    static const struct check_case cases[] = { { "drawn batches", drawn_batches } };
    if (!temporary_start())
        return 2;
    int result = check_run("batch names", cases, sizeof cases / sizeof *cases);
    temporary_end();
    return result;
}
