#include "output/chart_builders.h"

#include "base/memory.h"
#include "output/words.h"
#include "stats/distribution.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#define PANEL_PX 210.0
#define GAP_PX 76.0
#define FOOT_PX 58.0

/* Residuals of one curve: batch means about the curve, specimens about their batch; log laws in natural logs. */
struct residuals {
    const struct curve *curve;
    const struct sample *sample;
    double *batch_x, *batch;  /* n_batches */
    double *specimen;         /* n_rows, of batches with two or more, sorted */
    size_t n_batches, n_specimens;
};

static double on_scale(const struct curve *curve, double value)
{
    return law_is_log(curve->law) ? log(value) : value;
}

static bool compute(struct residuals *all)
{
    const struct sample *sample = all->sample;
    double *sums = memory_new(sample->n_batches, sizeof *sums);
    size_t *counts = memory_new(sample->n_batches, sizeof *counts);
    all->batch_x = memory_new(sample->n_batches, sizeof *all->batch_x);
    all->batch = memory_new(sample->n_batches, sizeof *all->batch);
    all->specimen = memory_new(sample->n, sizeof *all->specimen);
    bool good = sums && counts && all->batch_x && all->batch && all->specimen;
    for (size_t i = 0; good && i < sample->n; i++) {
        sums[sample->batch[i]] += on_scale(all->curve, sample->y[i]);
        counts[sample->batch[i]]++;
        all->batch_x[sample->batch[i]] = sample_x(sample, i);
    }
    for (size_t j = 0; good && j < sample->n_batches; j++)
        all->batch[j] = sums[j] / (double)counts[j] - on_scale(all->curve, curve_value(all->curve, all->batch_x[j]));
    for (size_t i = 0; good && i < sample->n; i++) {
        double n = (double)counts[sample->batch[i]];
        if (n > 1) /* a deviation from a mean of n has the variance (n - 1)/n */
            all->specimen[all->n_specimens++] = (on_scale(all->curve, sample->y[i]) - sums[sample->batch[i]] / n) / sqrt((n - 1) / n);
    }
    all->n_batches = good ? sample->n_batches : 0;
    memory_free(sums);
    memory_free(counts);
    return good;
}

static int ascending(const void *left, const void *right)
{
    double a = *(const double *)left, b = *(const double *)right;
    return (a > b) - (a < b);
}

static double root_mean_square(const double *values, size_t n)
{
    double sum = 0;
    for (size_t i = 0; i < n; i++)
        sum += values[i] * values[i];
    return n ? sqrt(sum / (double)n) : NAN;
}

/* Sorted values over their spread against normal quantiles at (i - 3/8)/(n + 1/4). Source: Blom (1958). */
static void add_normal_block(struct drawing *drawing, const char *name, double *values, size_t n)
{
    double spread = root_mean_square(values, n);
    qsort(values, n, sizeof *values, ascending);
    drawing_block(drawing, name);
    for (size_t i = 0; i < n && spread > 0; i += chart_stride(n)) {
        drawing_number(drawing, normal_quantile(((double)i + 0.625) / ((double)n + 0.25)));
        drawing_number(drawing, values[i] / spread);
        drawing_row_end(drawing);
    }
    if (n == 0 || !(spread > 0))
        drawing_nowhere(drawing, 2);
    drawing_block_end(drawing);
}

static void add_residual_panel(const struct residuals *all, bool us, struct drawing *drawing, struct box place, unsigned style)
{
    double x_low = 1, x_high = 0, y_low = 0, y_high = 0;
    double scale = law_is_log(all->curve->law) ? 100 : 1 / words_curve_units(all->curve, us).y;
    for (size_t j = 0; j < all->n_batches; j++) {
        drawing_span(&x_low, &x_high, all->batch_x[j]);
        y_high = fmax(y_high, scale * fabs(all->batch[j]));
    }
    y_low = -y_high;
    drawing_widen(&x_low, &x_high, 0.06);
    drawing_widen(&y_low, &y_high, 0.08);
    struct axis x = axis_round(x_low, x_high, 6);
    x.low = x_low;
    x.high = x_high;
    char y_title[96];
    snprintf(y_title, sizeof y_title, "off the curve (%s)", law_is_log(all->curve->law) ? "%" : property_unit(all->curve->property, us));
    drawing_panel(drawing, place, x, axis_round(y_low, y_high, 4), "aggregate fraction", y_title);
    drawing_block(drawing, "residuals");
    for (size_t j = 0; j < all->n_batches; j += chart_stride(all->n_batches)) {
        drawing_number(drawing, all->batch_x[j]);
        drawing_number(drawing, scale * all->batch[j]);
        drawing_row_end(drawing);
    }
    drawing_block_end(drawing);
    text_addf(&drawing->script, "set arrow 1 from graph 0, first 0 to graph 1, first 0 nohead linestyle 29\n"
              "plot $residuals using 1:2 with points linestyle %u pointtype MARK%u\nunset label\nunset arrow\n", style, style);
}

static void add_normal_panel(struct residuals *all, struct drawing *drawing, struct box place, unsigned style)
{
    struct axis axis = { -3.5, 3.5, 1 };
    drawing_panel(drawing, place, axis, axis, "what a normal distribution would give (standard deviations)", "found");
    add_normal_block(drawing, "batch_quantiles", all->batch, all->n_batches);
    add_normal_block(drawing, "specimen_quantiles", all->specimen, all->n_specimens);
    if (all->n_specimens > 0) {
        drawing_text(drawing, place.left + 14, place.top + 14, -1, 13, "filled: batch means about the curve", DRAWING_INK);
        drawing_text(drawing, place.left + 14, place.top + 33, -1, 13, "crosses: specimens about their batch", DRAWING_QUIET);
    }
    text_addf(&drawing->script, "set arrow 1 from first -3.5, first -3.5 to first 3.5, first 3.5 nohead linestyle 29\n"
              "plot $specimen_quantiles using 1:2 with points pointtype CROSS pointsize 0.7 linecolor rgb '#8b9096', \\\n"
              "     $batch_quantiles using 1:2 with points linestyle %u pointtype MARK%u\n", style, style);
}

static void draw(struct residuals *all, const struct chart_source *source, struct chart *out, struct drawing *drawing)
{
    const char *aggregate = chart_aggregate(source, all->curve->aggregate);
    unsigned style = drawing_line_style(chart_slot(source, all->curve->aggregate));
    char subtitle[640], stride[64];
    chart_stride_words(all->n_batches, stride, sizeof stride);
    snprintf(subtitle, sizeof subtitle, "Curve of %s%s%.60s, %s law. Above: %s about the fitted curve; a bend means that the law is wrong, "
             "a funnel that scatter grows. Below: points near the line mean that the intervals can be believed.%s",
             property_row(all->curve->property)->words, *aggregate ? " of " : "", aggregate, law_word(all->curve->law),
             all->n_specimens > 0 ? "batch means" : "specimens", stride);
    double head = drawing_header(drawing, subtitle) + 8;
    unsigned height = (unsigned)(head + 2 * PANEL_PX + GAP_PX + FOOT_PX);
    snprintf(out->title, sizeof out->title, "Does the fitted curve hold?");
    snprintf(out->alternative, sizeof out->alternative,
             "Residuals of %s%s%s about the %s law by aggregate fraction, and their normal plot.",
             property_row(all->curve->property)->words, *aggregate ? " of " : "", aggregate, law_word(all->curve->law));
    drawing_begin(drawing, out->name, height, out->title, subtitle);
    add_residual_panel(all, source->us, drawing, (struct box){ 84, drawing->width - 24, head, head + PANEL_PX }, style);
    head += PANEL_PX + GAP_PX;
    add_normal_panel(all, drawing, (struct box){ 84, drawing->width - 24, head, head + PANEL_PX }, style);
    drawing_end(drawing);
}

/* The winner's strength curve, else the first that was fitted. */
static const struct curve_set *curves_to_judge(const struct chart_source *source)
{
    const struct candidate *winner = chart_winner(source);
    enum property property = chart_strength(source);
    if (property == PROPERTY_COUNT)
        property = PROPERTY_DENSITY;
    const struct curve_set *curves = winner ? recommendation_curves(source->answer, winner->aggregate, property) : NULL;
    for (size_t i = 0; i < source->answer->n_curves && !(curves && curve_set_chosen(curves)); i++)
        if (source->answer->curves[i].curves[0].property == property)
            curves = &source->answer->curves[i];
    return curves && curve_set_chosen(curves) ? curves : NULL;
}

enum status chart_residuals(const struct chart_source *source, struct chart *out, struct drawing *drawing)
{
    const struct curve_set *curves = curves_to_judge(source);
    if (!curves)
        return STATUS_ANSWER_NO;
    struct sample sample;
    struct problem problem;
    struct residuals all = { .curve = curve_set_chosen(curves), .sample = &sample };
    enum status status = curve_set_sample(source->set, &source->answer->selection, NULL, curves, &sample, &problem);
    if (status == STATUS_OK && !compute(&all))
        status = STATUS_MEMORY;
    if (status == STATUS_OK)
        draw(&all, source, out, drawing);
    memory_free(all.batch_x);
    memory_free(all.batch);
    memory_free(all.specimen);
    sample_release(&sample);
    return status == STATUS_OK && drawing->script.failed ? STATUS_MEMORY : status;
}
