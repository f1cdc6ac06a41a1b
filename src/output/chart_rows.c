#include "output/chart_builders.h"

#include "base/memory.h"
#include "base/number.h"
#include "output/words.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

/* Charts with one named row for each mix or candidate, best on top, value with its interval. */

#define ROW_PX 24.0
#define FOOT_PX 58.0

struct interval_row {
    char name[48], note[64]; /* note stands right of the interval */
    double value, lower, upper;
    size_t slot;             /* colour and shape */
    bool hollow;             /* a candidate that fails */
};

struct interval_chart {
    struct interval_row *rows; /* first row on top */
    size_t n_rows;
    const char *x_title, *subtitle;
    double line;             /* a demand, NaN without */
};

static int larger_first(const void *left, const void *right)
{
    const struct interval_row *a = left, *b = right;
    return (a->value < b->value) - (a->value > b->value);
}

/* A block for each colour slot, so that each has its shape; row 0 of the axis is the last. */
static void add_blocks(const struct interval_chart *chart, struct drawing *drawing)
{
    for (size_t slot = 0; slot < 2 * DRAWING_STYLES; slot++) {
        char name[32];
        size_t n = 0;
        snprintf(name, sizeof name, "%s%zu", slot < DRAWING_STYLES ? "full" : "hollow", slot % DRAWING_STYLES + 1);
        drawing_block(drawing, name);
        for (size_t i = 0; i < chart->n_rows; i++) {
            const struct interval_row *row = &chart->rows[i];
            if (row->slot % DRAWING_STYLES != slot % DRAWING_STYLES || row->hollow != (slot >= DRAWING_STYLES))
                continue;
            drawing_number(drawing, row->value);
            drawing_number(drawing, (double)(chart->n_rows - 1 - i));
            drawing_number(drawing, isfinite(row->lower) ? row->lower : row->value);
            drawing_number(drawing, isfinite(row->upper) ? row->upper : row->value);
            drawing_row_end(drawing);
            n++;
        }
        if (n == 0)
            text_add(&drawing->script, "NaN NaN NaN NaN\n");
        drawing_block_end(drawing);
    }
}

/* A guide from the name, the interval, the mark. */
static void add_plot(struct drawing *drawing)
{
    text_addf(&drawing->script,
              "set grid noytics\nEDGE = %.17g\n"
              "plot for [s=1:%d] '$full'.s using (EDGE):2:($3-EDGE):(0) with vectors nohead linestyle 23, \\\n"
              "     for [s=1:%d] '$hollow'.s using (EDGE):2:($3-EDGE):(0) with vectors nohead linestyle 23, \\\n"
              "     for [s=1:%d] '$full'.s using 3:2:($4-$3):(0) with vectors nohead linestyle s, \\\n"
              "     for [s=1:%d] '$full'.s using 1:2 with points linestyle s pointsize 1.1, \\\n"
              "     for [s=1:%d] '$hollow'.s using 3:2:($4-$3):(0) with vectors nohead linestyle s+30, \\\n"
              "     for [s=1:%d] '$hollow'.s using 1:2 with points linestyle s+30 pointsize 1.1\n",
              drawing->x.low, DRAWING_STYLES, DRAWING_STYLES, DRAWING_STYLES, DRAWING_STYLES, DRAWING_STYLES, DRAWING_STYLES);
}

static void row_axes(const struct interval_chart *chart, double note_px, double plot_px, struct axis *x, struct axis *y)
{
    double low = 1, high = 0;
    for (size_t i = 0; i < chart->n_rows; i++) {
        drawing_span(&low, &high, chart->rows[i].value);
        drawing_span(&low, &high, chart->rows[i].lower);
        drawing_span(&low, &high, chart->rows[i].upper);
    }
    drawing_span(&low, &high, chart->line);
    drawing_widen(&low, &high, 0.04);
    high += (high - low) * note_px / plot_px;
    *x = axis_round(low, high, 4);
    x->low = low;
    x->high = high;
    *y = (struct axis){ -0.7, (double)chart->n_rows - 0.3, 1 };
}

/* Notes stand just right of the longest interval of their row. */
static void add_notes(const struct interval_chart *chart, struct drawing *drawing)
{
    for (size_t i = 0; i < chart->n_rows; i++) {
        const struct interval_row *row = &chart->rows[i];
        double end = isfinite(row->upper) ? row->upper : row->value;
        if (row->note[0])
            drawing_text(drawing, drawing_pixel_x(drawing, end) + 12, drawing_pixel_y(drawing, (double)(chart->n_rows - 1 - i)),
                         -1, 12, row->note, DRAWING_QUIET);
    }
}

static enum status draw(const struct interval_chart *chart, struct chart *out, struct drawing *drawing)
{
    const char **names = memory_new(chart->n_rows, sizeof *names);
    double left = 0, note = 0;
    if (!names)
        return STATUS_MEMORY;
    for (size_t i = 0; i < chart->n_rows; i++) {
        const struct interval_row *row = &chart->rows[chart->n_rows - 1 - i];
        names[i] = row->name;
        left = fmax(left, drawing_text_width(row->name, 13));
        note = fmax(note, drawing_text_width(row->note, 12));
    }
    left += 24;
    double plot = CHART_WIDTH - left - 24;
    double body = ROW_PX * (double)chart->n_rows + ROW_PX;
    double head = drawing_header(CHART_WIDTH, chart->subtitle) + 4;
    drawing_begin(drawing, out->name, CHART_WIDTH, (unsigned)(head + body + FOOT_PX), out->title, chart->subtitle);
    struct axis x, y;
    row_axes(chart, note, plot - note, &x, &y);
    struct box place = { left, CHART_WIDTH - 24, head, head + body };
    drawing_panel(drawing, place, x, y, chart->x_title, NULL);
    drawing_row_names(drawing, names, chart->n_rows);
    add_blocks(chart, drawing);
    add_notes(chart, drawing);
    if (isfinite(chart->line))
        text_addf(&drawing->script, "set arrow from first %.17g, graph 0 to first %.17g, graph 1 nohead linestyle 20\n", chart->line, chart->line);
    add_plot(drawing);
    drawing_end(drawing);
    memory_free(names);
    return drawing->script.failed ? STATUS_MEMORY : STATUS_OK;
}

static size_t lighter_rows(const struct chart_source *source, struct interval_row *rows)
{
    const struct mix_summary_list *mixes = &source->answer->mixes;
    size_t n = 0;
    for (size_t i = 0; i < mixes->n_items; i++) {
        const struct mix_summary *mix = &mixes->items[i];
        if (!mix->percent_lighter.available || mix->mix == source->answer->reference)
            continue;
        const struct set_mix *row = &source->set->mixes[mix->mix];
        chart_row_name(row->name, rows[n].name);
        rows[n].value = mix->percent_lighter.estimate;
        rows[n].lower = mix->percent_lighter.bounded ? mix->percent_lighter.lower : NAN;
        rows[n].upper = mix->percent_lighter.bounded ? mix->percent_lighter.upper : NAN;
        rows[n].slot = chart_slot(source, row->aggregate);
        number_show(rows[n].value, 0.1, "", rows[n].note, sizeof rows[n].note);
        n++;
    }
    qsort(rows, n, sizeof *rows, larger_first);
    return n;
}

/* Names the shapes in the subtitle: " ● pumice, ▲ perlite"; nothing when there is one. */
static void add_shapes(const struct chart_source *source, char *out, size_t size)
{
    static const char *const shapes[DRAWING_STYLES] = { "\xE2\x97\x8F", "\xE2\x96\xB2", "\xE2\x96\xA0", "\xE2\x97\x86", "\xE2\x96\xBC", "\xE2\xAC\x9F" };
    size_t used = 0;
    out[0] = '\0';
    if (source->set->n_aggregates < 2)
        return;
    for (size_t slot = 0; slot < source->set->n_aggregates; slot++)
        for (uint32_t a = 0; a < source->set->n_aggregates && used < size; a++) {
            if (chart_slot(source, a) != slot)
                continue;
            int more = snprintf(out + used, size - used, "%s%s %s", used ? ", " : " ", shapes[slot % DRAWING_STYLES], words_aggregate(source->set, a));
            used += more > 0 ? (size_t)more : 0;
        }
}

enum status chart_percent_lighter(const struct chart_source *source, struct chart *out, struct drawing *drawing)
{
    char subtitle[1024], shapes[400];
    struct interval_row *rows = memory_new(source->answer->mixes.n_items + 1, sizeof *rows);
    if (!rows)
        return STATUS_MEMORY;
    size_t n = lighter_rows(source, rows);
    struct interval_chart chart = { .rows = rows, .n_rows = n < CHART_ROWS_MAX ? n : CHART_ROWS_MAX,
                                    .x_title = "percent lighter than the reference mix", .subtitle = subtitle, .line = 0 };
    add_shapes(source, shapes, sizeof shapes);
    snprintf(out->title, sizeof out->title, "How much lighter each mix is");
    snprintf(subtitle, sizeof subtitle, "Against reference mix %s, with %g %% confidence interval (Fieller).%s%s",
             words_mix(source->set, source->answer->reference), 100 * source->request->assurance.confidence, shapes,
             n > CHART_ROWS_MAX ? " Only the 40 lightest mixes are shown." : "");
    snprintf(out->alternative, sizeof out->alternative, "Percent lighter than the reference mix for %zu mixes, lightest first, each with its interval. The lightest, %s, is %s percent lighter.",
             n, n ? rows[0].name : "", n ? rows[0].note : "");
    enum status status = n ? draw(&chart, out, drawing) : STATUS_ANSWER_NO;
    memory_free(rows);
    return status;
}

/* The assured value of the first demand it fails, or of the first demand. */
static void candidate_note(const struct chart_source *source, const struct candidate *candidate, char out[64])
{
    const struct demand_outcome *outcome = candidate->n_outcomes ? &candidate->outcomes[0] : NULL;
    for (size_t i = candidate->n_outcomes; i-- > 0;)
        if (!candidate->outcomes[i].met)
            outcome = &candidate->outcomes[i];
    char value[WORDS_MAX] = "";
    if (outcome)
        words_outcome(outcome, outcome->assured, source->us, value);
    snprintf(out, 64, "%.60s", value);
}

enum status chart_candidates(const struct chart_source *source, struct chart *out, struct drawing *drawing)
{
    const struct recommendation *answer = source->answer;
    char subtitle[1024], x_title[96], shapes[400], meaning[WORDS_MAX];
    size_t n = answer->n_candidates < CHART_ROWS_MAX ? answer->n_candidates : CHART_ROWS_MAX;
    struct interval_row *rows = memory_new(n + 1, sizeof *rows);
    if (!rows)
        return STATUS_MEMORY;
    for (size_t i = 0; i < n; i++) {
        const struct candidate *candidate = &answer->candidates[i];
        char recipe[WORDS_MAX];
        words_recipe(source->set, candidate, recipe);
        chart_row_name(recipe, rows[i].name);
        candidate_note(source, candidate, rows[i].note);
        rows[i].value = words_shown(PROPERTY_DENSITY, candidate->density_kg_m3, source->us);
        rows[i].lower = words_shown(PROPERTY_DENSITY, candidate->density_lower, source->us);
        rows[i].upper = words_shown(PROPERTY_DENSITY, candidate->density_upper, source->us);
        rows[i].slot = chart_slot(source, candidate->aggregate);
        rows[i].hollow = !candidate->feasible;
    }
    bool is_limit;
    const struct demand *demand = chart_demand(source, PROPERTY_DENSITY, &is_limit);
    chart_axis_title(PROPERTY_DENSITY, source->us, x_title, sizeof x_title);
    add_shapes(source, shapes, sizeof shapes);
    words_assurance(source->set, &source->request->assurance, meaning);
    struct interval_chart chart = { .rows = rows, .n_rows = n, .x_title = x_title, .subtitle = subtitle,
                                    .line = demand && is_limit ? words_shown(PROPERTY_DENSITY, demand->value, source->us) : NAN };
    snprintf(out->title, sizeof out->title, "Candidates, best first");
    snprintf(subtitle, sizeof subtitle, "Density with its interval; beside it the assured value (%s) of the first demand that fails, or of the first. Filled: meets all; hollow: fails.%s", meaning, shapes);
    snprintf(out->alternative, sizeof out->alternative, "Ranking of %zu candidates by density, with intervals; filled marks meet every demand.", n);
    enum status status = n ? draw(&chart, out, drawing) : STATUS_ANSWER_NO;
    memory_free(rows);
    return status;
}
