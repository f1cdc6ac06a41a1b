#ifndef ANALYSIS_COMPARISON_H
#define ANALYSIS_COMPARISON_H

#include "analysis/mix_summary.h"
#include "analysis/trials.h"
#include "stats/ancova.h"
#include "stats/compare.h"
#include "stats/spread.h"

/*
 * Mixes and aggregates held against each other and against the reference.
 * Specimens of a batch are not independent, so the results compared are batch
 * means; where no batch is told, each specimen counts as one.
 * Source of all: docs/methods/comparison.md
 */

/* How a family of differences was judged. */
enum comparison_method {
    COMPARISON_NONE,
    COMPARISON_TUKEY_KRAMER, /* all pairs, one scatter for all */
    COMPARISON_GAMES_HOWELL, /* all pairs, each mix its own scatter */
    COMPARISON_DUNNETT,      /* against the reference, one scatter for all */
    COMPARISON_WELCH         /* against the reference, each its own scatter, chances added up (Bonferroni) */
};
const char *comparison_method_word(enum comparison_method method); /* "Tukey-Kramer" */

/* More mixes than this have more pairs than anybody reads: then only those with the reference are compared. */
#define COMPARISON_MIXES_MAX 50

/*
 * One property of all mixes. Owns its arrays. a and b of a comparison are set
 * indices of mixes. With log_scale the limits of a difference are those of the
 * ratio, about the geometric mean of the two: 2 sqrt(ab) sinh(ln ratio / 2);
 * std_error and statistic stay those of the logarithms.
 */
struct property_comparison {
    bool available;               /* false: reason says why not */
    char reason[240];             /* also: why the scatter was not pooled as it is; "" when nothing need be said */
    enum property property;
    size_t n_mixes, n_batches;    /* that have the property */
    double equal_means_f, equal_means_df1, equal_means_df2, equal_means_p; /* one-way analysis of variance of batch means */
    struct spread_test spread;    /* Brown-Forsythe on batch means of mixes with three or more; NaN when it cannot be had */
    struct spread_test bartlett;  /* Bartlett on batch means: the sharper of the two for few batches; NaN likewise */
    bool log_scale;               /* the mixes scatter alike only as ratios: families are judged on logarithms */
    enum comparison_method pairs_method, against_method;
    struct comparison *pairs;     /* a - b, all pairs */
    size_t n_pairs;
    struct comparison *against;   /* mix - reference */
    size_t n_against;
};

/*
 * Aggregates at equal `predictor`: one straight line for each, all of one
 * slope, through the means of the mixes. Strengths are taken as logarithms.
 */
struct line_comparison {
    bool available;               /* false: reason says why not */
    char reason[240];
    enum property property, predictor; /* predictor PROPERTY_COUNT: the aggregate fraction */
    bool log_scale;               /* differences are of ln y: exp() of them are ratios */
    bool parallel;                /* one slope for all is not contradicted; else no difference holds everywhere */
    size_t n_aggregates, n_mixes;
    uint32_t *aggregates;         /* set indices */
    struct ancova lines;          /* groups in the order of aggregates */
    struct comparison *pairs;     /* set indices of aggregates */
    bool *apart;                  /* the tested ranges of a pair do not meet: compared by extrapolation */
    size_t n_pairs;
};

/* Where an aggregate's curve reaches the target. */
enum reach { REACH_FOUND, REACH_BEYOND, REACH_NOWHERE, REACH_NO_CURVE };

/* One aggregate at the target: density where the mean curve reaches it. NaN where it cannot be had. */
struct aggregate_at_target {
    uint32_t aggregate;
    enum reach reach;             /* BEYOND: even the lightest tested fraction reaches it; that one is given */
    char reason[240];             /* NO_CURVE: why */
    enum law strength_law, density_law;
    double aggregate_fraction;
    double best;                  /* NOWHERE: the most that the curve reaches, base unit */
    double density_kg_m3, std_error, df, lower, upper;
};

/* One --target. pairs: differences of density between the aggregates that have an interval; all pairs together are sure. */
struct target_comparison {
    enum property property;
    double value;                 /* base unit */
    struct aggregate_at_target *aggregates;
    size_t n_aggregates;          /* those selected */
    struct comparison *pairs;     /* set indices of aggregates; p adjusted for all pairs */
    size_t n_pairs;
};

#define COMPARISON_TARGETS_MAX 16
struct comparison_target { enum property property; double value; };

struct comparison_question {
    struct selection selection;   /* settled */
    const char *reference_mix;    /* NULL: found */
    double confidence;
    enum law law;                 /* of the curves for the targets */
    struct comparison_target targets[COMPARISON_TARGETS_MAX];
    size_t n_targets;
};

/* The whole answer. Release with mix_comparison_release(). */
struct mix_comparison {
    struct selection selection;   /* as asked: what the numbers hold for */
    double confidence;
    uint32_t reference;           /* set index, SAMPLE_ALL when there is none */
    bool batches_told;            /* false: each specimen counts as a batch, which is optimistic */
    struct mix_summary_list means;
    bool *shown;                  /* set->n_mixes: selected, or the reference */
    struct property_comparison property[PROPERTY_COUNT];
    struct line_comparison lines[PROPERTY_COUNT];
    struct target_comparison targets[COMPARISON_TARGETS_MAX];
    size_t n_targets;
    struct mix_trials_list trials; /* pass or fail; may be empty */
};

/*
 * STATUS_USAGE   the reference mix is not in the set
 * STATUS_INPUT   several ages or moisture states (sample_take)
 * STATUS_TOO_FEW fewer than two mixes are selected, by results or else by pass-or-fail trials
 * STATUS_MEMORY
 */
enum status mix_comparison_make(const struct specimen_set *set, const struct comparison_question *question,
                                struct mix_comparison *answer, struct problem *problem);
void mix_comparison_release(struct mix_comparison *answer);

#endif
