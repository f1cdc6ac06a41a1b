#include "stats/mixed_profile.h"

#include "base/memory.h"
#include "stats/root.h"
#include "stats/triangle.h"

#include <math.h>
#include <string.h>

bool profile_open(const struct mixed_sums *sums, struct profile *profile)
{
    size_t width = sums->width;
    double *space = memory_new(width * (2 * width + 2 + TRIANGLE_BLOCK), sizeof(double));
    *profile = (struct profile){.sums = sums, .triangle = space};
    if (!space)
        return false;
    profile->rows_triangle = space + width * width;
    profile->coefficient = space + 2 * width * width;
    profile->row = profile->coefficient + width;
    profile->block = profile->row + width;
    return true;
}

void profile_close(struct profile *profile)
{
    memory_free(profile->triangle);
    profile->triangle = NULL;
}

double profile_mean_weight(const struct mean_block *block, double ratio)
{
    return block->weight / (1 + ratio * block->weight);
}

static void stack_block(struct profile *p, const struct mean_block *block, double factor)
{
    size_t width = p->sums->width, n = 0;
    const double *rows = p->sums->mean_rows + block->first_row * width;
    for (size_t i = 0; i < block->n_rows; i++) {
        for (size_t k = 0; k < width; k++)
            p->block[k * TRIANGLE_BLOCK + n] = factor * rows[i * width + k];
        if (++n == TRIANGLE_BLOCK) {
            triangle_absorb(p->triangle, width, p->block, n);
            n = 0;
        }
    }
    triangle_absorb(p->triangle, width, p->block, n);
}

void profile_stack(struct profile *p, double ratio)
{
    const struct mixed_sums *s = p->sums;
    memcpy(p->triangle, s->within, s->width * s->width * sizeof(double));
    p->point = (struct profile_point){.ratio = ratio};
    for (size_t b = 0; b < s->n_blocks; b++)
        stack_block(p, &s->blocks[b], sqrt(profile_mean_weight(&s->blocks[b], ratio)));
}

/* Squared length of the mean rows of a block in the metric of X'MX, and their squared residuals. */
static void block_lengths(struct profile *p, const struct mean_block *block, double *length, double *squares)
{
    size_t n = p->sums->n_terms, width = p->sums->width;
    *length = *squares = 0;
    for (size_t i = block->first_row; i < block->first_row + block->n_rows; i++) {
        const double *row = p->sums->mean_rows + i * width;
        double residual = row[n];
        for (size_t k = 0; k < n; k++)
            residual -= row[k] * p->coefficient[k];
        *squares += residual * residual;
        memcpy(p->row, row, n * sizeof *row);
        triangle_solve_transposed(p->triangle, width, n, p->row);
        for (size_t k = 0; k < n; k++)
            *length += p->row[k] * p->row[k];
    }
}

void profile_evaluate(struct profile *p, double ratio)
{
    const struct mixed_sums *s = p->sums;
    size_t n = s->n_terms, width = s->width;
    profile_stack(p, ratio);
    struct profile_point *point = &p->point;
    for (size_t k = 0; k < n; k++) {
        p->coefficient[k] = p->triangle[k * width + n];
        point->log_determinant += 2 * log(fabs(p->triangle[k * width + k]));
    }
    triangle_solve(p->triangle, width, n, p->coefficient);
    point->squares = p->triangle[n * width + n] * p->triangle[n * width + n];
    for (size_t b = 0; b < s->n_blocks; b++) {
        double weight = profile_mean_weight(&s->blocks[b], ratio), length, squares;
        block_lengths(p, &s->blocks[b], &length, &squares);
        point->log_ratios += s->blocks[b].n_batches * log1p(ratio * s->blocks[b].weight);
        point->slope_ratios += s->blocks[b].n_batches * weight;
        point->slope_determinant -= weight * weight * length;
        point->slope_squares -= weight * weight * squares;
    }
}

static double criterion_varying(const struct profile_point *point, double df, bool restricted)
{
    return point->log_ratios + (restricted ? point->log_determinant : 0) + df * log(point->squares);
}

static double criterion_slope(const struct profile_point *point, double df, bool restricted)
{
    return point->slope_ratios + (restricted ? point->slope_determinant : 0) + df * point->slope_squares / point->squares;
}

static double variance_df(const struct mixed_sums *sums, bool restricted)
{
    return (double)sums->n_rows - (restricted ? (double)sums->n_terms : 0);
}

struct search { struct profile *profile; double df; bool restricted; };

/* Slope by ln(ratio), which has the same zeros and a tame scale. */
static double slope_at_log(double log_ratio, void *context)
{
    struct search *search = context;
    double ratio = exp(log_ratio);
    profile_evaluate(search->profile, ratio);
    return ratio * criterion_slope(&search->profile->point, search->df, search->restricted);
}

double profile_minimise(struct profile *profile, bool restricted)
{
    /* Decades of ratio * (weight of a usual batch); half decades where optima lie. A specimen
       spread under 1e-8 of the batches' never comes here, so the last slope is upward. */
    static const double decades[] = {-10, -8, -6, -5, -4, -3, -2.5, -2, -1.5, -1, -0.5, 0, 0.5, 1, 1.5, 2, 2.5, 3,
                                     3.5, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15, 16, 17, 18};
    const struct mixed_sums *sums = profile->sums;
    struct search search = {profile, variance_df(sums, restricted), restricted};
    struct root_point before = {0};
    double log_unit = log((double)sums->n_batches / sums->total_weight), best_ratio = 0;
    profile_evaluate(profile, 0);
    double best = criterion_varying(&profile->point, search.df, restricted);
    bool downward = false;
    for (size_t i = 0; i < sizeof decades / sizeof *decades; i++) {
        double root, log_ratio = log_unit + decades[i] * log(10);
        struct root_point here = {log_ratio, slope_at_log(log_ratio, &search)};
        bool upward = here.value >= 0;
        if (downward && upward) {
            if (root_within(slope_at_log, &search, before, here, 0, &root) != STATUS_OK)
                return NAN;
            slope_at_log(root, &search);
            double value = criterion_varying(&profile->point, search.df, restricted);
            if (value < best) {
                best = value;
                best_ratio = profile->point.ratio;
            }
        }
        downward = !upward;
        before = here;
    }
    return best_ratio;
}

double profile_criterion(const struct profile *profile, bool restricted)
{
    const struct mixed_sums *s = profile->sums;
    double df = variance_df(s, restricted), scale = s->scale[s->n_terms];
    double squares = profile->point.squares * scale * scale;
    double value = df * (1 + log(2 * acos(-1) * squares / df)) + profile->point.log_ratios - s->log_weights;
    if (!restricted)
        return value;
    /* the stored columns differ from the caller's by a unit triangle and the scales */
    for (size_t k = 0; k < s->n_terms; k++)
        value += 2 * log(s->scale[k]);
    return value + profile->point.log_determinant;
}
