#include "analysis/trials.h"

#include "base/memory.h"
#include "stats/proportion.h"

#include <math.h>
#include <string.h>

/* Counts by mix, and by batch of the set. */
struct tally {
    const struct specimen_set *set;
    struct mix_trials *mixes;   /* set->n_mixes */
    bool *batch_missing;        /* of each mix: a trial without a batch */
    uint8_t *batch;             /* of each batch: RESULT_NONE, _PASS when all passed, _FAIL */
};

static void count_specimens(struct tally *tally, const struct selection *selection)
{
    const struct specimen_set *set = tally->set;
    for (size_t i = 0; set->result && i < set->n; i++) {
        const uint32_t mix = specimen_set_mix(set, i), batch = set->batch[i];
        if (set->result[i] == RESULT_NONE || !selection_wants(selection, set->aggregates[set->mixes[mix].aggregate]))
            continue;
        tally->mixes[mix].n_specimens++;
        tally->mixes[mix].n_passed += set->result[i] == RESULT_PASS;
        tally->batch_missing[mix] |= (set->flags[i] & FLAG_NO_BATCH) != 0;
        if (tally->batch[batch] != RESULT_FAIL)
            tally->batch[batch] = set->result[i];
    }
}

static void count_batches(struct tally *tally)
{
    for (size_t b = 0; b < tally->set->n_batches; b++) {
        const uint32_t mix = tally->set->batches[b].mix;
        if (tally->batch[b] == RESULT_NONE || tally->batch_missing[mix])
            continue;
        tally->mixes[mix].n_batches++;
        tally->mixes[mix].n_batches_passed += tally->batch[b] == RESULT_PASS;
    }
}

/* Keeps the mixes that have trials, in front. */
static void bound(const struct tally *tally, struct mix_trials_list *list)
{
    for (uint32_t mix = 0; mix < tally->set->n_mixes; mix++) {
        struct mix_trials trials = tally->mixes[mix];
        if (trials.n_specimens == 0)
            continue;
        trials.mix = mix;
        trials.at_least = proportion_lower(trials.n_passed, trials.n_specimens, list->confidence);
        trials.batches_at_least = proportion_lower(trials.n_batches_passed, trials.n_batches, list->confidence);
        list->items[list->n_items++] = trials;
    }
}

enum status mix_trials_list_make(const struct specimen_set *set, const struct selection *selection, double confidence,
                                 struct mix_trials_list *list, struct problem *problem)
{
    struct tally tally = {
        .set = set,
        .mixes = memory_new(set->n_mixes, sizeof *tally.mixes),
        .batch_missing = memory_new(set->n_mixes, sizeof *tally.batch_missing),
        .batch = memory_new(set->n_batches, sizeof *tally.batch),
    };
    *list = (struct mix_trials_list){ .items = tally.mixes, .confidence = confidence };
    bool good = tally.mixes && tally.batch_missing && tally.batch;
    if (good) {
        count_specimens(&tally, selection);
        count_batches(&tally);
        bound(&tally, list);
    } else {
        mix_trials_list_release(list);
        problem_set(problem, STATUS_MEMORY, NULL, "no memory left for %zu mixes", set->n_mixes);
    }
    memory_free(tally.batch_missing);
    memory_free(tally.batch);
    return good ? STATUS_OK : STATUS_MEMORY;
}

void mix_trials_list_release(struct mix_trials_list *list)
{
    memory_free(list->items);
    memset(list, 0, sizeof *list);
}
