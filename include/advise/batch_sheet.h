#ifndef ADVISE_BATCH_SHEET_H
#define ADVISE_BATCH_SHEET_H

#include "advise/recommend.h"
#include "specimen/mixes.h"

/*
 * Batch sheet: what to weigh, buy and expect for pieces of a recipe.
 * Source of all: docs/methods/batch-sheet.md
 */

/* What the water of a recipe, water_binder, counts. */
enum water_count {
    WATER_NET,  /* the water between the grains; what they drink comes on top (ASTM C125) */
    WATER_TOTAL /* all water, also that in the grains */
};

enum batch_role { BATCH_BINDER, BATCH_LIGHT, BATCH_SAND, BATCH_GRAVEL, BATCH_FIBRE, BATCH_PIGMENT, BATCH_ROLES };

/* Amounts are told for all pieces together, for one mixer load of them, and for a trial batch. */
enum batch_part { BATCH_ALL, BATCH_LOAD, BATCH_TRIAL, BATCH_PARTS };

/* NaN stands for "not told" everywhere. Borrows everything. */
struct batch_request {
    const struct mix_list *mixes;
    const struct material_list *materials;
    const struct specimen_set *set;          /* NULL: no specimens, so no dry density is expected */
    const struct selection *selection;       /* NULL when set is */
    const char *mix;                         /* the recipe by name, or NULL: between the mixes of an aggregate */
    const char *aggregate;
    double fraction;                         /* of the aggregate, 0 to 1 */
    double judged_fraction;                  /* of a recommendation, before it was rounded to be cast: its density is told of this one; else 0 */
    double pieces, inserts_mass_kg;
    struct piece piece;
    double waste_pct, hold_back_pct;
    double trial_l, mixer_l;                 /* fresh concrete */
    double yield;                            /* takes the place of the recipe's */
    double moisture_pct[BATCH_ROLES];        /* of light aggregate, sand and gravel; take the place of the materials' */
    enum water_count water_count;
    struct assurance assurance;              /* for the dry density */
    enum law law;
};

enum yield_source {
    YIELD_TOLD,     /* in the request */
    YIELD_MEASURED, /* of the mix */
    YIELD_BETWEEN,  /* between those of the two mixes */
    YIELD_ABSOLUTE, /* not measured: from the density of the particles and some air */
    YIELD_ASSUMED   /* not measured, and no such densities */
};

/* A recipe as it is cast. Borrows from the request. */
struct batch_recipe {
    struct mix mix;                 /* parts with the binder as 1; name NULL when interpolated */
    bool interpolated;
    const struct mix *below, *above;/* the neighbours when interpolated; below is the mix itself otherwise */
    double way;                     /* from below (0) to above (1) */
    double fraction, parts_total;
    double yield;
    enum yield_source yield_source;
};

struct batch_amount { double loose_l, dry_kg, weigh_kg; }; /* dry loose volume; dry mass; mass as it lies in store */

struct batch_ingredient {
    const char *name;               /* NULL: the recipe has none of it */
    const struct material *material;/* NULL: fibre or pigment that the materials do not name */
    double parts;                   /* NaN for fibre and pigment */
    double moisture_pct, absorption_pct; /* as reckoned with: 0 when not told */
    bool moisture_told, absorption_told;
    double free_water_kg_m3;        /* brings (above 0) or drinks (below), a m3 of concrete */
    struct batch_amount amount[BATCH_PARTS];
    double bags;                    /* of all pieces and the trial together; NaN when it comes in no bag */
    double bags_to_buy;             /* whole ones */
    double cost, cost_to_buy;       /* money; of what is used, and of whole bags. NaN when no price */
};

/* kg a m3 of concrete, and the two portions of each part. */
struct batch_water {
    double net_kg_m3;               /* between the grains; NaN when it cannot be told */
    double total_kg_m3;             /* all, also in the grains */
    double drunk_kg_m3, brought_kg_m3;
    double measured_out_kg_m3;      /* from the tap */
    double start_kg[BATCH_PARTS], hold_back_kg[BATCH_PARTS];
};

/* Density of specimens of this recipe, from the mix's own results or the curve of its aggregate. */
struct batch_density {
    bool known, by_curve;
    double estimate, lower, upper;  /* two-sided confidence of the mean; NaN with one batch */
    double assured;                 /* upper bound as in `assurance`; NaN with one batch */
    enum law law;
    enum moisture moisture;
    double age_days;
    size_t n_batches;
    char reason[200];               /* why it is not known */
};

struct batch_sheet {
    const struct batch_request *request;
    struct batch_recipe recipe;
    struct batch_ingredient ingredient[BATCH_ROLES];
    struct batch_water water;
    double piece_l, waste_pct, hold_back_pct;
    bool waste_told, hold_back_told;
    double concrete_l[BATCH_PARTS]; /* fresh; NaN for a part that was not asked for */
    size_t n_loads;                 /* 0 without a mixer */
    double fresh_kg_m3;             /* all masses over the volume */
    double oven_dry_kg_m3;          /* calculated, ASTM C567 */
    struct batch_density density;
    double piece_fresh_kg, piece_dry_kg, piece_dry_lower_kg, piece_dry_upper_kg, piece_dry_assured_kg;
    double cost, cost_to_buy, cost_per_m3, cost_per_piece;
    const char *unpriced;           /* first ingredient without a price; NULL */
};

/* When not told: per cent of waste, per cent of the water held back, and air in a yield from absolute volumes. */
#define BATCH_WASTE_PCT 10.0
#define BATCH_HOLD_BACK_PCT 20.0
#define BATCH_AIR_PCT 2.0

/*
 * Fills the sheet, which borrows from the request.
 *
 * STATUS_USAGE    no such mix or aggregate, a fraction outside the tested ones, nothing asked for
 * STATUS_INPUT    the recipe or its materials lack what the masses need (all of it is listed), or the
 *                 aggregates bring more water than the recipe takes
 * STATUS_MEMORY
 */
enum status batch_sheet_make(const struct batch_request *request, struct batch_sheet *sheet, struct problem_list *problems);

/* The part that is told in the reasons: all pieces, else the trial. */
enum batch_part batch_sheet_main(const struct batch_sheet *sheet);

/* How a number was worked out. */
#define BATCH_REASONS 24
struct batch_reason { char what[64], how[400]; };
size_t batch_sheet_reasons(const struct batch_sheet *sheet, bool us, struct batch_reason reasons[BATCH_REASONS]);

/* The work in its order. */
#define BATCH_STEPS 6
size_t batch_sheet_steps(const struct batch_sheet *sheet, bool us, char steps[BATCH_STEPS][300]);

/* What is doubtful about the numbers, then what can hurt. n_doubts: how many are of the first kind. */
#define BATCH_CAUTIONS 16
size_t batch_sheet_cautions(const struct batch_sheet *sheet, bool us, char cautions[BATCH_CAUTIONS][240], size_t *n_doubts);

/* "expanded clay at 0.545 by loose volume" or "mix 'clay-45'". */
void batch_recipe_words(const struct batch_recipe *recipe, char *out, size_t size);

/* "12 pieces of 400 x 400 x 40 mm and 10 % for waste: 84.5 L of concrete in 2 loads of 42.2 L". */
void batch_job_words(const struct batch_sheet *sheet, bool us, char *out, size_t size);

/* The state that the density was measured in: "air-dry"; "hardened" when none is told. */
const char *batch_state_word(const struct batch_density *density);

/* "20.4 L", "0.72 ft3"; "25.46 kg", "76.0 g", "56.1 lb", "2.68 oz"; water: "14.0 L", "30.9 lb (3.70 US gal)". NaN: "-". */
void batch_volume_words(double litres, bool us, char *out, size_t size);
void batch_mass_words(double kg, bool us, char *out, size_t size);
void batch_water_words(double kg, bool us, char *out, size_t size);
void batch_water_cell_words(double kg, bool us, char *out, size_t size); /* without the gallons */
/* The mass of a piece, which is not known to the gram: "9.08 kg". */
void batch_piece_words(double kg, bool us, char *out, size_t size);
/* As it was told, such as a bag: "25 kg", "60 L". */
void batch_told_volume_words(double litres, bool us, char *out, size_t size);
void batch_told_mass_words(double kg, bool us, char *out, size_t size);
/* "1655 kg/m3", "103.3 lb/ft3": a calculated density. */
void batch_density_words(double kg_m3, bool us, char *out, size_t size);

#endif
