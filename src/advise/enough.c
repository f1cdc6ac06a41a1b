#include "advise/search.h"

#include "stats/distribution.h"
#include "stats/tolerance.h"

#include <math.h>

#define BATCHES_MOST 40 /* nobody casts more of one mix to settle a doubt */

/* Scatter as found: of batches, of specimens within them, and how many of these a batch has. */
struct scatter { double batch, specimen, per_batch, m; };

static struct scatter scatter_of(const struct mix_property *property, const struct assurance *assurance)
{
    bool apart = !isnan(property->sd_batch);
    return (struct scatter){
        .batch = apart ? property->sd_batch * property->sd_batch : 0,
        .specimen = property->sd_specimen * property->sd_specimen,
        .per_batch = (double)property->n_specimens / (double)property->n_batches,
        .m = apart ? assurance->specimens_per_batch : 1,
    };
}

/* Distance of the assured value from the mean with n batches in all. */
static double distance_with(const struct scatter *scatter, const struct assurance *assurance, double n)
{
    double variance_mean = (scatter->batch + scatter->specimen / scatter->per_batch) / n;
    double total = scatter->batch + scatter->specimen;
    if (assurance->kind == ASSURANCE_FRACTILE)
        return tolerance_factor(total / variance_mean, n - 1, 1 - assurance->fractile, assurance->confidence) * sqrt(total);
    double variance = variance_mean;
    if (assurance->kind == ASSURANCE_NEXT_BATCH)
        variance += scatter->batch + scatter->specimen / scatter->m;
    return t_quantile(assurance->confidence, n - 1) * sqrt(variance);
}

/*
 * By how much the bound that counts lies farther out than the plain formula has it, since it allows for batches and specimens
 * that a few results cannot tell apart well; never less than 1.
 */
static double caution_of_bound(const struct mix_property *property, const struct scatter *scatter, const struct assurance *assurance, int side)
{
    double bound = curve_bound(&property->curve, property->curve.x_min, assurance, side);
    double ratio = fabs(property->mean - bound) / distance_with(scatter, assurance, (double)property->n_batches);
    return isfinite(ratio) ? fmax(1, ratio) : 1;
}

size_t batches_wanting(const struct search *search, const struct mix_property *property, double value, int side)
{
    const struct assurance *assurance = &search->request->assurance;
    double clear = side < 0 ? property->mean - value : value - property->mean;
    if (!property->available || property->n_batches < 2 || !(clear > 0))
        return 0;
    struct scatter scatter = scatter_of(property, assurance);
    double caution = caution_of_bound(property, &scatter, assurance, side);
    for (size_t n = property->n_batches + 1; n <= BATCHES_MOST; n++)
        if (caution * distance_with(&scatter, assurance, (double)n) <= clear)
            return n - property->n_batches;
    return 0;
}
