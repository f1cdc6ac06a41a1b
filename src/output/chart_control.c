#include "output/chart_builders.h"

#include "base/number.h"
#include "output/words.h"

#include <math.h>
#include <stdio.h>
#include <string.h>
#include <time.h>

#define PANELS_MAX 2
#define PANEL_PX 200.0
#define PANEL_HEAD_PX 40.0
#define FOOT_PX 58.0
#define RIGHT_PX 48.0 /* half a date stands out beyond the last batch */
#define DATES 4
#define NAMED_MAX 6   /* batches beyond the limits that are named in a panel */

/* Density, then strength: those that were measured often enough to have limits. */
struct control_chart {
    const struct chart_source *source;
    const struct quality *panels[PANELS_MAX];
    size_t n_panels;
};

static void gather(struct control_chart *chart)
{
    const enum property wanted[PANELS_MAX] = { PROPERTY_DENSITY, chart_strength(chart->source) };
    const struct quality_list *list = chart->source->quality;
    for (size_t i = 0; i < PANELS_MAX; i++)
        for (size_t j = 0; list && j < list->n_items; j++)
            if (list->items[j].property == wanted[i] && list->items[j].control.sigma > 0)
                chart->panels[chart->n_panels++] = &list->items[j];
}

/* Deviations are in % already; values go into the unit that is shown. */
static double shown(const struct control_chart *chart, const struct quality *quality, double value)
{
    return quality->control.relative ? value : words_shown(quality->property, value, chart->source->us);
}

static void date_text(int32_t day, char out[16])
{
    const time_t seconds = (time_t)day * 86400;
    struct tm date;
    out[0] = '\0';
    if (gmtime_r(&seconds, &date))
        strftime(out, 16, "%Y-%m-%d", &date);
}

/* Tics at four batches from first to last, with their dates where those are written. */
static void add_dates(const struct quality_control *control, bool written, struct drawing *drawing)
{
    char dates[DATES][16];
    const char *names[DATES];
    double at[DATES];
    for (size_t i = 0; i < DATES; i++) {
        size_t point = i * (control->n_points - 1) / (DATES - 1);
        date_text(control->points[point].cast_on, dates[i]);
        names[i] = written ? dates[i] : "";
        at[i] = (double)(point + 1);
    }
    drawing_column_names(drawing, names, at, DATES);
}

/* "clay-45-2", or "clay-45, 2" where the batch's own name does not say the mix. */
static void batch_name(const struct specimen_set *set, const struct quality_point *point, char out[48])
{
    struct name_room room;
    const char *mix = set->mixes[point->mix].name, *batch = specimen_set_batch_name(set, point->batch, &room);
    char whole[256];
    bool told = strncmp(mix, batch, strlen(mix)) == 0;
    snprintf(whole, sizeof whole, "%s%s%s", told ? "" : mix, told || !*batch ? "" : ", ", batch);
    chart_row_name(whole, out);
}

static void add_blocks(const struct control_chart *chart, const struct quality *quality, struct drawing *drawing)
{
    const struct quality_control *control = &quality->control;
    drawing_block(drawing, "batches");
    for (size_t i = 0; i < control->n_points; i += chart_stride(control->n_points)) {
        const struct quality_point *point = &control->points[i];
        double x = (double)(i + 1), y = shown(chart, quality, point->shown);
        drawing_number(drawing, x);
        drawing_number(drawing, y);
        drawing_number(drawing, (double)drawing_line_style(chart_slot(chart->source, chart->source->set->mixes[point->mix].aggregate)));
        drawing_row_end(drawing);
        drawing_avoid(drawing, x, y);
    }
    drawing_block_end(drawing);
    drawing_block(drawing, "beyond");
    for (size_t i = 0; i < control->n_points; i++) {
        if (!control->points[i].beyond)
            continue;
        drawing_number(drawing, (double)(i + 1));
        drawing_number(drawing, shown(chart, quality, control->points[i].shown));
        drawing_row_end(drawing);
    }
    if (control->n_beyond == 0)
        drawing_nowhere(drawing, 2);
    drawing_block_end(drawing);
}

static void add_limit(const struct control_chart *chart, const struct quality *quality, const char *block, double limit, int prefer, struct drawing *drawing)
{
    double y = shown(chart, quality, limit), span = drawing->x.high - drawing->x.low;
    char value[64], label[96];
    drawing_line_block(drawing, block, drawing->x.low, y, drawing->x.high, y);
    drawing_avoid_line(drawing, drawing->x.low, y, drawing->x.high, y);
    number_show_significant(y, 3, value, sizeof value);
    snprintf(label, sizeof label, "limit %s%s %s", quality->control.relative && y > 0 ? "+" : "", value,
             quality->control.relative ? "%" : property_unit(quality->property, chart->source->us));
    const double x[] = { drawing->x.high, drawing->x.low, drawing->x.high - span / 3, drawing->x.low + span / 3 };
    const double level[] = { y, y, y, y };
    drawing_label_along(drawing, x, level, sizeof x / sizeof x[0], prefer, label, DRAWING_QUIET);
}

static void name_beyond(const struct control_chart *chart, const struct quality *quality, struct drawing *drawing)
{
    const struct quality_control *control = &quality->control;
    size_t named = 0;
    for (size_t i = 0; i < control->n_points && named < NAMED_MAX; i++) {
        char name[48];
        if (!control->points[i].beyond)
            continue;
        batch_name(chart->source->set, &control->points[i], name);
        drawing_label(drawing, (double)(i + 1), shown(chart, quality, control->points[i].shown),
                      control->points[i].shown > control->centre ? -1 : 1, name, DRAWING_INK);
        named++;
    }
}

static void add_panel(const struct control_chart *chart, size_t index, struct box place, struct drawing *drawing)
{
    const struct quality *quality = chart->panels[index];
    const struct quality_control *control = &quality->control;
    bool last = index + 1 == chart->n_panels;
    double low = 1, high = 0;
    drawing_span(&low, &high, shown(chart, quality, control->lower));
    drawing_span(&low, &high, shown(chart, quality, control->upper));
    for (size_t i = 0; i < control->n_points; i++)
        drawing_span(&low, &high, shown(chart, quality, control->points[i].shown));
    drawing_widen(&low, &high, 0.18); /* room for the names of the limits */
    struct axis x = axis_round(1, (double)control->n_points, 5), y = axis_round(low, high, 4);
    char y_title[96];
    x.low = 0;
    x.high = (double)control->n_points + 1;
    y.low = low;
    y.high = high;
    if (control->relative)
        snprintf(y_title, sizeof y_title, "off its mix (%%)");
    else
        chart_axis_title(quality->property, chart->source->us, y_title, sizeof y_title);
    drawing_panel(drawing, place, x, y, !last ? NULL : control->by_date ? "batches in order of casting" : "batches in the order of the file", y_title);
    if (control->by_date)
        add_dates(control, last, drawing);
    text_addf(&drawing->script, "set format x '%s'\nunset arrow\n", last ? "%h" : "");
    drawing_text(drawing, place.left + 6, place.top - 12, -1, 14, property_row(quality->property)->words, DRAWING_INK);
    add_blocks(chart, quality, drawing);
    add_limit(chart, quality, "upper", control->upper, -1, drawing);
    add_limit(chart, quality, "lower", control->lower, 1, drawing);
    drawing_line_block(drawing, "centre", x.low, shown(chart, quality, control->centre), x.high, shown(chart, quality, control->centre));
    name_beyond(chart, quality, drawing);
    text_add(&drawing->script, "plot $batches using 1:2 with lines linestyle 28 linewidth 1, \\\n"
              "     $centre using 1:2 with lines linestyle 29 linewidth 1, \\\n"
              "     $upper using 1:2 with lines linestyle 29 dashtype 2, $lower using 1:2 with lines linestyle 29 dashtype 2, \\\n     ");
    drawing_each_style(drawing, "$batches using 1:($3==@ ? $2 : NOWHERE) with points linestyle @ pointtype MARK@ pointsize 0.8");
    text_add(&drawing->script, ", \\\n     $beyond using 1:2 with points linestyle 21 pointtype RING\nunset label\n");
}

static void describe(const struct control_chart *chart, struct chart *out, char *subtitle, size_t size)
{
    const struct quality_control *control = &chart->panels[0]->control;
    char shapes[400], stride[64];
    size_t used = 0;
    chart_shapes(chart->source, shapes, sizeof shapes);
    chart_stride_words(control->n_points, stride, sizeof stride);
    const char *order = control->by_date ? "of casting" : "of the file";
    snprintf(out->title, sizeof out->title, "Did casting and testing stay steady?");
    snprintf(subtitle, size, "Batch means in order %s%s. Dashed: 3 sigma, from how neighbours differ. %s%s%s", order,
             control->relative ? ", each as its distance from the mean of its mix" : "",
             "A ringed batch lies beyond: look for its cause in the notebook.", shapes, stride);
    used = (size_t)snprintf(out->alternative, sizeof out->alternative, "Control chart of batch means in order %s:", order);
    for (size_t i = 0; i < chart->n_panels && used < sizeof out->alternative; i++)
        used += (size_t)snprintf(out->alternative + used, sizeof out->alternative - used, "%s %s, %zu of %zu batches beyond 3 sigma", i ? ";" : "",
                                 property_row(chart->panels[i]->property)->words, chart->panels[i]->control.n_beyond, chart->panels[i]->control.n_points);
}

enum status chart_control(const struct chart_source *source, struct chart *out, struct drawing *drawing)
{
    struct control_chart chart = { .source = source };
    char subtitle[1024];
    gather(&chart);
    if (chart.n_panels == 0)
        return STATUS_ANSWER_NO;
    describe(&chart, out, subtitle, sizeof subtitle);
    double top = drawing_header(drawing, subtitle);
    drawing_begin(drawing, out->name, (unsigned)(top + (double)chart.n_panels * (PANEL_PX + PANEL_HEAD_PX) + FOOT_PX), out->title, subtitle);
    for (size_t i = 0; i < chart.n_panels; i++) {
        top += PANEL_HEAD_PX;
        add_panel(&chart, i, (struct box){ 84, drawing->width - RIGHT_PX, top, top + PANEL_PX }, drawing);
        top += PANEL_PX;
    }
    drawing_end(drawing);
    return drawing->script.failed ? STATUS_MEMORY : STATUS_OK;
}
