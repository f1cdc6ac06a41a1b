#ifndef TESTS_CALIBRATION_SIMULATE_H
#define TESTS_CALIBRATION_SIMULATE_H

#include "analysis/curve.h"
#include "support/invented.h"

#include <gsl/gsl_randist.h>
#include <gsl/gsl_rng.h>

/*
 * Studies like those of a workshop, made anew again and again from a known
 * truth: mixes of one aggregate at rising fractions, batches of each, specimens
 * of each batch. Strength follows a law; density falls along a straight line.
 */

/* How large the batches' luck is against the scatter of specimens. */
enum luck { LUCK_NONE, LUCK_WEAK, LUCK_STRONG, LUCK_COUNT };
static const double luck_ratio[LUCK_COUNT] = { 0, 0.5, 2 };

struct design {
    const char *words;
    size_t n_mixes, batches; /* batches of each mix */
    size_t specimens;        /* of each batch; 0: 1 to 4 by turns */
};

/* The truth. Scatter of specimens: sd of y, or of ln y for the laws of ln y. */
struct truth {
    enum law law;
    double coefficient[3], sd_specimen, sd_batch;
    double density[2], density_sd_specimen, density_sd_batch; /* kg/m3: intercept, slope */
};

#define X_FIRST 0.2
#define X_LAST 0.7

static inline double design_x(const struct design *design, size_t mix)
{
    return design->n_mixes == 1 ? 0.4 : X_FIRST + (X_LAST - X_FIRST) * (double)mix / (double)(design->n_mixes - 1);
}

static inline struct truth truth_of(enum law law, enum luck luck)
{
    static const double coefficient[LAW_COUNT][3] = {
        [LAW_LINEAR] = { 42, -38, 0 }, [LAW_QUADRATIC] = { 40, -22, -18 }, [LAW_EXPONENTIAL] = { 3.9, -2.1, 0 },
        [LAW_EXPONENTIAL_QUADRATIC] = { 3.7, -0.9, -1.6 }, [LAW_POWER] = { 2.0, -0.9, 0 },
    };
    struct truth truth = { .law = law, .density = { 2200, -1400 }, .density_sd_specimen = 12 };
    memcpy(truth.coefficient, coefficient[law], sizeof truth.coefficient);
    truth.sd_specimen = law_is_log(law) ? 0.05 : 1;
    truth.sd_batch = luck_ratio[luck] * truth.sd_specimen;
    truth.density_sd_batch = luck_ratio[luck] * truth.density_sd_specimen;
    return truth;
}

/* The law on its own scale, and on the scale of y: the median for the laws of ln y. */
static inline double truth_at(const struct truth *truth, double x)
{
    double terms[3] = { 0, 0, 0 }, value = 0;
    law_design(truth->law, x, terms);
    for (size_t j = 0; j < law_terms(truth->law); j++)
        value += truth->coefficient[j] * terms[j];
    return value;
}

static inline double truth_value(const struct truth *truth, double on_scale)
{
    return law_is_log(truth->law) ? exp(on_scale) : on_scale;
}

/* The value that a share of all specimens of all batches falls below. */
static inline double truth_fractile(const struct truth *truth, double x, double normal_quantile)
{
    return truth_value(truth, truth_at(truth, x) + normal_quantile * hypot(truth->sd_batch, truth->sd_specimen));
}

/* Mean of the specimens of one more batch. */
static inline double truth_next_batch(const struct truth *truth, double x, size_t specimens, gsl_rng *random)
{
    double of_batch = truth_at(truth, x) + gsl_ran_gaussian(random, truth->sd_batch), sum = 0;
    for (size_t k = 0; k < specimens; k++)
        sum += truth_value(truth, of_batch + gsl_ran_gaussian(random, truth->sd_specimen));
    return sum / (double)specimens;
}

static inline void simulate_reset(struct invented *study)
{
    struct specimen_set *set = &study->set;
    set->n = set->n_mixes = set->n_batches = set->n_aggregates = 0;
    set->has_batch_column = set->has_fraction = false;
}

static inline void simulate_batch(struct invented *study, const struct truth *truth, const struct invented_row *row, size_t specimens,
                                  gsl_rng *random)
{
    double luck = gsl_ran_gaussian(random, truth->sd_batch), density_luck = gsl_ran_gaussian(random, truth->density_sd_batch);
    for (size_t k = 0; k < specimens; k++) {
        size_t i = invented_add(study, row);
        invented_value(study, i, PROPERTY_COMPRESSIVE_STRENGTH,
                       truth_value(truth, truth_at(truth, row->fraction) + luck + gsl_ran_gaussian(random, truth->sd_specimen)));
        invented_value(study, i, PROPERTY_DENSITY, truth->density[0] + truth->density[1] * row->fraction + density_luck
                                                       + gsl_ran_gaussian(random, truth->density_sd_specimen));
    }
}

/* Makes the study anew; mixes are called M0, M1, ... */
static inline void simulate(struct invented *study, const struct design *design, const struct truth *truth, gsl_rng *random)
{
    static const char *const mixes[] = { "M0", "M1", "M2", "M3", "M4", "M5", "M6", "M7" };
    static const char *const batches[] = { "1", "2", "3", "4", "5", "6", "7", "8" };
    size_t turn = 0;
    simulate_reset(study);
    for (size_t m = 0; m < design->n_mixes; m++)
        for (size_t b = 0; b < design->batches; b++) {
            struct invented_row row = { mixes[m], "pumice", batches[b], design_x(design, m), 28, MOISTURE_AIR_DRY };
            simulate_batch(study, truth, &row, design->specimens ? design->specimens : 1 + turn++ % 4, random);
        }
}

#endif
