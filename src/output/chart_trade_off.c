#include "output/chart_builders.h"

#include "base/memory.h"
#include "output/words.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#define CURVE_STEPS 80
#define NAMED_MAX 6 /* names at their curves; of more aggregates the subtitle tells the shapes */
#define CHART_HEIGHT 500u

struct trade_off {
    const struct chart_source *source;
    enum property strength;
    const struct demand *target, *limit; /* on the strength and on the density; NULL without */
};

static double strength_shown(const struct trade_off *chart, double value)
{
    return words_shown(chart->strength, value, chart->source->us);
}

static double density_shown(const struct trade_off *chart, double value)
{
    return words_shown(PROPERTY_DENSITY, value, chart->source->us);
}

/* Both curves of an aggregate over the range that both were tested in. */
struct pair { const struct curve *density, *strength; double low, high; };

static bool pair_of(const struct trade_off *chart, uint32_t aggregate, struct pair *pair)
{
    const struct recommendation *answer = chart->source->answer;
    pair->density = recommendation_curve(answer, aggregate, PROPERTY_DENSITY);
    pair->strength = recommendation_curve(answer, aggregate, chart->strength);
    if (!pair->density || !pair->strength)
        return false;
    pair->low = fmax(pair->density->x_min, pair->strength->x_min);
    pair->high = fmin(pair->density->x_max, pair->strength->x_max);
    return pair->high > pair->low;
}

static void pair_at(const struct trade_off *chart, const struct pair *pair, size_t step, double *density, double *strength, double *assured)
{
    double x = pair->low + (pair->high - pair->low) * (double)step / CURVE_STEPS;
    *density = density_shown(chart, curve_value(pair->density, x));
    *strength = strength_shown(chart, curve_value(pair->strength, x));
    *assured = strength_shown(chart, curve_bound(pair->strength, x, &chart->source->request->assurance, -1));
}

static void mix_at(const struct trade_off *chart, size_t i, double *density, double *strength)
{
    const struct mix_summary *mix = &chart->source->answer->mixes.items[i];
    bool both = mix->property[PROPERTY_DENSITY].available && mix->property[chart->strength].available;
    *density = both ? density_shown(chart, mix->property[PROPERTY_DENSITY].mean) : NAN;
    *strength = both ? strength_shown(chart, mix->property[chart->strength].mean) : NAN;
}

/* Ends of both axes; false when no mix has both results. */
static bool spans(const struct trade_off *chart, struct box *ends)
{
    *ends = (struct box){ 1, 0, 0, 1 }; /* left > right and bottom > top: empty */
    for (size_t i = 0; i < chart->source->answer->mixes.n_items; i++) {
        double density, strength;
        mix_at(chart, i, &density, &strength);
        drawing_span(&ends->left, &ends->right, density);
        drawing_span(&ends->bottom, &ends->top, strength);
    }
    if (ends->left > ends->right)
        return false;
    for (uint32_t a = 0; a < chart->source->set->n_aggregates; a++) {
        struct pair pair;
        for (size_t j = 0; pair_of(chart, a, &pair) && j <= CURVE_STEPS; j += CURVE_STEPS / 4) {
            double density, strength, assured;
            pair_at(chart, &pair, j, &density, &strength, &assured);
            drawing_span(&ends->left, &ends->right, density);
            drawing_span(&ends->bottom, &ends->top, strength);
            drawing_span(&ends->bottom, &ends->top, assured < 0 ? 0 : assured);
        }
    }
    if (chart->target)
        drawing_span(&ends->bottom, &ends->top, strength_shown(chart, chart->target->value));
    if (chart->limit)
        drawing_span(&ends->left, &ends->right, density_shown(chart, chart->limit->value));
    return true;
}

static void add_mixes(const struct trade_off *chart, uint32_t aggregate, struct drawing *drawing)
{
    const struct mix_summary_list *mixes = &chart->source->answer->mixes;
    char name[32];
    snprintf(name, sizeof name, "mixes%u", aggregate + 1);
    drawing_block(drawing, name);
    size_t n = 0;
    for (size_t i = 0; i < mixes->n_items; i++) {
        double density, strength;
        mix_at(chart, i, &density, &strength);
        if (chart->source->set->mixes[mixes->items[i].mix].aggregate != aggregate || !isfinite(density))
            continue;
        drawing_number(drawing, density);
        drawing_number(drawing, strength);
        drawing_row_end(drawing);
        drawing_avoid(drawing, density, strength);
        n++;
    }
    if (n == 0)
        drawing_nowhere(drawing, 2);
    drawing_block_end(drawing);
}

static bool add_curve(const struct trade_off *chart, uint32_t aggregate, struct drawing *drawing)
{
    struct pair pair;
    char name[32];
    if (!pair_of(chart, aggregate, &pair))
        return false;
    snprintf(name, sizeof name, "curve%u", aggregate + 1);
    drawing_block(drawing, name);
    for (size_t j = 0; j <= CURVE_STEPS; j++) {
        double density, strength, assured;
        pair_at(chart, &pair, j, &density, &strength, &assured);
        drawing_number(drawing, density);
        drawing_number(drawing, strength);
        drawing_number(drawing, assured);
        drawing_row_end(drawing);
        drawing_avoid(drawing, density, strength);
        drawing_avoid(drawing, density, assured);
    }
    drawing_block_end(drawing);
    return true;
}

struct front_point { double density, strength; };

static int by_density(const void *left, const void *right)
{
    const struct front_point *a = left, *b = right;
    if (a->density != b->density)
        return a->density < b->density ? -1 : 1;
    return (a->strength < b->strength) - (a->strength > b->strength);
}

static void add_corner(struct drawing *drawing, const struct front_point *corner)
{
    drawing_number(drawing, corner->density);
    drawing_number(drawing, corner->strength);
    drawing_row_end(drawing);
}

/*
 * The front: for each strength the lightest mix whose mean reaches it. It rises to a mix's strength at that mix's density
 * and then goes across to the next heavier one, so that it never names a density for a strength that no such mix reached.
 */
static void add_front(const struct trade_off *chart, struct drawing *drawing)
{
    size_t n = chart->source->answer->mixes.n_items, kept = 0;
    struct front_point *points = memory_new(n, sizeof *points);
    if (!points) {
        drawing->script.failed = true;
        return;
    }
    for (size_t i = 0; i < n; i++) {
        mix_at(chart, i, &points[kept].density, &points[kept].strength);
        kept += isfinite(points[kept].density) ? 1 : 0;
    }
    qsort(points, kept, sizeof *points, by_density);
    drawing_block(drawing, "front");
    struct front_point last = { NAN, -INFINITY };
    for (size_t i = 0; i < kept; i++) {
        if (points[i].strength <= last.strength)
            continue;
        const struct front_point from = { points[i].density, isfinite(last.density) ? last.strength : drawing->y.low };
        drawing_avoid_line(drawing, last.density, from.strength, from.density, from.strength);
        drawing_avoid_line(drawing, from.density, from.strength, from.density, points[i].strength);
        if (!isfinite(last.density))
            add_corner(drawing, &from);
        last = points[i];
        add_corner(drawing, &last);
    }
    drawing_block_end(drawing);
    memory_free(points);
}

static void add_demand_lines(const struct trade_off *chart, struct drawing *drawing)
{
    char label[2 * WORDS_MAX];
    if (chart->target) {
        double y = strength_shown(chart, chart->target->value);
        drawing_line_block(drawing, "target", drawing->x.low, y, drawing->x.high, y);
        drawing_avoid_line(drawing, drawing->x.low, y, drawing->x.high, y);
        chart_demand_label(chart->target, false, chart->source->us, label, sizeof label);
        drawing_label(drawing, drawing->x.high, y, -1, label, DRAWING_INK);
    }
    if (chart->limit) {
        double x = density_shown(chart, chart->limit->value);
        drawing_line_block(drawing, "limit", x, drawing->y.low, x, drawing->y.high);
        drawing_avoid_line(drawing, x, drawing->y.low, x, drawing->y.high);
        chart_demand_label(chart->limit, true, chart->source->us, label, sizeof label);
        drawing_label(drawing, x, drawing->y.high, 1, label, DRAWING_INK);
    }
}

static void add_winner(const struct trade_off *chart, struct drawing *drawing)
{
    const struct candidate *winner = chart_winner(chart->source);
    double density = winner ? density_shown(chart, winner->density_kg_m3) : NAN, strength = NAN;
    for (size_t i = 0; winner && i < winner->n_outcomes; i++)
        if (winner->outcomes[i].demand.kind == DEMAND_PROPERTY && winner->outcomes[i].demand.property == chart->strength)
            strength = strength_shown(chart, winner->outcomes[i].estimate);
    drawing_point_block(drawing, "recommended", density, strength);
    if (winner && isfinite(strength)) {
        drawing_avoid(drawing, density, strength);
        drawing_label(drawing, density, strength, -1, "recommended", DRAWING_INK);
    }
}

/* An aggregate's name stands at the heavy end of its curve, or at its heaviest mix. */
static void add_name(const struct trade_off *chart, uint32_t aggregate, struct drawing *drawing)
{
    struct pair pair;
    double density = NAN, strength = NAN, assured;
    if (pair_of(chart, aggregate, &pair)) {
        pair_at(chart, &pair, 0, &density, &strength, &assured);
    } else {
        for (size_t i = 0; i < chart->source->answer->mixes.n_items; i++) {
            double d, s;
            mix_at(chart, i, &d, &s);
            if (chart->source->set->mixes[chart->source->answer->mixes.items[i].mix].aggregate == aggregate && !(d <= density)) {
                density = d;
                strength = s;
            }
        }
    }
    if (isfinite(density) && isfinite(strength))
        drawing_label(drawing, density, strength, -1, chart_aggregate(chart->source, aggregate),
                      drawing_colour(chart_slot(chart->source, aggregate)));
}

static void add_plot(const struct trade_off *chart, struct drawing *drawing)
{
    uint32_t n = (uint32_t)chart->source->set->n_aggregates;
    struct pair pair;
    text_add(&drawing->script, "plot $front using 1:2 with steps linestyle 28");
    text_add(&drawing->script, chart->target ? ", \\\n     $target using 1:2 with lines linestyle 29" : "");
    text_add(&drawing->script, chart->limit ? ", \\\n     $limit using 1:2 with lines linestyle 29" : "");
    for (uint32_t a = 0; a < n; a++) {
        unsigned style = drawing_line_style(chart_slot(chart->source, a));
        if (pair_of(chart, a, &pair))
            text_addf(&drawing->script, ", \\\n     $curve%u using 1:3 with lines linestyle %u linewidth 1.6 dashtype 2, \\\n"
                      "     $curve%u using 1:2 with lines linestyle %u", a + 1, style, a + 1, style);
        text_addf(&drawing->script, ", \\\n     $mixes%u using 1:2 with points linestyle %u pointtype MARK%u pointsize 1.1", a + 1, style, style);
    }
    text_add(&drawing->script, ", \\\n     $recommended using 1:2 with points linestyle 21 pointtype RING\n");
}

static void draw(const struct trade_off *chart, const struct box *ends, struct chart *out, struct drawing *drawing)
{
    char subtitle[1024], shapes[400], x_title[96], y_title[96], meaning[WORDS_MAX];
    double left = ends->left, right = ends->right, bottom = ends->bottom, top = ends->top;
    drawing_widen(&left, &right, 0.05);
    drawing_widen(&bottom, &top, 0.05);
    bool named = chart->source->set->n_aggregates <= NAMED_MAX;
    chart_shapes(chart->source, shapes, sizeof shapes);
    words_assurance(chart->source->set, &chart->source->request->assurance, meaning);
    snprintf(out->title, sizeof out->title, "What lightness costs in %s", property_row(chart->strength)->words);
    snprintf(subtitle, sizeof subtitle, "Points: means of mixes. Lines: fitted curves; dashed: assured (%s). "
             "Grey steps: the lightest mix whose mean reaches each strength.%s", meaning, named ? "" : shapes);
    snprintf(out->alternative, sizeof out->alternative, "%s against density for all mixes and fitted curves, with steps at the lightest mix whose mean reaches each strength.",
             property_row(chart->strength)->words);
    chart_axis_title(PROPERTY_DENSITY, chart->source->us, x_title, sizeof x_title);
    chart_axis_title(chart->strength, chart->source->us, y_title, sizeof y_title);
    double head = drawing_begin(drawing, out->name, CHART_HEIGHT, out->title, subtitle);
    struct box place = { 84, drawing->width - 24, head + 8, CHART_HEIGHT - 58 };
    struct axis x = axis_round(left, right, 5);
    x.low = left;
    x.high = right;
    drawing_panel(drawing, place, x, axis_round(fmax(0, bottom), top, 6), x_title, y_title);
    for (uint32_t a = 0; a < chart->source->set->n_aggregates; a++) {
        add_mixes(chart, a, drawing);
        add_curve(chart, a, drawing);
    }
    add_front(chart, drawing);
    add_demand_lines(chart, drawing);
    add_winner(chart, drawing);
    for (uint32_t a = 0; named && a < chart->source->set->n_aggregates; a++)
        add_name(chart, a, drawing);
    add_plot(chart, drawing);
    drawing_end(drawing);
}

enum status chart_trade_off(const struct chart_source *source, struct chart *out, struct drawing *drawing)
{
    struct trade_off chart = { .source = source, .strength = chart_strength(source) };
    struct box ends;
    bool strength_limited, density_limited;
    if (chart.strength == PROPERTY_COUNT)
        return STATUS_ANSWER_NO;
    chart.target = chart_demand(source, chart.strength, &strength_limited);
    chart.limit = chart_demand(source, PROPERTY_DENSITY, &density_limited);
    if (strength_limited)
        chart.target = NULL;
    if (!density_limited)
        chart.limit = NULL;
    if (!spans(&chart, &ends))
        return STATUS_ANSWER_NO;
    draw(&chart, &ends, out, drawing);
    return drawing->script.failed ? STATUS_MEMORY : STATUS_OK;
}
