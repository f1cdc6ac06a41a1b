#ifndef SPECIMEN_QUANTITY_H
#define SPECIMEN_QUANTITY_H

#include "base/status.h"
#include "ingest/columns.h"

#include <stdbool.h>
#include <stddef.h>

/*
 * Unit tables, base unit first: mm, N, kg, kg/m3, MPa, percent, day, 1.
 * Exact factors by definition (NIST SP 811 App. B). `lb` is a mass in
 * units_mass and a force in units_force.
 */
extern const struct unit units_length[];   /* mm cm m in ft */
extern const struct unit units_force[];    /* N kN MN lbf lb kip kgf */
extern const struct unit units_mass[];     /* kg g oz lb t */
extern const struct unit units_density[];  /* kg/m3 g/cm3 kg/L lb/ft3 pcf */
extern const struct unit units_stress[];   /* MPa N/mm2 kPa kgf/cm2 psi ksi */
extern const struct unit units_percent[];  /* % pct percent 1 (factor 100) */
extern const struct unit units_fraction[]; /* 1 % pct (factor 0.01) */
extern const struct unit units_age[];      /* day d days week h hour */
extern const struct unit units_volume[];   /* L m3 mL cm3 ft3 yd3 in3 gal (US); base litre */
extern const struct unit units_dose[];     /* kg/m3 lb/yd3 */
extern const struct unit units_cost[];     /* per m3 (money of any kind), per yd3, per ft3; no column has it */

/* The tables that columns use, with what they measure: "length", "force", ... Ends with name NULL. */
struct unit_kind { const char *name; const struct unit *units; };
extern const struct unit_kind unit_kinds[];

/* Whether a number of this kind may stand without a unit: ages, fractions and costs. */
bool unit_optional(const struct unit *units);

/*
 * The unit of a table by symbol, or NULL. Blanks do not count, '³' = '3',
 * '_' = '/'; case does not count either, unless it would turn milli into mega
 * ("mN" is not read as MN, nor "mPa" as MPa; "mpa" is).
 */
const struct unit *unit_find(const struct unit *units, const char *symbol);

/*
 * Parses "10MPa", "10 MPa", "1500kg/m3" into the base unit. Ages, fractions
 * and costs may stand without a unit; nothing may be negative. STATUS_USAGE with a
 * sentence in problem naming `what`; value is then untouched.
 */
enum status quantity_parse(const char *text, const struct unit *units, const char *what,
                           double *value, struct problem *problem);

/* Bytes that belong to the number at the start of text; "1e3 N" has an exponent, "1ea" has not. */
size_t quantity_number_length(const char *text);

#define L_PER_M3 1000.0
#define MM3_PER_L 1e6

/* What is cast of a recipe: its volume, and its sizes, NaN when only the volume was told. Without a piece all is NaN. */
struct piece { double length_mm[3], volume_l; };
#define PIECE_NONE { { NAN, NAN, NAN }, NAN }
struct piece piece_of_sizes(const double length_mm[3]);

/*
 * Parses "400x400x40mm" or "40cm x 40cm x 40mm", where a length without unit takes that of the last, or "6.4L" for what is no block.
 * STATUS_USAGE.
 */
enum status quantity_parse_piece(const char *text, struct piece *piece, struct problem *problem);

/* The results that a specimen can have. */
enum property {
    PROPERTY_DENSITY,
    PROPERTY_COMPRESSIVE_STRENGTH,
    PROPERTY_FLEXURAL_STRENGTH,
    PROPERTY_SPLITTING_STRENGTH,
    PROPERTY_ABSORPTION,
    PROPERTY_VOIDS,
    PROPERTY_COUNT
};

struct property_row {
    const char *name;        /* "compressive_strength" */
    const char *words;       /* "compressive strength" */
    const char *json_key;    /* "compressive_strength_mpa" */
    const struct unit *units;
    const char *si_unit, *us_unit;   /* symbols shown */
    double si_step, us_step;         /* printed rounding, in the shown unit (C39 0.1 MPa / 10 psi, ...) */
};
const struct property_row *property_row(enum property property);

/* Whether a property is a strength: what its specimen is (specimen/kind.h) then counts. */
bool property_is_strength(enum property property);

/* Property by name; PROPERTY_COUNT when there is none. */
enum property property_find(const char *name);

/* Shows a value (base unit) rounded in si or us unit, without the unit symbol. "-" for NaN. */
void property_show(enum property property, double value, bool us, char *out, size_t size);
const char *property_unit(enum property property, bool us);

#endif
