#ifndef ANALYSIS_DRYING_STUDY_H
#define ANALYSIS_DRYING_STUDY_H

#include "specimen/specimen_set.h"
#include "specimen/weighings.h"
#include "stats/approach.h"

/* What the weighings of one specimen say. */
struct drying_result {
    const struct weighing_series *series;
    const struct drying_rule *rule;  /* drying_rule_oven or drying_rule_equilibrium */
    enum moisture moisture;          /* as the specimens say; MOISTURE_UNKNOWN also when they do not name it */
    bool in_set;
    bool judged;                     /* two weighings or more */
    struct drying_state state;
    bool fitted;
    struct approach_fit fit;         /* hours and kg; limit is the equilibrium mass */
    double to_lose_pct;              /* of the equilibrium mass, from the last weighing; NaN without a fit */
    char why_not[160];               /* no fit: the reason, for a reader */
};

/* Borrows from the weighings. Release with drying_study_release(). */
struct drying_study {
    struct drying_result *items;
    size_t n_items;
    double confidence;               /* of the equilibrium mass */
    bool us_units;                   /* masses were typed in a US unit */
    const char *path;
};

/*
 * Judges each specimen's weighings and fits its drying curve. The rule is the
 * oven's or the air's as the weighings say, else as the moisture state of the
 * specimen says, else the air's when they span its 28 days.
 * Doubts: a specimen said to be oven-dry or air-dry whose mass is not constant.
 * Notices: weighings of a specimen that the specimens do not name.
 * STATUS_MEMORY
 * Source: docs/methods/drying.md
 */
enum status drying_study_make(const struct weighing_list *weighings, const struct specimen_set *set, double confidence,
                              struct drying_study *study, struct problem_list *problems);
void drying_study_release(struct drying_study *study);

#endif
