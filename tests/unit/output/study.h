#ifndef TESTS_UNIT_OUTPUT_STUDY_H
#define TESTS_UNIT_OUTPUT_STUDY_H

#include "advise/recommend.h"
#include "base/memory.h"
#include "specimen/specimen_set.h"

#include <limits.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

/*
 * An invented study made in memory: a gravel reference and three light
 * aggregates at five fractions, four batches a mix, three cubes a batch, with
 * scatter from a fixed sequence. Curves and summaries come from the real
 * analysis; candidates are written by hand, so that what is shown can be known.
 */
#define STUDY_FRACTIONS 5
#define STUDY_BATCHES 4
#define STUDY_CUBES 3
#define STUDY_AGGREGATES 4
#define STUDY_MIXES (1 + (STUDY_AGGREGATES - 1) * STUDY_FRACTIONS)
#define STUDY_N (STUDY_MIXES * STUDY_BATCHES * STUDY_CUBES)

struct study {
    struct specimen_set set;
    struct recommend_request request;
    struct recommendation answer;
    char names[STUDY_MIXES][96], batch_names[STUDY_MIXES * STUDY_BATCHES][16], aggregates[STUDY_AGGREGATES][96];
    char *aggregate_list[STUDY_AGGREGATES], *paths[1], path[32];
    uint32_t mix[STUDY_N], batch[STUDY_N], line[STUDY_N], flags[STUDY_N], id[STUDY_N];
    uint16_t file[STUDY_N];
    uint8_t moisture[STUDY_N], result[STUDY_N];
    double age[STUDY_N], density[STUDY_N], strength[STUDY_N];
    struct set_mix mixes[STUDY_MIXES];
    struct set_batch batches[STUDY_MIXES * STUDY_BATCHES];
    struct curve_set curves[2 * STUDY_AGGREGATES];
    struct candidate candidates[3];
};

/* A fixed sequence about normal, mean 0, sd 1: sum of twelve uniforms. */
static inline double study_scatter(uint32_t *state)
{
    double sum = -6;
    for (int i = 0; i < 12; i++) {
        *state = *state * 1664525u + 1013904223u;
        sum += (*state >> 8) / 16777216.0;
    }
    return sum;
}

static inline void study_fill(struct study *study)
{
    uint32_t state = 7;
    for (uint32_t m = 0, i = 0; m < STUDY_MIXES; m++) {
        double x = study->mixes[m].aggregate_fraction;
        double slope = 1.9 + 0.5 * study->mixes[m].aggregate;
        for (uint32_t b = 0; b < STUDY_BATCHES; b++) {
            double luck = study_scatter(&state), heavy = study_scatter(&state);
            study->batches[m * STUDY_BATCHES + b] = (struct set_batch){ study->batch_names[m * STUDY_BATCHES + b], m };
            for (uint32_t k = 0; k < STUDY_CUBES; k++, i++) {
                study->mix[i] = m;
                study->batch[i] = m * STUDY_BATCHES + b;
                study->line[i] = i + 2;
                study->moisture[i] = MOISTURE_AIR_DRY;
                study->age[i] = 28;
                study->density[i] = 2250 - (1650 + 120 * study->mixes[m].aggregate) * x + 14 * heavy + 8 * study_scatter(&state);
                study->strength[i] = exp(3.5 - slope * x + 0.05 * luck + 0.04 * study_scatter(&state));
            }
        }
    }
}

static inline void study_names(struct study *study)
{
    static const char *const aggregates[] = { "gravel", "pumice", "expanded clay", "perlite" }; /* G P C L */
    for (size_t a = 0; a < STUDY_AGGREGATES; a++) {
        snprintf(study->aggregates[a], sizeof study->aggregates[a], "%s", aggregates[a]);
        study->aggregate_list[a] = study->aggregates[a];
    }
    for (uint32_t m = 0; m < STUDY_MIXES; m++) {
        uint32_t a = m == 0 ? 0 : 1 + (m - 1) / STUDY_FRACTIONS;
        double x = m == 0 ? 0 : 0.2 + 0.1 * ((m - 1) % STUDY_FRACTIONS);
        snprintf(study->names[m], sizeof study->names[m], m == 0 ? "reference" : "%c-%02.0f", "GPCL"[a], 100 * x);
        study->mixes[m] = (struct set_mix){ study->names[m], a, x, STUDY_BATCHES * STUDY_CUBES, STUDY_BATCHES };
    }
    for (size_t b = 0; b < STUDY_MIXES * STUDY_BATCHES; b++)
        snprintf(study->batch_names[b], sizeof study->batch_names[b], "b%zu", b % STUDY_BATCHES + 1);
    snprintf(study->path, sizeof study->path, "trial.csv");
    study->paths[0] = study->path;
}

static inline void study_connect(struct study *study)
{
    struct specimen_set *set = &study->set;
    *set = (struct specimen_set){ .n = STUDY_N, .mix = study->mix, .batch = study->batch, .line = study->line, .file = study->file,
        .moisture = study->moisture, .result = study->result, .flags = study->flags, .age_days = study->age, .id = study->id,
        .mixes = study->mixes, .n_mixes = STUDY_MIXES, .batches = study->batches, .n_batches = STUDY_MIXES * STUDY_BATCHES,
        .aggregates = study->aggregate_list, .n_aggregates = STUDY_AGGREGATES, .paths = study->paths, .n_paths = 1,
        .has_aggregate_column = true, .has_batch_column = true, .has_fraction = true, .fingerprint = UINT64_C(0x0123456789abcdef) };
    set->value[PROPERTY_DENSITY] = study->density;
    set->value[PROPERTY_COMPRESSIVE_STRENGTH] = study->strength;
    study->request = (struct recommend_request){
        .selection = { .age_days = 28, .moisture = MOISTURE_AIR_DRY }, .n_targets = 1, .law = LAW_AUTO,
        .targets = { { DEMAND_PROPERTY, PROPERTY_COMPRESSIVE_STRENGTH, 10 } },
        .assurance = { ASSURANCE_NEXT_BATCH, 0.95, 0.05, 3 }, .piece_mm = { 400, 400, 40 }, .seed = 20240229 };
}

static inline struct candidate study_candidate(uint32_t aggregate, uint32_t mix, double x, double density, double strength, double assured)
{
    struct candidate candidate = { .interpolated = mix == SAMPLE_ALL, .aggregate = aggregate, .mix = mix, .aggregate_fraction = x, .shown_fraction = x, .at_mix = SAMPLE_ALL, .sought = density,
        .density_kg_m3 = density, .density_lower = density - 25, .density_upper = density + 25,
        .fraction_lower = mix == SAMPLE_ALL ? x - 0.02 : NAN, .fraction_upper = mix == SAMPLE_ALL ? x + 0.02 : NAN,
        .n_outcomes = 1, .feasible = assured >= 10, .piece_mass_kg = density * 0.0064, .piece_mass_assured_kg = density * 0.0065,
        .percent_lighter = 100 * (1 - density / 2250), .percent_lighter_lower = 100 * (1 - density / 2250) - 1,
        .percent_lighter_upper = 100 * (1 - density / 2250) + 1, .cost = NAN, .n_specimens = 60, .n_batches = 20 };
    candidate.outcomes[0] = (struct demand_outcome){ { DEMAND_PROPERTY, PROPERTY_COMPRESSIVE_STRENGTH, 10 }, false, strength, assured, assured >= 10, 0.97 };
    return candidate;
}

static inline bool study_analyse(struct study *study)
{
    struct recommendation *answer = &study->answer;
    struct problem problem;
    bool good = mix_summary_list_make(&study->set, &study->request.selection, "reference", 0.95, &answer->mixes, &problem) == STATUS_OK;
    size_t n = 0;
    for (uint32_t a = 1; good && a < STUDY_AGGREGATES; a++) {
        static const enum property properties[] = { PROPERTY_DENSITY, PROPERTY_COMPRESSIVE_STRENGTH };
        for (size_t p = 0; good && p < 2; p++)
            good = curve_set_fit(&study->set, &study->request.selection, a, properties[p], PROPERTY_COUNT, LAW_AUTO, &study->curves[n++], &problem) == STATUS_OK;
    }
    if (!good)
        fprintf(stderr, "%s\n", problem.text);
    study->candidates[0] = study_candidate(1, SAMPLE_ALL, 0.412, 1525.25, 11.1875, 10.0);
    study->candidates[1] = study_candidate(1, 3, 0.4, 1542, 11.4, 10.2);
    study->candidates[2] = study_candidate(2, 8, 0.4, 1500, 9.9, 8.75);
    snprintf(study->candidates[0].cautions[study->candidates[0].n_cautions++], 200, "cast a confirming batch");
    snprintf(study->candidates[1].why_not, 320, "17 kg/m3 heavier");
    snprintf(study->candidates[2].why_not, 320, "assured compressive strength 8.8 MPa is below 10 MPa");
    answer->found = true;
    answer->candidates = study->candidates;
    answer->n_candidates = 3;
    answer->reference = 0;
    answer->curves = study->curves;
    answer->n_curves = n;
    return good;
}

/* False when the analysis below failed. Release with study_release(). */
static inline bool study_make(struct study *study)
{
    memset(study, 0, sizeof *study);
    study_names(study);
    study_fill(study);
    study_connect(study);
    return study_analyse(study);
}

static inline void study_release(struct study *study)
{
    for (size_t i = 0; i < study->answer.n_curves; i++)
        curve_set_release(&study->curves[i]);
    mix_summary_list_release(&study->answer.mixes);
}

#endif
