#ifndef ADVISE_SRC_SEARCH_H
#define ADVISE_SRC_SEARCH_H

#include "advise/recommend.h"
#include "advise/words.h"

/* Costs of the tested mixes, money per m3 of concrete. */
struct cost_book {
    double *per_m3;        /* one a mix of the set; NaN when it cannot be told */
    char reason[200];      /* why the first one cannot */
};

/* Bounds of curves at points that were asked for before. Release with bound_memo_release(). */
struct bound_memo { struct bound_slot *slots; };

#define FRACTION_SAME 1e-9 /* a point this near a tested fraction is that fraction */

/* All that the parts of one search share. */
struct search {
    const struct specimen_set *set;
    const struct recommend_request *request;
    struct recommendation *answer;
    struct cost_book costs;
    struct bound_memo bounds; /* of the one assurance asked for */
    struct property_sums sums; /* of the settled selection; made when there are many batches */
    bool *aggregate_wanted;   /* set->n_aggregates */
    double piece_m3;          /* NaN: no piece */
    bool us;                  /* words in US units */
};

/*
 * A recipe to be judged: a tested mix by its own results, or a point on an
 * aggregate's curves.
 */
struct recipe {
    uint32_t aggregate, mix;                    /* mix SAMPLE_ALL on a curve */
    double x;                                   /* aggregate fraction */
    const struct mix_summary *summary;          /* tested mix, else NULL */
    const struct curve *curve[PROPERTY_COUNT];  /* NULL: no result */
    double cost;                                /* per m3; NaN */
};

/* costs.c */
enum status cost_book_make(struct search *search, struct problem *problem);
/* Of the recipe between the neighbouring tested mixes, the one that a batch sheet is made for; NaN outside them. */
double cost_at_fraction(const struct search *search, uint32_t aggregate, double x);

/* bound_memo.c */
/* The searches with other demands walk along the same points of the same curves, and a bound costs a quantile. */
enum status bound_memo_make(struct bound_memo *memo);
void bound_memo_release(struct bound_memo *memo);
/* curve_bound(), remembered; a memo that was not made remembers nothing. */
double bound_memo_get(const struct bound_memo *memo, const struct curve *curve, double x, const struct assurance *assurance, int side);

/* demand.c */
double recipe_estimate(const struct recipe *recipe, enum property property);
/* The property's own value that a demand comes to: a piece mass as a density. */
double demand_property_value(const struct search *search, const struct demand *demand);
double recipe_assured(const struct search *search, const struct recipe *recipe, enum property property, int side);
size_t search_demands(const struct search *search);
/* Demand number i: targets first, then limits. */
const struct demand *search_demand(const struct search *search, size_t i, bool *is_limit);
/* Whether a cost is demanded or sought. */
bool cost_needed(const struct search *search);
/* The bound that counts for a demand, in its base unit. */
double demand_assured(const struct search *search, const struct recipe *recipe, const struct demand *demand, bool is_limit);
void demand_judge(const struct search *search, const struct recipe *recipe, const struct demand *demand, bool is_limit,
                  struct demand_outcome *outcome);
/* How far the assured value is on the right side, as a share of the demand; NaN when it cannot be told. */
double demand_margin(const struct demand *demand, bool is_limit, double assured);
/* The property whose results a demand is judged by; PROPERTY_COUNT for a cost. */
enum property demand_property(const struct demand *demand);

/* candidate.c */
double recipe_sought(const struct search *search, const struct recipe *recipe);
/* The candidate that is a mix as it was tested; NULL when it is none. */
const struct candidate *tested_candidate(const struct recommendation *answer, uint32_t mix);
/* Whether the settled selection leaves a mix any result. */
bool mix_has_results(const struct mix_summary *summary);
void candidate_fill(const struct search *search, const struct recipe *recipe, struct candidate *candidate);
struct recipe recipe_of_mix(const struct search *search, uint32_t mix);
/* The curve or mean that a candidate's property stands on; NULL without results. */
const struct curve *candidate_curve(const struct recommendation *answer, const struct candidate *candidate, enum property property);

/* A demanded property's curve behind an interpolated candidate that misses the mixes' means beyond chance (lack of fit); NULL without one. */
const struct curve *candidate_missing_curve(const struct recommendation *answer, const struct candidate *candidate);

/* The first used property's curve behind an interpolated candidate whose shape nothing tests; NULL without one. */
const struct curve *candidate_untested_curve(const struct recommendation *answer, const struct candidate *candidate);

/* "with 2 fractions of perlite only, nothing tests the shape of its curve of compressive strength between them: ..." */
void untested_curve_words(const struct specimen_set *set, const struct curve *curve, char *out, size_t size);

/* interpolate.c */
/* The best point on the curves of an aggregate, or the nearest to meeting the demands. False when there are no curves for it. */
bool interpolate_candidate(const struct search *search, uint32_t aggregate, struct candidate *candidate);
/* Whether the curves of an aggregate meet every demand at x; unknown where a curve is wanting. */
enum verdict { VERDICT_UNKNOWN, VERDICT_FAILS, VERDICT_MEETS };
enum verdict curve_verdict(const struct search *search, uint32_t aggregate, double x);
/* The limits of its fraction, by resampling. */
enum status interpolate_uncertainty(const struct search *search, struct candidate *candidate, struct problem *problem);

/* agreement.c */
/* A mix and the curve of its aggregate at its very fraction may disagree: says why, with the one that is believed. */
void caution_disagreement(const struct search *search, struct candidate *candidate);
/* "; the curve ... meets them" behind the reason of a mix that fails. Adds nothing when they agree. */
void disagreement_words(const struct search *search, const struct candidate *candidate, char *out, size_t size);
/* At the end of what was tested nothing says what lies beyond. */
void caution_edge(const struct search *search, struct candidate *candidate);
/* Where a trial beyond the edge would lie: half the way on that the neighbouring tested fraction lies back. */
double fraction_beyond(const struct search *search, const struct candidate *candidate);

/* resample.c */
/* Fills fraction_lower and fraction_upper of a feasible interpolated candidate. */
enum status resample_fraction(const struct search *search, const struct recipe *recipe, double low, double high,
                              struct candidate *candidate, struct problem *problem);

/* fit_curves.c */
/* The curves of every aggregate wanted, of every property that counts; on two threads when there are many specimens. */
enum status fit_curves(const struct search *search, struct problem *problem);

/* recommend.c */
/* Judges all tested mixes and the best point on each aggregate's curves; not yet ranked. */
enum status gather_candidates(const struct search *search, struct problem *problem);

/* sensitivity.c */
/* The search again with each target (without targets: each limit) at 0.8 to 1.2 times its value; curves stay. */
enum status sensitivity_make(const struct search *search, struct problem *problem);

/* front.c */
/* The recipes that no other beats in density, assured strength and cost at once. */
enum status front_make(const struct search *search, struct problem *problem);

/* enough.c */
/*
 * How many more batches like those already cast would let the assured value
 * meet the demand, if mean and scatter stay as they are; 0 when none would,
 * or when it cannot be told.
 */
size_t batches_wanting(const struct search *search, const struct mix_property *property, double value, int side);

/* reason.c */
/* "assured compressive strength of 9.8 MPa is below the target of 10 MPa (mean 11.2 MPa)" */
void outcome_fail_words(const struct demand_outcome *outcome, bool us, char *out, size_t size);
/* Why a candidate is not the first choice, in words; "" for the winner. */
void candidate_reason(const struct search *search, struct candidate *candidate, bool is_winner);
/* ranking.c */
/* Puts the candidates in order and marks the winner. */
enum status rank_candidates(struct search *search, struct problem *problem);
/* caution.c */
void candidate_caution(struct candidate *candidate, const char *format, ...) __attribute__((format(printf, 2, 3)));
void candidate_add_cautions(const struct search *search, struct candidate *candidate);
void search_add_notices(const struct search *search);

#endif
