#include "output/chart_rows.h"

#include "base/memory.h"

#include <math.h>
#include <stdio.h>

#define FOOT_PX 58.0

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
            if (!isfinite(row->value) || row->slot % DRAWING_STYLES != slot % DRAWING_STYLES || row->hollow != (slot >= DRAWING_STYLES))
                continue;
            drawing_number(drawing, row->value);
            drawing_number(drawing, (double)(chart->n_rows - 1 - i));
            drawing_number(drawing, isfinite(row->lower) ? row->lower : row->value);
            drawing_number(drawing, isfinite(row->upper) ? row->upper : row->value);
            drawing_row_end(drawing);
            n++;
        }
        if (n == 0)
            drawing_nowhere(drawing, 4);
        drawing_block_end(drawing);
    }
}

/* A guide from the name, the interval, the mark. */
static void add_plot(struct drawing *drawing)
{
    text_addf(&drawing->script, "set grid noytics\nEDGE = %.17g\nplot ", drawing->x.low);
    drawing_each_style(drawing, "$full@ using (EDGE):2:($3-EDGE):(0) with vectors nohead linestyle 23, "
                                "$hollow@ using (EDGE):2:($3-EDGE):(0) with vectors nohead linestyle 23");
    text_add(&drawing->script, ", \\\n     ");
    drawing_each_style(drawing, "$full@ using 3:2:($4-$3):(0) with vectors nohead linestyle @, "
                                "$full@ using 1:2 with points linestyle @ pointtype MARK@ pointsize 1.1");
    text_add(&drawing->script, ", \\\n     ");
    drawing_each_style(drawing, "$hollow@ using 3:2:($4-$3):(0) with vectors nohead linestyle 3@, "
                                "$hollow@ using 1:2 with points linestyle 4@ pointsize 1.1, "
                                "$hollow@ using 1:2 with points linestyle 3@ pointtype OPEN@ pointsize 1.1");
    text_add(&drawing->script, "\n");
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
    *y = (struct axis){ -1, (double)chart->n_rows, 1 };
}

/* Notes stand just right of the interval of their row, or begin the row when there is none. */
static void add_notes(const struct interval_chart *chart, struct drawing *drawing)
{
    for (size_t i = 0; i < chart->n_rows; i++) {
        const struct interval_row *row = &chart->rows[i];
        double end = isfinite(row->upper) ? row->upper : isfinite(row->value) ? row->value : drawing->x.low;
        if (row->note[0])
            drawing_text(drawing, drawing_pixel_x(drawing, end) + 12, drawing_pixel_y(drawing, (double)(chart->n_rows - 1 - i)),
                         -1, 12, row->note, DRAWING_QUIET);
    }
}

static bool has_value(const struct interval_chart *chart)
{
    for (size_t i = 0; i < chart->n_rows; i++)
        if (isfinite(chart->rows[i].value))
            return true;
    return false;
}

enum status interval_chart_draw(const struct interval_chart *chart, const struct chart *out, struct drawing *drawing)
{
    if (!has_value(chart))
        return STATUS_ANSWER_NO;
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
    double plot = drawing->width - left - 24;
    double body = drawing_row_height(drawing) * ((double)chart->n_rows + 1);
    double head = drawing_header(drawing, chart->subtitle) + 4;
    drawing_begin(drawing, out->name, (unsigned)(head + body + FOOT_PX), out->title, chart->subtitle);
    struct axis x, y;
    row_axes(chart, note, plot - note, &x, &y);
    struct box place = { left, drawing->width - 24, head, head + body };
    drawing_panel(drawing, place, x, y, chart->x_title, NULL);
    drawing_row_names(drawing, names, chart->n_rows);
    add_blocks(chart, drawing);
    add_notes(chart, drawing);
    if (isfinite(chart->line))
        text_addf(&drawing->script, "set arrow from first %.17g, graph 0 to first %.17g, graph 1 nohead linestyle 29\n", chart->line, chart->line);
    add_plot(drawing);
    drawing_end(drawing);
    memory_free(names);
    return drawing->script.failed ? STATUS_MEMORY : STATUS_OK;
}
