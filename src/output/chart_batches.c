#include "output/chart_builders.h"

#include "base/memory.h"
#include "output/words.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#define ROW_PX 34.0
#define FOOT_PX 58.0
/* More would be a blot: of a larger mix the first batches, of a larger batch every so-manieth specimen. */
#define BATCHES_DRAWN 60
#define SPECIMENS_DRAWN 20

/* One specimen result with its place on the page. */
struct result_point { uint32_t mix, batch; double value; };

struct batch_chart {
    const struct chart_source *source;
    enum property property;
    struct result_point *points; /* sorted by mix, then batch */
    size_t n_points;
    uint32_t *mixes;             /* shown, top row first */
    size_t n_mixes;
};

static int by_mix_and_batch(const void *left, const void *right)
{
    const struct result_point *a = left, *b = right;
    if (a->mix != b->mix)
        return a->mix < b->mix ? -1 : 1;
    if (a->batch != b->batch)
        return a->batch < b->batch ? -1 : 1;
    return (a->value > b->value) - (a->value < b->value);
}

/* The settled selection's rows only: the samples behind each mix, not all ages together. */
static enum status gather(struct batch_chart *chart)
{
    const struct specimen_set *set = chart->source->set;
    struct problem problem;
    chart->points = memory_new(set->n + 1, sizeof *chart->points);
    chart->mixes = memory_new(set->n_mixes + 1, sizeof *chart->mixes);
    if (!chart->points || !chart->mixes)
        return STATUS_MEMORY;
    for (uint32_t mix = 0; mix < set->n_mixes && chart->n_mixes < CHART_ROWS_MAX; mix++) {
        struct sample sample = { 0 };
        enum status status = sample_take(set, &chart->source->answer->selection, SAMPLE_ALL, mix, chart->property, PROPERTY_COUNT, &sample, &problem);
        if (status == STATUS_OK && sample.n > 0)
            chart->mixes[chart->n_mixes++] = mix;
        for (size_t i = 0; status == STATUS_OK && i < sample.n; i++)
            chart->points[chart->n_points++] = (struct result_point){
                mix, set->batch[sample.row[i]], words_shown(chart->property, sample.y[i], chart->source->us)
            };
        sample_release(&sample);
        if (status == STATUS_MEMORY)
            return status;
    }
    qsort(chart->points, chart->n_points, sizeof *chart->points, by_mix_and_batch);
    return chart->n_points > 0 ? STATUS_OK : STATUS_ANSWER_NO;
}

/* Points [first, end) of one mix. */
static size_t mix_end(const struct batch_chart *chart, size_t first)
{
    size_t end = first;
    while (end < chart->n_points && chart->points[end].mix == chart->points[first].mix)
        end++;
    return end;
}

static size_t batch_end(const struct batch_chart *chart, size_t first)
{
    size_t end = first;
    while (end < chart->n_points && chart->points[end].batch == chart->points[first].batch)
        end++;
    return end;
}

/* Batches drawn of a mix: all, or the first BATCHES_DRAWN. */
static size_t count_batches(const struct batch_chart *chart, size_t first, size_t end)
{
    size_t n = 0;
    for (size_t i = first; i < end && n < BATCHES_DRAWN; i = batch_end(chart, i))
        n++;
    return n;
}

static bool is_cut(const struct batch_chart *chart)
{
    for (size_t first = 0; first < chart->n_points; first = mix_end(chart, first)) {
        size_t n = 0, end = mix_end(chart, first);
        for (size_t i = first; i < end; i = batch_end(chart, i))
            n++;
        if (n > BATCHES_DRAWN)
            return true;
    }
    return false;
}

/* Batches of a mix share its row, one above the other. */
static double batch_height(size_t row_from_top, size_t n_rows, size_t batch, size_t n_batches)
{
    double share = n_batches > 1 ? (double)batch / (double)(n_batches - 1) - 0.5 : 0;
    return (double)(n_rows - 1 - row_from_top) - 0.56 * share;
}

enum block { BLOCK_SPECIMENS, BLOCK_BATCHES, BLOCK_MIXES, BLOCK_COUNT };
static const char *const block_names[BLOCK_COUNT] = { "specimens", "batches", "mixes" };

static void add_batch(const struct batch_chart *chart, struct drawing *drawing, enum block block, size_t first, size_t end, double height, double style)
{
    double mean = 0;
    for (size_t i = first; i < end; i++)
        mean += chart->points[i].value / (double)(end - first);
    for (size_t i = first; block == BLOCK_SPECIMENS && i < end; i += 1 + (end - first) / SPECIMENS_DRAWN) {
        drawing_number(drawing, chart->points[i].value);
        drawing_number(drawing, height);
        drawing_number(drawing, style);
        drawing_row_end(drawing);
    }
    if (block == BLOCK_BATCHES) {
        drawing_number(drawing, chart->points[first].value);
        drawing_number(drawing, chart->points[end - 1].value);
        drawing_number(drawing, mean);
        drawing_number(drawing, height);
        drawing_row_end(drawing);
    }
}

static void add_block(const struct batch_chart *chart, struct drawing *drawing, enum block block)
{
    size_t row = 0;
    drawing_block(drawing, block_names[block]);
    for (size_t first = 0; first < chart->n_points; row++) {
        size_t end = mix_end(chart, first), n = count_batches(chart, first, end), batch = 0;
        double style = (double)drawing_line_style(chart_slot(chart->source, chart->source->set->mixes[chart->points[first].mix].aggregate));
        if (block == BLOCK_MIXES) {
            drawing_number(drawing, words_shown(chart->property, chart_mix_mean(chart->source, chart->points[first].mix, chart->property), chart->source->us));
            drawing_number(drawing, (double)(chart->n_mixes - 1 - row));
            drawing_row_end(drawing);
        }
        while (block != BLOCK_MIXES && batch < n) {
            size_t next = batch_end(chart, first);
            add_batch(chart, drawing, block, first, next, batch_height(row, chart->n_mixes, batch++, n), style);
            first = next;
        }
        first = end;
    }
    drawing_block_end(drawing);
}

static void add_plot(struct drawing *drawing, bool batches)
{
    static const char bar[] = "with vectors nohead linecolor rgb '" DRAWING_INK "' linewidth";
    text_addf(&drawing->script, "plot $mixes using 1:($2-0.42):(0):(0.84) %s 2", bar);
    if (batches)
        text_add(&drawing->script, ", \\\n     $batches using 1:4:($2-$1):(0) with vectors nohead linecolor rgb '#b3b8be' linewidth 1.4");
    text_add(&drawing->script, ", \\\n     ");
    drawing_each_style(drawing, "$specimens using ($3==@ ? $1 : NOWHERE):2 with points linestyle @ pointtype MARK@ pointsize 0.5");
    if (batches)
        text_addf(&drawing->script, ", \\\n     $batches using 3:($4-0.11):(0):(0.22) %s 1.4", bar);
    text_add(&drawing->script, "\n");
}

static void describe(const struct batch_chart *chart, bool batches, char *subtitle, size_t size)
{
    snprintf(subtitle, size, "%s%s",
             batches ? "A line for each batch from its lowest to its highest specimen, with a tick at its mean; the long upright bar is the mean of the mix. "
                       "Short lines far apart: batches differ more than specimens do."
                     : "A point for each specimen; the bar is the mean of the mix. No batches are told apart, so scatter between batches is not seen.",
             is_cut(chart) ? " Only the first 60 of each mix are drawn." : "");
}

static enum status draw(const struct batch_chart *chart, struct chart *out, struct drawing *drawing)
{
    char x_title[96], age[48], (*names)[48] = memory_new(chart->n_mixes, sizeof *names);
    const char **shown = memory_new(chart->n_mixes, sizeof *shown);
    bool batches = chart_has_batches(chart->source);
    char subtitle[400];
    describe(chart, batches, subtitle, sizeof subtitle);
    double low = 1, high = 0;
    for (size_t i = 0; names && shown && i < chart->n_mixes; i++) {
        chart_row_name(words_mix(chart->source->set, chart->mixes[i]), names[chart->n_mixes - 1 - i]);
        shown[i] = names[i];
    }
    for (size_t i = 0; i < chart->n_points; i++)
        drawing_span(&low, &high, chart->points[i].value);
    drawing_widen(&low, &high, 0.03);
    chart_age(chart->source, age, sizeof age);
    chart_axis_title(chart->property, chart->source->us, x_title, sizeof x_title);
    snprintf(out->title, sizeof out->title, batches ? "Scatter within and between batches%s" : "Scatter of specimens%s", age);
    snprintf(out->alternative, sizeof out->alternative, "Every specimen's %s by mix and batch: %zu specimens of %zu mixes, so that scatter within and between batches can be compared.",
             property_row(chart->property)->words, chart->n_points, chart->n_mixes);
    if (names && shown) {
        double head = drawing_header(drawing, subtitle) + 4, body = ROW_PX * ((double)chart->n_mixes + 0.4);
        drawing_begin(drawing, out->name, (unsigned)(head + body + FOOT_PX), out->title, subtitle);
        struct box place = { chart_row_margin(names, chart->n_mixes), drawing->width - 24, head, head + body };
        drawing_panel(drawing, place, axis_round(low, high, 6), (struct axis){ -0.7, (double)chart->n_mixes - 0.3, 1 }, x_title, NULL);
        drawing_row_names(drawing, shown, chart->n_mixes);
        for (enum block block = 0; block < BLOCK_COUNT; block++)
            add_block(chart, drawing, block);
        add_plot(drawing, batches);
        drawing_end(drawing);
    } else {
        drawing->script.failed = true;
    }
    memory_free(names);
    memory_free(shown);
    return drawing->script.failed ? STATUS_MEMORY : STATUS_OK;
}

enum status chart_batches(const struct chart_source *source, struct chart *out, struct drawing *drawing)
{
    struct batch_chart chart = { .source = source, .property = chart_strength(source) };
    if (chart.property == PROPERTY_COUNT)
        chart.property = PROPERTY_DENSITY;
    enum status status = gather(&chart);
    if (status == STATUS_OK)
        status = draw(&chart, out, drawing);
    memory_free(chart.points);
    memory_free(chart.mixes);
    return status;
}
