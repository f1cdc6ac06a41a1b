#include "output/answer_batch.h"

#include "output/batch_tables.h"
#include "output/escape.h"
#include "output/words.h"

#include <stdio.h>

#define PAGE_WIDTH 96
#define HEAD 512

static void add_table(struct text *out, const char *title, void fill(const struct batch_sheet *, bool, struct table *),
                      const struct batch_sheet *sheet, bool us)
{
    struct table table = { 0 };
    fill(sheet, us, &table);
    text_addf(out, "\n%s\n", title);
    table_show(&table, out);
    table_release(&table);
}

static void add_item(struct text *out, const char *mark, const char *string)
{
    text_addf(out, "  %s ", mark);
    table_wrap(out, string, 4, PAGE_WIDTH);
}

static void add_reasons(const struct batch_sheet *sheet, bool us, struct text *out)
{
    struct batch_reason reasons[BATCH_REASONS];
    size_t n = batch_sheet_reasons(sheet, us, reasons);
    text_add(out, "\nHow each number was worked out\n");
    for (size_t i = 0; i < n; i++) {
        struct text line = { 0 };
        text_addf(&line, "%s: %s", reasons[i].what, reasons[i].how);
        add_item(out, "-", line.bytes ? line.bytes : "");
        out->failed |= line.failed;
        text_release(&line);
    }
}

static void add_steps(const struct batch_sheet *sheet, bool us, struct text *out)
{
    char steps[BATCH_STEPS][300];
    size_t n = batch_sheet_steps(sheet, us, steps);
    text_add(out, "\nOrder of work\n");
    for (size_t i = 0; i < n; i++) {
        char mark[24];
        snprintf(mark, sizeof mark, "%zu", i + 1);
        add_item(out, mark, steps[i]);
    }
}

static void add_cautions(const struct batch_sheet *sheet, bool us, struct text *out)
{
    char cautions[BATCH_CAUTIONS][240];
    size_t n_doubts, n = batch_sheet_cautions(sheet, us, cautions, &n_doubts);
    text_add(out, "\nKeep in mind\n");
    for (size_t i = 0; i < n; i++)
        add_item(out, "-", cautions[i]);
}

enum status answer_batch_table(const struct batch_sheet *sheet, const char *headline, bool us, struct text *out)
{
    char recipe[HEAD], job[HEAD], cost[HEAD], head[2 * HEAD + 32];
    batch_recipe_words(&sheet->recipe, recipe, sizeof recipe);
    batch_job_words(sheet, us, job, sizeof job);
    batch_cost_words(sheet, us, cost, sizeof cost);
    snprintf(head, sizeof head, "Batch sheet for %s: %s.", recipe, job);
    table_wrap(out, head, 0, PAGE_WIDTH);
    if (headline) {
        text_add(out, "\n");
        table_wrap(out, headline, 0, PAGE_WIDTH);
    }
    add_table(out, "Weigh out", batch_weigh_table, sheet, us);
    add_table(out, "To buy", batch_buy_table, sheet, us);
    if (cost[0]) {
        text_add(out, "  ");
        table_wrap(out, cost, 2, PAGE_WIDTH);
    }
    add_table(out, "What to expect", batch_expect_table, sheet, us);
    add_steps(sheet, us, out);
    add_reasons(sheet, us, out);
    add_cautions(sheet, us, out);
    return out->failed ? STATUS_MEMORY : STATUS_OK;
}
