#include "output/answer_quality.h"

#include "output/escape.h"
#include "output/quality_json.h"
#include "output/table.h"
#include "output/words.h"

#include "base/number.h"

#include <math.h>
#include <stdio.h>

#define PAGE_WIDTH 96
#define NAMED_MAX 5
#define DOUBT 0.05   /* Cochran's test */

static void add_percent(struct table *table, double percent)
{
    char cell[WORDS_MAX];
    number_show(percent, 0.1, "-", cell, sizeof cell);
    table_cell(table, cell);
}

/* Each sentence about a property goes to one of these: a bullet of a terminal or of Markdown. */
typedef void bullet_adder(struct text *line, struct text *out);

static void add_bullet(struct text *line, struct text *out)
{
    text_add(out, "  - ");
    table_wrap(out, line->bytes ? line->bytes : "", 4, PAGE_WIDTH);
    out->failed |= line->failed;
    text_clear(line);
}

static void add_markdown_bullet(struct text *line, struct text *out)
{
    text_add(out, "- ");
    escape_markdown_line(out, line->bytes ? line->bytes : "");
    text_add(out, "\n");
    out->failed |= line->failed;
    text_clear(line);
}

/* "3.4 (good)": the class only where the measure was made for it. */
static void add_row(const struct quality *quality, struct table *table)
{
    table_cell(table, property_row(quality->property)->words);
    table_cellf(table, "%zu", quality->n_batches);
    if (quality->class_word)
        table_cellf(table, "%.1f (%s)", quality->within_cv_pct, quality->class_word);
    else
        add_percent(table, quality->within_cv_pct);
    add_percent(table, quality->batch_cv_pct);
    add_percent(table, quality->repeatability_limit_pct);
    add_percent(table, quality->reproducibility_limit_pct);
}

static void fill(const struct quality_list *list, struct table *table)
{
    table_column(table, "% of the value", false);
    table_column(table, "batches", true);
    table_column(table, "scatter within a batch", true);
    table_column(table, "between batches", true);
    table_column(table, "limit within", true);
    table_column(table, "limit between", true);
    for (size_t i = 0; i < list->n_items; i++)
        add_row(&list->items[i], table);
}

static void name_batch(const struct specimen_set *set, uint32_t mix, uint32_t batch, struct text *line)
{
    struct name_room room;
    text_addf(line, "'%s' of mix '%s'", specimen_set_batch_name(set, batch, &room), set->mixes[mix].name);
}

/* Batches far from where their mix lies. */
static void add_control(const struct specimen_set *set, const struct quality *quality, struct text *line)
{
    const struct quality_control *control = &quality->control;
    size_t named = 0;
    if (isnan(control->sigma))
        return;
    text_addf(line, "%s, control chart of %zu batches in order %s: %zu beyond 3 sigma", property_row(quality->property)->words,
              control->n_points, control->by_date ? "of casting" : "of the file", control->n_beyond);
    for (size_t i = 0; i < control->n_points && named < NAMED_MAX; i++) {
        if (!control->points[i].beyond)
            continue;
        text_add(line, named++ ? ", " : ": ");
        name_batch(set, control->points[i].mix, control->points[i].batch, line);
    }
    if (control->n_beyond > named)
        text_add(line, ", ...");
}

/* Batches whose specimens scatter more than those of other batches of the mix. */
static void add_cochran(const struct specimen_set *set, const struct quality *quality, struct text *line)
{
    size_t n = 0, named = 0;
    for (size_t i = 0; i < quality->n_mixes; i++)
        n += quality->mixes[i].n_variances > 0 ? 1 : 0;
    for (size_t i = 0; i < quality->n_mixes && named < NAMED_MAX; i++) {
        const struct quality_mix *mix = &quality->mixes[i];
        if (mix->n_variances == 0 || !(mix->cochran_p < DOUBT))
            continue;
        if (named++ == 0)
            text_addf(line, "%s, specimens that scatter more than those of the mix's other batches (Cochran; luck makes %.0f of %zu mixes show one): ",
                      property_row(quality->property)->words, DOUBT * (double)n, n);
        else
            text_add(line, ", ");
        name_batch(set, mix->mix, mix->wildest_batch, line);
    }
}

static void add_findings(const struct specimen_set *set, const struct quality_list *list, bullet_adder *add, struct text *out)
{
    struct text line = { 0 };
    for (size_t i = 0; i < list->n_items; i++) {
        add_control(set, &list->items[i], &line);
        if (line.length)
            add(&line, out);
        add_cochran(set, &list->items[i], &line);
        if (line.length)
            add(&line, out);
    }
    out->failed |= line.failed;
    text_release(&line);
}

static bool any_measured(const struct quality_list *list)
{
    for (size_t i = 0; list && i < list->n_items; i++)
        if (list->items[i].within_df > 0)
            return true;
    return false;
}

enum status answer_quality_table(const struct specimen_set *set, const struct quality_list *list, struct text *out)
{
    struct table table = { 0 };
    if (!any_measured(list))
        return STATUS_OK;
    text_add(out, "\nQuality of testing (limits: what two results differ by in 5 of 100 cases)\n");
    fill(list, &table);
    table_show(&table, out);
    table_release(&table);
    add_findings(set, list, add_bullet, out);
    return out->failed ? STATUS_MEMORY : STATUS_OK;
}

/* One property in plain words. */
static void add_words(const struct quality *quality, struct text *line)
{
    text_addf(line, "%s: specimens of one batch scatter by %.1f %%%s%s%s", property_row(quality->property)->words, quality->within_cv_pct,
              quality->class_word ? ", which is " : "", quality->class_word ? quality->class_word : "", quality->class_word ? " (ACI 214R)" : "");
    if (isfinite(quality->batch_cv_pct))
        text_addf(line, ", batches of one mix by %.1f %%: %s", quality->batch_cv_pct,
                  quality->batch_cv_pct > quality->within_cv_pct ? "casting adds more scatter than testing, so more batches help more than more specimens"
                                                                 : "testing scatters as much as casting does");
}

enum status answer_quality_markdown(const struct specimen_set *set, const struct quality_list *list, struct text *out)
{
    struct table table = { 0 };
    struct text line = { 0 };
    if (!any_measured(list))
        return STATUS_OK;
    text_add(out, "### Quality of testing\n\n");
    for (size_t i = 0; i < list->n_items; i++) {
        add_words(&list->items[i], &line);
        add_markdown_bullet(&line, out);
    }
    text_release(&line);
    add_findings(set, list, add_markdown_bullet, out);
    text_add(out, "\nLimits: what two results differ by in 5 of 100 cases when all is well, specimens of one batch and of two.\n\n");
    fill(list, &table);
    table_show_markdown(&table, out);
    table_release(&table);
    return out->failed ? STATUS_MEMORY : STATUS_OK;
}

static void put_mix(struct json_build *build, json_t *array, const struct specimen_set *set, const struct quality_mix *mix)
{
    struct name_room room;
    json_t *object = json_append_object(build, array);
    json_put_text(build, object, "mix", set->mixes[mix->mix].name);
    json_put_count(build, object, "n_specimens", mix->n_specimens);
    json_put_count(build, object, "n_batches", mix->n_batches);
    json_put_number(build, object, "mean", mix->mean);
    json_put_number(build, object, "within_sd", mix->within_sd);
    json_put_number(build, object, "within_df", mix->within_df);
    json_put_number(build, object, "mean_range", mix->mean_range);
    json_put_number(build, object, "range_sd", mix->range_sd);
    json_put_number(build, object, "batch_sd", mix->batch_sd);
    json_put_number(build, object, "repeatability_limit", mix->repeatability_limit);
    json_put_number(build, object, "reproducibility_limit", mix->reproducibility_limit);
    json_put_number(build, object, "cochran", mix->cochran);
    json_put_number(build, object, "cochran_p", mix->cochran_p);
    json_put_text(build, object, "cochran_batch", mix->n_variances ? specimen_set_batch_name(set, mix->wildest_batch, &room) : NULL);
}

static void put_control(struct json_build *build, json_t *object, const struct specimen_set *set, const struct quality_control *control)
{
    json_put_bool(build, object, "by_date", control->by_date);
    json_put_bool(build, object, "relative", control->relative);
    json_put_number(build, object, "centre", control->centre);
    json_put_number(build, object, "lower", control->lower);
    json_put_number(build, object, "upper", control->upper);
    json_t *points = json_put_array(build, object, "points");
    for (size_t i = 0; i < control->n_points; i++) {
        json_t *point = json_append_object(build, points);
        struct name_room room;
        json_put_text(build, point, "mix", set->mixes[control->points[i].mix].name);
        json_put_text(build, point, "batch", specimen_set_batch_name(set, control->points[i].batch, &room));
        json_put_number(build, point, "mean", control->points[i].mean);
        json_put_number(build, point, "shown", control->points[i].shown);
        json_put_bool(build, point, "beyond", control->points[i].beyond);
    }
}

void quality_put(struct json_build *build, json_t *object, const struct specimen_set *set, const struct quality_list *list)
{
    json_t *array = json_put_array(build, object, "quality");
    for (size_t i = 0; list && i < list->n_items; i++) {
        const struct quality *quality = &list->items[i];
        json_t *item = json_append_object(build, array);
        json_put_text(build, item, "property", property_row(quality->property)->name);
        json_put_count(build, item, "n_specimens", quality->n_specimens);
        json_put_count(build, item, "n_batches", quality->n_batches);
        json_put_number(build, item, "within_cv_pct", quality->within_cv_pct);
        json_put_number(build, item, "within_df", quality->within_df);
        json_put_text(build, item, "within_class", quality->class_word);
        json_put_number(build, item, "batch_cv_pct", quality->batch_cv_pct);
        json_put_number(build, item, "repeatability_limit_pct", quality->repeatability_limit_pct);
        json_put_number(build, item, "reproducibility_limit_pct", quality->reproducibility_limit_pct);
        json_t *mixes = json_put_array(build, item, "mixes");
        for (size_t k = 0; k < quality->n_mixes; k++)
            put_mix(build, mixes, set, &quality->mixes[k]);
        put_control(build, json_put_object(build, item, "control_chart"), set, &quality->control);
    }
}
