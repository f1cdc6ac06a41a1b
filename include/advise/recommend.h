#ifndef ADVISE_RECOMMEND_H
#define ADVISE_RECOMMEND_H

#include "analysis/mix_summary.h"
#include "base/text.h"
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

/* Units of the words inside an answer (why_not, cautions, notices). */
enum unit_system { UNITS_AS_READ, UNITS_SI, UNITS_US };

#define DEMANDS_MAX 16
struct recommend_request {
    struct selection selection;
    const struct problem_list *selection_notices; /* what settling said, of a selection that is settled already; NULL */
    struct demand targets[DEMANDS_MAX]; /* minimum */
    size_t n_targets;
    struct demand limits[DEMANDS_MAX];  /* maximum */
    size_t n_limits;
    enum seek seek;
    struct assurance assurance;
    enum law law;
    struct piece piece;
    double inserts_mass_kg;             /* 0 */
    const char *reference_mix;          /* NULL: found */
    const struct mix_list *mixes;       /* NULL allowed */
    const struct material_list *materials;
    uint64_t seed;
    size_t n_resamples;                 /* bootstrap; 0 = none */
    unsigned n_threads;                 /* of the bootstrap; 0 = 1. The answer is the same for any number */
    enum unit_system units;             /* of the words; UNITS_AS_READ: as the first measured column */
    bool sensitivity;                   /* also search with each target set lower and higher, and for the front of density, strength and cost */
};

/* One demand held against a candidate. */
struct demand_outcome {
    struct demand demand;
    bool is_limit;
    double estimate, assured;  /* base unit; NaN when it cannot be told */
    bool met;
    bool batches_apart;        /* its assured value is that of a batch; else of a specimen, for want of batches */
    double chance;             /* chance that the next batch's mean meets it; NaN */
};

#define CANDIDATE_REASON 800
#define CANDIDATE_CAUTIONS 12
struct candidate {
    bool interpolated;         /* else tested */
    uint32_t aggregate, mix;   /* set indices; mix SAMPLE_ALL when interpolated */
    double aggregate_fraction; /* NaN when the mix has none */
    double shown_fraction;     /* the same in thousandths, rounded to the side where the demands are still met */
    double density_kg_m3, density_lower, density_upper; /* two-sided confidence */
    double fraction_lower, fraction_upper;              /* bootstrap, of the best interpolated candidate only; NaN */
    double sought;             /* what is ranked by: density kg/m3, assured strength MPa or cost per m3; NaN */
    uint32_t at_mix;           /* interpolated: the tested mix whose very fraction this is, else SAMPLE_ALL */
    int edge;                  /* at the smallest (-1) or largest (1) fraction of its aggregate that was tested; 0: neither, or none is smaller or larger */
    struct demand_outcome outcomes[2 * DEMANDS_MAX];
    size_t n_outcomes;
    bool feasible;
    double piece_mass_kg, piece_mass_assured_kg; /* NaN without piece */
    double percent_lighter, percent_lighter_lower, percent_lighter_upper;
    double cost;               /* per m3; NaN */
    size_t n_specimens, n_batches;
    char why_not[CANDIDATE_REASON]; /* reason it fails or ranks below; "" for the winner */
    char cautions[CANDIDATE_CAUTIONS][200];
    size_t n_cautions;
};

/* What the answer would be with one demand set elsewhere and the others as they are. */
#define SENSITIVITY_POINTS 5    /* 0.8 to 1.2 times the demand */
struct sensitivity_point {
    size_t demand;              /* number of the demand: targets first, then limits */
    double factor, value;       /* value in the demand's base unit: factor x what is asked */
    bool found;
    struct candidate winner;    /* when found; without limits of its fraction */
};

/*
 * The best fraction in each resampling of whole batches, in rising order;
 * resamplings in which nothing meets the demands have none. From the search
 * for fraction_lower and fraction_upper of candidates[candidate].
 */
struct fraction_draws {
    double *values;            /* n_values */
    size_t n_values, n_drawn;
    size_t candidate;
};

/*
 * A recipe that no other beats in everything at once: none is as light, as
 * strong (assured) and as cheap, and better in one of these. Between tested
 * mixes each aggregate's curves are looked at in steps of 0.05.
 */
struct front_recipe {
    bool interpolated;
    uint32_t aggregate, mix;   /* set indices; mix SAMPLE_ALL when interpolated */
    double aggregate_fraction; /* NaN when the mix has none */
    double density_kg_m3;
    double strength_mpa, strength_assured_mpa; /* of recommendation.strength */
    double cost;               /* per m3; NaN for all points when it is not known of all */
    bool meets;                /* every demand */
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
    enum property strength;    /* what "strongest" means: the first strength demanded, else the first the set holds */
    struct selection selection;/* as settled: age and moisture states that the answer is about */
    struct curve_set *curves;  /* n_curves: every aggregate x property that was needed */
    size_t n_curves;
    struct mix_summary_list mixes;
    struct problem_list notices; /* what a reader must know: no batches, doubtful laws, ... */
    struct sensitivity_point *sensitivity; /* n_sensitivity: SENSITIVITY_POINTS a target, without targets a limit */
    size_t n_sensitivity;        /* 0 unless the request asks for it */
    struct front_recipe *front;   /* n_front, lightest first; with the sensitivity, where there is a strength */
    size_t n_front;
    struct fraction_draws draws; /* n_drawn 0: no fraction was resampled */
};

/*
 * Searches all tested mixes and every aggregate's curves inside the tested
 * range (never outside); crossings by root-finding on the assured values.
 * An interpolated candidate is one where every demanded property and density
 * has a curve. The selection is settled first (selection_settle). The
 * reference mix is always shown, but wins only when its aggregate is asked for.
 * STATUS_ANSWER_NO  done, nothing meets the demands (answer is filled)
 * STATUS_TOO_FEW    nothing can be judged
 * STATUS_USAGE      an aggregate or reference mix that the set does not have, an impossible demand
 * STATUS_MEMORY
 * Source: docs/methods/recommendation.md
 */
enum status recommend_search(const struct specimen_set *set, const struct recommend_request *request,
                             struct recommendation *answer, struct problem *problem);
void recommendation_release(struct recommendation *answer);

/* Whether the answer rests on results of the property: density, what is demanded, and the strength that is sought. */
bool recommendation_uses(const struct recommend_request *request, const struct recommendation *answer, enum property property);

/*
 * "density (28 days, air-dry), compressive strength (28 days, air-dry, cube
 * 100 mm)": what the numbers hold for, of every property that they rest on.
 * STATUS_MEMORY through text->failed.
 */
void recommendation_holds_for(const struct specimen_set *set, const struct recommend_request *request,
                              const struct recommendation *answer, bool us, struct text *text);

/* The curve set of an aggregate and property in the answer, or NULL. */
const struct curve_set *recommendation_curves(const struct recommendation *answer, uint32_t aggregate, enum property property);

/* The chosen one of them, or NULL. */
const struct curve *recommendation_curve(const struct recommendation *answer, uint32_t aggregate, enum property property);

/*
 * What each per cent of weight saved against the reference mix costs: the
 * difference of the costs over percent_lighter, money per m3 of concrete and
 * per piece (NaN without one); below zero it pays. False, and NaN, when a cost
 * or the lightness cannot be told, or the candidate is not lighter.
 */
struct weight_cost { double reference_per_m3, per_m3, per_piece; };
bool recommendation_weight_cost(const struct recommend_request *request, const struct recommendation *answer,
                                const struct candidate *candidate, struct weight_cost *cost);

/* "0.42 of expanded clay: 1490 kg/m3 (1450 to 1530), ..." one sentence with number, uncertainty and caution. STATUS_MEMORY: out is empty. */
enum status recommendation_sentence(const struct specimen_set *set, const struct recommend_request *request,
                                    const struct recommendation *answer, bool us, char *out, size_t size);

#endif
