#ifndef OUTPUT_DRAWING_H
#define OUTPUT_DRAWING_H

#include "base/text.h"

#include <stddef.h>

/*
 * One gnuplot script under construction: a title, then panels whose place in
 * the picture and whose axes are settled here, so that labels can be put
 * where they cover neither points nor one another. All positions in a panel
 * are in axis units; pixels count from the picture's top left corner.
 * Release with drawing_release().
 */
struct axis { double low, high, step; };

struct box { double left, right, top, bottom; }; /* pixels */

struct drawing {
    struct text script;
    unsigned width, height;         /* width comes with drawing_on() */
    bool terminal;                  /* drawn with characters: everything stands on their grid */
    struct box panel;
    struct axis x, y;
    struct { double x, y; } *spots; /* pixels that a label should not cover */
    size_t n_spots, spots_capacity;
    struct box *labels;             /* labels that are there */
    size_t n_labels, labels_capacity;
};

#define DRAWING_TEXT_SIZE 13
#define DRAWING_LINE_PX 19.0
#define DRAWING_INK "#26282b"
#define DRAWING_QUIET "#5d636a"
#define DRAWING_STYLES 6 /* aggregates told apart; later ones come round again */

/* The style text that every script carries (plots/plumestone.gp holds the same). */
extern const char *const drawing_style[];

/* Round ends and step for about n_steps steps that hold low to high. Source: Heckbert, Graphics Gems (1990), p. 61. */
struct axis axis_round(double low, double high, size_t n_steps);

/* An empty drawing for a picture, or for a terminal of so many columns (0: a picture). */
struct drawing drawing_on(unsigned columns);

/* Header, style, title and a subtitle (wrapped). Returns the pixel line below them, where panels may begin. */
double drawing_begin(struct drawing *drawing, const char *name, unsigned height, const char *title, const char *subtitle);
/* Pixels that the title and this subtitle will need, for choosing the height. */
double drawing_header(const struct drawing *drawing, const char *subtitle);
/* Pixels between rows that have a name each. */
double drawing_row_height(const struct drawing *drawing);
/*
 * Adds plots for every style to the plot command: '@' in the text stands for its number, 1 to DRAWING_STYLES. gnuplot's own
 * loops break when marks are characters.
 */
void drawing_each_style(struct drawing *drawing, const char *plot);
void drawing_end(struct drawing *drawing);
void drawing_release(struct drawing *drawing);

/* Starts a panel: margins, ranges, tics. Forgets labels and spots. axis titles may be NULL. */
void drawing_panel(struct drawing *drawing, struct box place, struct axis x, struct axis y,
                   const char *x_title, const char *y_title);

/* Replaces the y tics by texts at 0, 1, ... */
void drawing_row_names(struct drawing *drawing, const char *const *names, size_t n);
/* Replaces the x tics by texts at these places. */
void drawing_column_names(struct drawing *drawing, const char *const *names, const double *at, size_t n);

/* Data block `$name`; numbers only. */
void drawing_block(struct drawing *drawing, const char *name);
void drawing_number(struct drawing *drawing, double value);
void drawing_row_end(struct drawing *drawing);
void drawing_block_end(struct drawing *drawing);
/* A row of so many columns outside every axis, so that a block is never without a number. */
void drawing_nowhere(struct drawing *drawing, size_t n_columns);

/* Block `$name` that holds one point; outside every axis unless both numbers are finite. */
void drawing_point_block(struct drawing *drawing, const char *name, double x, double y);

/*
 * Block `$name` that holds a straight line, for plotting `with lines` between what is to lie under it and what over it: arrows
 * lie under everything that is plotted, bands too.
 */
void drawing_line_block(struct drawing *drawing, const char *name, double x1, double y1, double x2, double y2);

/* Keeps labels off a point, or off a straight line. */
void drawing_avoid(struct drawing *drawing, double x, double y);
void drawing_avoid_line(struct drawing *drawing, double x1, double y1, double x2, double y2);

/* Text near a point where least is in the way, rather above (prefer -1) or below it (1). Comes before the panel's plot command. */
void drawing_label(struct drawing *drawing, double x, double y, int prefer, const char *string, const char *colour);

/* The same at whichever of n points has most room, the earlier ones rather. */
void drawing_label_along(struct drawing *drawing, const double *x, const double *y, size_t n, int prefer, const char *string, const char *colour);

/* Text at a fixed pixel; side -1 begins there, 0 is centred, 1 ends there. */
void drawing_text(struct drawing *drawing, double pixel_x, double pixel_y, int side, unsigned size,
                  const char *string, const char *colour);

double drawing_pixel_x(const struct drawing *drawing, double x);
double drawing_pixel_y(const struct drawing *drawing, double y);
/* Estimated pixels of a text at this size. */
double drawing_text_width(const char *string, unsigned size);

/* Style number 1 to 6 of the i-th aggregate and its colour. */
unsigned drawing_line_style(size_t i);
const char *drawing_colour(size_t i);

/* Adds a fraction of the span on both sides of [low, high] in place; a zero span gets 5 % of its value. */
void drawing_widen(double *low, double *high, double share);

/* Takes value into [low, high]; NaN is passed over. Start with low > high. */
void drawing_span(double *low, double *high, double value);

#endif
