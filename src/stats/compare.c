#include "stats/compare.h"

#include "base/memory.h"
#include "stats/distribution.h"
#include "stats/dunnett.h"

#include <math.h>
#include <stdbool.h>

size_t compare_pair_count(size_t n_groups)
{
    return n_groups < 2 ? 0 : n_groups * (n_groups - 1) / 2;
}

static void set_limits(struct comparison *c, enum compare_side side, double critical)
{
    double reach = critical * c->std_error;
    c->lower = side == COMPARE_LESS ? -INFINITY : c->difference - reach;
    c->upper = side == COMPARE_GREATER ? INFINITY : c->difference + reach;
}

/* ---- two means ---- */

static double t_p(double t, double df, enum compare_side side)
{
    double both = t_two_sided_p(t, df);
    if (side == COMPARE_TWO_SIDED)
        return both;
    bool expected = side == COMPARE_GREATER ? t > 0 : t < 0;
    return expected ? both / 2 : 1 - both / 2;
}

static enum status finish_t(struct comparison *c, enum compare_side side, double confidence)
{
    if (!(c->std_error > 0) || !(c->df > 0))
        return STATUS_NUMERIC;
    c->statistic = c->difference / c->std_error;
    c->p = t_p(c->statistic, c->df, side);
    set_limits(c, side, t_quantile(side == COMPARE_TWO_SIDED ? 0.5 + confidence / 2 : confidence, c->df));
    return isfinite(c->p) ? STATUS_OK : STATUS_NUMERIC;
}

static struct comparison empty_comparison(size_t a, size_t b)
{
    struct comparison empty = { a, b, NAN, NAN, NAN, NAN, NAN, NAN, NAN };
    return empty;
}

enum status compare_pooled(const struct summary *a, const struct summary *b, enum compare_side side,
                           double confidence, struct comparison *result)
{
    *result = empty_comparison(0, 1);
    if (a->n < 1 || b->n < 1 || a->n + b->n < 3)
        return STATUS_TOO_FEW;
    struct summary both[2] = { *a, *b };
    struct pooled_sd pooled = summary_pooled_sd(both, 2);
    result->difference = a->mean - b->mean;
    result->std_error = pooled.sd * sqrt(1 / (double)a->n + 1 / (double)b->n);
    result->df = pooled.df;
    return finish_t(result, side, confidence);
}

/* Difference of two means with each its own variance, and Welch's df. */
static void welch_difference(const struct summary *a, const struct summary *b, struct comparison *c)
{
    double va = a->variance / (double)a->n, vb = b->variance / (double)b->n, total = va + vb;
    c->difference = a->mean - b->mean;
    c->std_error = sqrt(total);
    if (total > 0)
        c->df = 1 / ((va / total) * (va / total) / (double)(a->n - 1) + (vb / total) * (vb / total) / (double)(b->n - 1));
}

enum status compare_welch(const struct summary *a, const struct summary *b, enum compare_side side,
                          double confidence, struct comparison *result)
{
    *result = empty_comparison(0, 1);
    if (a->n < 2 || b->n < 2)
        return STATUS_TOO_FEW;
    welch_difference(a, b, result);
    return finish_t(result, side, confidence);
}

/* ---- all pairs ---- */

void compare_as_pair(struct comparison *c, double n_means, double confidence)
{
    c->statistic = c->difference / c->std_error;
    c->p = studentized_range_tail(fabs(c->statistic) * sqrt(2), n_means, c->df);
    set_limits(c, COMPARE_TWO_SIDED, studentized_range_quantile(confidence, n_means, c->df) / sqrt(2));
}

/* Means of one family: given as they are, or as samples with one pooled variance. */
struct family {
    const struct compare_mean *means;
    const struct summary *groups;
    double pooled_variance;
    size_t n;
    double df;
};

static struct compare_mean family_mean(const struct family *family, size_t i)
{
    if (!family->groups)
        return family->means[i];
    struct compare_mean mean = { family->groups[i].mean, family->pooled_variance / (double)family->groups[i].n };
    return mean;
}

static enum status family_of_groups(const struct summary *groups, size_t n_groups, struct family *family)
{
    if (n_groups < 2)
        return STATUS_TOO_FEW;
    for (size_t i = 0; i < n_groups; i++)
        if (groups[i].n < 1)
            return STATUS_TOO_FEW;
    struct pooled_sd pooled = summary_pooled_sd(groups, n_groups);
    *family = (struct family){ NULL, groups, pooled.sd * pooled.sd, n_groups, pooled.df };
    return pooled.df > 0 ? STATUS_OK : STATUS_TOO_FEW;
}

static enum status family_of_means(const struct compare_mean *means, size_t n_means, double df, struct family *family)
{
    *family = (struct family){ means, NULL, NAN, n_means, df };
    return n_means < 2 || !(df > 0) ? STATUS_TOO_FEW : STATUS_OK;
}

static bool family_difference(const struct family *family, size_t a, size_t b, struct comparison *c)
{
    struct compare_mean mean_a = family_mean(family, a), mean_b = family_mean(family, b);
    *c = empty_comparison(a, b);
    c->difference = mean_a.estimate - mean_b.estimate;
    c->std_error = sqrt(mean_a.variance + mean_b.variance);
    c->df = family->df;
    c->statistic = c->difference / c->std_error;
    return c->std_error > 0 && isfinite(c->difference);
}

/* One df for all: the critical value is looked for once. */
static enum status tukey_pairs(const struct family *family, double confidence, struct comparison *results)
{
    double n = (double)family->n, critical = studentized_range_quantile(confidence, n, family->df) / sqrt(2);
    const size_t n_pairs = compare_pair_count(family->n);
    double *q = memory_new(2 * n_pairs, sizeof *q);
    if (!q)
        return STATUS_MEMORY;
    size_t k = 0;
    enum status status = isfinite(critical) ? STATUS_OK : STATUS_NUMERIC;
    for (size_t a = 1; a < family->n; a++)
        for (size_t b = 0; b < a; b++, k++) {
            if (!family_difference(family, a, b, &results[k]))
                status = STATUS_NUMERIC;
            q[k] = fabs(results[k].statistic) * sqrt(2);
            set_limits(&results[k], COMPARE_TWO_SIDED, critical);
        }
    if (status == STATUS_OK)
        studentized_range_tails(q, n_pairs, n, family->df, q + n_pairs);
    for (k = 0; status == STATUS_OK && k < n_pairs; k++)
        results[k].p = q[n_pairs + k];
    memory_free(q);
    return status;
}

enum status compare_tukey_kramer(const struct summary *groups, size_t n_groups, double confidence,
                                 struct comparison *results)
{
    struct family family;
    enum status status = family_of_groups(groups, n_groups, &family);
    return status == STATUS_OK ? tukey_pairs(&family, confidence, results) : status;
}

enum status compare_tukey_means(const struct compare_mean *means, size_t n_means, double df, double confidence,
                                struct comparison *results)
{
    struct family family;
    enum status status = family_of_means(means, n_means, df, &family);
    return status == STATUS_OK ? tukey_pairs(&family, confidence, results) : status;
}

enum status compare_games_howell(const struct summary *groups, size_t n_groups, double confidence,
                                 struct comparison *results)
{
    if (n_groups < 2)
        return STATUS_TOO_FEW;
    for (size_t i = 0; i < n_groups; i++)
        if (groups[i].n < 2)
            return STATUS_TOO_FEW;
    size_t k = 0;
    for (size_t a = 1; a < n_groups; a++)
        for (size_t b = 0; b < a; b++, k++) {
            results[k] = empty_comparison(a, b);
            welch_difference(&groups[a], &groups[b], &results[k]);
            if (!(results[k].std_error > 0))
                return STATUS_NUMERIC;
            compare_as_pair(&results[k], (double)n_groups, confidence);
        }
    return STATUS_OK;
}

/* ---- all against one ---- */

static double dunnett_p(double t, enum compare_side side, const struct dunnett_family *others)
{
    return dunnett_tail(side == COMPARE_TWO_SIDED ? fabs(t) : side == COMPARE_GREATER ? t : -t, others);
}

/* From so many others on those of one loading are counted together: the work grows with the loadings, of which there are few. */
#define OTHERS_MANY 64

/* Sorts the loadings and counts those alike, which then stand first; returns how many are different. */
static size_t count_loadings(double *loadings, size_t n, uint32_t *counts)
{
    size_t n_different = 0;
    summary_sort(loadings, n);
    for (size_t i = 0; i < n; i++) {
        if (i == 0 || loadings[i] != loadings[n_different - 1]) {
            counts[n_different] = 0;
            loadings[n_different++] = loadings[i];
        }
        counts[n_different - 1]++;
    }
    return n_different;
}

/* loadings, counts: room for n - 1. */
static enum status against_control(const struct family *family, size_t control, enum compare_side side,
                                   double confidence, double *loadings, uint32_t *counts, struct comparison *results)
{
    double control_variance = family_mean(family, control).variance;
    size_t n = 0;
    for (size_t a = 0; a < family->n; a++) {
        if (a == control)
            continue;
        if (!family_difference(family, a, control, &results[n]))
            return STATUS_NUMERIC;
        loadings[n] = sqrt(control_variance) / results[n].std_error;
        n++;
    }
    struct dunnett_family others = { loadings, n, family->df, side == COMPARE_TWO_SIDED, NULL };
    if (n >= OTHERS_MANY) {
        others.n = count_loadings(loadings, n, counts);
        others.count = counts;
    }
    double critical = dunnett_quantile(confidence, &others);
    if (!isfinite(critical))
        return STATUS_NUMERIC;
    for (size_t i = 0; i < n; i++) {
        results[i].p = dunnett_p(results[i].statistic, side, &others);
        set_limits(&results[i], side, critical);
    }
    return STATUS_OK;
}

static enum status dunnett(const struct family *family, size_t control, enum compare_side side, double confidence,
                           struct comparison *results)
{
    if (control >= family->n)
        return STATUS_NUMERIC;
    double *loadings = memory_new(family->n, sizeof *loadings);
    uint32_t *counts = memory_new(family->n, sizeof *counts);
    enum status status = loadings && counts ? against_control(family, control, side, confidence, loadings, counts, results) : STATUS_MEMORY;
    memory_free(loadings);
    memory_free(counts);
    return status;
}

enum status compare_dunnett(const struct summary *groups, size_t n_groups, size_t control, enum compare_side side,
                            double confidence, struct comparison *results)
{
    struct family family;
    enum status status = family_of_groups(groups, n_groups, &family);
    return status == STATUS_OK ? dunnett(&family, control, side, confidence, results) : status;
}

enum status compare_dunnett_means(const struct compare_mean *means, size_t n_means, size_t control, double df,
                                  enum compare_side side, double confidence, struct comparison *results)
{
    struct family family;
    enum status status = family_of_means(means, n_means, df, &family);
    return status == STATUS_OK ? dunnett(&family, control, side, confidence, results) : status;
}
