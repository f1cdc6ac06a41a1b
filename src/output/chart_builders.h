#ifndef OUTPUT_CHART_BUILDERS_H
#define OUTPUT_CHART_BUILDERS_H

#include "output/chart.h"
#include "output/drawing.h"

/*
 * Each fills the chart's title and alternative text and writes the whole
 * script into a zeroed drawing. chart->name is set by the caller.
 * STATUS_ANSWER_NO  the answer holds nothing for this chart
 */
typedef enum status chart_builder(const struct chart_source *source, struct chart *chart, struct drawing *drawing);

enum status chart_by_fraction(const struct chart_source *source, enum property property,
                              struct chart *chart, struct drawing *drawing);
chart_builder chart_trade_off, chart_percent_lighter, chart_batches, chart_candidates, chart_sensitivity, chart_residuals,
    chart_control, chart_spread, chart_cost, chart_age_growth, chart_drying_curves;

/* Shared: the strength that the charts are about, PROPERTY_COUNT when there is none. */
enum property chart_strength(const struct chart_source *source);

/* The winner, or NULL. */
const struct candidate *chart_winner(const struct chart_source *source);

/* "density (kg/m³)". */
void chart_axis_title(enum property property, bool us, char *out, size_t size);

/* "at 28 days" or "". */
void chart_age(const struct chart_source *source, char *out, size_t size);

/* The demand on a property that bites: highest target, else lowest limit; NULL without. *is_limit says which. */
const struct demand *chart_demand(const struct chart_source *source, enum property property, bool *is_limit);

/* "target 12 MPa". */
void chart_demand_label(const struct demand *demand, bool is_limit, bool us, char *out, size_t size);

/* Colour and shape slot of an aggregate, from 0: light aggregates first, in set order. */
size_t chart_slot(const struct chart_source *source, uint32_t aggregate);

/* The aggregate's name, "" when the file told none apart. */
const char *chart_aggregate(const struct chart_source *source, uint32_t aggregate);
const char *chart_fraction_title(const struct chart_source *source);

/* Names the shapes of the aggregates, for a subtitle: " ● pumice, ▲ perlite"; "" when there is one. */
void chart_shapes(const struct chart_source *source, char *out, size_t size);

/* Whether some batch has more than one specimen. */
bool chart_has_batches(const struct chart_source *source);

/* Draw every how-manieth of n points, so that a lifetime of results still makes a picture of some thousand. */
size_t chart_stride(size_t n);
/* " Every 4th is drawn." or "". */
void chart_stride_words(size_t n, char *out, size_t size);

/* Means of the sample's batches: y and x for each; arrays of sample->n_batches, owned by the caller. False without memory. */
bool chart_batch_means(const struct sample *sample, double **x, double **y);

/* Mean of a property of a mix in the answer, base unit, NaN when there is none. */
double chart_mix_mean(const struct chart_source *source, uint32_t mix, enum property property);

/* Charts with one named row for each thing. */
#define CHART_ROWS_MAX 40
/* Left margin that holds the names, cut to fit in place. */
double chart_row_margin(char (*names)[48], size_t n);
/* Copies a name, cut in its middle to 22 characters. */
void chart_row_name(const char *name, char out[48]);
/* "mix P-40", "pumice at 0.42", "fraction 0.42": as short, never cut in its fraction. */
void chart_recipe_name(const struct chart_source *source, const struct candidate *candidate, char out[48]);

#endif
