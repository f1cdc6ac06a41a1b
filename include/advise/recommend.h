#ifndef ADVISE_RECOMMEND_H
#define ADVISE_RECOMMEND_H

#include "analysis/mix_summary.h"
#include "specimen/mixes.h"

/* What may be demanded: a property, or one of these. */
enum demand_kind { DEMAND_PROPERTY, DEMAND_PIECE_MASS, DEMAND_COST };
struct demand {
    enum demand_kind kind;
    enum property property;  /* for DEMAND_PROPERTY */
    double value;            /* base unit; kg for piece mass; money per m3 for cost */
};

enum seek { SEEK_LIGHTEST, SEEK_STRONGEST, SEEK_CHEAPEST, SEEK_COUNT };
const char *seek_word(enum seek seek);
bool seek_find(const char *word, enum seek *seek);

#define DEMANDS_MAX 16
struct recommend_request {
    struct selection selection;
    struct demand targets[DEMANDS_MAX]; /* minimum */
    size_t n_targets;
    struct demand limits[DEMANDS_MAX];  /* maximum */
    size_t n_limits;
    enum seek seek;
    struct assurance assurance;
    enum law law;
    double piece_mm[3];                 /* NaN: no piece */
    double inserts_mass_kg;             /* 0 */
    const char *reference_mix;          /* NULL: found */
    const struct mix_list *mixes;       /* NULL allowed */
    const struct material_list *materials;
    uint64_t seed;
    size_t n_resamples;                 /* bootstrap; 0 = none */
};

/* One demand held against a candidate. */
struct demand_outcome {
    struct demand demand;
    bool is_limit;
    double estimate, assured;  /* base unit; NaN when it cannot be told */
    bool met;
    double chance;             /* chance that the next batch's mean meets it; NaN */
};

#define CANDIDATE_CAUTIONS 8
struct candidate {
    bool interpolated;         /* else tested */
    uint32_t aggregate, mix;   /* set indices; mix SAMPLE_ALL when interpolated */
    double aggregate_fraction; /* NaN when the mix has none */
    double density_kg_m3, density_lower, density_upper; /* two-sided confidence */
    double fraction_lower, fraction_upper;              /* bootstrap, interpolated only; NaN */
    struct demand_outcome outcomes[2 * DEMANDS_MAX];
    size_t n_outcomes;
    bool feasible;
    double piece_mass_kg, piece_mass_assured_kg; /* NaN without piece */
    double percent_lighter, percent_lighter_lower, percent_lighter_upper;
    double cost;               /* per m3; NaN */
    size_t n_specimens, n_batches;
    char why_not[320];         /* reason it fails or ranks below; "" for the winner */
    char cautions[CANDIDATE_CAUTIONS][200];
    size_t n_cautions;
};

/*
 * The answer. candidates are ranked: feasible ones by the thing sought, then
 * the rest. found false: no recipe meets the demands. Release with
 * recommendation_release().
 */
struct recommendation {
    bool found;
    size_t winner;             /* index into candidates when found */
    struct candidate *candidates;
    size_t n_candidates;
    uint32_t reference;        /* set index of the reference mix, SAMPLE_ALL when none */
    struct curve_set *curves;  /* n_curves: every aggregate x property that was needed */
    size_t n_curves;
    struct mix_summary_list mixes;
    struct problem_list notices; /* what a reader must know: no batches, doubtful laws, ... */
};

/*
 * Searches all tested mixes and every aggregate's curves inside the tested
 * range (never outside); crossings by root-finding on the assured values.
 * An interpolated candidate is one where every demanded property and density
 * has a curve.
 * STATUS_ANSWER_NO  done, nothing meets the demands (answer is filled)
 * STATUS_TOO_FEW    nothing can be judged
 * Source: docs/methods/recommendation.md
 */
enum status recommend_search(const struct specimen_set *set, const struct recommend_request *request,
                             struct recommendation *answer, struct problem *problem);
void recommendation_release(struct recommendation *answer);

/* The curve set of an aggregate and property in the answer, or NULL. */
const struct curve_set *recommendation_curves(const struct recommendation *answer, uint32_t aggregate, enum property property);

/* "0.42 of expanded clay: 1490 kg/m3 (1450 to 1530), ..." one sentence with number, uncertainty and caution. */
void recommendation_sentence(const struct specimen_set *set, const struct recommend_request *request,
                             const struct recommendation *answer, bool us, char *out, size_t size);

#endif
