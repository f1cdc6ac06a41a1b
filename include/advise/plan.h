#ifndef ADVISE_PLAN_H
#define ADVISE_PLAN_H

#include "advise/recommend.h"

/*
 * What to cast next: how many batches and specimens a demand or a difference
 * takes, and the one trial that narrows the recommended fraction most. All of
 * it holds if means and scatter stay as found so far.
 * Source of all: docs/methods/plan.md
 */

/* Scatter of one recipe's results, on the scale that they were fitted on. */
struct plan_scatter {
    double mean;                    /* of its natural logarithm when log_scale */
    double var_batch, var_specimen; /* var_batch 0 when apart is false: specimens stand for batches */
    bool log_scale;
    bool apart;                     /* batches can be told from specimens */
};

/*
 * Chance that n_batches of per_batch specimens of this recipe alone will put
 * the assured value on the right side of `wanted` (own scale): below for a
 * target (side -1), above for a limit (side +1). Noncentral t of the batch
 * means; Satterthwaite for a fractile. NaN for fewer than 2 batches.
 */
double plan_chance(const struct plan_scatter *scatter, double wanted, int side, const struct assurance *assurance,
                   double n_batches, double per_batch);

/* The same to 1e-12, in less time: to search by. */
double plan_chance_near(const struct plan_scatter *scatter, double wanted, int side, const struct assurance *assurance,
                        double n_batches, double per_batch);

/* The assured value to be expected then, own scale: mean and scatter put into the bound. */
double plan_bound(const struct plan_scatter *scatter, int side, const struct assurance *assurance, double n_batches, double per_batch);

/* Chance that two recipes of this scatter, n_batches each, that differ by `difference` (own scale) are told apart, two-sided. */
double plan_difference_chance(const struct plan_scatter *scatter, double difference, double confidence, double n_batches, double per_batch);

/* Specimens a batch that are looked at. */
#define PLAN_SIZES 5
extern const double plan_sizes[PLAN_SIZES]; /* 1, 2, 3, 4, 6 */

/* Nobody casts more batches of one recipe to settle a doubt. */
#define PLAN_BATCHES_MOST 40

/* Smallest number of batches with at least that chance; 0: more than PLAN_BATCHES_MOST, or never. */
size_t plan_batches(const struct plan_scatter *scatter, double wanted, int side, const struct assurance *assurance, double per_batch, double power);
size_t plan_difference_batches(const struct plan_scatter *scatter, double difference, double confidence, double per_batch, double power);

/* One demand of one recipe. */
struct plan_line {
    size_t candidate;               /* in the recommendation */
    size_t demand;                  /* targets first, then limits */
    bool known;                     /* false: reason says why not */
    char reason[160];
    struct plan_scatter scatter;    /* of the property behind the demand (density for a piece mass) */
    bool borrowed;                  /* scatter of its aggregate's curve, since one batch has none */
    double wanted;                  /* in the property's unit */
    double estimate, assured;       /* as found so far, in the demand's unit; assured NaN when it cannot be had */
    bool met;
    size_t n_batches;               /* cast so far; 0 for a point on a curve */
    size_t batches[PLAN_SIZES];     /* needed in all */
    double specimens;               /* a batch, as the request has it: 1 where batches cannot be told apart */
    size_t needed;                  /* batches of so many specimens; 0 as for plan_batches() */
};

/* Chances of one line for 2, 3, ... batches. */
#define PLAN_GRID_BATCHES 9
struct plan_grid { double chance[PLAN_GRID_BATCHES][PLAN_SIZES]; };

/*
 * A recommended point lies where its curve just meets a demand, so its own
 * results would clear it only half the time, however many. This is the
 * fraction nearest to it where so many batches meet every demand with the
 * chance wanted; NaN when the tested range has none.
 */
struct plan_reach { size_t batches; double fraction, density_kg_m3; };
#define PLAN_REACHES 4

struct plan_difference { enum property property; double value; };
#define PLAN_DIFFERENCES_MAX 8
struct plan_difference_line {
    size_t candidate, difference;
    bool known;
    struct plan_scatter scatter;
    size_t batches[PLAN_SIZES];     /* of each of the two recipes */
};

/* A trial of one batch and what it is expected to do to the recommended fraction. */
struct plan_point { double fraction; uint32_t mix; double narrowing_pct; }; /* mix SAMPLE_ALL when not cast before */
#define PLAN_POINTS 12
struct plan_trial {
    bool known;                     /* false: reason says why not */
    char reason[300];
    uint32_t aggregate;
    enum property property;         /* whose demand decides the fraction */
    double fraction, shown_fraction;/* recommended now; the latter as it is told, on the safe side */
    double best;                    /* fraction of the best trial */
    uint32_t best_mix;              /* the tested mix there, or SAMPLE_ALL */
    double specimens;               /* in the batch */
    double margin_now, margin_then; /* half-width of the confidence interval of the recommended fraction */
    double narrowing_pct;
    struct plan_point points[PLAN_POINTS]; /* n_points: at the tested mixes and at the recommended fraction, for comparison */
    size_t n_points;
};

struct plan_request {
    double power;                   /* wanted chance */
    struct plan_difference differences[PLAN_DIFFERENCES_MAX];
    size_t n_differences;
};

/* Owns its arrays; release with plan_release(). */
struct plan {
    struct plan_line *lines;        /* demand by demand, candidates in rank order; costs have none */
    size_t n_lines;
    size_t focus;                   /* the line that the first sentence and the grid are about: the hardest demand of the winner, else of
                                       the first candidate within reach of all demands; n_lines when there is none */
    struct plan_grid grid;
    struct plan_reach reaches[PLAN_REACHES]; /* n_reaches: only when the focus is a point on a curve */
    size_t n_reaches;
    struct plan_difference_line *difference_lines;
    size_t n_difference_lines;
    struct plan_trial trial;
};

/*
 * From a recommendation as recommend_search() left it (also with found false).
 * STATUS_MEMORY
 */
enum status plan_make(const struct specimen_set *set, const struct recommend_request *request, const struct recommendation *answer,
                      const struct plan_request *plan_request, struct plan *plan, struct problem *problem);
void plan_release(struct plan *plan);

/*
 * How much better the fraction x, where the assured value of a curve meets its
 * demand, is known with one more batch (of assurance->specimens_per_batch) at
 * `trial`: share by which its standard error shrinks. Delta method: the bound
 * moves with the curve, whose variance the batch reduces wherever it is cast,
 * and with the scatter, which gains a degree of freedom.
 */
double plan_trial_narrowing(const struct curve *curve, double x, const struct assurance *assurance, double trial);

/* Standard error of that fraction now: of the bound at x over the slope of the bound. Side as for curve_bound(). */
double plan_trial_error(const struct curve *curve, double x, const struct assurance *assurance, int side);

/* The trial between low and high, to the thousandth, that narrows most. */
double plan_trial_best(const struct curve *curve, double x, const struct assurance *assurance, double low, double high, double *narrowing);

#endif
