#include "analysis/sample.h"

#include "analysis/row_filter.h"
#include "analysis/states.h"
#include "base/memory.h"
#include "base/text.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

struct selection selection_all(void)
{
    struct selection selection = { .age_days = NAN };
    return selection;
}

bool selection_wants(const struct selection *selection, const char *aggregate)
{
    for (size_t i = 0; i < selection->n_aggregates; i++)
        if (text_same(selection->aggregates[i], aggregate))
            return true;
    return selection->n_aggregates == 0;
}

/* What decides whether a row of the set belongs. */
struct scope {
    const struct specimen_set *set;
    const double *value;        /* of the property */
    const double *predictor;    /* of the predictor, NULL for the fraction or for none */
    uint32_t aggregate, mix;
    enum property predictor_kind;
    bool *mix_wanted;           /* n_mixes */
    struct row_filter filter;   /* ages, moisture states, kinds */
};

static bool scope_wants_mix(const struct scope *scope, const struct selection *selection, uint32_t i)
{
    const struct set_mix *mix = &scope->set->mixes[i];
    if (scope->predictor_kind == PROPERTY_COUNT && isnan(mix->aggregate_fraction))
        return false;
    if (scope->mix != SAMPLE_ALL && i != scope->mix)
        return false;
    if (scope->aggregate != SAMPLE_ALL)
        return mix->aggregate == scope->aggregate;
    return scope->mix != SAMPLE_ALL || selection_wants(selection, scope->set->aggregates[mix->aggregate]);
}

static enum status scope_list_mixes(struct scope *scope, const struct selection *selection, struct problem *problem)
{
    const struct specimen_set *set = scope->set;
    scope->mix_wanted = memory_new(set->n_mixes, sizeof *scope->mix_wanted);
    if (!scope->mix_wanted)
        return problem_set(problem, STATUS_MEMORY, NULL, "no memory left for the list of mixes");
    for (uint32_t i = 0; i < set->n_mixes; i++)
        scope->mix_wanted[i] = scope_wants_mix(scope, selection, i);
    return STATUS_OK;
}

/* Whether a row belongs, ages, moisture and kinds apart. */
static bool scope_holds(const struct scope *scope, size_t i)
{
    if (isnan(scope->value[i]) || !scope->mix_wanted[specimen_set_mix(scope->set, i)])
        return false;
    return scope->predictor_kind >= PROPERTY_COUNT || (scope->predictor && !isnan(scope->predictor[i]));
}

/* What the rows that stay are of. */
struct scope_counts {
    struct age_list ages;
    struct moisture_counts states;
    struct kind_counts kinds;
};

static void scope_count_rows(const struct scope *scope, struct sample *sample, struct scope_counts *counts)
{
    for (size_t i = 0; i < scope->set->n; i++) {
        if (!scope_holds(scope, i))
            continue;
        if (!row_filter_age(&scope->filter, i)) {
            sample->n_other_age++;
        } else if (!row_filter_moisture(&scope->filter, i)) {
            sample->n_other_moisture++;
        } else if (!row_filter_kind(&scope->filter, i)) {
            sample->n_other_kind++;
        } else {
            age_list_add(&counts->ages, specimen_set_age(scope->set, i), 1);
            counts->states.n[specimen_set_moisture(scope->set, i)]++;
            kind_counts_add(&counts->kinds, i, 1);
            sample->row[sample->n++] = (uint32_t)i;
        }
    }
}

static enum status refuse_several(const struct scope *scope, const char *what, const struct scope_counts *counts, struct problem *problem)
{
    char listed[240];
    if (age_list_kinds(&counts->ages) > 1) {
        age_list_words(&counts->ages, listed, sizeof listed);
        return problem_set(problem, STATUS_INPUT, NULL, "%s is given at several ages (%s): choose one with --age", what, listed);
    }
    if (moisture_counts_kinds(&counts->states) > 1) {
        moisture_counts_words(&counts->states, listed, sizeof listed);
        return problem_set(problem, STATUS_INPUT, NULL,
                           "%s is given in several moisture states (%s): choose one with --moisture", what, listed);
    }
    if (scope->filter.by_kind && kind_counts_kinds(&counts->kinds) > 1) {
        kind_counts_words(&counts->kinds, listed, sizeof listed);
        return problem_set(problem, STATUS_INPUT, NULL,
                           "%s is given of several kinds of specimen (%s): choose one with --shape", what, listed);
    }
    return STATUS_OK;
}

/* Lists the rows that stay and refuses several ages, states or kinds. */
static enum status scope_count(const struct scope *scope, const char *what, struct sample *sample, struct problem *problem)
{
    struct scope_counts counts = { .kinds = kind_counts_new(scope->set) };
    sample->row = memory_resize(NULL, scope->set->n, sizeof *sample->row);
    if (!counts.kinds.n || !sample->row) {
        memory_free(counts.kinds.n);
        return problem_set(problem, STATUS_MEMORY, NULL, "no memory left to list the results");
    }
    scope_count_rows(scope, sample, &counts);
    enum status status = refuse_several(scope, what, &counts, problem);
    memory_free(counts.kinds.n);
    return status;
}

static size_t fewer(size_t a, size_t b)
{
    return a < b ? a : b;
}

static enum status sample_reserve(struct sample *sample, const struct scope *scope, struct problem *problem)
{
    size_t n = sample->n, n_batches = fewer(n, scope->set->n_batches), n_mixes = fewer(n, scope->set->n_mixes);
    bool by_fraction = scope->predictor_kind == PROPERTY_COUNT;
    sample->y = memory_new(n, sizeof *sample->y);
    sample->batch = memory_new(n, sizeof *sample->batch);
    sample->batch_mix = memory_new(n_batches, sizeof *sample->batch_mix);
    sample->batch_of = memory_new(n_batches, sizeof *sample->batch_of);
    sample->mix_of = memory_new(n_mixes, sizeof *sample->mix_of);
    sample->row_x = scope->predictor ? memory_new(n, sizeof *sample->row_x) : NULL;
    sample->mix_x = by_fraction ? memory_new(n_mixes, sizeof *sample->mix_x) : NULL;
    bool predictor = (sample->row_x || !scope->predictor) && (sample->mix_x || !by_fraction);
    if (!sample->y || !sample->batch || !sample->batch_mix || !sample->batch_of || !sample->mix_of || !predictor)
        return problem_set(problem, STATUS_MEMORY, NULL, "no memory left for %zu results", n);
    return STATUS_OK;
}

double sample_x(const struct sample *sample, size_t i)
{
    if (sample->mix_x)
        return sample->mix_x[sample->batch_mix[sample->batch[i]]];
    return sample->row_x ? sample->row_x[i] : NAN;
}

/* Number within the sample of a batch or mix of the set, given out in order of appearance. */
static uint32_t number_within(uint32_t *known, uint32_t in_set, uint32_t *in_set_of, size_t *n_known)
{
    if (known[in_set] == 0) {
        in_set_of[(*n_known)++] = in_set;
        known[in_set] = (uint32_t)*n_known;
    }
    return known[in_set] - 1;
}

static void sample_fill(struct sample *sample, const struct scope *scope, uint32_t *known_batch, uint32_t *known_mix)
{
    const struct specimen_set *set = scope->set;
    for (size_t i = 0; i < sample->n; i++) {
        size_t row = sample->row[i], n_before = sample->n_batches;
        sample->y[i] = scope->value[row];
        if (sample->row_x)
            sample->row_x[i] = scope->predictor[row];
        sample->batch[i] = number_within(known_batch, set->batch[row], sample->batch_of, &sample->n_batches);
        if (sample->n_batches > n_before)
            sample->batch_mix[n_before] = number_within(known_mix, specimen_set_mix(set, row), sample->mix_of, &sample->n_mixes);
    }
    for (size_t m = 0; sample->mix_x && m < sample->n_mixes; m++)
        sample->mix_x[m] = set->mixes[sample->mix_of[m]].aggregate_fraction;
}

static void trim(uint32_t **list, size_t n)
{
    uint32_t *shorter = memory_resize(*list, n, sizeof **list);
    *list = shorter ? shorter : *list;
}

/* Gives back the room that was kept for rows and batches of other samples. */
static void sample_trim(struct sample *sample)
{
    trim(&sample->row, sample->n);
    trim(&sample->batch_of, sample->n_batches);
    trim(&sample->batch_mix, sample->n_batches);
}

static enum status sample_collect(struct sample *sample, const struct scope *scope, struct problem *problem)
{
    uint32_t *known_batch = memory_new(scope->set->n_batches, sizeof *known_batch);
    uint32_t *known_mix = memory_new(scope->set->n_mixes, sizeof *known_mix);
    enum status status = sample_reserve(sample, scope, problem);
    if (status == STATUS_OK && (!known_batch || !known_mix))
        status = problem_set(problem, STATUS_MEMORY, NULL, "no memory left to number %zu batches", scope->set->n_batches);
    if (status == STATUS_OK) {
        sample_fill(sample, scope, known_batch, known_mix);
        sample_trim(sample);
    }
    memory_free(known_batch);
    memory_free(known_mix);
    return status;
}

/* "compressive strength of 'perlite'" */
static void scope_words(const struct scope *scope, enum property property, char *out, size_t size)
{
    const char *words = property_row(property)->words;
    if (scope->mix != SAMPLE_ALL)
        snprintf(out, size, "%s of mix '%.60s'", words, scope->set->mixes[scope->mix].name);
    else if (scope->aggregate != SAMPLE_ALL)
        snprintf(out, size, "%s of '%.60s'", words, scope->set->aggregates[scope->aggregate]);
    else
        snprintf(out, size, "%s", words);
}

static enum status nothing_left(const struct scope *scope, const struct sample *sample, const char *what, struct problem *problem)
{
    size_t left_out = sample->n_other_age + sample->n_other_moisture + sample->n_other_kind;
    char chosen[160];
    row_filter_words(&scope->filter, scope->set->us_units, chosen, sizeof chosen);
    if (left_out > 0 && chosen[0])
        return problem_set(problem, STATUS_TOO_FEW, NULL, "no %s (%s): %zu result%s of another age, state or shape", what,
                           chosen, left_out, left_out == 1 ? " is" : "s are");
    bool alone = scope->predictor_kind > PROPERTY_COUNT || !scope->value;
    const char *with = scope->predictor_kind == PROPERTY_COUNT ? "the aggregate fraction of its mix"
        : alone ? "" : property_row(scope->predictor_kind)->words;
    return problem_set(problem, STATUS_TOO_FEW, NULL, "no result of %s%s%s", what, alone ? "" : " together with ", alone ? "" : with);
}

static enum status sample_take_scope(struct scope *scope, const struct selection *selection, enum property property,
                                     struct sample *sample, struct problem *problem)
{
    char what[160];
    scope_words(scope, property, what, sizeof what);
    if (!scope->value)
        return nothing_left(scope, sample, what, problem);
    enum status status = scope_list_mixes(scope, selection, problem);
    if (status == STATUS_OK) {
        scope->filter = row_filter_of(scope->set, selection, property);
        status = scope_count(scope, what, sample, problem);
    }
    if (status == STATUS_OK && sample->n == 0)
        status = nothing_left(scope, sample, what, problem);
    if (status == STATUS_OK)
        status = sample_collect(sample, scope, problem);
    return status;
}

enum status sample_take(const struct specimen_set *set, const struct selection *selection,
                        uint32_t aggregate, uint32_t mix, enum property property, enum property predictor,
                        struct sample *sample, struct problem *problem)
{
    struct scope scope = {
        .set = set, .value = set->value[property], .aggregate = aggregate, .mix = mix,
        .predictor = predictor < PROPERTY_COUNT ? set->value[predictor] : NULL, .predictor_kind = predictor,
    };
    memset(sample, 0, sizeof *sample);
    enum status status = sample_take_scope(&scope, selection, property, sample, problem);
    memory_free(scope.mix_wanted);
    if (status != STATUS_OK)
        sample_release(sample);
    return status;
}

void sample_release_values(struct sample *sample)
{
    memory_free(sample->y);
    sample->y = NULL;
}

void sample_release(struct sample *sample)
{
    memory_free(sample->row_x);
    memory_free(sample->y);
    memory_free(sample->batch);
    if (!sample->summed) { /* else they are the sums' */
        memory_free(sample->batch_mix);
        memory_free(sample->batch_of);
    }
    memory_free(sample->mix_x);
    memory_free(sample->mix_of);
    memory_free(sample->row);
    mixed_pool_release(&sample->sums);
    mixed_pool_release(&sample->log_sums);
    memset(sample, 0, sizeof *sample);
}
