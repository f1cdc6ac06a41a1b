#include "output/chart_builders.h"

#include "advise/words.h"
#include "base/memory.h"
#include "output/words.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#define PANEL_PX 280.0
#define FOOT_PX 58.0
#define NAMED_MAX 6

/* A candidate by what it weighs and costs. */
struct cost_point {
    const struct candidate *candidate;
    double density, cost; /* as shown */
    bool on_front;
};

struct cost_chart {
    const struct chart_source *source;
    struct cost_point *points; /* lightest first */
    size_t n_points, n_feasible;
};

static int by_density(const void *left, const void *right)
{
    const struct cost_point *a = left, *b = right;
    if (a->density != b->density)
        return a->density < b->density ? -1 : 1;
    return (a->cost > b->cost) - (a->cost < b->cost);
}

static enum status gather(struct cost_chart *chart)
{
    const struct recommendation *answer = chart->source->answer;
    double cheapest = INFINITY;
    chart->points = memory_new(answer->n_candidates + 1, sizeof *chart->points);
    if (!chart->points)
        return STATUS_MEMORY;
    for (size_t i = 0; i < answer->n_candidates; i++) {
        const struct candidate *candidate = &answer->candidates[i];
        if (!isfinite(candidate->cost) || !isfinite(candidate->density_kg_m3))
            continue;
        chart->points[chart->n_points++] = (struct cost_point){
            candidate, words_shown(PROPERTY_DENSITY, candidate->density_kg_m3, chart->source->us),
            cost_shown(candidate->cost, chart->source->us), false
        };
        chart->n_feasible += candidate->feasible ? 1 : 0;
    }
    qsort(chart->points, chart->n_points, sizeof *chart->points, by_density);
    for (size_t i = 0; i < chart->n_points; i++) {
        struct cost_point *point = &chart->points[i];
        point->on_front = point->candidate->feasible && point->cost < cheapest;
        cheapest = point->on_front ? point->cost : cheapest;
    }
    return chart->n_points > 1 ? STATUS_OK : STATUS_ANSWER_NO;
}

static void add_points(const struct cost_chart *chart, bool feasible, struct drawing *drawing)
{
    size_t n = 0;
    drawing_block(drawing, feasible ? "meets" : "fails");
    for (size_t i = 0; i < chart->n_points; i++) {
        const struct cost_point *point = &chart->points[i];
        if (point->candidate->feasible != feasible)
            continue;
        drawing_number(drawing, point->density);
        drawing_number(drawing, point->cost);
        drawing_number(drawing, (double)drawing_line_style(chart_slot(chart->source, point->candidate->aggregate)));
        drawing_row_end(drawing);
        drawing_avoid(drawing, point->density, point->cost);
        n++;
    }
    if (n == 0)
        drawing_nowhere(drawing, 3);
    drawing_block_end(drawing);
}

/* From each recipe of the front across to the next heavier one, then down to its cost. */
static void add_front(const struct cost_chart *chart, struct drawing *drawing)
{
    double density = NAN, cost = NAN;
    drawing_block(drawing, "front");
    for (size_t i = 0; i < chart->n_points; i++) {
        const struct cost_point *point = &chart->points[i];
        if (!point->on_front)
            continue;
        drawing_number(drawing, point->density);
        drawing_number(drawing, point->cost);
        drawing_row_end(drawing);
        drawing_avoid_line(drawing, density, cost, point->density, cost);
        drawing_avoid_line(drawing, point->density, cost, point->density, point->cost);
        density = point->density;
        cost = point->cost;
    }
    if (isnan(density))
        drawing_nowhere(drawing, 2);
    drawing_block_end(drawing);
}

static void add_winner(const struct cost_chart *chart, struct drawing *drawing)
{
    const struct candidate *winner = chart_winner(chart->source);
    drawing_point_block(drawing, "recommended", winner ? words_shown(PROPERTY_DENSITY, winner->density_kg_m3, chart->source->us) : NAN,
                        winner ? cost_shown(winner->cost, chart->source->us) : NAN);
}

static void add_names(const struct cost_chart *chart, struct drawing *drawing)
{
    size_t named = 0;
    for (size_t i = 0; i < chart->n_points && named < NAMED_MAX; i++) {
        const struct cost_point *point = &chart->points[i];
        char name[48];
        bool reference = !point->candidate->interpolated && point->candidate->mix == chart->source->answer->reference;
        if (!point->on_front && !reference)
            continue;
        chart_recipe_name(chart->source, point->candidate, name);
        drawing_label(drawing, point->density, point->cost, -1, name, DRAWING_INK);
        named++;
    }
}

static void describe(const struct cost_chart *chart, struct chart *out, char *subtitle, size_t size)
{
    char shapes[400];
    chart_shapes(chart->source, shapes, sizeof shapes);
    snprintf(out->title, sizeof out->title, "What lightness costs in money");
    snprintf(subtitle, size, "Materials for a cubic %s. Filled: meets every demand; hollow: fails.%s%s",
             chart->source->us ? "yard" : "metre", chart->n_feasible > 1 ? " Grey steps: of those that meet all, nothing is both lighter and cheaper." : "", shapes);
    snprintf(out->alternative, sizeof out->alternative, "Cost of the materials against density for %zu candidates, %zu of which meet every demand.",
             chart->n_points, chart->n_feasible);
}

static void draw(const struct cost_chart *chart, struct chart *out, struct drawing *drawing)
{
    char subtitle[1024], x_title[96];
    double left = 1, right = 0, bottom = 1, top = 0;
    for (size_t i = 0; i < chart->n_points; i++) {
        drawing_span(&left, &right, chart->points[i].density);
        drawing_span(&bottom, &top, chart->points[i].cost);
    }
    drawing_widen(&left, &right, 0.06);
    drawing_widen(&bottom, &top, 0.08);
    describe(chart, out, subtitle, sizeof subtitle);
    chart_axis_title(PROPERTY_DENSITY, chart->source->us, x_title, sizeof x_title);
    double head = drawing_header(drawing, subtitle) + 8;
    drawing_begin(drawing, out->name, (unsigned)(head + PANEL_PX + FOOT_PX), out->title, subtitle);
    struct axis x = axis_round(left, right, 5);
    x.low = left;
    x.high = right;
    struct axis y = axis_round(fmax(0, bottom), top, 5);
    y.low = fmax(0, bottom);
    y.high = top;
    drawing_panel(drawing, (struct box){ 84, drawing->width - 24, head, head + PANEL_PX }, x, y, x_title,
                  cost_heading_words(chart->source->us));
    add_points(chart, true, drawing);
    add_points(chart, false, drawing);
    add_front(chart, drawing);
    add_winner(chart, drawing);
    add_names(chart, drawing);
    text_add(&drawing->script, "plot $front using 1:2 with steps linestyle 28, \\\n     ");
    drawing_each_style(drawing, "$fails using 1:($3==@ ? $2 : NOWHERE) with points linestyle 4@, "
                                "$fails using 1:($3==@ ? $2 : NOWHERE) with points linestyle 3@ pointtype OPEN@, "
                                "$meets using 1:($3==@ ? $2 : NOWHERE) with points linestyle @ pointtype MARK@ pointsize 1.1");
    text_add(&drawing->script, ", \\\n     $recommended using 1:2 with points linestyle 21 pointtype RING\n");
    drawing_end(drawing);
}

enum status chart_cost(const struct chart_source *source, struct chart *out, struct drawing *drawing)
{
    struct cost_chart chart = { .source = source };
    enum status status = gather(&chart);
    if (status == STATUS_OK) {
        draw(&chart, out, drawing);
        status = drawing->script.failed ? STATUS_MEMORY : STATUS_OK;
    }
    memory_free(chart.points);
    return status;
}
