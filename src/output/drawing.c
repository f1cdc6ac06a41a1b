#include "output/drawing.h"

#include "base/memory.h"
#include "base/number.h"
#include "output/escape.h"
#include "output/words.h"

#include <math.h>
#include <string.h>

#define TITLE_SIZE 18
#define PICTURE_WIDTH 540u /* with 13 px text: still read when a phone shows it 340 px wide */
#define CELL_WIDTH_PX 7u   /* of a character on a terminal: as the style has it */
#define CELL_HEIGHT_PX 19u
#define NUDGE 1e-4         /* of the screen: gnuplot cuts margins down to whole characters, and rounds all else */
#define ROW_PX 24.0
#define NOWHERE "-1e99"    /* as the style has it */
#define SIDE_PX 16       /* paper left free at both sides of the title */
#define TITLE_CHARACTERS 160
#define LABEL_CHARACTERS 60
#define LINE_SPOTS 80 /* closer than the letters of a label on the widest panel */

double drawing_text_width(const char *string, unsigned size)
{
    return 0.6 * size * (double)escape_width(string);
}

unsigned drawing_line_style(size_t i)
{
    return 1 + (unsigned)(i % DRAWING_STYLES);
}

const char *drawing_colour(size_t i)
{
    static const char *const colours[DRAWING_STYLES] = { "#1b4b82", "#a8432a", "#2f7672", "#5e1640", "#80620a", "#7a3cc0" };
    return colours[i % DRAWING_STYLES]; /* as the style, darker where text needs it */
}

static void add_label(struct text *script, const char *string, size_t limit)
{
    struct text cut = { 0 }, printed = { 0 };
    escape_cut(&cut, string, limit);
    words_add_printed(&printed, cut.bytes ? cut.bytes : "");
    script->failed |= cut.failed || printed.failed;
    escape_gnuplot(script, printed.bytes ? printed.bytes : "");
    text_release(&cut);
    text_release(&printed);
}

void drawing_text(struct drawing *drawing, double pixel_x, double pixel_y, int side, unsigned size,
                  const char *string, const char *colour)
{
    text_add(&drawing->script, "set label ");
    add_label(&drawing->script, string, TITLE_CHARACTERS);
    text_addf(&drawing->script, " at screen %.5f, screen %.5f %s font ',%u' textcolor rgb '%s' noenhanced front\n",
              pixel_x / drawing->width, 1 - pixel_y / drawing->height,
              side < 0 ? "left" : side > 0 ? "right" : "center", size, colour);
}

struct drawing drawing_on(unsigned columns)
{
    return (struct drawing){ .width = columns > 0 ? CELL_WIDTH_PX * (columns - 1) : PICTURE_WIDTH, .terminal = columns > 0 };
}

static size_t characters_a_line(const struct drawing *drawing)
{
    return (size_t)((drawing->width - 2.0 * SIDE_PX) / (0.55 * DRAWING_TEXT_SIZE));
}

/* Bytes of the first line of string when it is broken at `limit` characters. */
static size_t line_length(const char *string, size_t limit)
{
    size_t last_blank = 0, characters = 0, at = 0;
    for (; string[at] && characters <= limit; at++) {
        if (string[at] == ' ')
            last_blank = at;
        characters += ((unsigned char)string[at] & 0xC0) != 0x80;
    }
    return string[at] == '\0' && characters <= limit ? at : last_blank > 0 ? last_blank : at;
}

static size_t count_lines(const char *string, size_t limit)
{
    size_t lines = 0;
    while (*string) {
        string += line_length(string, limit);
        string += strspn(string, " ");
        lines++;
    }
    return lines;
}

double drawing_row_height(const struct drawing *drawing)
{
    return drawing->terminal ? CELL_HEIGHT_PX : ROW_PX;
}

double drawing_header(const struct drawing *drawing, const char *subtitle)
{
    struct text unbroken = { 0 };
    words_add_unbroken(&unbroken, subtitle);
    size_t lines = count_lines(unbroken.bytes ? unbroken.bytes : "", characters_a_line(drawing));
    text_release(&unbroken);
    return 44 + DRAWING_LINE_PX * (double)lines;
}

static void add_subtitle(struct drawing *drawing, const char *subtitle)
{
    size_t limit = characters_a_line(drawing);
    double y = 50;
    struct text unbroken = { 0 };
    words_add_unbroken(&unbroken, subtitle);
    drawing->script.failed |= unbroken.failed;
    const char *rest = unbroken.bytes ? unbroken.bytes : "";
    while (*rest) {
        size_t length = line_length(rest, limit);
        struct text line = { 0 };
        text_add_bytes(&line, rest, length);
        drawing->script.failed |= line.failed;
        drawing_text(drawing, SIDE_PX, y, -1, DRAWING_TEXT_SIZE, line.bytes ? line.bytes : "", DRAWING_QUIET);
        text_release(&line);
        rest += length;
        rest += strspn(rest, " ");
        y += DRAWING_LINE_PX;
    }
    text_release(&unbroken);
}

double drawing_begin(struct drawing *drawing, const char *name, unsigned height, const char *title, const char *subtitle)
{
    struct text *script = &drawing->script;
    drawing->height = drawing->terminal ? (height + CELL_HEIGHT_PX - 1) / CELL_HEIGHT_PX * CELL_HEIGHT_PX : height;
    text_addf(script, "# %s: a chart by plumestone %s, with its data and its style inside.\n"
                      "# Run it from any folder: gnuplot %s.gp\n"
                      "# Other formats:          gnuplot -e \"FORMAT='png'\" %s.gp\n"
                      "reset\nNAME = '%s'\nWIDTH = %u\nHEIGHT = %u\n\n",
              name, PLUMESTONE_VERSION, name, name, name, drawing->width, drawing->height);
    for (size_t i = 0; drawing_style[i]; i++) {
        text_add(script, drawing_style[i]);
        text_add(script, "\n");
    }
    text_add(script, "\n");
    drawing_text(drawing, SIDE_PX, 26, -1, TITLE_SIZE, title, DRAWING_INK);
    add_subtitle(drawing, subtitle);
    return drawing_header(drawing, subtitle);
}

void drawing_end(struct drawing *drawing)
{
    text_add(&drawing->script, "unset multiplot\nunset output\n");
}

void drawing_release(struct drawing *drawing)
{
    text_release(&drawing->script);
    memory_free(drawing->spots);
    memory_free(drawing->labels);
    *drawing = (struct drawing){ 0 };
}

void drawing_span(double *low, double *high, double value)
{
    if (!isfinite(value))
        return;
    if (*low > *high)
        *low = *high = value;
    *low = fmin(*low, value);
    *high = fmax(*high, value);
}

void drawing_widen(double *low, double *high, double share)
{
    double span = *high - *low;
    double more = span > 0 ? share * span : fabs(*low) > 0 ? 0.05 * fabs(*low) : 1;
    *low -= more;
    *high += more;
}

struct axis axis_round(double low, double high, size_t n_steps)
{
    double raw = (high - low) / (double)n_steps;
    double magnitude = pow(10, floor(log10(raw)));
    double share = raw / magnitude;
    double step = magnitude * (share < 1.5 ? 1 : share < 3 ? 2 : share < 7 ? 5 : 10);
    return (struct axis){ step * floor(low / step + 1e-9), step * ceil(high / step - 1e-9), step };
}

double drawing_pixel_x(const struct drawing *drawing, double x)
{
    double share = (x - drawing->x.low) / (drawing->x.high - drawing->x.low);
    return drawing->panel.left + share * (drawing->panel.right - drawing->panel.left);
}

double drawing_pixel_y(const struct drawing *drawing, double y)
{
    double share = (y - drawing->y.low) / (drawing->y.high - drawing->y.low);
    return drawing->panel.bottom - share * (drawing->panel.bottom - drawing->panel.top);
}

/*
 * Axis titles are placed like all other text: gnuplot's own depend on how each
 * terminal measures tic labels, and are dropped where they do not fit.
 */
static void add_axis_titles(struct drawing *drawing, const char *x_title, const char *y_title)
{
    const struct box *panel = &drawing->panel;
    if (x_title)
        drawing_text(drawing, (panel->left + panel->right) / 2, panel->bottom + 44, 0, DRAWING_TEXT_SIZE, x_title, DRAWING_QUIET);
    if (y_title) {
        text_add(&drawing->script, "set label ");
        add_label(&drawing->script, y_title, LABEL_CHARACTERS);
        text_addf(&drawing->script, " at screen %.5f, screen %.5f center rotate by 90 font ',%d' textcolor rgb '" DRAWING_QUIET "' noenhanced front\n",
                  22.0 / drawing->width, 1 - (panel->top + panel->bottom) / 2 / drawing->height, DRAWING_TEXT_SIZE);
    }
}

/* To whole characters, so that what belongs in one row does not fall into two. */
static void snap(struct box *place)
{
    place->left = CELL_WIDTH_PX * round(place->left / CELL_WIDTH_PX);
    place->right = CELL_WIDTH_PX * round(place->right / CELL_WIDTH_PX);
    place->top = CELL_HEIGHT_PX * round(place->top / CELL_HEIGHT_PX);
    place->bottom = CELL_HEIGHT_PX * round(place->bottom / CELL_HEIGHT_PX);
}

void drawing_panel(struct drawing *drawing, struct box place, struct axis x, struct axis y,
                   const char *x_title, const char *y_title)
{
    if (drawing->terminal)
        snap(&place);
    drawing->panel = place;
    drawing->x = x;
    drawing->y = y;
    drawing->n_spots = drawing->n_labels = 0;
    const double nudge = drawing->terminal ? NUDGE : 0;
    text_addf(&drawing->script, "\nset lmargin at screen %.5f\nset rmargin at screen %.5f\nset tmargin at screen %.5f\nset bmargin at screen %.5f\n",
              place.left / drawing->width + nudge, place.right / drawing->width + nudge,
              1 - place.top / drawing->height + nudge, 1 - place.bottom / drawing->height + nudge);
    text_addf(&drawing->script, "set xrange [%.17g:%.17g]\nset yrange [%.17g:%.17g]\nset xtics %.17g\nset ytics %.17g\n",
              x.low, x.high, y.low, y.high, x.step, y.step);
    text_addf(&drawing->script, "set tics font ',%d'\n", DRAWING_TEXT_SIZE);
    add_axis_titles(drawing, x_title, y_title);
}

void drawing_each_style(struct drawing *drawing, const char *plot)
{
    for (int i = 0; i < DRAWING_STYLES; i++) {
        const char style = (char)('1' + i);
        text_add(&drawing->script, i ? ", \\\n     " : "");
        for (const char *at = plot; *at; at++)
            text_add_bytes(&drawing->script, *at == '@' ? &style : at, 1);
    }
}

/* "('name' 0, ...) font ...": at NULL numbers them from 0. */
static void add_tic_names(struct drawing *drawing, const char *const *names, const double *at, size_t n)
{
    text_add(&drawing->script, "(");
    for (size_t i = 0; i < n; i++) {
        text_add(&drawing->script, i ? ", \\\n    " : "");
        escape_gnuplot_tic(&drawing->script, names[i]);
        text_addf(&drawing->script, " %.17g", at ? at[i] : (double)i);
    }
    text_addf(&drawing->script, ") font ',%d' noenhanced", DRAWING_TEXT_SIZE);
}

void drawing_row_names(struct drawing *drawing, const char *const *names, size_t n)
{
    text_add(&drawing->script, "set ytics ");
    add_tic_names(drawing, names, NULL, n);
    text_add(&drawing->script, " scale 0\n");
}

void drawing_column_names(struct drawing *drawing, const char *const *names, const double *at, size_t n)
{
    text_add(&drawing->script, "set xtics ");
    add_tic_names(drawing, names, at, n);
    text_add(&drawing->script, "\n");
}

void drawing_block(struct drawing *drawing, const char *name)
{
    text_addf(&drawing->script, "$%s << EOD\n", name);
}

void drawing_number(struct drawing *drawing, double value)
{
    char digits[NUMBER_ALL_ROOM] = "NaN";
    if (isfinite(value))
        number_show_all(value, digits);
    text_add(&drawing->script, digits);
    text_add(&drawing->script, " ");
}

void drawing_row_end(struct drawing *drawing)
{
    text_add(&drawing->script, "\n");
}

void drawing_nowhere(struct drawing *drawing, size_t n_columns)
{
    for (size_t i = 0; i < n_columns; i++)
        text_add(&drawing->script, NOWHERE " ");
    drawing_row_end(drawing);
}

void drawing_block_end(struct drawing *drawing)
{
    text_add(&drawing->script, "EOD\n");
}

void drawing_point_block(struct drawing *drawing, const char *name, double x, double y)
{
    drawing_block(drawing, name);
    if (isfinite(x) && isfinite(y)) {
        drawing_number(drawing, x);
        drawing_number(drawing, y);
        drawing_row_end(drawing);
    } else {
        drawing_nowhere(drawing, 2);
    }
    drawing_block_end(drawing);
}

void drawing_line_block(struct drawing *drawing, const char *name, double x1, double y1, double x2, double y2)
{
    drawing_block(drawing, name);
    drawing_number(drawing, x1);
    drawing_number(drawing, y1);
    drawing_row_end(drawing);
    drawing_number(drawing, x2);
    drawing_number(drawing, y2);
    drawing_row_end(drawing);
    drawing_block_end(drawing);
}

void drawing_avoid(struct drawing *drawing, double x, double y)
{
    void *spots = drawing->spots;
    if (!isfinite(x) || !isfinite(y))
        return;
    if (!memory_reserve(&spots, &drawing->spots_capacity, drawing->n_spots + 1, sizeof *drawing->spots)) {
        drawing->script.failed = true;
        return;
    }
    drawing->spots = spots;
    drawing->spots[drawing->n_spots].x = drawing_pixel_x(drawing, x);
    drawing->spots[drawing->n_spots++].y = drawing_pixel_y(drawing, y);
}

void drawing_avoid_line(struct drawing *drawing, double x1, double y1, double x2, double y2)
{
    for (size_t i = 0; i <= LINE_SPOTS; i++) {
        double share = (double)i / LINE_SPOTS;
        drawing_avoid(drawing, x1 + share * (x2 - x1), y1 + share * (y2 - y1));
    }
}
