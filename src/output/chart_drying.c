#include "output/chart_builders.h"

#include "base/number.h"
#include "output/words.h"

#include <math.h>
#include <stdio.h>

#define PANEL_PX 280.0
#define PANEL_HEAD_PX 40.0
#define FOOT_PX 58.0
#define SERIES_MAX 6     /* in a panel; more lines cannot be told apart */
#define CURVE_STEPS 80
#define LEAST_SPAN_PCT 2.0 /* or a gram would look like a landslide */
#define HOURS_PER_DAY 24.0

/* Oven and air have a panel each: hours here, weeks there. */
struct drying_panel {
    const struct drying_rule *rule;
    const struct drying_result *items[SERIES_MAX];
    size_t n_items, n_more;
    double unit_hours;       /* of the axis: an hour or a day */
};

struct drying_chart {
    const struct chart_source *source;
    struct drying_panel panels[2];
    size_t n_panels, n_more;
};

static void gather_panel(struct drying_chart *chart, const struct drying_rule *rule)
{
    struct drying_panel *panel = &chart->panels[chart->n_panels];
    double longest = 0;
    *panel = (struct drying_panel){ .rule = rule };
    for (size_t i = 0; i < chart->source->drying->n_items; i++) {
        const struct drying_result *result = &chart->source->drying->items[i];
        if (result->rule != rule || result->series->n_items < 2)
            continue;
        if (panel->n_items == SERIES_MAX) {
            panel->n_more++;
            continue;
        }
        panel->items[panel->n_items++] = result;
        longest = fmax(longest, result->series->items[result->series->n_items - 1].hours - result->series->items[0].hours);
    }
    panel->unit_hours = longest > 7 * HOURS_PER_DAY ? HOURS_PER_DAY : 1;
    chart->n_panels += panel->n_items > 0 ? 1 : 0;
    chart->n_more += panel->n_more;
}

/* Mass in % of the first weighing, so that specimens of any size share an axis. */
static double share_pct(const struct drying_result *result, double mass_kg)
{
    return 100 * mass_kg / result->series->items[0].mass_kg;
}

static double time_of(const struct drying_panel *panel, const struct drying_result *result, size_t weighing)
{
    return (result->series->items[weighing].hours - result->series->items[0].hours) / panel->unit_hours;
}

static bool is_constant(const struct drying_result *result, size_t weighing)
{
    return result->judged && result->state.comparable && result->state.constant && weighing >= result->state.since;
}

static void add_weighings(const struct drying_panel *panel, const struct drying_result *result, bool constant, const char *block, struct drawing *drawing)
{
    size_t n = 0;
    drawing_block(drawing, block);
    for (size_t i = 0; i < result->series->n_items; i++) {
        double y = share_pct(result, result->series->items[i].mass_kg);
        if (is_constant(result, i) != constant)
            continue;
        drawing_number(drawing, time_of(panel, result, i));
        drawing_number(drawing, y);
        drawing_row_end(drawing);
        drawing_avoid(drawing, time_of(panel, result, i), y);
        n++;
    }
    if (n == 0)
        drawing_nowhere(drawing, 2);
    drawing_block_end(drawing);
}

/* The fitted curve on to the edge of the panel, else from weighing to weighing. */
static void add_line(const struct drying_panel *panel, const struct drying_result *result, double end, const char *block, struct drawing *drawing)
{
    drawing_block(drawing, block);
    size_t steps = result->fitted ? CURVE_STEPS + 1 : result->series->n_items;
    for (size_t i = 0; i < steps; i++) {
        double x = result->fitted ? end * (double)i / CURVE_STEPS : time_of(panel, result, i);
        double mass_kg = result->fitted ? approach_fit_at(&result->fit, x * panel->unit_hours) : result->series->items[i].mass_kg;
        drawing_number(drawing, x);
        drawing_number(drawing, share_pct(result, mass_kg));
        drawing_row_end(drawing);
        drawing_avoid(drawing, x, share_pct(result, mass_kg));
    }
    drawing_block_end(drawing);
}

/* "gravel-1-soaked: ends at 2230 g" */
static void series_name(const struct drying_chart *chart, const struct drying_result *result, char out[128])
{
    char name[48], mass[64];
    const struct unit *unit = unit_find(units_mass, chart->source->us ? "lb" : "g");
    chart_row_name(result->series->specimen, name);
    number_show_significant(result->fit.limit / unit->factor, 4, mass, sizeof mass);
    snprintf(out, 128, result->fitted ? "%s: ends at %s %s" : "%s", name, mass, chart->source->us ? "lb" : "g");
}

static void add_names(const struct drying_chart *chart, const struct drying_panel *panel, struct drawing *drawing)
{
    for (size_t i = 0; i < panel->n_items; i++) {
        const struct drying_result *result = panel->items[i];
        size_t last = result->series->n_items - 1;
        double x[4], y[4];
        char name[128];
        for (size_t j = 0; j < 4; j++) {
            size_t weighing = last - j * last / 4;
            x[j] = time_of(panel, result, weighing);
            y[j] = share_pct(result, result->series->items[weighing].mass_kg);
        }
        series_name(chart, result, name);
        drawing_label_along(drawing, x, y, 4, -1, name, drawing_colour(i));
    }
}

static void panel_axes(const struct drying_panel *panel, struct axis *x, struct axis *y)
{
    double longest = 0, low = 1, high = 0;
    for (size_t i = 0; i < panel->n_items; i++) {
        const struct drying_result *result = panel->items[i];
        longest = fmax(longest, time_of(panel, result, result->series->n_items - 1));
        for (size_t j = 0; j < result->series->n_items; j++)
            drawing_span(&low, &high, share_pct(result, result->series->items[j].mass_kg));
        if (result->fitted)
            drawing_span(&low, &high, share_pct(result, result->fit.limit));
    }
    drawing_widen(&low, &high, fmax(0.08, (LEAST_SPAN_PCT - (high - low)) / 2 / (high - low)));
    *x = axis_round(0, 1.15 * longest, 6);
    x->high = 1.15 * longest;
    *y = axis_round(low, high, 4);
    y->low = low;
    y->high = high;
}

static void add_panel(const struct drying_chart *chart, const struct drying_panel *panel, struct box place, struct drawing *drawing)
{
    struct axis x, y;
    char block[32];
    panel_axes(panel, &x, &y);
    drawing_panel(drawing, place, x, y, panel->unit_hours > 1 ? "days since the first weighing" : "hours since the first weighing", "% of first mass");
    text_add(&drawing->script, "unset arrow\n");
    drawing_text(drawing, place.left + 6, place.top - 12, -1, 14, panel->rule == &drying_rule_oven ? "in the oven" : "in air", DRAWING_INK);
    for (size_t i = 0; i < panel->n_items; i++) {
        snprintf(block, sizeof block, "line%zu", i + 1);
        add_line(panel, panel->items[i], x.high, block, drawing);
        snprintf(block, sizeof block, "moving%zu", i + 1);
        add_weighings(panel, panel->items[i], false, block, drawing);
        snprintf(block, sizeof block, "constant%zu", i + 1);
        add_weighings(panel, panel->items[i], true, block, drawing);
    }
    add_names(chart, panel, drawing);
    for (size_t i = 0; i < panel->n_items; i++) {
        unsigned style = drawing_line_style(i);
        text_addf(&drawing->script, "%s$line%zu using 1:2 with lines linestyle %u linewidth 1.6, $moving%zu using 1:2 with points linestyle %u, \\\n"
                  "     $moving%zu using 1:2 with points linestyle %u pointtype OPEN%u, $constant%zu using 1:2 with points linestyle %u pointtype MARK%u",
                  i ? ", \\\n     " : "plot ", i + 1, style, i + 1, style + 40, i + 1, style + 30, style, i + 1, style, style);
    }
    text_add(&drawing->script, "\nunset label\n");
}

static void describe(const struct drying_chart *chart, struct chart *out, char *subtitle, size_t size)
{
    size_t shown = 0, constant = 0;
    for (size_t i = 0; i < chart->n_panels; i++)
        for (size_t j = 0; j < chart->panels[i].n_items; j++) {
            const struct drying_result *result = chart->panels[i].items[j];
            shown++;
            constant += is_constant(result, result->series->n_items - 1) ? 1 : 0;
        }
    snprintf(out->title, sizeof out->title, "Are the specimens dry yet?");
    snprintf(subtitle, size, "Mass of each specimen while it dries. Hollow: still losing; filled: constant. Lines: the approach to the mass it will end at, where it bends.%s",
             chart->n_more ? " Only the first 6 in the oven and the first 6 in air are drawn." : "");
    snprintf(out->alternative, sizeof out->alternative, "Drying curves of %zu specimens, %zu of which have reached constant mass.", shown, constant);
}

enum status chart_drying_curves(const struct chart_source *source, struct chart *out, struct drawing *drawing)
{
    struct drying_chart chart = { .source = source };
    char subtitle[512];
    if (!source->drying)
        return STATUS_ANSWER_NO;
    gather_panel(&chart, &drying_rule_oven);
    gather_panel(&chart, &drying_rule_equilibrium);
    if (chart.n_panels == 0)
        return STATUS_ANSWER_NO;
    describe(&chart, out, subtitle, sizeof subtitle);
    double top = drawing_header(drawing, subtitle);
    drawing_begin(drawing, out->name, (unsigned)(top + (double)chart.n_panels * (PANEL_HEAD_PX + PANEL_PX + FOOT_PX)), out->title, subtitle);
    for (size_t i = 0; i < chart.n_panels; i++) {
        top += PANEL_HEAD_PX;
        add_panel(&chart, &chart.panels[i], (struct box){ 84, drawing->width - 24, top, top + PANEL_PX }, drawing);
        top += PANEL_PX + FOOT_PX;
    }
    drawing_end(drawing);
    return drawing->script.failed ? STATUS_MEMORY : STATUS_OK;
}
