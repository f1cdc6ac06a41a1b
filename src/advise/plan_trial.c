#include "advise/plan_parts.h"

#include "stats/distribution.h"

#include <math.h>
#include <stdio.h>

#define GRID 200           /* trials looked at along the tested range */
#define BINDING 1e-6       /* a demand met this narrowly, as a share of it, decides the fraction */
#define STEP 1e-4          /* of the range, for the slope */
#define FRACTION_STEP 1e3  /* trials are told to the thousandth */

/* a' C b for the terms of the law at two fractions. */
static double covariance_between(const struct curve *curve, double a, double b)
{
    double left[3], right[3], sum = 0;
    size_t n = curve->fit.n_terms;
    law_design(curve->law, a, left);
    law_design(curve->law, b, right);
    for (size_t i = 0; i < n; i++)
        for (size_t j = 0; j < n; j++)
            sum += left[i] * curve->fit.covariance[i * n + j] * right[j];
    return sum;
}

/* What a bound at x owes to the scatter being estimated: margin^2 / (2 df), and the degrees of freedom. */
static double scatter_variance(const struct curve *curve, double x, const struct assurance *assurance, double *df)
{
    double terms[3], variance;
    double centre = curve_value(curve, x), bound = curve_bound(curve, x, assurance, 1);
    double margin = law_is_log(curve->law) ? log(bound / centre) : bound - centre;
    law_design(curve->law, x, terms);
    if (assurance->kind == ASSURANCE_FRACTILE)
        mixed_fit_total_variance(&curve->fit, &variance, df);
    else if (assurance->kind == ASSURANCE_NEXT_BATCH)
        mixed_fit_prediction(&curve->fit, terms, assurance->specimens_per_batch, &variance, df);
    else
        (void)curve_variance(curve, x, &variance, df); /* for its degrees of freedom */
    return margin * margin / (2 * *df);
}

double plan_trial_narrowing(const struct curve *curve, double x, const struct assurance *assurance, double trial)
{
    double m = curve->fit.has_batch_effect ? assurance->specimens_per_batch : 1, df;
    double batch = curve->fit.var_batch + curve->fit.var_specimen / m;
    double now = covariance_between(curve, x, x), both = covariance_between(curve, x, trial), there = covariance_between(curve, trial, trial);
    double scatter = scatter_variance(curve, x, assurance, &df);
    if (!(now + scatter > 0))
        return 0;
    /* One more row of information: C - C d d' C / (d' C d + batch), by Sherman and Morrison. */
    double then = fmax(0, now - both * both / (there + batch));
    return 1 - sqrt((then + scatter * df / (df + 1)) / (now + scatter));
}

/* Slope of the assured value along the fraction, on the scale of the fit. */
static double assured_slope(const struct curve *curve, double x, const struct assurance *assurance, int side)
{
    double step = STEP * (curve->x_max - curve->x_min);
    double low = fmax(curve->x_min, x - step), high = fmin(curve->x_max, x + step);
    double below = curve_bound(curve, low, assurance, side), above = curve_bound(curve, high, assurance, side);
    double rise = law_is_log(curve->law) ? log(above / below) : above - below;
    return rise / (high - low);
}

double plan_trial_error(const struct curve *curve, double x, const struct assurance *assurance, int side)
{
    double df, variance = covariance_between(curve, x, x) + scatter_variance(curve, x, assurance, &df);
    return sqrt(variance) / fabs(assured_slope(curve, x, assurance, side));
}

double plan_trial_best(const struct curve *curve, double x, const struct assurance *assurance, double low, double high, double *narrowing)
{
    double best = NAN;
    *narrowing = -1;
    for (int i = 0; i <= GRID; i++) {
        double trial = low + (high - low) * i / GRID;
        trial = fmin(high, fmax(low, nearbyint(trial * FRACTION_STEP) / FRACTION_STEP));
        double share = plan_trial_narrowing(curve, x, assurance, trial);
        if (share > *narrowing) {
            *narrowing = share;
            best = trial;
        }
    }
    return best;
}

static const struct candidate *point_on_a_curve(const struct recommendation *answer)
{
    for (size_t i = 0; i < answer->n_candidates; i++)
        if (answer->candidates[i].feasible && answer->candidates[i].interpolated)
            return &answer->candidates[i];
    return NULL;
}

/* The demand that is met only just; NULL when none is. */
static const struct demand_outcome *binding_demand(const struct candidate *candidate)
{
    for (size_t i = 0; i < candidate->n_outcomes; i++) {
        const struct demand_outcome *outcome = &candidate->outcomes[i];
        if (demand_property(&outcome->demand) < PROPERTY_COUNT
            && fabs(demand_margin(&outcome->demand, outcome->is_limit, outcome->assured)) <= BINDING)
            return outcome;
    }
    return NULL;
}

static uint32_t mix_at(const struct specimen_set *set, uint32_t aggregate, double fraction)
{
    for (uint32_t mix = 0; mix < set->n_mixes; mix++)
        if (set->mixes[mix].aggregate == aggregate && fabs(set->mixes[mix].aggregate_fraction - fraction) <= FRACTION_SAME)
            return mix;
    return SAMPLE_ALL;
}

static void add_point(struct plan_trial *trial, const struct curve *curve, const struct assurance *assurance, double fraction, uint32_t mix)
{
    if (trial->n_points == PLAN_POINTS)
        return;
    trial->points[trial->n_points++] = (struct plan_point){
        fraction, mix, 100 * plan_trial_narrowing(curve, trial->fraction, assurance, fraction)
    };
}

/* For comparison: a further batch of each mix, and of the recommended recipe itself. */
static void add_points(const struct search *search, const struct curve *curve, double shown, struct plan_trial *trial)
{
    const struct specimen_set *set = search->set;
    const struct assurance *assurance = &search->request->assurance;
    for (uint32_t mix = 0; mix < set->n_mixes; mix++) {
        double fraction = set->mixes[mix].aggregate_fraction;
        if (set->mixes[mix].aggregate == trial->aggregate && fraction >= curve->x_min && fraction <= curve->x_max)
            add_point(trial, curve, assurance, fraction, mix);
    }
    if (mix_at(set, trial->aggregate, shown) == SAMPLE_ALL)
        add_point(trial, curve, assurance, shown, SAMPLE_ALL);
}

static void settle_margins(const struct curve *curve, const struct assurance *assurance, int side, double narrowing, struct plan_trial *trial)
{
    double error = plan_trial_error(curve, trial->fraction, assurance, side);
    trial->narrowing_pct = 100 * narrowing;
    trial->margin_now = normal_quantile((1 + assurance->confidence) / 2) * error;
    trial->margin_then = trial->margin_now * (1 - narrowing);
}

/* Where no demand is met only just, more results would not move the fraction. */
static void say_no_trial(const struct search *search, const struct candidate *candidate, struct plan_trial *trial)
{
    const char *aggregate = search->set->aggregates[candidate->aggregate];
    if (candidate->edge != 0)
        snprintf(trial->reason, sizeof trial->reason, "%.3g, the %s fraction of %.60s that was tested, meets the demands with room to spare: "
                 "cast beyond it, such as at %.3g, before anything between is looked at closer", candidate->aggregate_fraction,
                 candidate->edge > 0 ? "largest" : "smallest", aggregate, fraction_beyond(search, candidate));
    else
        snprintf(trial->reason, sizeof trial->reason, "at the recommended fraction %.3g of %.60s every demand is met with room to spare, and what "
                 "is sought is best there: a trial would hardly move it", candidate->aggregate_fraction, aggregate);
}

void plan_trial_make(const struct search *search, struct plan_trial *trial)
{
    const struct recommendation *answer = search->answer;
    const struct candidate *candidate = point_on_a_curve(answer);
    *trial = (struct plan_trial){ .aggregate = SAMPLE_ALL, .best_mix = SAMPLE_ALL, .property = PROPERTY_COUNT };
    if (!candidate) {
        snprintf(trial->reason, sizeof trial->reason, "no point on a curve meets the demands, so there is no fraction to narrow");
        return;
    }
    const struct demand_outcome *outcome = binding_demand(candidate);
    if (!outcome) {
        say_no_trial(search, candidate, trial);
        return;
    }
    trial->property = demand_property(&outcome->demand);
    const struct curve *curve = candidate_curve(answer, candidate, trial->property);
    double narrowing;
    trial->known = true;
    trial->aggregate = candidate->aggregate;
    trial->fraction = candidate->aggregate_fraction;
    trial->shown_fraction = candidate->shown_fraction;
    trial->specimens = curve->fit.has_batch_effect ? search->request->assurance.specimens_per_batch : 1;
    trial->best = plan_trial_best(curve, trial->fraction, &search->request->assurance, curve->x_min, curve->x_max, &narrowing);
    trial->best_mix = mix_at(search->set, trial->aggregate, trial->best);
    settle_margins(curve, &search->request->assurance, outcome->is_limit ? 1 : -1, narrowing, trial);
    add_points(search, curve, candidate->shown_fraction, trial);
}
