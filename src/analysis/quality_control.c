#include "analysis/quality_measure.h"

#include "base/memory.h"
#include "stats/summary.h"

#include <math.h>
#include <stdlib.h>

/* A batch while its mean is summed up; numbers are those of the sample. */
struct cast {
    struct quality_point point;
    uint32_t mix;
    size_t n, first_row;
};

struct mix_mean {
    double mean;
    size_t n_batches;
};

static int by_casting(const void *left, const void *right)
{
    const struct cast *a = left, *b = right;
    if (a->point.cast_on != b->point.cast_on)
        return a->point.cast_on < b->point.cast_on ? -1 : 1;
    return (a->first_row > b->first_row) - (a->first_row < b->first_row);
}

static int by_row(const void *left, const void *right)
{
    const struct cast *a = left, *b = right;
    return (a->first_row > b->first_row) - (a->first_row < b->first_row);
}

/* Means of batches; the earliest row of a batch that has a date gives it. Returns whether every batch has one. */
static bool gather(const struct specimen_set *set, const struct sample *sample, struct cast *casts)
{
    bool dated = true;
    for (size_t i = 0; i < sample->n; i++) {
        struct cast *cast = &casts[sample->batch[i]];
        if (cast->n == 0)
            *cast = (struct cast){ .point = { .mix = sample->mix_of[sample->batch_mix[sample->batch[i]]], .batch = sample->batch_of[sample->batch[i]],
                                              .cast_on = INT32_MIN },
                                   .mix = sample->batch_mix[sample->batch[i]], .first_row = sample->row[i] };
        cast->n++;
        cast->point.mean += (sample->y[i] - cast->point.mean) / (double)cast->n;
        if (cast->point.cast_on == INT32_MIN)
            cast->point.cast_on = specimen_set_cast_on(set, sample->row[i]);
    }
    for (size_t k = 0; k < sample->n_batches; k++)
        dated = dated && casts[k].point.cast_on != INT32_MIN;
    return dated;
}

static void average_mixes(const struct sample *sample, const struct cast *casts, struct mix_mean *means)
{
    for (size_t k = 0; k < sample->n_batches; k++) {
        struct mix_mean *mean = &means[casts[k].mix];
        mean->n_batches++;
        mean->mean += (casts[k].point.mean - mean->mean) / (double)mean->n_batches;
    }
}

/* A batch alone in its mix has nothing to deviate from. */
static void keep_points(const struct sample *sample, const struct cast *casts, const struct mix_mean *means,
                        struct quality_control *control)
{
    control->relative = sample->n_mixes > 1;
    for (size_t k = 0; k < sample->n_batches; k++) {
        const struct mix_mean *mean = &means[casts[k].mix];
        const double n_batches = (double)mean->n_batches;
        struct quality_point point = casts[k].point;
        if (mean->n_batches < 2)
            continue;
        point.shown = control->relative ? 100 * (point.mean / mean->mean - 1) * sqrt(n_batches / (n_batches - 1)) : point.mean;
        control->points[control->n_points++] = point;
    }
}

static void draw_limits(struct quality_control *control)
{
    double moves = 0, mean = 0;
    for (size_t i = 0; i < control->n_points; i++) {
        mean += (control->points[i].shown - mean) / (double)(i + 1);
        moves += i ? fabs(control->points[i].shown - control->points[i - 1].shown) : 0;
    }
    control->centre = control->sigma = control->lower = control->upper = NAN;
    if (control->n_points < QUALITY_LEAST_POINTS)
        return;
    control->centre = control->relative ? 0 : mean;
    control->sigma = moves / (double)(control->n_points - 1) / summary_range_mean_factor(2);
    control->lower = control->centre - 3 * control->sigma;
    control->upper = control->centre + 3 * control->sigma;
    for (size_t i = 0; i < control->n_points; i++) {
        struct quality_point *point = &control->points[i];
        point->beyond = point->shown < control->lower || point->shown > control->upper;
        control->n_beyond += point->beyond ? 1 : 0;
    }
}

enum status quality_control_make(const struct specimen_set *set, const struct sample *sample, struct quality *quality)
{
    struct quality_control *control = &quality->control;
    struct cast *casts = memory_new(sample->n_batches, sizeof *casts);
    struct mix_mean *means = memory_new(sample->n_mixes, sizeof *means);
    control->points = memory_new(sample->n_batches, sizeof *control->points);
    const bool enough = casts && means && control->points;
    if (enough) {
        control->by_date = gather(set, sample, casts);
        average_mixes(sample, casts, means);
        qsort(casts, sample->n_batches, sizeof *casts, control->by_date ? by_casting : by_row);
        keep_points(sample, casts, means, control);
        draw_limits(control);
    }
    memory_free(casts);
    memory_free(means);
    return enough ? STATUS_OK : STATUS_MEMORY;
}
