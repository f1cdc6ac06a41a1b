/* The scatter of a long file is judged in parts, by several threads: all is as when each mix is judged alone. Invented data. */
#include "support/check.h"

#include "analysis/quality.h"
#include "base/memory.h"
#include "stats/random.h"
#include "stats/summary.h"

#include <math.h>
#include <string.h>

#define ROWS 26400u /* above the number from which parts are made */
#define MIXES 11u

static struct specimen_set set_of(size_t n, size_t n_mixes)
{
    struct specimen_set set = {
        .n = n, .n_mixes = n_mixes, .n_batches = n / 3, .batch = memory_new(n, sizeof *set.batch), .flags = memory_new(n, sizeof *set.flags),
        .moisture = memory_new(n, sizeof *set.moisture), .mixes = memory_new(n_mixes, sizeof *set.mixes),
        .batches = memory_new(n / 3, sizeof *set.batches),
    };
    for (enum property p = PROPERTY_DENSITY; p <= PROPERTY_COMPRESSIVE_STRENGTH; p++)
        set.value[p] = memory_new(n, sizeof *set.value[p]);
    return set;
}

static void release(struct specimen_set *set)
{
    void *const arrays[] = { set->batch, set->flags, set->moisture, set->mixes, set->batches, set->value[PROPERTY_DENSITY],
                             set->value[PROPERTY_COMPRESSIVE_STRENGTH] };
    for (size_t i = 0; i < sizeof arrays / sizeof *arrays; i++)
        memory_free(arrays[i]);
}

/* Batches of three, cast in turn of each mix; a slip now and then. */
static struct specimen_set long_study(bool one_state)
{
    struct specimen_set set = set_of(ROWS, MIXES);
    struct random_stream *random = random_stream_new(20241128, 0);
    for (uint32_t i = 0; i < ROWS; i++) {
        const uint32_t batch = i / 3;
        set.batch[i] = batch;
        set.batches[batch] = (struct set_batch){ 0, batch % MIXES, INT32_MIN };
        set.moisture[i] = batch % 5 == 0 && !one_state ? MOISTURE_SATURATED : MOISTURE_AIR_DRY;
        set.value[PROPERTY_DENSITY][i] = 700 + 100 * (batch % MIXES) + 8 * random_normal(random);
        set.value[PROPERTY_COMPRESSIVE_STRENGTH][i] = (i % 1000 == 7 ? 0.5 : 1) * (20 + random_normal(random));
    }
    random_stream_free(random);
    return set;
}

static size_t row_in_whole(uint32_t mix, size_t row)
{
    return (row / 3 * MIXES + mix) * 3 + row % 3;
}

static struct specimen_set one_mix(const struct specimen_set *whole, uint32_t mix)
{
    struct specimen_set set = set_of(ROWS / MIXES, 1);
    for (size_t i = 0; i < set.n; i++) {
        const size_t from = row_in_whole(mix, i);
        set.batch[i] = (uint32_t)i / 3;
        set.batches[i / 3] = (struct set_batch){ 0, 0, INT32_MIN };
        set.moisture[i] = whole->moisture[from];
        for (enum property p = PROPERTY_DENSITY; p <= PROPERTY_COMPRESSIVE_STRENGTH; p++)
            set.value[p][i] = whole->value[p][from];
    }
    return set;
}

static bool same_finding(const struct quality_finding *whole, const struct quality_finding *alone, uint32_t mix)
{
    return whole->property == alone->property && whole->mix == mix
        && whole->row == row_in_whole(mix, alone->row) && whole->batch == alone->batch * MIXES + mix && whole->n == alone->n
        && same_number(whole->value, alone->value) && same_number(whole->companions_mean, alone->companions_mean)
        && same_number(whole->p, alone->p);
}

static void as_each_alone(void)
{
    struct specimen_set whole = long_study(false);
    struct quality_findings findings, sum = { 0 };
    size_t n_other = 0, n_flags_other = 0;
    CU_ASSERT_EQUAL(quality_flag(&whole, &findings, NULL), STATUS_OK);
    for (uint32_t mix = 0; mix < MIXES; mix++) {
        struct specimen_set alone = one_mix(&whole, mix);
        struct quality_findings found;
        CU_ASSERT_EQUAL(quality_flag(&alone, &found, NULL), STATUS_OK);
        CU_ASSERT_FATAL(sum.n_items + found.n_items <= findings.n_items);
        for (size_t i = 0; i < found.n_items; i++)
            n_other += !same_finding(&findings.items[sum.n_items++], &found.items[i], mix);
        for (size_t i = 0; i < alone.n; i++)
            n_flags_other += whole.flags[row_in_whole(mix, i)] != alone.flags[i];
        sum.n_mixes_tested += found.n_mixes_tested;
        sum.range[PROPERTY_COMPRESSIVE_STRENGTH].n_batches += found.range[PROPERTY_COMPRESSIVE_STRENGTH].n_batches;
        sum.range[PROPERTY_COMPRESSIVE_STRENGTH].n_wide += found.range[PROPERTY_COMPRESSIVE_STRENGTH].n_wide;
        sum.range[PROPERTY_COMPRESSIVE_STRENGTH].n_not_established += found.range[PROPERTY_COMPRESSIVE_STRENGTH].n_not_established;
        quality_findings_release(&found);
        release(&alone);
    }
    CU_ASSERT(findings.n_items > 20);
    CU_ASSERT(sum.range[PROPERTY_COMPRESSIVE_STRENGTH].n_not_established > 100);
    CU_ASSERT_EQUAL(n_other, 0);
    CU_ASSERT_EQUAL(n_flags_other, 0);
    CU_ASSERT_EQUAL(findings.n_items, sum.n_items);
    CU_ASSERT_EQUAL(findings.n_mixes_tested, MIXES);
    CU_ASSERT_EQUAL(sum.n_mixes_tested, MIXES);
    CU_ASSERT(memcmp(&findings.range[PROPERTY_COMPRESSIVE_STRENGTH], &sum.range[PROPERTY_COMPRESSIVE_STRENGTH], sizeof *sum.range) == 0);
    quality_findings_release(&findings);
    release(&whole);
}

/* Where the rows of a study go when its batches stand the other way round. */
static size_t row_turned(size_t row)
{
    return (ROWS / 3 - 1 - row / 3) * 3 + row % 3;
}

/* Rows that stand in the order of their batches need no sorting; others come to the same. */
static void in_any_order(void)
{
    struct specimen_set straight = long_study(true), turned = set_of(ROWS, MIXES);
    struct quality_findings of_straight, of_turned;
    size_t n_other = 0;
    memcpy(turned.batches, straight.batches, straight.n_batches * sizeof *straight.batches);
    for (size_t i = 0; i < ROWS; i++) {
        turned.batch[row_turned(i)] = straight.batch[i];
        turned.moisture[row_turned(i)] = straight.moisture[i];
        for (enum property p = PROPERTY_DENSITY; p <= PROPERTY_COMPRESSIVE_STRENGTH; p++)
            turned.value[p][row_turned(i)] = straight.value[p][i];
    }
    CU_ASSERT_EQUAL(quality_flag(&straight, &of_straight, NULL), STATUS_OK);
    CU_ASSERT_EQUAL(quality_flag(&turned, &of_turned, NULL), STATUS_OK);
    CU_ASSERT(of_straight.n_items > 20);
    CU_ASSERT_EQUAL_FATAL(of_straight.n_items, of_turned.n_items);
    for (size_t i = 0; i < of_straight.n_items; i++) {
        const struct quality_finding *a = &of_straight.items[i], *b = &of_turned.items[i];
        n_other += a->property != b->property || a->batch != b->batch || row_turned(a->row) != b->row
            || !same_number(a->value, b->value) || !same_number(a->companions_mean, b->companions_mean) || !same_number(a->p, b->p);
    }
    CU_ASSERT_EQUAL(n_other, 0);
    for (size_t i = 0; i < ROWS; i++)
        n_other += straight.flags[i] != turned.flags[row_turned(i)];
    CU_ASSERT_EQUAL(n_other, 0);
    quality_findings_release(&of_straight);
    quality_findings_release(&of_turned);
    release(&straight);
    release(&turned);
}

/* Ranges are counted and flagged as their definition says, batch by batch, however plain the case. */
static void ranges_one_by_one(void)
{
    struct specimen_set set = long_study(true);
    struct quality_findings findings;
    const double limit_pct = quality_range_limit_pct(quality_reference_cv_pct(PROPERTY_COMPRESSIVE_STRENGTH, NULL), 3);
    struct quality_range_count want = { 0, 0, 0 };
    size_t n_other = 0;
    CU_ASSERT_EQUAL(quality_flag(&set, &findings, NULL), STATUS_OK);
    for (size_t from = 0; from < ROWS; from += 3) {
        const struct summary strength = summary_of(set.value[PROPERTY_COMPRESSIVE_STRENGTH] + from, 3);
        const bool light = summary_of(set.value[PROPERTY_DENSITY] + from, 3).mean < QUALITY_LEAST_DENSITY_KG_M3;
        const bool wide = !light && 100 * strength.range / strength.mean > limit_pct;
        want.n_not_established += light;
        want.n_batches += !light;
        want.n_wide += wide;
        n_other += wide != (set.flags[from] & FLAG_RANGE_WIDE ? true : false);
    }
    CU_ASSERT(want.n_wide > 100 && want.n_wide < want.n_batches / 2 && want.n_not_established > 100);
    CU_ASSERT_EQUAL(findings.range[PROPERTY_COMPRESSIVE_STRENGTH].n_batches, want.n_batches);
    CU_ASSERT_EQUAL(findings.range[PROPERTY_COMPRESSIVE_STRENGTH].n_wide, want.n_wide);
    CU_ASSERT_EQUAL(findings.range[PROPERTY_COMPRESSIVE_STRENGTH].n_not_established, want.n_not_established);
    CU_ASSERT_EQUAL(n_other, 0);
    quality_findings_release(&findings);
    release(&set);
}

/* Each allocation failing: memory is said to be out, or all was found. */
static void memory_failures(void)
{
    struct specimen_set whole = long_study(false);
    struct quality_findings findings;
    for (unsigned long n = 1; n < 60; n++) {
        struct problem problem = { 0 };
        memory_fail_at(n, false);
        enum status status = quality_flag(&whole, &findings, &problem);
        bool ran_out = memory_ran_out();
        memory_fail_at(0, false);
        CU_ASSERT_EQUAL(status, ran_out ? STATUS_MEMORY : STATUS_OK);
        quality_findings_release(&findings);
    }
    release(&whole);
}

int main(void)
{
    static const struct check_case cases[] = {
        { "as each mix alone", as_each_alone },
        { "in any order", in_any_order },
        { "ranges one by one", ranges_one_by_one },
        { "memory failures", memory_failures },
    };
    return check_run("quality parts", cases, sizeof cases / sizeof *cases);
}
