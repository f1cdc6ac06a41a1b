#include "output/chart_builders.h"

#include "advise/words.h"
#include "base/memory.h"
#include "base/number.h"
#include "output/words.h"

#include <math.h>
#include <stdio.h>

#define PANEL_PX 210.0
#define FOOT_PX 58.0
#define BARS 24       /* about so many */
#define BARS_MOST 100
#define FEWEST 20     /* fewer draws make no picture */

/* Shares of the draws by fraction. */
struct spread_chart {
    const struct chart_source *source;
    const struct candidate *candidate;
    struct axis bars;            /* low, high and width of a bar */
    double share_pct[BARS_MOST];
    size_t n_bars;
    double highest_pct;
};

static void settle_bars(struct spread_chart *chart, const struct fraction_draws *draws)
{
    double low = draws->values[0], high = draws->values[draws->n_values - 1];
    if (!(high - low > 1e-9)) {
        low -= 0.01;
        high += 0.01;
    }
    chart->bars = axis_round(low, high, BARS);
    chart->n_bars = (size_t)round((chart->bars.high - chart->bars.low) / chart->bars.step);
    for (size_t i = 0; i < draws->n_values; i++) {
        size_t bar = (size_t)fmax(0, floor((draws->values[i] - chart->bars.low) / chart->bars.step));
        bar = bar < chart->n_bars ? bar : chart->n_bars - 1;
        chart->share_pct[bar] += 100.0 / (double)draws->n_drawn;
        chart->highest_pct = fmax(chart->highest_pct, chart->share_pct[bar]);
    }
}

static void add_bars(const struct spread_chart *chart, struct drawing *drawing)
{
    drawing_block(drawing, "bars");
    for (size_t i = 0; i < chart->n_bars; i++) {
        double x = chart->bars.low + ((double)i + 0.5) * chart->bars.step;
        drawing_number(drawing, x);
        drawing_number(drawing, chart->share_pct[i]);
        drawing_row_end(drawing);
        for (size_t j = 0; chart->share_pct[i] > 0 && j <= 4; j++)
            drawing_avoid(drawing, x, chart->share_pct[i] * (double)j / 4);
    }
    drawing_block_end(drawing);
}

static void add_estimate(const struct spread_chart *chart, struct drawing *drawing)
{
    double x = chart->candidate->aggregate_fraction, top = drawing->y.high * 0.90;
    char label[WORDS_MAX], fraction[32];
    fraction_words(chart->candidate->shown_fraction, fraction, sizeof fraction);
    snprintf(label, sizeof label, "%s %s", chart->candidate == chart_winner(chart->source) ? "recommended" : "best on a curve", fraction);
    drawing_line_block(drawing, "estimate", x, 0, x, top);
    drawing_avoid_line(drawing, x, 0, x, top);
    drawing_label(drawing, x, top, -1, label, DRAWING_INK);
}

/* A bracket above the bars with its ends written beside it. */
static void add_interval(const struct spread_chart *chart, struct drawing *drawing)
{
    double lower = chart->candidate->fraction_lower, upper = chart->candidate->fraction_upper;
    double y = drawing->y.high * 0.78;
    char first[64], last[64];
    drawing_line_block(drawing, "interval", lower, y, upper, y);
    if (!isfinite(lower) || !isfinite(upper))
        return;
    number_show(lower, 0.001, "-", first, sizeof first);
    number_show(upper, 0.001, "-", last, sizeof last);
    drawing_text(drawing, drawing_pixel_x(drawing, lower) - 8, drawing_pixel_y(drawing, y), 1, DRAWING_TEXT_SIZE, first, DRAWING_INK);
    drawing_text(drawing, drawing_pixel_x(drawing, upper) + 8, drawing_pixel_y(drawing, y), -1, DRAWING_TEXT_SIZE, last, DRAWING_INK);
}

static void describe(const struct spread_chart *chart, struct chart *out, char *subtitle, size_t size)
{
    const struct fraction_draws *draws = &chart->source->answer->draws;
    double percent = 100 * chart->source->request->assurance.confidence;
    const char *aggregate = chart_aggregate(chart->source, chart->candidate->aggregate);
    size_t none = draws->n_drawn - draws->n_values;
    char interval[128] = "", failed[128] = "", first[64], last[64];
    if (isfinite(chart->candidate->fraction_lower) && isfinite(chart->candidate->fraction_upper)) {
        number_show(chart->candidate->fraction_lower, 0.001, "-", first, sizeof first);
        number_show(chart->candidate->fraction_upper, 0.001, "-", last, sizeof last);
        snprintf(interval, sizeof interval, " Bracket: its %g %% interval.", percent);
    }
    if (none > 0)
        snprintf(failed, sizeof failed, " In %zu draws no fraction met the demands.", none);
    snprintf(out->title, sizeof out->title, "How sure is the fraction?");
    snprintf(subtitle, size, "The best fraction%s%.60s, found again in %zu draws of whole batches from those that were cast.%s%s",
             *aggregate ? " of " : "", aggregate, draws->n_drawn, interval, failed);
    snprintf(out->alternative, sizeof out->alternative, "How often each fraction came out best in %zu draws of batches%s%s%s%s%s",
             draws->n_drawn, *interval ? "; interval from " : "", *interval ? first : "", *interval ? " to " : "", *interval ? last : "", failed);
}

static void draw(const struct spread_chart *chart, struct chart *out, struct drawing *drawing)
{
    char subtitle[512];
    describe(chart, out, subtitle, sizeof subtitle);
    double top = drawing_header(drawing, subtitle) + 8, low = chart->bars.low, high = chart->bars.high;
    drawing_begin(drawing, out->name, (unsigned)(top + PANEL_PX + FOOT_PX), out->title, subtitle);
    drawing_span(&low, &high, chart->candidate->fraction_lower);
    drawing_span(&low, &high, chart->candidate->fraction_upper);
    drawing_span(&low, &high, chart->candidate->aggregate_fraction);
    drawing_widen(&low, &high, 0.2); /* room for the ends of the interval */
    struct axis x = axis_round(low, high, 5), y = axis_round(0, chart->highest_pct / 0.7, 4);
    x.low = low;
    x.high = high;
    y.high = chart->highest_pct / 0.7;
    drawing_panel(drawing, (struct box){ 84, drawing->width - 24, top, top + PANEL_PX }, x, y, chart_fraction_title(chart->source), "draws (%)");
    add_bars(chart, drawing);
    add_interval(chart, drawing);
    add_estimate(chart, drawing);
    unsigned style = drawing_line_style(chart_slot(chart->source, chart->candidate->aggregate));
    text_addf(&drawing->script, "plot $bars using 1:2:(%.17g) with boxes fillstyle solid 1 noborder linestyle %u, \\\n"
              "     $bars using 1:2:(%.17g) with boxes fillstyle empty border linestyle %u linewidth 1.2, \\\n"
              "     $estimate using 1:2 with lines linestyle 29 dashtype 3, \\\n"
              "     $interval using 1:2 with linespoints linestyle 29 linewidth 2 pointtype CROSS pointsize 0.7\n",
              0.92 * chart->bars.step, 10 + style, 0.92 * chart->bars.step, style);
    drawing_end(drawing);
}

enum status chart_spread(const struct chart_source *source, struct chart *out, struct drawing *drawing)
{
    const struct fraction_draws *draws = &source->answer->draws;
    if (draws->n_values < FEWEST)
        return STATUS_ANSWER_NO;
    struct spread_chart *chart = memory_new(1, sizeof *chart);
    if (!chart)
        return STATUS_MEMORY;
    chart->source = source;
    chart->candidate = &source->answer->candidates[draws->candidate];
    settle_bars(chart, draws);
    draw(chart, out, drawing);
    memory_free(chart);
    return drawing->script.failed ? STATUS_MEMORY : STATUS_OK;
}
