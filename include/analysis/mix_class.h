#ifndef ANALYSIS_MIX_CLASS_H
#define ANALYSIS_MIX_CLASS_H

#include "analysis/mix_summary.h"
#include "specimen/classes.h"

/* Oven-dry density by what went into the mixer (ASTM C567), of one mix. */
enum calculated_from { CALCULATED_NOT, CALCULATED_FROM_RECIPE, CALCULATED_FROM_BATCHES };
struct calculated_density {
    double kg_m3;               /* NaN with CALCULATED_NOT */
    enum calculated_from from;
};

/* Names by the documents of ACI; docs/methods/classes.md. */
enum concrete_kind { CONCRETE_NO_KIND, CONCRETE_INSULATING, CONCRETE_MODERATE, CONCRETE_STRUCTURAL };

/*
 * What a mix would be called, by its means. Never a proof of conformity: EN 206
 * judges characteristic strengths by sampling of the production.
 */
struct mix_class {
    uint32_t mix;                       /* set index */
    double oven_dry_kg_m3;              /* mean of the specimens, NaN when none was dried */
    size_t n_oven_dry;
    struct calculated_density calculated;
    double air_dry_kg_m3;               /* mean of the air-dry specimens of the age */
    size_t n_air_dry;
    double equilibrium_kg_m3;           /* estimate: calculated oven-dry density, else the measured one, and 50 kg/m3 */
    double dry_kg_m3;                   /* what the classes go by: measured, else calculated; NaN */
    const struct density_class *density_class; /* NULL: none */
    const char *why_no_density_class;   /* "" with a class */
    double conductivity_w_mk;           /* NaN above 2000 kg/m3 */
    double tension_factor, modulus_factor; /* NaN without a density class */
    double age_days;                    /* of the strength; NaN not told */
    double strength_mpa;                /* mean compressive strength; NaN */
    size_t n_strength;
    enum shape shape;                   /* of all these specimens; SHAPE_UNKNOWN when not told or of several */
    const struct strength_class *strength_class;
    const char *why_no_strength_class;  /* "" with a class, and without a strength */
    enum concrete_kind kind;
};

struct mix_class_list { struct mix_class *items; size_t n_items; };

/*
 * Classes of every mix that has rows, in set order.
 *
 * selection   settled (selection_settle)
 * means       of the same set and selection
 * calculated  one a mix of the set, or NULL
 *
 * STATUS_MEMORY; failures of sample_take
 * Source: docs/methods/classes.md
 */
enum status mix_class_list_make(const struct specimen_set *set, const struct selection *selection,
                                const struct mix_summary_list *means, const struct calculated_density *calculated,
                                struct mix_class_list *list, struct problem *problem);
void mix_class_list_release(struct mix_class_list *list);

/* Whether there is anything to show: a strength or a dry density. */
bool mix_class_list_tells(const struct mix_class_list *list);

#endif
