#include "output/answer_batch.h"

#include "output/batch_tables.h"
#include "output/escape.h"
#include "output/words.h"

#include <stdio.h>

#define HEAD 512

static void add_table(struct text *out, const char *title, void fill(const struct batch_sheet *, bool, struct table *),
                      const struct batch_sheet *sheet, bool us)
{
    struct table table = { 0 };
    fill(sheet, us, &table);
    text_addf(out, "\n## %s\n\n", title);
    table_show_markdown(&table, out);
    table_release(&table);
}

static void add_item(struct text *out, const char *mark, const char *string)
{
    text_addf(out, "%s ", mark);
    escape_markdown_line(out, string);
    text_add(out, "\n");
}

static void add_reasons(const struct batch_sheet *sheet, bool us, struct text *out)
{
    struct table table = { 0 };
    struct batch_reason reasons[BATCH_REASONS];
    size_t n = batch_sheet_reasons(sheet, us, reasons);
    table_column(&table, "number", false);
    table_column(&table, "how it was worked out", false);
    for (size_t i = 0; i < n; i++) {
        table_cell(&table, reasons[i].what);
        table_cell(&table, reasons[i].how);
    }
    text_add(out, "\n## How each number was worked out\n\n");
    table_show_markdown(&table, out);
    table_release(&table);
}

static void add_work(const struct batch_sheet *sheet, bool us, struct text *out)
{
    char steps[BATCH_STEPS][300];
    size_t n = batch_sheet_steps(sheet, us, steps);
    text_add(out, "\n## Order of work\n\n");
    for (size_t i = 0; i < n; i++)
        add_item(out, "1.", steps[i]);
    text_add(out, "\n## Written down while casting\n\n");
    for (size_t i = 0; i < n_batch_write_ins; i++)
        text_addf(out, "- %s: ______________________________\n", batch_write_ins[i]);
}

static void add_cautions(const struct batch_sheet *sheet, bool us, struct text *out)
{
    char cautions[BATCH_CAUTIONS][240];
    size_t n_doubts, n = batch_sheet_cautions(sheet, us, cautions, &n_doubts);
    text_add(out, "\n## Keep in mind\n\n");
    for (size_t i = 0; i < n; i++)
        add_item(out, "-", cautions[i]);
}

static void add_cost(const struct batch_sheet *sheet, bool us, struct text *out)
{
    char cost[HEAD];
    batch_cost_words(sheet, us, cost, sizeof cost);
    if (!cost[0])
        return;
    text_add(out, "In the money of the materials file, ");
    escape_markdown(out, cost);
    text_add(out, ".\n");
}

enum status answer_batch_markdown(const struct batch_sheet *sheet, const char *headline, bool us, struct text *out)
{
    char words[HEAD];
    struct text draft = { 0 };
    batch_recipe_words(&sheet->recipe, words, sizeof words);
    text_add(&draft, "# Batch sheet: ");
    escape_markdown(&draft, words);
    batch_job_words(sheet, us, words, sizeof words);
    text_add(&draft, "\n\n**");
    escape_markdown(&draft, words);
    text_add(&draft, "**\n");
    if (headline) {
        text_add(&draft, "\n");
        escape_markdown_line(&draft, headline);
        text_add(&draft, "\n");
    }
    add_table(&draft, "Weigh out", batch_weigh_table, sheet, us);
    add_work(sheet, us, &draft);
    add_table(&draft, "To buy", batch_buy_table, sheet, us);
    add_cost(sheet, us, &draft);
    add_table(&draft, "What to expect", batch_expect_table, sheet, us);
    add_cautions(sheet, us, &draft);
    add_reasons(sheet, us, &draft);
    words_add_printed(out, draft.bytes ? draft.bytes : "");
    out->failed |= draft.failed;
    text_release(&draft);
    return out->failed ? STATUS_MEMORY : STATUS_OK;
}
