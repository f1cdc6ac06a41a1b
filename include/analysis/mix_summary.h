#ifndef ANALYSIS_MIX_SUMMARY_H
#define ANALYSIS_MIX_SUMMARY_H

#include "analysis/curve.h"
#include "analysis/property_sums.h"

/*
 * Mean of one property of one mix with its batch and specimen scatter
 * (intercept-only random-batch fit). With one specimen in each batch, or no
 * batch column, the two cannot be told apart: sd_batch is NaN and sd_specimen
 * is the whole scatter.
 */
struct mix_property {
    bool available;
    size_t n_specimens, n_batches;
    double mean, sd_batch, sd_specimen; /* sd_batch NaN with one batch */
    double std_error, df;               /* NaN with one batch */
    struct curve curve;                 /* intercept-only: curve_bound works on it; fitted false with one batch */
};

struct mix_summary {
    uint32_t mix;                       /* set index */
    struct mix_property property[PROPERTY_COUNT];
    struct { double estimate, lower, upper; bool bounded; bool available; } percent_lighter; /* Fieller */
};

/*
 * One summary a mix, in set order: every mix of the set, also of aggregates
 * that the selection does not name, since the reference may be one of them.
 * percent_lighter is not available for the reference itself.
 * STATUS_USAGE   reference_mix is no mix of the set
 * STATUS_INPUT   several ages or moisture states (sample_take)
 * STATUS_MEMORY
 * Source: docs/methods/assured-values.md
 */
struct mix_summary_list { struct mix_summary *items; size_t n_items; };
enum status mix_summary_list_make(const struct specimen_set *set, const struct selection *selection,
                                  const char *reference_mix, double confidence,
                                  struct mix_summary_list *list, struct problem *problem);
/* The same of sums that are at hand (by the same selection); rows where none were made. */
enum status mix_summary_list_from(const struct specimen_set *set, const struct selection *selection, const struct property_sums *sums,
                                  const char *reference_mix, double confidence, struct mix_summary_list *list, struct problem *problem);
void mix_summary_list_release(struct mix_summary_list *list);

/* Set index of the reference mix: the named one, else the one with fraction 0 and the largest density; SAMPLE_ALL when none. */
uint32_t mix_reference(const struct specimen_set *set, const struct mix_summary_list *list, const char *name);

#endif
