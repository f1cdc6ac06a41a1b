#include "stats/mixed.h"

#include "stats/distribution.h"
#include "stats/mixed_spread.h"
#include "stats/normal_curve.h"
#include "stats/root.h"
#include "stats/scale_average.h"
#include "stats/tolerance.h"

#include <float.h>
#include <math.h>

/*
 * The two levels of scatter as a combination sees them: `batch` estimates
 * var_batch + share * var_specimen, the variance of one batch's mean, and
 * `specimen` estimates var_specimen. Both are mean squares, so `batch` may lie
 * below share * specimen: that is what keeps the bounds exact when the batches
 * happen to agree better than their specimens.
 */
struct levels {
    double share;
    double batch, batch_df, specimen, specimen_df;
    double by_batch, by_specimen; /* variance of the estimate = by_batch * batch + by_specimen * specimen */
};

static struct levels levels_of(const struct mixed_fit *fit, const double *combination)
{
    struct spread spread = spread_of_combination(fit, combination);
    struct levels l = {.share = spread.by_batch > 0 ? fmin(1, spread.by_specimen / spread.by_batch) : 1};
    double inflation = spread.variance > 0 ? 1 + spread.increase / spread.variance : 1;
    l.by_batch = inflation * spread.by_batch;
    l.by_specimen = inflation * (spread.by_specimen - l.share * spread.by_batch);
    l.batch = fit->var_batch + l.share * fit->var_specimen;
    l.specimen = fit->var_specimen;
    struct spread batch = {l.batch, 1, l.share, 0}, specimen = {l.specimen, 0, 1, 0};
    l.batch_df = spread_df(&batch, fit->variance_covariance);
    l.specimen_df = spread_df(&specimen, fit->variance_covariance);
    if (fit->at_boundary) {
        const double *squares = information_of(fit->kr_derivatives, fit->n_terms).squares;
        l.batch = l.share * squares[0];
        l.specimen = squares[1];
    }
    return l;
}

/* A bound lies Student's t with df times sd times shrink away from the estimate, at every confidence. */
struct t_bound { double sd, df, shrink; };

static double t_bound_distance(const struct t_bound *bound, double confidence)
{
    return bound->sd == 0 ? 0 : t_quantile(confidence, bound->df) * bound->sd * bound->shrink;
}

/* A variance as a combination of the two mean squares, and its Satterthwaite df from their own. */
static struct t_bound mixture_bound(const struct levels *l, double by_batch, double by_specimen)
{
    double batch = by_batch * l->batch, specimen = by_specimen * l->specimen, variance = batch + specimen;
    double df = variance * variance / (batch * batch / l->batch_df + specimen * specimen / l->specimen_df);
    return (struct t_bound){ variance > 0 ? sqrt(variance) : 0, df, 1 };
}

/*
 * Batches that agree better than their specimens do so by luck, and would put
 * a bound of few degrees of freedom all but on the estimate. None lies nearer
 * than least squares, which knows no batches, would have it; away from the
 * boundary there is no such bound (sd 0).
 */
static struct t_bound bound_without_batches(const struct mixed_fit *fit, double by_specimen)
{
    return (struct t_bound){ fit->at_boundary ? sqrt(by_specimen * fit->var_specimen) : 0, fit->residual_df, 1 };
}

static double farther_distance(const struct t_bound *bound, const struct t_bound *other, double confidence)
{
    double distance = t_bound_distance(bound, confidence), without = t_bound_distance(other, confidence);
    return fabs(without) > fabs(distance) ? without : distance; /* NaN stays */
}

/* Chance that the distance of the bound is passed. */
static double t_bound_beyond(const struct t_bound *bound, double distance)
{
    return bound->sd == 0 ? 0 : t_two_sided_p(distance / (bound->sd * bound->shrink), bound->df) / 2;
}

double mixed_fit_mean_margin(const struct mixed_fit *fit, const double *combination, double confidence)
{
    double df;
    struct spread spread = spread_of_combination(fit, combination);
    if (single_variance_df(fit, &df))
        return t_quantile(confidence, df) * sqrt(spread.variance);
    struct levels l = levels_of(fit, combination);
    struct t_bound bound = mixture_bound(&l, l.by_batch, l.by_specimen), without = bound_without_batches(fit, spread.by_specimen);
    return farther_distance(&bound, &without, confidence);
}

static struct t_bound next_batch_bound(const struct mixed_fit *fit, const double *combination, double m)
{
    double df, variance;
    if (single_variance_df(fit, &df)) {
        mixed_fit_prediction(fit, combination, m, &variance, &df);
        return (struct t_bound){ sqrt(variance), df, 1 };
    }
    struct levels l = levels_of(fit, combination);
    double by_specimen = l.by_specimen + 1 / m - l.share;
    struct t_bound bound = mixture_bound(&l, l.by_batch + 1, fmax(0, by_specimen));
    if (by_specimen >= 0)
        return bound;
    /* More specimens than a batch had so far: what they gain is taken off at its estimate, but no further than to
       what would be left without any batch effect. */
    double batch = (l.by_batch + 1) * l.batch, least = 1 + by_specimen / ((l.by_batch + 1) * l.share);
    bound.shrink = sqrt(fmax(least, batch > 0 ? 1 + by_specimen * l.specimen / batch : least));
    return bound;
}

static struct t_bound next_batch_without_batches(const struct mixed_fit *fit, const double *combination, double m)
{
    return bound_without_batches(fit, spread_of_combination(fit, combination).by_specimen + 1 / m);
}

double mixed_fit_next_batch_margin(const struct mixed_fit *fit, const double *combination, double m, double confidence)
{
    if (!(m > 0))
        return NAN;
    struct t_bound bound = next_batch_bound(fit, combination, m), without = next_batch_without_batches(fit, combination, m);
    return farther_distance(&bound, &without, confidence);
}

double mixed_fit_next_batch_chance(const struct mixed_fit *fit, const double *combination, double m, double distance)
{
    if (!(m > 0) || isnan(distance))
        return NAN;
    struct t_bound bound = next_batch_bound(fit, combination, m), without = next_batch_without_batches(fit, combination, m);
    double beyond = fmax(t_bound_beyond(&bound, distance), t_bound_beyond(&without, distance));
    return distance < 0 ? beyond : 1 - beyond;
}

enum { GRID_NODES = 128 };

/* Coarse trapezoid nodes over ln s: factor = 1/s^2, the ratio of a variance to its mean square. */
struct grid { size_t n; double factor[GRID_NODES], weight[GRID_NODES]; };

/* Good to about six digits: the step is one standard deviation of what is averaged. */
static void lay_grid(struct grid *grid, double df, double bend)
{
    struct scale_density density = scale_density_of(df);
    double low, high, sum = 0;
    scale_range(df, 18, &low, &high);
    double step = fmax(1 / sqrt(2 * df + bend * bend), (high - low) / (GRID_NODES - 1));
    grid->n = 0;
    for (double x = low; x <= high && grid->n < GRID_NODES; x += step) {
        double weight = scale_density_at(&density, x) * step;
        if (weight < 1e-8)
            continue;
        grid->factor[grid->n] = exp(-2 * x);
        grid->weight[grid->n++] = weight;
        sum += weight;
    }
    for (size_t i = 0; i < grid->n; i++)
        grid->weight[i] /= sum;
}

/*
 * A tolerance margin covers z_content * (total sd) and, on top, the noise of
 * the estimate, when both variances are known only by their mean squares: it
 * is the quantile of  Z sqrt(noise) + z_content sqrt(total)  over Z and over
 * the variances' fiducial distributions, mean square * df / chi-square.
 */
struct tolerance {
    struct levels levels;
    double z_content, tail;
    struct grid batch, specimen;
};

static double tail_beyond(double margin, const struct tolerance *t)
{
    double tail = 0;
    for (size_t i = 0; i < t->batch.n; i++) {
        double batch = t->levels.batch * t->batch.factor[i], sum = 0;
        for (size_t j = 0; j < t->specimen.n; j++) {
            double specimen = t->levels.specimen * t->specimen.factor[j];
            double noise = fmax(t->levels.by_batch * batch + t->levels.by_specimen * specimen, DBL_MIN);
            double total = batch + (1 - t->levels.share) * specimen;
            sum += t->specimen.weight[j] * normal_above((margin - t->z_content * sqrt(total)) / sqrt(noise));
        }
        tail += t->batch.weight[i] * sum;
    }
    return tail;
}

static double log_tail_excess(double margin, void *context)
{
    const struct tolerance *tolerance = context;
    return log(tail_beyond(margin, tolerance) / tolerance->tail);
}

static double solve_tolerance(struct tolerance *t)
{
    const struct levels *l = &t->levels;
    double noise = sqrt(fmax(l->by_batch * l->batch + l->by_specimen * l->specimen, 0)), total_square =
        l->batch + (1 - l->share) * l->specimen, total = t->z_content * sqrt(total_square);
    if (!(total_square > 0))
        return 0;
    double bend = noise > 0 ? fabs(total) / noise : 0;
    lay_grid(&t->batch, l->batch_df, 1 + bend * l->batch / total_square);
    lay_grid(&t->specimen, l->specimen_df, 1 + bend * (1 - l->share) * l->specimen / total_square);
    double guess = total + noise * normal_quantile(1 - t->tail), other = guess, margin;
    double step = 0.5 * noise + 0.2 * fabs(total), at_guess = log_tail_excess(guess, t), way = at_guess > 0 ? 1 : -1;
    for (int i = 0; i < 200 && (log_tail_excess(other, t) > 0) == (at_guess > 0); i++, step *= 2)
        other += way * step;
    double low = fmin(guess, other), high = fmax(guess, other), within = 1e-7 * (noise + fabs(total));
    return root_between(log_tail_excess, t, low, high, within, &margin) == STATUS_OK ? margin : NAN;
}

double mixed_fit_tolerance_margin(const struct mixed_fit *fit, const double *combination, double content, double confidence)
{
    double df;
    struct spread spread = spread_of_combination(fit, combination);
    if (!(confidence > 0 && confidence < 1) || !(content > 0 && content < 1))
        return NAN;
    if (single_variance_df(fit, &df)) {
        double total = fit->var_batch + fit->var_specimen;
        return total > 0 ? tolerance_factor(total / spread.variance, df, content, confidence) * sqrt(total) : 0;
    }
    struct tolerance tolerance = {.levels = levels_of(fit, combination), .z_content = normal_quantile(content),
                                  .tail = 1 - confidence};
    double margin = solve_tolerance(&tolerance), without = 0; /* as with bound_without_batches() */
    if (fit->at_boundary)
        without = tolerance_factor(1 / spread.by_specimen, fit->residual_df, content, confidence) * sqrt(fit->var_specimen);
    return fabs(without) > fabs(margin) ? without : margin;
}

double mixed_balanced_tolerance_margin(double var_batch, double var_specimen, double n_batches, double per_batch,
                                       double content, double confidence)
{
    double batch = var_batch + var_specimen / per_batch;
    if (!(confidence > 0 && confidence < 1) || !(content > 0 && content < 1) || !(n_batches >= 2) || !(per_batch >= 1))
        return NAN;
    if (!(per_batch > 1))
        return tolerance_factor(n_batches, n_batches - 1, content, confidence) * sqrt(batch);
    struct tolerance tolerance = {.z_content = normal_quantile(content), .tail = 1 - confidence};
    tolerance.levels = (struct levels){.share = 1 / per_batch, .batch = batch, .batch_df = n_batches - 1, .specimen = var_specimen,
                                       .specimen_df = n_batches * (per_batch - 1), .by_batch = 1 / n_batches};
    return solve_tolerance(&tolerance);
}
