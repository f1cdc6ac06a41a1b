#include "output/answer_trials.h"

#include "output/table.h"
#include "output/trials_json.h"
#include "output/words.h"

#include <math.h>
#include <stdio.h>

#define PAGE_WIDTH 96

static const char with_batches[] = "Exact binomial bounds. Specimens of one batch share its luck: where a mix has several in a batch, the bound "
                                   "by whole batches, all of whose specimens passed, is the safe one.";
static const char without_batches[] = "Exact binomial bounds. No batch is told, so each specimen counts as independent; if specimens shared "
                                      "batches, fewer may pass.";

static bool batches_counted(const struct mix_trials_list *trials)
{
    for (size_t i = 0; i < trials->n_items; i++)
        if (trials->items[i].n_batches > 0)
            return true;
    return false;
}

static void bound_cell(struct table *table, double at_least)
{
    if (isnan(at_least))
        table_cell(table, "-");
    else
        table_cellf(table, "at least %.1f %%", floor(1000 * at_least) / 10); /* down: a promise */
}

static void fill(const struct specimen_set *set, const struct mix_trials_list *trials, const char *would, struct table *table)
{
    const bool batches = batches_counted(trials);
    table_column(table, "mix", false);
    table_column(table, "aggregate", false);
    table_column(table, "passed", true);
    table_column(table, would, true);
    if (batches) {
        table_column(table, "whole batches", true);
        table_column(table, would, true);
    }
    for (size_t i = 0; i < trials->n_items; i++) {
        const struct mix_trials *of = &trials->items[i];
        table_cell(table, words_mix(set, of->mix));
        table_cell(table, words_aggregate(set, set->mixes[of->mix].aggregate));
        table_cellf(table, "%zu of %zu", of->n_passed, of->n_specimens);
        bound_cell(table, of->at_least);
        if (!batches)
            continue;
        if (of->n_batches)
            table_cellf(table, "%zu of %zu", of->n_batches_passed, of->n_batches);
        else
            table_cell(table, "-");
        bound_cell(table, of->batches_at_least);
    }
}

static enum status add(const struct specimen_set *set, const struct mix_trials_list *trials, bool markdown, struct text *out)
{
    char would[48];
    struct table table = { 0 };
    if (!trials || trials->n_items == 0)
        return STATUS_OK;
    snprintf(would, sizeof would, "would, %g %% sure", 100 * trials->confidence);
    fill(set, trials, would, &table);
    text_add(out, markdown ? "### Pass or fail trials\n\n" : "\nPass or fail trials\n");
    if (markdown)
        table_show_markdown(&table, out);
    else
        table_show(&table, out);
    table_wrap(out, batches_counted(trials) ? with_batches : without_batches, 0, PAGE_WIDTH);
    text_add(out, markdown ? "\n" : "");
    table_release(&table);
    return out->failed ? STATUS_MEMORY : STATUS_OK;
}

enum status answer_trials_table(const struct specimen_set *set, const struct mix_trials_list *trials, struct text *out)
{
    return add(set, trials, false, out);
}

enum status answer_trials_markdown(const struct specimen_set *set, const struct mix_trials_list *trials, struct text *out)
{
    return add(set, trials, true, out);
}

/* ---- JSON ---- */

static void put_batches(struct json_build *build, json_t *object, const char *key, size_t n, bool told)
{
    if (told)
        json_put_count(build, object, key, n);
    else
        json_put_text(build, object, key, NULL);
}

static void put_mix(struct json_build *build, json_t *object, const struct specimen_set *set, const struct mix_trials *of,
                    double confidence)
{
    const bool batches = of->n_batches > 0;
    json_put_text(build, object, "mix", words_mix(set, of->mix));
    json_put_text(build, object, "aggregate", words_aggregate(set, set->mixes[of->mix].aggregate));
    json_put_count(build, object, "n_specimens", of->n_specimens);
    json_put_count(build, object, "n_passed", of->n_passed);
    json_put_number(build, object, "share", (double)of->n_passed / (double)of->n_specimens);
    json_put_number(build, object, "at_least", of->at_least);
    put_batches(build, object, "n_batches", of->n_batches, batches);
    put_batches(build, object, "n_batches_passed", of->n_batches_passed, batches);
    json_put_number(build, object, "batches_at_least", of->batches_at_least);
    json_put_number(build, object, "confidence", confidence);
}

void trials_put(struct json_build *build, json_t *object, const struct specimen_set *set, const struct mix_trials_list *trials)
{
    json_t *array = json_put_array(build, object, "trials");
    for (size_t i = 0; trials && i < trials->n_items; i++)
        put_mix(build, json_append_object(build, array), set, &trials->items[i], trials->confidence);
}

enum status trials_json_array(const struct specimen_set *set, const struct mix_trials_list *trials, struct text *out)
{
    text_add(out, "[");
    for (size_t i = 0; trials && i < trials->n_items; i++) {
        struct json_build build;
        json_build_start(&build);
        put_mix(&build, build.root, set, &trials->items[i], trials->confidence);
        text_add(out, i ? ",\n" : "\n");
        enum status status = json_build_line(&build, out);
        if (status != STATUS_OK)
            return status;
    }
    text_add(out, trials && trials->n_items ? "\n]" : "]");
    return out->failed ? STATUS_MEMORY : STATUS_OK;
}
