#include "advise/plan.h"

#include "stats/distribution.h"
#include "stats/mixed.h"

#include <math.h>

#define BATCH_STEP 1e-3 /* for the slope of a margin, of the variance between batches */

const double plan_sizes[PLAN_SIZES] = { 1, 2, 3, 4, 6 };

/* Variance of the mean of a batch of so many specimens. */
static double batch_variance(const struct plan_scatter *scatter, double per_batch)
{
    return scatter->var_batch + scatter->var_specimen / per_batch;
}

/*
 * The bound as mean - factor * S / sqrt(information): S is an estimate of a
 * standard deviation `sd` with df degrees of freedom, and the mean has the
 * variance sd^2 / information.
 */
struct bound { double factor, sd, df, information; };

static struct bound bound_mean(const struct plan_scatter *scatter, const struct assurance *assurance, double n, double per_batch)
{
    return (struct bound){ t_quantile(assurance->confidence, n - 1), sqrt(batch_variance(scatter, per_batch)), n - 1, n };
}

/* The next batch has its own size, and its variance stands in a known ratio to that of the batches cast. */
static struct bound bound_next_batch(const struct plan_scatter *scatter, const struct assurance *assurance, double n, double per_batch)
{
    struct bound bound = bound_mean(scatter, assurance, n, per_batch);
    /* Batches of one specimen cannot be told from specimens: the next batch is then the next specimen. */
    double next = batch_variance(scatter, scatter->apart && per_batch > 1 ? assurance->specimens_per_batch : 1);
    bound.factor *= sqrt(1 + n * next / batch_variance(scatter, per_batch));
    return bound;
}

/*
 * The tolerance margin m goes with the two mean squares: m^2 is a combination
 * a B + e E of that of batches B and that of specimens E (m is homogeneous), and
 * so has Satterthwaite degrees of freedom like any other variance.
 */
static struct bound bound_fractile(const struct plan_scatter *scatter, const struct assurance *assurance, double n, double per_batch)
{
    struct bound bound = { .sd = sqrt(batch_variance(scatter, per_batch)), .df = n - 1, .information = n };
    double content = 1 - assurance->fractile, batch = batch_variance(scatter, per_batch), step = BATCH_STEP * batch;
    double margin = mixed_balanced_tolerance_margin(scatter->var_batch, scatter->var_specimen, n, per_batch, content, assurance->confidence);
    if (bound.sd == 0)
        return bound;
    bound.factor = margin * sqrt(n) / bound.sd;
    if (!(per_batch > 1))
        return bound;
    double moved = mixed_balanced_tolerance_margin(scatter->var_batch + step, scatter->var_specimen, n, per_batch, content, assurance->confidence);
    double square = margin * margin, by_batch = (moved * moved - square) / step * batch, by_specimen = square - by_batch;
    bound.df = square * square / (by_batch * by_batch / (n - 1) + by_specimen * by_specimen / (n * (per_batch - 1)));
    return bound;
}

static struct bound bound_of(const struct plan_scatter *scatter, const struct assurance *assurance, double n, double per_batch)
{
    switch (assurance->kind) {
    case ASSURANCE_MEAN:
        return bound_mean(scatter, assurance, n, per_batch);
    case ASSURANCE_FRACTILE:
        return bound_fractile(scatter, assurance, n, per_batch);
    default:
        return bound_next_batch(scatter, assurance, n, per_batch);
    }
}

static double on_scale(const struct plan_scatter *scatter, double value)
{
    return scatter->log_scale ? log(value) : value;
}

/* How far the mean is on the right side. */
static double clearance(const struct plan_scatter *scatter, double wanted, int side)
{
    return (scatter->mean - on_scale(scatter, wanted)) * (side < 0 ? 1 : -1);
}

typedef double noncentral_t(double t, double df, double noncentrality);

static double chance(noncentral_t *probability, const struct plan_scatter *scatter, double wanted, int side, const struct assurance *assurance,
                     double n_batches, double per_batch)
{
    double clear = clearance(scatter, wanted, side);
    if (!(n_batches >= 2) || isnan(clear))
        return NAN;
    struct bound bound = bound_of(scatter, assurance, n_batches, per_batch);
    if (bound.sd == 0)
        return clear >= 0 ? 1 : 0;
    return 1 - probability(bound.factor, bound.df, sqrt(bound.information) * clear / bound.sd);
}

double plan_chance(const struct plan_scatter *scatter, double wanted, int side, const struct assurance *assurance,
                   double n_batches, double per_batch)
{
    return chance(noncentral_t_probability, scatter, wanted, side, assurance, n_batches, per_batch);
}

double plan_chance_near(const struct plan_scatter *scatter, double wanted, int side, const struct assurance *assurance,
                        double n_batches, double per_batch)
{
    return chance(noncentral_t_probability_near, scatter, wanted, side, assurance, n_batches, per_batch);
}

double plan_bound(const struct plan_scatter *scatter, int side, const struct assurance *assurance, double n_batches, double per_batch)
{
    struct bound bound = bound_of(scatter, assurance, n_batches, per_batch);
    double distance = bound.sd == 0 ? 0 : bound.factor * bound.sd / sqrt(bound.information);
    double value = scatter->mean + (side < 0 ? -distance : distance);
    return scatter->log_scale ? exp(value) : value;
}

static double difference_chance(noncentral_t *probability, const struct plan_scatter *scatter, double difference, double confidence,
                                double n_batches, double per_batch)
{
    double df = 2 * (n_batches - 1), sd = sqrt(batch_variance(scatter, per_batch) * 2 / n_batches);
    if (!(n_batches >= 2) || isnan(difference))
        return NAN;
    if (scatter->log_scale) /* near the mean a difference is this much of a logarithm */
        difference /= exp(scatter->mean);
    if (sd == 0)
        return difference != 0;
    double t = t_quantile((1 + confidence) / 2, df), shift = difference / sd;
    return 1 - probability(t, df, shift) + probability(-t, df, shift);
}

double plan_difference_chance(const struct plan_scatter *scatter, double difference, double confidence, double n_batches, double per_batch)
{
    return difference_chance(noncentral_t_probability, scatter, difference, confidence, n_batches, per_batch);
}

/* A chance that grows with the number of batches. */
struct growing {
    const struct plan_scatter *scatter;
    const struct assurance *assurance; /* NULL: of a difference */
    double value, confidence, per_batch;
    int side;
};

static double chance_with(const struct growing *growing, size_t n)
{
    if (!growing->assurance)
        return difference_chance(noncentral_t_probability_near, growing->scatter, growing->value, growing->confidence, (double)n, growing->per_batch);
    return plan_chance_near(growing->scatter, growing->value, growing->side, growing->assurance, (double)n, growing->per_batch);
}

/* By halving. */
static size_t fewest_batches(const struct growing *growing, double power)
{
    size_t few = 1, enough = PLAN_BATCHES_MOST;
    if (!(chance_with(growing, enough) >= power))
        return 0;
    while (enough - few > 1) {
        size_t middle = (few + enough) / 2;
        if (chance_with(growing, middle) >= power)
            enough = middle;
        else
            few = middle;
    }
    return enough;
}

size_t plan_batches(const struct plan_scatter *scatter, double wanted, int side, const struct assurance *assurance, double per_batch, double power)
{
    const struct growing growing = { scatter, assurance, wanted, NAN, per_batch, side };
    return clearance(scatter, wanted, side) > 0 ? fewest_batches(&growing, power) : 0;
}

size_t plan_difference_batches(const struct plan_scatter *scatter, double difference, double confidence, double per_batch, double power)
{
    const struct growing growing = { scatter, NULL, difference, confidence, per_batch, 0 };
    return fewest_batches(&growing, power);
}
