#ifndef TESTS_UNIT_OUTPUT_STUDY_H
#define TESTS_UNIT_OUTPUT_STUDY_H

#include "advise/recommend.h"
#include "base/memory.h"
#include "output/answer_quality.h"
#include "specimen/specimen_set.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

/*
 * An invented study, written as CSV and read by the program: a gravel reference and three light
 * aggregates at five fractions, four batches a mix, three cubes a batch, with
 * scatter from a fixed sequence. Curves and summaries come from the real
 * analysis; candidates are written by hand, so that what is shown can be known.
 */
#define STUDY_FRACTIONS 5
#define STUDY_BATCHES 4
#define STUDY_CUBES 3
#define STUDY_AGGREGATES 4
#define STUDY_MIXES (1 + (STUDY_AGGREGATES - 1) * STUDY_FRACTIONS)
#define STUDY_DRAWS 40
#define STUDY_N (STUDY_MIXES * STUDY_BATCHES * STUDY_CUBES)

struct study {
    struct specimen_set set;
    struct recommend_request request;
    struct recommendation answer;
    struct problem_list problems;
    char names[STUDY_MIXES][96];
    const char *aggregates[STUDY_AGGREGATES];
    struct curve_set curves[2 * STUDY_AGGREGATES];
    struct candidate candidates[3];
    struct sensitivity_point sensitivity[3];
    double draws[STUDY_DRAWS];
    struct quality quality[2];
    struct quality_list qualities;
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

static inline uint32_t study_aggregate_of(uint32_t mix)
{
    return mix == 0 ? 0 : 1 + (mix - 1) / STUDY_FRACTIONS;
}

static inline double study_fraction_of(uint32_t mix)
{
    return mix == 0 ? 0 : 0.2 + 0.1 * ((mix - 1) % STUDY_FRACTIONS);
}

static inline void study_csv_text(FILE *file, const char *string)
{
    fputc('"', file);
    for (; *string; string++)
        fprintf(file, *string == '"' ? "\"\"" : "%c", *string);
    fputs("\",", file);
}

static inline void study_write_csv(struct study *study, FILE *file)
{
    uint32_t state = 7;
    fputs("specimen,mix,aggregate,batch,aggregate_fraction,age_days,moisture,density_kg_m3,compressive_strength_mpa\n", file);
    for (uint32_t m = 0, i = 0; m < STUDY_MIXES; m++) {
        uint32_t aggregate = study_aggregate_of(m);
        double x = study_fraction_of(m), slope = 1.9 + 0.5 * aggregate;
        for (uint32_t b = 0; b < STUDY_BATCHES; b++) {
            double luck = study_scatter(&state), heavy = study_scatter(&state);
            for (uint32_t k = 0; k < STUDY_CUBES; k++, i++) {
                double density = 2250 - (1650 + 120 * aggregate) * x + 14 * heavy + 8 * study_scatter(&state);
                double strength = exp(3.5 - slope * x + 0.05 * luck + 0.04 * study_scatter(&state));
                fprintf(file, "s%u,", (unsigned)i + 1);
                study_csv_text(file, study->names[m]);
                study_csv_text(file, study->aggregates[aggregate]);
                fprintf(file, "b%u,%.2f,28,air-dry,%.17g,%.17g\n", (unsigned)b + 1, x, density, strength);
            }
        }
    }
}

/* The set as the program would read it. */
static inline bool study_read(struct study *study)
{
    char path[] = "/tmp/plumestone-study-XXXXXX";
    int descriptor = mkstemp(path);
    FILE *file = descriptor < 0 ? NULL : fdopen(descriptor, "w");
    if (!file)
        return false;
    study_write_csv(study, file);
    fclose(file);
    const char *const paths[] = { path };
    const struct specimen_set_settings settings = { 0 };
    enum status status = specimen_set_read(paths, 1, &settings, &study->set, &study->problems);
    unlink(path);
    for (size_t i = 0; i < study->problems.n_items && status != STATUS_OK; i++)
        fprintf(stderr, "%s\n", study->problems.items[i].text);
    return status == STATUS_OK;
}

static inline void study_ask(struct study *study)
{
    study->request = (struct recommend_request){
        .selection = { .age_days = 28, .moisture = MOISTURE_AIR_DRY }, .n_targets = 1, .law = LAW_AUTO,
        .targets = { { DEMAND_PROPERTY, PROPERTY_COMPRESSIVE_STRENGTH, 10 } },
        .assurance = { ASSURANCE_NEXT_BATCH, 0.95, 0.05, 3 }, .piece = { { 400, 400, 40 }, 6.4 }, .seed = 20240229 };
}

static inline struct candidate study_candidate(uint32_t aggregate, uint32_t mix, double x, double density, double strength, double assured)
{
    struct candidate candidate = { .interpolated = mix == SAMPLE_ALL, .aggregate = aggregate, .mix = mix, .aggregate_fraction = x, .shown_fraction = x, .at_mix = SAMPLE_ALL, .sought = density,
        .density_kg_m3 = density, .density_lower = density - 25, .density_upper = density + 25,
        .fraction_lower = mix == SAMPLE_ALL ? x - 0.02 : NAN, .fraction_upper = mix == SAMPLE_ALL ? x + 0.02 : NAN,
        .n_outcomes = 1, .feasible = assured >= 10, .piece_mass_kg = density * 0.0064, .piece_mass_assured_kg = density * 0.0065,
        .percent_lighter = 100 * (1 - density / 2250), .percent_lighter_lower = 100 * (1 - density / 2250) - 1,
        .percent_lighter_upper = 100 * (1 - density / 2250) + 1, .cost = NAN, .n_specimens = 60, .n_batches = 20 };
    candidate.outcomes[0] = (struct demand_outcome){ { DEMAND_PROPERTY, PROPERTY_COMPRESSIVE_STRENGTH, 10 }, false, strength, assured, assured >= 10, true, 0.97 };
    return candidate;
}

/* Quality of testing of density and strength. */
static inline bool study_measure(struct study *study, struct problem *problem)
{
    static const enum property properties[] = { PROPERTY_DENSITY, PROPERTY_COMPRESSIVE_STRENGTH };
    study->qualities = (struct quality_list){ study->quality, 0 };
    for (size_t p = 0; p < 2; p++) {
        if (quality_measure(&study->set, &study->request.selection, &study->answer.mixes, properties[p], &study->quality[p], problem) != STATUS_OK)
            return false;
        study->qualities.n_items++;
    }
    return true;
}

static inline bool study_analyse(struct study *study)
{
    struct recommendation *answer = &study->answer;
    struct problem problem;
    bool good = mix_summary_list_make(&study->set, &study->request.selection, study->names[0], 0.95, &answer->mixes, &problem) == STATUS_OK;
    size_t n = 0;
    for (uint32_t a = 1; good && a < STUDY_AGGREGATES; a++) {
        static const enum property properties[] = { PROPERTY_DENSITY, PROPERTY_COMPRESSIVE_STRENGTH };
        for (size_t p = 0; good && p < 2; p++)
            good = curve_set_fit(&study->set, &study->request.selection, a, properties[p], PROPERTY_COUNT, LAW_AUTO, &study->curves[n++], &problem) == STATUS_OK;
    }
    good = good && study_measure(study, &problem);
    if (!good)
        fprintf(stderr, "%s\n", problem.text);
    study->candidates[0] = study_candidate(1, SAMPLE_ALL, 0.412, 1525.25, 11.1875, 10.0);
    study->candidates[1] = study_candidate(1, 3, 0.4, 1542, 11.4, 10.2);
    study->candidates[2] = study_candidate(2, 8, 0.4, 1500, 9.9, 8.75);
    snprintf(study->candidates[0].cautions[study->candidates[0].n_cautions++], 200, "cast a confirming batch");
    snprintf(study->candidates[1].why_not, 320, "17 kg/m3 heavier");
    snprintf(study->candidates[2].why_not, 320, "assured compressive strength 8.8 MPa is below 10 MPa");
    for (size_t i = 0; i < 3; i++) /* the last one asks for too much */
        study->sensitivity[i] = (struct sensitivity_point){ 0, 0.9 + 0.1 * (double)i, 9 + (double)i, i < 2, study->candidates[i] };
    for (size_t i = 0; i < STUDY_DRAWS; i++)
        study->draws[i] = 0.392 + 0.001 * (double)i;
    answer->draws = (struct fraction_draws){ study->draws, STUDY_DRAWS, STUDY_DRAWS + 2, 0 };
    answer->sensitivity = study->sensitivity;
    answer->n_sensitivity = 3;
    answer->found = true;
    answer->candidates = study->candidates;
    answer->n_candidates = 3;
    answer->reference = 0;
    answer->strength = PROPERTY_COMPRESSIVE_STRENGTH;
    answer->selection = study->request.selection;
    answer->curves = study->curves;
    answer->n_curves = n;
    return good;
}

static inline bool study_finish(struct study *study)
{
    study_ask(study);
    return study_read(study) && study_analyse(study);
}

/* False when the reading or the analysis below failed. Release with study_release(). */
static inline bool study_make(struct study *study)
{
    static const char *const aggregates[STUDY_AGGREGATES] = { "gravel", "pumice", "expanded clay", "perlite" };
    memset(study, 0, sizeof *study);
    memcpy(study->aggregates, aggregates, sizeof aggregates);
    for (uint32_t m = 0; m < STUDY_MIXES; m++)
        snprintf(study->names[m], sizeof study->names[m], m == 0 ? "reference" : "%c-%02.0f", "GPCL"[study_aggregate_of(m)], 100 * study_fraction_of(m));
    return study_finish(study);
}

/* The same study with these STUDY_MIXES names of mixes and STUDY_AGGREGATES names of aggregates. */
static inline bool study_make_named(struct study *study, const char *const *mixes, const char *const *aggregates)
{
    memset(study, 0, sizeof *study);
    for (size_t a = 0; a < STUDY_AGGREGATES; a++)
        study->aggregates[a] = aggregates[a];
    for (uint32_t m = 0; m < STUDY_MIXES; m++)
        snprintf(study->names[m], sizeof study->names[m], "%s", mixes[m]);
    return study_finish(study);
}

static inline void study_release(struct study *study)
{
    for (size_t i = 0; i < study->answer.n_curves; i++)
        curve_set_release(&study->curves[i]);
    for (size_t i = 0; i < study->qualities.n_items; i++)
        quality_release(&study->quality[i]);
    mix_summary_list_release(&study->answer.mixes);
    specimen_set_release(&study->set);
    problem_list_release(&study->problems);
}

#endif
