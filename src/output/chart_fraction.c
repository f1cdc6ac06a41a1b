#include "output/chart_builders.h"

#include "advise/words.h"
#include "base/memory.h"
#include "output/words.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define CURVE_STEPS 80
#define PANELS_MAX 8

/* One aggregate's data for the chart. */
struct fraction_panel {
    const struct curve_set *curves;
    const struct curve *curve; /* chosen, or NULL */
    double *x, *y;             /* batch means, base unit */
    size_t n;
};

struct fraction_chart {
    const struct chart_source *source;
    enum property property;
    struct fraction_panel panels[PANELS_MAX];
    size_t n_panels;
    const struct demand *demand; /* NULL without */
    bool is_limit;
    double reference;            /* base unit, NaN when there is none */
    struct axis x, y;
};

static double shown(const struct fraction_chart *chart, double value)
{
    return words_shown(chart->property, value, chart->source->us);
}

/* Density is held from above whenever it is held; any other property from the side its demand says. */
static int assured_side(const struct fraction_chart *chart)
{
    return (chart->demand && chart->is_limit) || chart->property == PROPERTY_DENSITY ? 1 : -1;
}

static bool shows_assured(const struct fraction_chart *chart)
{
    return chart->demand || chart->property != PROPERTY_DENSITY;
}

static double assured_at(const struct fraction_chart *chart, const struct curve *curve, double x)
{
    return shows_assured(chart) ? curve_bound(curve, x, &chart->source->request->assurance, assured_side(chart)) : NAN;
}

static double curve_x(const struct curve *curve, size_t step)
{
    return curve->x_min + (curve->x_max - curve->x_min) * (double)step / CURVE_STEPS;
}

static enum status gather(struct fraction_chart *chart)
{
    const struct recommendation *answer = chart->source->answer;
    for (size_t i = 0; i < answer->n_curves && chart->n_panels < PANELS_MAX; i++) {
        const struct curve_set *curves = &answer->curves[i];
        if (curves->curves[0].property != chart->property)
            continue;
        struct fraction_panel *panel = &chart->panels[chart->n_panels];
        panel->curves = curves;
        panel->curve = curve_set_chosen(curves);
        struct sample sample;
        struct problem problem;
        if (curve_set_sample(chart->source->set, &answer->selection, NULL, curves, &sample, &problem) != STATUS_OK)
            return STATUS_MEMORY;
        panel->n = sample.n_batches;
        bool good = chart_batch_means(&sample, &panel->x, &panel->y);
        sample_release(&sample);
        if (!good)
            return STATUS_MEMORY;
        chart->n_panels++;
    }
    return chart->n_panels > 0 ? STATUS_OK : STATUS_ANSWER_NO;
}

/* Common axes, so that panels can be compared. */
static void settle_axes(struct fraction_chart *chart)
{
    double x_low = 1, x_high = 0, y_low = 1, y_high = 0;
    for (size_t i = 0; i < chart->n_panels; i++) {
        const struct fraction_panel *panel = &chart->panels[i];
        for (size_t j = 0; j < panel->n; j++) {
            drawing_span(&x_low, &x_high, panel->x[j]);
            drawing_span(&y_low, &y_high, shown(chart, panel->y[j]));
        }
        for (size_t j = 0; panel->curve && j <= CURVE_STEPS; j += CURVE_STEPS / 8) {
            double x = curve_x(panel->curve, j);
            drawing_span(&y_low, &y_high, shown(chart, curve_value(panel->curve, x)));
            double assured = shown(chart, assured_at(chart, panel->curve, x));
            drawing_span(&y_low, &y_high, assured < 0 ? 0 : assured);
        }
    }
    if (chart->demand)
        drawing_span(&y_low, &y_high, shown(chart, chart->demand->value));
    drawing_span(&y_low, &y_high, shown(chart, chart->reference));
    drawing_widen(&x_low, &x_high, 0.06);
    drawing_widen(&y_low, &y_high, 0.03);
    chart->x = axis_round(x_low, x_high, 6);
    chart->x.low = x_low;
    chart->x.high = x_high;
    chart->y = axis_round(fmax(0, y_low), y_high, 5);
}

static void add_blocks(const struct fraction_chart *chart, size_t index, struct drawing *drawing)
{
    const struct fraction_panel *panel = &chart->panels[index];
    char name[32];
    snprintf(name, sizeof name, "batches%zu", index + 1);
    drawing_block(drawing, name);
    for (size_t j = 0; j < panel->n; j += chart_stride(panel->n)) {
        drawing_number(drawing, panel->x[j]);
        drawing_number(drawing, shown(chart, panel->y[j]));
        drawing_row_end(drawing);
        drawing_avoid(drawing, panel->x[j], shown(chart, panel->y[j]));
    }
    drawing_block_end(drawing);
    if (!panel->curve)
        return;
    snprintf(name, sizeof name, "curve%zu", index + 1);
    drawing_block(drawing, name);
    for (size_t j = 0; j <= CURVE_STEPS; j++) {
        double x = curve_x(panel->curve, j), lower, upper;
        curve_confidence(panel->curve, x, chart->source->request->assurance.confidence, &lower, &upper);
        double fitted = shown(chart, curve_value(panel->curve, x)), assured = shown(chart, assured_at(chart, panel->curve, x));
        drawing_number(drawing, x);
        drawing_number(drawing, fitted);
        drawing_number(drawing, shown(chart, lower));
        drawing_number(drawing, shown(chart, upper));
        drawing_number(drawing, assured);
        drawing_row_end(drawing);
        drawing_avoid(drawing, x, fitted);
        drawing_avoid(drawing, x, assured);
    }
    drawing_block_end(drawing);
}

static const struct candidate *winner_here(const struct fraction_chart *chart, const struct fraction_panel *panel)
{
    const struct candidate *winner = chart_winner(chart->source);
    bool here = winner && isfinite(winner->aggregate_fraction) && winner->aggregate == panel->curves->curves[0].aggregate;
    return here ? winner : NULL;
}

/* Where the recommended recipe stands: on the curve, or at the tested mix's mean. */
static double winner_value(const struct fraction_chart *chart, const struct fraction_panel *panel, const struct candidate *winner)
{
    if (!winner->interpolated)
        return shown(chart, chart_mix_mean(chart->source, winner->mix, chart->property));
    return panel->curve ? shown(chart, curve_value(panel->curve, winner->aggregate_fraction)) : NAN;
}

static void add_winner(const struct fraction_chart *chart, const struct fraction_panel *panel, struct drawing *drawing)
{
    const struct candidate *winner = winner_here(chart, panel);
    double x = winner ? winner->aggregate_fraction : NAN, y = winner ? winner_value(chart, panel, winner) : NAN;
    drawing_point_block(drawing, "recommended", x, y);
    if (winner && isfinite(x) && isfinite(y)) {
        char label[WORDS_MAX], fraction[32];
        fraction_words(winner->shown_fraction, fraction, sizeof fraction);
        snprintf(label, sizeof label, "recommended: %s", fraction);
        drawing_label(drawing, x, y, -1, label, DRAWING_INK);
    }
}

/* A level across the panel with its name at the right end, or elsewhere when there is no room. */
static void add_level(struct drawing *drawing, const char *block, double y, const char *label)
{
    drawing_line_block(drawing, block, drawing->x.low, y, drawing->x.high, y);
    drawing_avoid_line(drawing, drawing->x.low, y, drawing->x.high, y);
    double span = drawing->x.high - drawing->x.low;
    const double x[] = { drawing->x.high, drawing->x.high - span / 3, drawing->x.low + span / 3, drawing->x.low };
    const double level[] = { y, y, y, y };
    drawing_label_along(drawing, x, level, sizeof x / sizeof x[0], -1, label, DRAWING_INK);
}

/* Labels keep off the line down from the recommended point. */
static void avoid_winner(const struct fraction_chart *chart, const struct fraction_panel *panel, struct drawing *drawing)
{
    const struct candidate *winner = winner_here(chart, panel);
    double y = winner ? winner_value(chart, panel, winner) : NAN;
    if (winner)
        drawing_avoid_line(drawing, winner->aggregate_fraction, drawing->y.low, winner->aggregate_fraction, y);
}

static void add_levels(const struct fraction_chart *chart, struct drawing *drawing)
{
    char label[WORDS_MAX + 32], value[WORDS_MAX];
    text_add(&drawing->script, "unset arrow\n"); /* leaders of the panel before */
    if (chart->demand) {
        chart_demand_label(chart->demand, chart->is_limit, chart->source->us, label, sizeof label);
        add_level(drawing, "demand", shown(chart, chart->demand->value), label);
    }
    if (isfinite(chart->reference)) {
        words_value(chart->property, chart->reference, chart->source->us, value);
        snprintf(label, sizeof label, "reference mix %s", value);
        add_level(drawing, "reference", shown(chart, chart->reference), label);
    }
}

/* The end of the curve is the natural place; its middle and its start are tried too. */
static void name_assured(const struct fraction_chart *chart, const struct curve *curve, struct drawing *drawing, const char *colour)
{
    static const size_t steps[] = { CURVE_STEPS, 7 * CURVE_STEPS / 8, 6 * CURVE_STEPS / 8, CURVE_STEPS / 2, CURVE_STEPS / 4, CURVE_STEPS / 8 };
    double x[sizeof steps / sizeof steps[0]], y[sizeof steps / sizeof steps[0]];
    for (size_t i = 0; i < sizeof steps / sizeof steps[0]; i++) {
        x[i] = curve_x(curve, steps[i]);
        y[i] = shown(chart, assured_at(chart, curve, x[i]));
    }
    drawing_label_along(drawing, x, y, sizeof steps / sizeof steps[0], -assured_side(chart), "assured", colour);
}

/* From the ground up: the band, levels, which it must not hide, curves, points. */
static void add_plot(const struct fraction_chart *chart, size_t index, unsigned style, struct drawing *drawing)
{
    struct text *script = &drawing->script;
    bool has_curve = chart->panels[index].curve;
    size_t number = index + 1;
    text_add(script, "plot ");
    if (has_curve)
        text_addf(script, "$curve%zu using 1:3:4 with filledcurves linestyle %u, \\\n     ", number, 10 + style);
    if (chart->demand)
        text_add(script, "$demand using 1:2 with lines linestyle 29, \\\n     ");
    if (isfinite(chart->reference))
        text_add(script, "$reference using 1:2 with lines linestyle 29 dashtype 3, \\\n     ");
    if (has_curve)
        text_addf(script, "$curve%zu using 1:5 with lines linestyle %u linewidth 1.6 dashtype 2, \\\n"
                          "     $curve%zu using 1:2 with lines linestyle %u, \\\n     ",
                  number, style, number, style);
    text_addf(script, "$batches%zu using 1:2 with points linestyle %u pointtype MARK%u pointsize 0.8, \\\n"
                      "     $recommended using 1:2 with impulses linestyle 29 dashtype 3, \\\n"
                      "     $recommended using 1:2 with points linestyle 21 pointtype RING\n"
                      "unset label\n",
              number, style, style);
}

static void add_panel(const struct fraction_chart *chart, size_t index, struct drawing *drawing)
{
    const struct fraction_panel *panel = &chart->panels[index];
    uint32_t aggregate = panel->curves->curves[0].aggregate;
    size_t slot = chart_slot(chart->source, aggregate);
    unsigned style = drawing_line_style(slot);
    add_blocks(chart, index, drawing);
    avoid_winner(chart, panel, drawing);
    add_levels(chart, drawing);
    add_winner(chart, panel, drawing);
    if (panel->curve && shows_assured(chart))
        name_assured(chart, panel->curve, drawing, drawing_colour(slot));
    drawing_text(drawing, drawing->panel.left + 6, drawing->panel.top - 12, -1, 14,
                 chart_aggregate(chart->source, aggregate), drawing_colour(slot));
    add_plot(chart, index, style, drawing);
}

static void describe(const struct fraction_chart *chart, struct chart *out, char *subtitle, size_t size)
{
    const struct property_row *row = property_row(chart->property);
    char age[48], meaning[WORDS_MAX];
    chart_age(chart->source, age, sizeof age);
    words_assurance(chart->source->set, &chart->source->request->assurance, meaning);
    snprintf(out->title, sizeof out->title, "%c%s by aggregate fraction", row->words[0] - 'a' + 'A', row->words + 1);
    double percent = 100 * chart->source->request->assurance.confidence;
    char stride[64];
    size_t most = 0;
    for (size_t i = 0; i < chart->n_panels; i++)
        most = chart->panels[i].n > most ? chart->panels[i].n : most;
    chart_stride_words(most, stride, sizeof stride);
    const char *points = chart_has_batches(chart->source) ? "batch means" : "specimens";
    if (shows_assured(chart))
        snprintf(subtitle, size, "Points: %s%s.%s Solid: fitted curve with its %g %% band. Dashed: assured (%s).", points, age, stride, percent, meaning);
    else
        snprintf(subtitle, size, "Points: %s.%s Line: fitted curve with its %g %% band.", points, stride, percent);
    size_t used = (size_t)snprintf(out->alternative, sizeof out->alternative, "%s against aggregate fraction%s", row->words,
                                   chart->n_panels > 1 ? ", a panel each for" : "");
    for (size_t i = 0; chart->n_panels > 1 && i < chart->n_panels && used < sizeof out->alternative; i++)
        used += (size_t)snprintf(out->alternative + used, sizeof out->alternative - used, "%s %s", i ? "," : "",
                                 words_aggregate(chart->source->set, chart->panels[i].curves->curves[0].aggregate));
    const struct candidate *winner = chart_winner(chart->source);
    char recipe[WORDS_MAX];
    if (winner && used < sizeof out->alternative) {
        words_recipe(chart->source->set, winner, recipe);
        snprintf(out->alternative + used, sizeof out->alternative - used, "; recommended: %s", recipe);
    }
}

#define PANEL_PX 190.0
#define SINGLE_PANEL_PX 320.0
#define PANEL_HEAD_PX 38.0
#define FOOT_PX 58.0
static void draw(const struct fraction_chart *chart, struct chart *out, struct drawing *drawing)
{
    char subtitle[512], y_title[96];
    describe(chart, out, subtitle, sizeof subtitle);
    chart_axis_title(chart->property, chart->source->us, y_title, sizeof y_title);
    double panel_px = chart->n_panels == 1 ? SINGLE_PANEL_PX : PANEL_PX;
    double height = drawing_header(drawing, subtitle) + (double)chart->n_panels * (panel_px + PANEL_HEAD_PX) + FOOT_PX;
    double top = drawing_begin(drawing, out->name, (unsigned)height, out->title, subtitle);
    for (size_t i = 0; i < chart->n_panels; i++) {
        top += PANEL_HEAD_PX;
        struct box place = { 84, drawing->width - 24, top, top + panel_px };
        bool last = i + 1 == chart->n_panels;
        drawing_panel(drawing, place, chart->x, chart->y, last ? chart_fraction_title(chart->source) : NULL, y_title);
        text_addf(&drawing->script, "set format x '%s'\n", last ? "%h" : "");
        add_panel(chart, i, drawing);
        top += panel_px;
    }
    drawing_end(drawing);
}

enum status chart_by_fraction(const struct chart_source *source, enum property property,
                              struct chart *out, struct drawing *drawing)
{
    struct fraction_chart chart = { .source = source, .property = property, .reference = NAN };
    chart.demand = chart_demand(source, property, &chart.is_limit);
    if (property == PROPERTY_DENSITY)
        chart.reference = chart_mix_mean(source, source->answer->reference, property);
    enum status status = gather(&chart);
    if (status == STATUS_OK) {
        settle_axes(&chart);
        draw(&chart, out, drawing);
        status = drawing->script.failed ? STATUS_MEMORY : STATUS_OK;
    }
    for (size_t i = 0; i < chart.n_panels; i++) {
        memory_free(chart.panels[i].x);
        memory_free(chart.panels[i].y);
    }
    return status;
}
