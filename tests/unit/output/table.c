#include "output/table.h"

#include "support/check.h"

static void fill(struct table *table)
{
    table_column(table, "mix", false);
    table_column(table, "kg/m3", true);
    table_cell(table, "caf\xC3\xA9");
    table_cell(table, "1490");
    table_cell(table, "a|b");
    table_cellf(table, "%d", 90);
}

static void columns_stand_in_line(void)
{
    struct table table = { 0 };
    struct text out = { 0 };
    fill(&table);
    table_show(&table, &out);
    check_text(out.bytes, "mix   kg/m3\n----  -----\ncaf\xC3\xA9   1490\na|b      90\n");
    table_release(&table);
    text_release(&out);
}

static void no_line_ends_in_blanks(void)
{
    struct table table = { 0 };
    struct text out = { 0 };
    table_column(&table, "law", false);
    table_column(&table, "", false);
    table_cell(&table, "linear");
    table_cell(&table, "");
    table_cell(&table, "power");
    table_cell(&table, "chosen");
    table_show(&table, &out);
    check_text(out.bytes, "law\n------  ------\nlinear\npower   chosen\n");
    table_release(&table);
    text_release(&out);
}

static void markdown_rows_keep_their_cells(void)
{
    struct table table = { 0 };
    struct text out = { 0 };
    fill(&table);
    table_show_markdown(&table, &out);
    check_text(out.bytes, "| mix | kg/m3 |\n| --- | ---: |\n| caf\xC3\xA9 | 1490 |\n| a\\|b | 90 |\n\n");
    table_release(&table);
    text_release(&out);
}

static void long_text_is_cut_and_escape_codes_do_not_reach_the_terminal(void)
{
    struct table table = { 0 };
    struct text out = { 0 };
    char id[10001];
    memset(id, 'x', sizeof id - 1);
    id[sizeof id - 1] = '\0';
    table_column(&table, "id", false);
    table_cell(&table, id);
    table_cell(&table, "\033[2K\r");
    table_show(&table, &out);
    CU_ASSERT(out.length < 200);
    CU_ASSERT_PTR_NULL(strchr(out.bytes, '\033'));
    CU_ASSERT_PTR_NULL(strchr(out.bytes, '\r'));
    table_release(&table);
    text_release(&out);
}

static void sentences_wrap_at_words(void)
{
    struct text out = { 0 };
    text_add(&out, "- ");
    table_wrap(&out, "one two three four", 2, 10);
    check_text(out.bytes, "- one two\n  three\n  four\n");
    text_release(&out);
}

int main(void)
{
    static const struct check_case cases[] = {
        { "columns stand in line", columns_stand_in_line },
        { "no line ends in blanks", no_line_ends_in_blanks },
        { "Markdown rows keep their cells", markdown_rows_keep_their_cells },
        { "long text is cut and escape codes do not reach the terminal", long_text_is_cut_and_escape_codes_do_not_reach_the_terminal },
        { "sentences wrap at words", sentences_wrap_at_words },
    };
    return check_run("table", cases, sizeof cases / sizeof cases[0]);
}
