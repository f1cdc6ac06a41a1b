#include "output/answer_batch.h"

#include "output/batch_tables.h"
#include "output/escape.h"
#include "output/words.h"

#include <stdio.h>

#define HEAD 512
#define BOXES_MOST 8

/* Black on white, large figures, heavy rules: it is read with wet gloves and through dust. One page when printed. */
static const char page_style[] =
    "*{box-sizing:border-box}html{-webkit-print-color-adjust:exact;print-color-adjust:exact}"
    "body{margin:0;background:#fff;color:#000;font:13px/1.32 'DejaVu Sans','Liberation Sans',Arial,sans-serif;font-variant-numeric:tabular-nums}"
    "main{max-width:800px;margin:0 auto;padding:14px}"
    "h1{font-size:21px;line-height:1.2;margin:0 0 2px}h2{font-size:13px;margin:9px 0 3px}"
    ".job{font-size:16px;font-weight:700;margin:0 0 4px}.why{margin:2px 0 4px}"
    "table{border-collapse:collapse;width:100%}th,td{text-align:left;padding:1px 5px;vertical-align:top}"
    "th{font-weight:400;font-size:.85em;border-bottom:1px solid #000;vertical-align:bottom}.r{text-align:right}"
    ".weigh{border:2.5px solid #000}.weigh td{font-size:17px;line-height:1.25;padding:3px 6px;border-top:1px solid #000;white-space:nowrap}"
    ".weigh td:first-child{font-weight:700;white-space:normal}.weigh .mass{font-weight:700}"
    ".box{display:inline-block;width:15px;height:15px;border:2px solid #000;margin:1px 0 0 4px;vertical-align:-2px}.tally{width:150px}"
    ".two{display:grid;grid-template-columns:1.2fr 1fr;gap:0 18px}.two td{border-bottom:1px solid #999}"
    "ol,ul{margin:0;padding-left:17px}li{margin:1px 0}"
    ".hurt{border:2.5px solid #000;padding:0 7px 5px;margin-top:9px}.hurt h2{margin-top:4px}"
    ".lines{display:grid;grid-template-columns:1fr 1fr 1fr;gap:0 14px}.lines div{border-bottom:1.5px solid #000;height:27px;padding-top:11px;font-size:.85em}"
    ".how{columns:2;column-gap:16px;font-size:11px;line-height:1.25}.how p{margin:0 0 2px;break-inside:avoid}"
    "@media(max-width:640px){.two,.lines{grid-template-columns:1fr}.how{columns:1}.scroll{overflow-x:auto}}"
    "@media print{@page{margin:8mm}main{max-width:none;padding:0}body{font-size:10.6px;line-height:1.25}.weigh td{font-size:14.5px;padding:1.5px 6px}"
    "h1{font-size:17px}h2{font-size:11.5px;margin:6px 0 2px}.hurt{margin-top:7px}.two td{padding:0 4px}.job{font-size:14px}.how{font-size:8.5px;line-height:1.17}.lines div{height:22px;padding-top:9px}"
    "tr,li,.hurt{break-inside:avoid}}";

/* Text of the page, units with their raised 3 and on the line of their number. */
static void add_escaped(struct text *out, const char *string)
{
    struct text escaped = { 0 }, printed = { 0 };
    escape_html(&escaped, string);
    words_add_printed(&printed, escaped.bytes ? escaped.bytes : "");
    words_add_unbroken(out, printed.bytes ? printed.bytes : "");
    out->failed |= escaped.failed || printed.failed;
    text_release(&escaped);
    text_release(&printed);
}

/* One box a load to tick; with many loads a long one for tally marks. */
static void add_boxes(struct text *out, size_t n)
{
    text_add(out, "<td>");
    for (size_t i = 0; i < n && n <= BOXES_MOST; i++)
        text_add(out, "<span class=\"box\"></span>");
    if (n > BOXES_MOST)
        text_add(out, "<span class=\"box tally\"></span>");
    text_add(out, "</td>");
}

/* boxes: how many boxes to tick stand at the end of each row. The last right column of each pair is the mass. */
static void add_table(struct text *out, const struct table *table, const char *class_name, size_t boxes)
{
    text_addf(out, "<div class=\"scroll\" role=\"region\" aria-label=\"table\" tabindex=\"0\"><table class=\"%s\"><thead><tr>", class_name);
    for (size_t j = 0; j < table->n_columns; j++) {
        text_addf(out, "<th scope=\"col\"%s>", table->right[j] ? " class=\"r\"" : "");
        add_escaped(out, table->headings[j]);
        text_add(out, "</th>");
    }
    text_add(out, boxes ? "<th scope=\"col\">done</th></tr></thead><tbody>" : "</tr></thead><tbody>");
    for (size_t i = 0, j = 0; i < table->n_cells; i++) {
        bool mass = boxes && j >= 3 && j % 2 == 1;
        text_addf(out, "%s<td%s>", j == 0 ? "<tr>" : "", mass ? " class=\"r mass\"" : table->right[j] ? " class=\"r\"" : "");
        add_escaped(out, table->cells[i]);
        text_add(out, "</td>");
        if (++j < table->n_columns)
            continue;
        j = 0;
        if (boxes)
            add_boxes(out, boxes);
        text_add(out, "</tr>");
    }
    text_add(out, "</tbody></table></div>\n");
    out->failed |= table->failed;
}

static void add_filled(struct text *out, void fill(const struct batch_sheet *, bool, struct table *), const struct batch_sheet *sheet,
                       bool us, const char *class_name, size_t boxes)
{
    struct table table = { 0 };
    fill(sheet, us, &table);
    add_table(out, &table, class_name, boxes);
    table_release(&table);
}

static void add_head(const struct batch_sheet *sheet, const char *headline, bool us, struct text *out)
{
    char recipe[HEAD], job[HEAD];
    batch_recipe_words(&sheet->recipe, recipe, sizeof recipe);
    batch_job_words(sheet, us, job, sizeof job);
    text_add(out, "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n"
                  "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n"
                  "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'unsafe-inline'\">\n<title>Batch sheet: ");
    add_escaped(out, recipe);
    text_add(out, "</title>\n<style>");
    text_add(out, page_style);
    text_add(out, "</style>\n</head>\n<body>\n<main>\n<h1>Batch sheet: ");
    add_escaped(out, recipe);
    text_add(out, "</h1>\n<p class=\"job\">");
    add_escaped(out, job);
    text_add(out, "</p>\n");
    if (!headline)
        return;
    text_add(out, "<p class=\"why\">");
    add_escaped(out, headline);
    text_add(out, "</p>\n");
}

static void add_work(const struct batch_sheet *sheet, bool us, struct text *out)
{
    char steps[BATCH_STEPS][300];
    size_t n = batch_sheet_steps(sheet, us, steps);
    text_add(out, "<h2>Order of work</h2>\n<ol>");
    for (size_t i = 0; i < n; i++) {
        text_add(out, "<li>");
        add_escaped(out, steps[i]);
        text_add(out, "</li>");
    }
    text_add(out, "</ol>\n");
}

static void add_list(const char (*items)[240], size_t n, struct text *out)
{
    text_add(out, "<ul>");
    for (size_t i = 0; i < n; i++) {
        text_add(out, "<li>");
        add_escaped(out, items[i]);
        text_add(out, "</li>");
    }
    text_add(out, "</ul>");
}

/* What is done and what can hurt stand side by side, then what is bought and what is expected. */
static void add_casting(const struct batch_sheet *sheet, bool us, struct text *out)
{
    char cautions[BATCH_CAUTIONS][240];
    size_t n_doubts, n = batch_sheet_cautions(sheet, us, cautions, &n_doubts);
    text_add(out, "<div class=\"two\"><div>");
    add_work(sheet, us, out);
    text_add(out, "</div><div class=\"hurt\"><h2>Take care</h2>");
    add_list((const char(*)[240])cautions + n_doubts, n - n_doubts, out);
    text_add(out, "</div></div>\n");
    if (n_doubts > 0) {
        text_add(out, "<h2>Keep in mind</h2>\n");
        add_list((const char(*)[240])cautions, n_doubts, out);
    }
}

static void add_buying(const struct batch_sheet *sheet, bool us, struct text *out)
{
    char cost[HEAD];
    batch_cost_words(sheet, us, cost, sizeof cost);
    text_add(out, "<div class=\"two\"><div><h2>To buy</h2>");
    add_filled(out, batch_buy_table, sheet, us, "", 0);
    if (cost[0]) {
        text_add(out, "<p class=\"why\">In the money of the materials file, ");
        add_escaped(out, cost);
        text_add(out, ".</p>");
    }
    text_add(out, "</div><div><h2>What to expect</h2>");
    add_filled(out, batch_expect_table, sheet, us, "", 0);
    text_add(out, "</div></div>\n");
}

static void add_reasons(const struct batch_sheet *sheet, bool us, struct text *out)
{
    struct batch_reason reasons[BATCH_REASONS];
    size_t n = batch_sheet_reasons(sheet, us, reasons);
    text_add(out, "<h2>How each number was worked out</h2>\n<div class=\"how\">");
    for (size_t i = 0; i < n; i++) {
        text_add(out, "<p><b>");
        add_escaped(out, reasons[i].what);
        text_add(out, ":</b> ");
        add_escaped(out, reasons[i].how);
        text_add(out, "</p>");
    }
    text_add(out, "</div>\n");
}

static void add_lines(struct text *out)
{
    text_add(out, "<div class=\"lines\">");
    for (size_t i = 0; i < n_batch_write_ins; i++) {
        text_add(out, "<div>");
        add_escaped(out, batch_write_ins[i]);
        text_add(out, "</div>");
    }
    text_add(out, "</div>\n");
}

enum status answer_batch_html(const struct batch_sheet *sheet, const char *headline, bool us, struct text *out)
{
    add_head(sheet, headline, us, out);
    add_filled(out, batch_weigh_table, sheet, us, "weigh", sheet->n_loads > 1 ? sheet->n_loads : 1);
    add_lines(out);
    add_casting(sheet, us, out);
    add_buying(sheet, us, out);
    add_reasons(sheet, us, out);
    text_add(out, "</main>\n</body>\n</html>\n");
    return out->failed ? STATUS_MEMORY : STATUS_OK;
}
