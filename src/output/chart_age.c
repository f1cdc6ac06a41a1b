#include "output/chart_builders.h"

#include "base/number.h"
#include "output/words.h"

#include <math.h>
#include <stdio.h>

#define PANEL_PX 300.0
#define FOOT_PX 58.0
#define CURVE_STEPS 60
#define SERIES_MAX 8     /* more lines cannot be told apart */
#define NAME_PX 14.0     /* from the last point to its name */
#define TIC_APART_PX 26.0
#define TICS_MAX 16

/* Ages on a logarithmic scale: strength grows fast first and slowly later. */
struct age_chart {
    const struct chart_source *source;
    const struct age_study *study;
    size_t n_series;
};

static double shown(const struct age_chart *chart, double value)
{
    return words_shown(chart->study->property, value, chart->source->us);
}

static unsigned style_of(const struct age_chart *chart, const struct age_series *series)
{
    return drawing_line_style(chart_slot(chart->source, chart->source->set->mixes[series->mix].aggregate));
}

static double last_age(const struct age_series *series)
{
    return series->means[series->n_means - 1].age_days;
}

/* The fitted law of a mix, NULL without one. */
static const struct growth_fit *fit_of(const struct age_chart *chart, const struct age_series *series)
{
    const struct growth_study *growth = chart->source->growth;
    for (size_t i = 0; growth && i < growth->n_items; i++) {
        const struct age_curve *curve = &growth->items[i];
        if (curve->mix == series->mix && curve->property == chart->study->property && curve->chosen < GROWTH_LAW_COUNT)
            return &curve->laws[curve->chosen].fit;
    }
    return NULL;
}

/* The line: the fitted curve, else from mean to mean. */
static void add_line(const struct age_chart *chart, const struct age_series *series, struct drawing *drawing)
{
    const struct growth_fit *fit = fit_of(chart, series);
    size_t steps = fit ? CURVE_STEPS + 1 : series->n_means;
    for (size_t i = 0; i < steps; i++) {
        double first = log(series->means[0].age_days), x = first + (log(last_age(series)) - first) * (double)i / CURVE_STEPS;
        double y = fit ? growth_law_value(fit->law, fit->fit.parameter, exp(x)) : series->means[i].mean;
        x = fit ? x : log(series->means[i].age_days);
        drawing_number(drawing, x);
        drawing_number(drawing, shown(chart, y));
        drawing_row_end(drawing);
        drawing_avoid(drawing, x, shown(chart, y));
    }
}

static void add_series(const struct age_chart *chart, size_t index, struct drawing *drawing)
{
    const struct age_series *series = &chart->study->items[index];
    char name[32];
    snprintf(name, sizeof name, "line%zu", index + 1);
    drawing_block(drawing, name);
    add_line(chart, series, drawing);
    drawing_block_end(drawing);
    snprintf(name, sizeof name, "batches%zu", index + 1);
    drawing_block(drawing, name);
    for (size_t i = 0; i < series->n_values; i += chart_stride(series->n_values)) {
        drawing_number(drawing, log(series->ages[i]));
        drawing_number(drawing, shown(chart, series->values[i]));
        drawing_row_end(drawing);
        drawing_avoid(drawing, log(series->ages[i]), shown(chart, series->values[i]));
    }
    drawing_block_end(drawing);
}

/* Names stand right of the last point of their line. */
static void add_names(const struct age_chart *chart, struct drawing *drawing)
{
    for (size_t i = 0; i < chart->n_series; i++) {
        const struct age_series *series = &chart->study->items[i];
        const struct set_mix *mix = &chart->source->set->mixes[series->mix];
        char name[48];
        chart_row_name(mix->name, name);
        drawing_label(drawing, log(last_age(series)), shown(chart, series->means[series->n_means - 1].mean), -1, name,
                      drawing_colour(chart_slot(chart->source, mix->aggregate)));
    }
}

/* A tic at each age that was tested, unless its name would cover the one before. */
static void add_ages(const struct age_chart *chart, struct drawing *drawing)
{
    char texts[TICS_MAX][16];
    const char *names[TICS_MAX];
    double at[TICS_MAX], age = 0;
    size_t n = 0;
    while (n < TICS_MAX) {
        double next = INFINITY;
        for (size_t i = 0; i < chart->n_series; i++)
            for (size_t j = 0; j < chart->study->items[i].n_means; j++)
                if (chart->study->items[i].means[j].age_days > age)
                    next = fmin(next, chart->study->items[i].means[j].age_days);
        if (isinf(next))
            break;
        age = next;
        if (n > 0 && drawing_pixel_x(drawing, log(age)) - drawing_pixel_x(drawing, at[n - 1]) < TIC_APART_PX)
            continue;
        snprintf(texts[n], sizeof texts[n], "%.6g", age);
        names[n] = texts[n];
        at[n++] = log(age);
    }
    drawing_column_names(drawing, names, at, n);
}

static void describe(const struct age_chart *chart, struct chart *out, char *subtitle, size_t size)
{
    const struct property_row *row = property_row(chart->study->property);
    bool any_fit = false;
    for (size_t i = 0; i < chart->n_series; i++)
        any_fit = any_fit || fit_of(chart, &chart->study->items[i]);
    snprintf(out->title, sizeof out->title, "%c%s with age", row->words[0] - 'a' + 'A', row->words + 1);
    snprintf(subtitle, size, "Points: %s. Lines: %s. Mixes are compared at one age only.%s",
             chart_has_batches(chart->source) ? "batch means" : "specimens", any_fit ? "fitted law of growth where there is one, else from mean to mean" : "from mean to mean",
             chart->study->n_items > chart->n_series ? " Only the first 8 mixes tested at several ages are drawn." : "");
    snprintf(out->alternative, sizeof out->alternative, "%s by age for %zu mixes that were tested at several ages.", row->words, chart->n_series);
}

static void spans(const struct age_chart *chart, struct axis *x, struct axis *y, double names_px, double panel_px)
{
    double low = 1, high = 0, top = 0;
    for (size_t i = 0; i < chart->n_series; i++) {
        const struct age_series *series = &chart->study->items[i];
        drawing_span(&low, &high, log(series->means[0].age_days));
        drawing_span(&low, &high, log(last_age(series)));
        for (size_t j = 0; j < series->n_values; j++)
            top = fmax(top, shown(chart, series->values[j]));
    }
    low -= 0.06 * (high - low);
    *x = (struct axis){ low, high + (high - low) * names_px / (panel_px - names_px), 1 };
    *y = axis_round(0, 1.05 * top, 5);
    y->high = 1.05 * top;
}

static void draw(const struct age_chart *chart, struct chart *out, struct drawing *drawing)
{
    char subtitle[512], y_title[96], name[48];
    double widest = 0, left = 84, right = drawing->width - 24;
    struct axis x, y;
    describe(chart, out, subtitle, sizeof subtitle);
    chart_axis_title(chart->study->property, chart->source->us, y_title, sizeof y_title);
    for (size_t i = 0; i < chart->n_series; i++) {
        chart_row_name(chart->source->set->mixes[chart->study->items[i].mix].name, name);
        widest = fmax(widest, drawing_text_width(name, DRAWING_TEXT_SIZE));
    }
    spans(chart, &x, &y, widest + NAME_PX, right - left);
    double head = drawing_header(drawing, subtitle) + 8;
    drawing_begin(drawing, out->name, (unsigned)(head + PANEL_PX + FOOT_PX), out->title, subtitle);
    drawing_panel(drawing, (struct box){ left, right, head, head + PANEL_PX }, x, y, "age (days)", y_title);
    add_ages(chart, drawing);
    for (size_t i = 0; i < chart->n_series; i++)
        add_series(chart, i, drawing);
    add_names(chart, drawing);
    for (size_t i = 0; i < chart->n_series; i++) {
        unsigned style = style_of(chart, &chart->study->items[i]);
        text_addf(&drawing->script, "%s$line%zu using 1:2 with lines linestyle %u, $batches%zu using 1:2 with points linestyle %u pointtype MARK%u pointsize 0.8",
                  i ? ", \\\n     " : "plot ", i + 1, style, i + 1, style, style);
    }
    text_add(&drawing->script, "\n");
    drawing_end(drawing);
}

enum status chart_age_growth(const struct chart_source *source, struct chart *out, struct drawing *drawing)
{
    struct age_chart chart = { .source = source, .study = source->ages };
    if (!chart.study || chart.study->n_items == 0)
        return STATUS_ANSWER_NO;
    chart.n_series = chart.study->n_items < SERIES_MAX ? chart.study->n_items : SERIES_MAX;
    draw(&chart, out, drawing);
    return drawing->script.failed ? STATUS_MEMORY : STATUS_OK;
}
