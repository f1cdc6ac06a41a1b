#include "stats/mixed_information.h"

#include "base/memory.h"
#include "stats/triangle.h"

#include <math.h>
#include <string.h>

/* The pairs of variances, as upper triangle of a 2 x 2 table. */
enum { BATCH_BATCH, BATCH_SPECIMEN, SPECIMEN_SPECIMEN, N_PAIRS };

/*
 * Sums over the rows in coordinates where X'MX = I (M the metric of the ratio).
 * Every matrix of Kenward and Roger's is then a weighted sum of z z', the
 * weights being powers of c = W / (1 + ratio W); see docs/methods/degrees-of-freedom.md.
 */
struct sums {
    struct profile *profile;
    struct information *information;
    double *second[N_PAIRS];       /* Q of each pair */
    double *score[2];              /* X' V^-1 V_i P y */
    double trace[N_PAIRS], residual[N_PAIRS];
    double squares[2], spent[2];   /* residual squares and degrees of freedom spent on terms: batch means, specimens */
};

/* Weights of one row in each sum; level: 0 batch means, 1 specimens. */
struct row_weights { double own, first[2], second[N_PAIRS]; size_t level; };

double *information_new(size_t n_terms)
{
    return memory_new(4 * n_terms * n_terms + 6, sizeof(double));
}

struct information information_of(double *block, size_t n_terms)
{
    size_t square = n_terms * n_terms;
    return (struct information){block, block + square, block + 2 * square, block + 3 * square,
                                block + 4 * square, block + 4 * square + 4};
}

static void add_row(struct sums *s, const double *row, const struct row_weights *w)
{
    const struct mixed_sums *m = s->profile->sums;
    size_t n = m->n_terms;
    double *z = s->profile->row, residual = row[n];
    for (size_t k = 0; k < n; k++)
        residual -= row[k] * s->profile->coefficient[k];
    memcpy(z, row, n * sizeof *z);
    triangle_solve_transposed(s->profile->triangle, m->width, n, z);
    double *first[2] = {s->information->batch_part, s->information->specimen_part};
    for (size_t pair = 0; pair < N_PAIRS; pair++)
        s->residual[pair] += w->second[pair] * residual * residual;
    s->squares[w->level] += w->own * residual * residual;
    for (size_t i = 0; i < n; i++) {
        s->spent[w->level] += w->own * z[i] * z[i];
        for (size_t part = 0; part < 2; part++)
            s->score[part][i] += w->first[part] * z[i] * residual;
        for (size_t j = 0; j < n; j++) {
            double product = z[i] * z[j];
            for (size_t part = 0; part < 2; part++)
                first[part][i * n + j] += w->first[part] * product;
            for (size_t pair = 0; pair < N_PAIRS; pair++)
                s->second[pair][i * n + j] += w->second[pair] * product;
        }
    }
}

static void add_all_rows(struct sums *s)
{
    const struct mixed_sums *m = s->profile->sums;
    double ratio = s->profile->point.ratio;
    s->trace[SPECIMEN_SPECIMEN] = (double)m->n_rows - (double)m->n_batches;
    struct row_weights within = {.own = 1, .first = {0, 1}, .second = {0, 0, 1}, .level = 1};
    for (size_t i = 0; i < m->width; i++)
        add_row(s, m->within + i * m->width, &within);
    for (size_t b = 0; b < m->n_blocks; b++) {
        const struct mean_block *block = &m->blocks[b];
        double c = profile_mean_weight(block, ratio), shrink = 1 / (1 + ratio * block->weight);
        struct row_weights mean = {.own = c, .first = {c * c, c * shrink},
                                   .second = {c * c * c, c * c * shrink, c * shrink * shrink}};
        s->trace[BATCH_BATCH] += block->n_batches * c * c;
        s->trace[BATCH_SPECIMEN] += block->n_batches * c * shrink;
        s->trace[SPECIMEN_SPECIMEN] += block->n_batches * shrink * shrink;
        for (size_t i = 0; i < block->n_rows; i++)
            add_row(s, m->mean_rows + (block->first_row + i) * m->width, &mean);
    }
}

/* product += factor * (a b + b a) / 2, n x n symmetric */
static void add_product(const double *a, const double *b, double factor, size_t n, double *product)
{
    for (size_t i = 0; i < n; i++)
        for (size_t j = 0; j < n; j++) {
            double sum = 0;
            for (size_t k = 0; k < n; k++)
                sum += a[i * n + k] * b[k * n + j] + b[i * n + k] * a[k * n + j];
            product[i * n + j] += factor * sum / 2;
        }
}

static double trace_of_product(const double *a, const double *b, size_t n)
{
    double sum = 0;
    for (size_t i = 0; i < n; i++)
        for (size_t j = 0; j < n; j++)
            sum += a[i * n + j] * b[j * n + i];
    return sum;
}

/* Inverse of the symmetric table {bb, bs, ss}, times factor, as a full 2 x 2. Parts that say nothing get a variance of 0. */
static void invert_pairs(const double *pairs, double factor, double *inverse)
{
    double bb = pairs[BATCH_BATCH], bs = pairs[BATCH_SPECIMEN], ss = pairs[SPECIMEN_SPECIMEN];
    double determinant = bb * ss - bs * bs;
    memset(inverse, 0, 4 * sizeof *inverse);
    if (!(determinant > 1e-14 * bb * ss)) {
        inverse[3] = ss > 0 ? factor / ss : 0;
        return;
    }
    inverse[0] = factor * ss / determinant;
    inverse[1] = inverse[2] = -factor * bs / determinant;
    inverse[3] = factor * bb / determinant;
}

/* Kenward and Roger's increase: 2 sum over pairs of W_ij (Q_ij - P_i Phi P_j), in the unit-metric coordinates. */
static void fill_increase(const struct sums *s, double var_specimen, const double *expected)
{
    size_t square = s->profile->sums->n_terms * s->profile->sums->n_terms;
    double weights[N_PAIRS] = {expected[0], 2 * expected[1], expected[3]};
    for (size_t pair = 0; pair < N_PAIRS; pair++)
        for (size_t i = 0; i < square; i++)
            s->information->increase[i] += 2 * weights[pair] * s->second[pair][i] / var_specimen;
}

static void finish(struct sums *s, double var_specimen, double *expected)
{
    const struct mixed_sums *m = s->profile->sums;
    size_t n = m->n_terms;
    const double *first[2] = {s->information->batch_part, s->information->specimen_part};
    double expect[N_PAIRS] = {0}, observe[N_PAIRS] = {0};
    double scale = m->scale[n] * m->scale[n] / var_specimen; /* stored residual squares in units of var_specimen */
    for (size_t i = 0, pair = 0; i < 2; i++)
        for (size_t j = i; j < 2; j++, pair++) {
            double product = trace_of_product(first[i], first[j], n), trace = 0, scores = 0;
            for (size_t k = 0; k < n; k++) {
                trace += s->second[pair][k * n + k];
                scores += s->score[i][k] * s->score[j][k];
            }
            expect[pair] = s->trace[pair] - 2 * trace + product;
            observe[pair] = scale * (s->residual[pair] - scores) - expect[pair] / 2;
            add_product(first[i], first[j], -1, n, s->second[pair]);
        }
    invert_pairs(expect, 2 * var_specimen * var_specimen, expected);
    invert_pairs(observe, var_specimen * var_specimen, s->information->observed);
    fill_increase(s, var_specimen, expected);
    double own_scale = m->scale[n] * m->scale[n], df_batch = (double)m->n_batches - s->spent[0];
    double df_specimen = (double)m->n_rows - (double)m->n_batches - s->spent[1];
    s->information->squares[0] = own_scale * s->squares[0] / df_batch;
    s->information->squares[1] = own_scale * s->squares[1] / df_specimen;
}

enum status information_fill(struct profile *profile, double var_specimen, struct information *information,
                             double *expected)
{
    size_t n = profile->sums->n_terms, square = n * n;
    double *space = memory_new(N_PAIRS * square + 2 * n, sizeof(double));
    if (!space)
        return STATUS_MEMORY;
    struct sums sums = {.profile = profile, .information = information};
    for (size_t pair = 0; pair < N_PAIRS; pair++)
        sums.second[pair] = space + pair * square;
    for (size_t part = 0; part < 2; part++)
        sums.score[part] = space + N_PAIRS * square + part * n;
    add_all_rows(&sums);
    finish(&sums, var_specimen, expected);
    memory_free(space);
    return STATUS_OK;
}

/* covariance = F (variance I + increase) F' */
static void fill_covariance(const struct information *information, double variance, bool increased, size_t n,
                            double *covariance)
{
    const double *f = information->factor;
    for (size_t i = 0; i < n; i++)
        for (size_t j = 0; j < n; j++) {
            double sum = 0;
            for (size_t a = 0; a < n; a++) {
                sum += variance * f[i * n + a] * f[j * n + a];
                for (size_t b = 0; increased && b < n; b++)
                    sum += f[i * n + a] * information->increase[a * n + b] * f[j * n + b];
            }
            covariance[i * n + j] = sum;
        }
}

void information_covariance(struct mixed_fit *fit)
{
    struct information information = information_of(fit->kr_derivatives, fit->n_terms);
    bool means_only = mixed_fit_means_only(fit);
    double variance = means_only ? fit->var_batch : fit->var_specimen;
    bool increased = fit->has_batch_effect && !means_only;
    fill_covariance(&information, variance, false, fit->n_terms, fit->covariance);
    fill_covariance(&information, variance, increased, fit->n_terms, fit->covariance_kr);
}
