#ifndef OUTPUT_CHART_ROWS_H
#define OUTPUT_CHART_ROWS_H

#include "output/chart_builders.h"

/* Charts with one named row for each thing: a value with its interval, and a note beside it. */
struct interval_row {
    char name[48], note[64];
    double value, lower, upper; /* NaN value: the note stands alone */
    size_t slot;                /* colour and shape */
    bool hollow;                /* fails */
};

struct interval_chart {
    struct interval_row *rows;  /* first row on top */
    size_t n_rows;
    const char *x_title, *subtitle;
    double line;                /* a demand, NaN without */
};

/* Writes the whole script. STATUS_ANSWER_NO when no row has a value. */
enum status interval_chart_draw(const struct interval_chart *chart, const struct chart *out, struct drawing *drawing);

#endif
