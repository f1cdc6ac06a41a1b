#include "advise/search.h"

#include "advise/batch_sheet.h"
#include "base/number.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define MASS_STEP 0.1   /* kg or lb */
#define COST_STEP 0.01
#define FRACTION_DECIMALS 5
#define DEMAND_DIGITS 6
#define BESIDE_DIGITS 4 /* of a demand in the unit that answers are shown in, beside the unit it was typed in */
#define PIECE_DIGITS 4
#define FINEST 1e-6     /* of a printed step: no more digits than this are tried */

static const char *const seek_words[] = {
    [SEEK_LIGHTEST] = "lightest",
    [SEEK_STRONGEST] = "strongest",
    [SEEK_CHEAPEST] = "cheapest",
};
_Static_assert(sizeof seek_words / sizeof seek_words[0] == SEEK_COUNT, "each aim has its word");

const char *seek_word(enum seek seek)
{
    return seek < SEEK_COUNT ? seek_words[seek] : "";
}

void value_words(enum property property, double value, bool us, char *out, size_t size)
{
    char number[64];
    property_show(property, value, us, number, sizeof number);
    snprintf(out, size, "%s %s", number, property_unit(property, us));
}

void step_words(enum property property, bool us, char *out, size_t size)
{
    const struct property_row *row = property_row(property);
    snprintf(out, size, "%g %s", us ? row->us_step : row->si_step, property_unit(property, us));
}

const char *demand_words(const struct demand *demand)
{
    if (demand->kind == DEMAND_PROPERTY)
        return property_row(demand->property)->words;
    return demand->kind == DEMAND_PIECE_MASS ? "piece mass" : "cost";
}

const char *cost_heading_words(bool us)
{
    return us ? "cost per yd3" : "cost per m3";
}

const char *cost_unit_words(bool us)
{
    return cost_heading_words(us) + strlen("cost ");
}

double cost_shown(double per_m3, bool us)
{
    return per_m3 / unit_find(units_cost, cost_unit_words(us))->factor;
}

void cost_words(double per_m3, bool us, char *out, size_t size)
{
    number_show(cost_shown(per_m3, us), COST_STEP, "-", out, size);
}

const char *article_words(const char *noun)
{
    return noun[0] && strchr("aeiou", noun[0]) ? "an" : "a";
}

/* The unit that a demand is shown in: factor to the base unit, printed step, symbol. */
struct shown_unit { double factor, step; const char *symbol; };

static struct shown_unit demand_unit(const struct demand *demand, bool us)
{
    if (demand->kind == DEMAND_COST)
        return (struct shown_unit){ 1 / cost_shown(1, us), COST_STEP, cost_unit_words(us) };
    if (demand->kind == DEMAND_PIECE_MASS)
        return (struct shown_unit){ unit_find(units_mass, us ? "lb" : "kg")->factor, MASS_STEP, us ? "lb" : "kg" };
    const struct property_row *row = property_row(demand->property);
    const char *symbol = us ? row->us_unit : row->si_unit;
    return (struct shown_unit){ unit_find(row->units, symbol)->factor, us ? row->us_step : row->si_step, symbol };
}

/* The demand's own unit: 12 MPa is not 1740.45 psi to whoever asked for it. */
static bool demand_is_us(const struct demand *demand, bool us)
{
    bool here = number_is_whole(demand->value / demand_unit(demand, us).factor, DEMAND_DIGITS), there = number_is_whole(demand->value / demand_unit(demand, !us).factor, DEMAND_DIGITS);
    return !here && there ? !us : us;
}

/* "12 MPa": as many digits as say something, so 12.0000 is 12. */
static void in_unit(double value, struct shown_unit unit, int digits, char *out, size_t size)
{
    char number[64];
    number_show_significant(value / unit.factor, digits, number, sizeof number);
    if (strchr(number, '.') && !strchr(number, 'e')) {
        size_t length = strlen(number);
        while (number[length - 1] == '0')
            number[--length] = '\0';
        if (number[length - 1] == '.')
            number[length - 1] = '\0';
    }
    snprintf(out, size, "%s %s", number, unit.symbol);
}

void demand_value_words(const struct demand *demand, bool us, char *out, size_t size)
{
    char own[64], beside[64];
    bool own_us = demand_is_us(demand, us);
    in_unit(demand->value, demand_unit(demand, own_us), DEMAND_DIGITS, own, sizeof own);
    in_unit(demand->value, demand_unit(demand, us), BESIDE_DIGITS, beside, sizeof beside);
    if (own_us == us)
        snprintf(out, size, "%s", own);
    else
        snprintf(out, size, "%s = %s", own, beside);
}

/* Inches, when they say it all or millimetres do not. */
void piece_words(const struct piece *piece, bool us, const char *times, char *out, size_t size)
{
    const double *piece_mm = piece->length_mm;
    if (isnan(piece_mm[0])) {
        batch_told_volume_words(piece->volume_l, us, out, size);
        return;
    }
    const double inch = unit_find(units_length, "in")->factor;
    bool whole_inches = true, whole_mm = true;
    for (int i = 0; i < 3; i++) {
        whole_inches = whole_inches && number_is_whole(piece_mm[i] / inch, PIECE_DIGITS);
        whole_mm = whole_mm && number_is_whole(piece_mm[i], PIECE_DIGITS);
    }
    bool inches = us && (whole_inches || !whole_mm);
    char side[3][32];
    for (int i = 0; i < 3; i++)
        snprintf(side[i], sizeof side[i], "%.*g", PIECE_DIGITS, piece_mm[i] / (inches ? inch : 1));
    snprintf(out, size, "%s %s %s %s %s %s", side[0], times, side[1], times, side[2], inches ? "in" : "mm");
}

/* What is met must not look missed, nor what is missed met. */
static bool same_side(const struct demand_outcome *outcome, double shown, double value, double demanded)
{
    return outcome->is_limit ? (shown <= demanded) == (value <= demanded) : (shown >= demanded) == (value >= demanded);
}

void outcome_words(const struct demand_outcome *outcome, double value, bool us, char *out, size_t size)
{
    char number[64];
    struct shown_unit unit = demand_unit(&outcome->demand, us);
    double shown = value / unit.factor, demanded = outcome->demand.value / unit.factor, step = unit.step;
    /* A value exactly at the demand by a root may lie a rounding error beside it: "at" is then the truth to show. */
    bool at = fabs(shown - demanded) <= FINEST * unit.step;
    if (at) {
        in_unit(outcome->demand.value, unit, demand_is_us(&outcome->demand, us) == us ? DEMAND_DIGITS : BESIDE_DIGITS, out, size);
        return;
    }
    if (shown < 0) { /* nothing measured here can be below zero: the bound says that nothing is sure */
        snprintf(out, size, "none");
        return;
    }
    while (step > FINEST * unit.step && !same_side(outcome, number_round(shown, step, false), shown, demanded))
        step /= 10;
    number_show(shown, step, "-", number, sizeof number);
    snprintf(out, size, "%s %s", number, unit.symbol);
}

void fraction_words(double fraction, char *out, size_t size)
{
    char digits[32];
    snprintf(digits, sizeof digits, "%.*f", FRACTION_DECIMALS, fraction);
    size_t length = strlen(digits);
    while (length > 1 && digits[length - 1] == '0')
        digits[--length] = '\0';
    if (length > 1 && digits[length - 1] == '.')
        digits[length - 1] = '\0';
    snprintf(out, size, "%s", digits);
}

void recipe_words(const struct specimen_set *set, const struct candidate *candidate, char *out, size_t size)
{
    char fraction[32], volume[160] = "";
    const char *aggregate = set->aggregates[candidate->aggregate];
    fraction_words(candidate->shown_fraction, fraction, sizeof fraction);
    /* A file without aggregates has one, named by us: a name to leave unsaid. */
    bool nameless = !set->has_aggregate_column && strcmp(aggregate, "all") == 0;
    if (!isnan(candidate->shown_fraction) && nameless)
        snprintf(volume, sizeof volume, "aggregate fraction %s", fraction);
    else if (!isnan(candidate->shown_fraction))
        snprintf(volume, sizeof volume, "%.80s at %s by loose volume", aggregate, fraction);
    if (candidate->interpolated)
        snprintf(out, size, "%s", volume);
    else
        snprintf(out, size, volume[0] ? "mix '%.80s' (%s)" : "mix '%.80s'%s", set->mixes[candidate->mix].name, volume);
}

/* The demands of one basis by name: "compressive strength, density". */
static void add_of_basis(const struct candidate *candidate, bool batches_apart, struct text *text)
{
    bool any = false;
    for (size_t i = 0; i < candidate->n_outcomes; i++) {
        const struct demand_outcome *outcome = &candidate->outcomes[i];
        if (outcome->demand.kind == DEMAND_COST || outcome->batches_apart != batches_apart)
            continue;
        text_addf(text, "%s%s", any ? ", " : "", demand_words(&outcome->demand));
        any = true;
    }
}

static bool has_basis(const struct candidate *candidate, bool batches_apart)
{
    for (size_t i = 0; i < candidate->n_outcomes; i++)
        if (candidate->outcomes[i].demand.kind != DEMAND_COST && candidate->outcomes[i].batches_apart == batches_apart)
            return true;
    return false;
}

enum status assured_basis_words(const struct assurance *assurance, const struct candidate *candidate, struct text *text)
{
    char batch[80], specimen[80];
    assured_subject_words(assurance, true, batch, sizeof batch);
    assured_subject_words(assurance, false, specimen, sizeof specimen);
    bool of_batch = has_basis(candidate, true), of_specimen = has_basis(candidate, false);
    if (!of_batch || !of_specimen || strcmp(batch, specimen) == 0) {
        text_add(text, of_specimen && !of_batch ? specimen : batch);
    } else {
        text_addf(text, "%s (", batch);
        add_of_basis(candidate, true, text);
        text_addf(text, ") or %s (", specimen);
        add_of_basis(candidate, false, text);
        text_add(text, ")");
    }
    text_addf(text, ", %g %% sure", 100 * assurance->confidence);
    return text->failed ? STATUS_MEMORY : STATUS_OK;
}

void assured_subject_words(const struct assurance *assurance, bool batches_apart, char *out, size_t size)
{
    if (assurance->kind == ASSURANCE_MEAN)
        snprintf(out, size, "the mean of the recipe");
    else if (assurance->kind == ASSURANCE_NEXT_BATCH && batches_apart)
        snprintf(out, size, "the next batch of %g", assurance->specimens_per_batch);
    else if (assurance->kind == ASSURANCE_NEXT_BATCH)
        snprintf(out, size, "the next specimen");
    else
        snprintf(out, size, "%g of 100 specimens", 100 * (1 - assurance->fractile));
}
