#include "output/escape.h"

#include "support/check.h"

/* Ids that someone could type, or plant, to make a program or a page do something. */
static const char *const hostile[] = {
    "=cmd|'/c calc'!A1", "+1", "-1", "@SUM(A1)", "\tx", "`touch PWN`", "a'; system('touch PWN'); #", "a\n!touch PWN\n",
    "EOD", "e", "'A1", "''", "'", "< cat /etc/passwd", "|sh", "../../etc/x", "<script>alert(1)</script>",
    "\"><img src=x onerror=alert(1)>", "]]>", "]]]>]]>>", "-->", "a|b", "a\\|b", "a\\", "`x`", "[x](javascript:alert(1))",
    "![x](y)", "\033[2K\r\a", "\xC2\x9B" "31m", "\xE2\x80\xAE" "abc", "x_{1}^2@{3}&~%s", "&lt;", "\xFF\xC0\xAF\xED\xA0\x80",
    "# x", "1. x", "    code", "<!--", "&#124;", "a\\\\|b", "***", "~~~", "$x$", "http://x.y", "100 % \\%d"
};
#define N_HOSTILE (sizeof hostile / sizeof hostile[0])

typedef void escape(struct text *, const char *);

static void check_escape(escape *function, const char *input, const char *want)
{
    struct text out = { 0 };
    function(&out, input);
    check_text(out.bytes, want);
    text_release(&out);
}

static void gnuplot_labels_hold_no_quote(void)
{
    for (size_t i = 0; i < N_HOSTILE; i++) {
        struct text out = { 0 };
        escape_gnuplot(&out, hostile[i]);
        size_t quotes = 0;
        for (size_t j = 0; j < out.length; j++) {
            quotes += out.bytes[j] == '\'';
            CU_ASSERT((unsigned char)out.bytes[j] >= 0x20 && out.bytes[j] != 0x7F);
        }
        CU_ASSERT(quotes == 2 && out.bytes[0] == '\'' && out.bytes[out.length - 1] == '\'');
        CU_ASSERT_PTR_NULL(strstr(out.bytes, "]]>"));
        CU_ASSERT(text_is_utf8(out.bytes, out.length, NULL));
        text_release(&out);
    }
}

static void gnuplot_labels_read_as_typed(void)
{
    check_escape(escape_gnuplot, "'A1", "'\xE2\x80\x99" "A1'");
    check_escape(escape_gnuplot, "x_{1}^2@{3}&~%s", "'x_{1}^2@{3}&~%s'");
    check_escape(escape_gnuplot, "]]>]]>", "']] >]] >'");
    check_escape(escape_gnuplot, "a\nb", "'a\xEF\xBF\xBD" "b'");
    check_escape(escape_gnuplot_tic, "5 % of 'x'", "'5 \xEF\xBC\x85 of \xE2\x80\x99x\xE2\x80\x99'");
}

static void markdown_keeps_signs_as_signs(void)
{
    check_escape(escape_markdown, "a|b", "a\\|b");
    check_escape(escape_markdown, "[x](javascript:alert(1))", "\\[x\\](javascript:alert(1))");
    check_escape(escape_markdown, "<b>&lt;", "\\<b\\>\\&lt;");
    check_escape(escape_markdown, "http://localhost/ www.localhost a@localhost 12:30",
                 "http\\://localhost/ &#119;ww.localhost a\\@localhost 12:30");
    check_escape(escape_markdown, "#3 of trial ##", "#3 of trial \\#\\#");
    check_escape(escape_markdown, "-3.2", "-3.2");
    check_escape(escape_markdown_line, "# x", "\\# x");
    check_escape(escape_markdown_line, "    code", "code");
    check_escape(escape_markdown_line, "- x|", "\\- x\\|");
    check_escape(escape_markdown_line, "12. x", "12\\. x");
    check_escape(escape_markdown_line, "0.42 of x", "0.42 of x");
    check_escape(escape_markdown, "P-40", "P-40");
    check_escape(escape_markdown, "a\nb", "a\xEF\xBF\xBD" "b");
    for (size_t i = 0; i < N_HOSTILE; i++) {
        struct text out = { 0 };
        escape_markdown(&out, hostile[i]);
        for (size_t j = 0; j < out.length; j++)
            if (strchr("`|<[", out.bytes[j])) {
                size_t slashes = 0;
                while (slashes < j && out.bytes[j - 1 - slashes] == '\\')
                    slashes++;
                CU_ASSERT(slashes % 2 == 1);
            }
        text_release(&out);
    }
}

static void html_leaves_no_markup(void)
{
    check_escape(escape_html, "<a href='x'>\"&", "&lt;a href=&#39;x&#39;&gt;&quot;&amp;");
    for (size_t i = 0; i < N_HOSTILE; i++) {
        struct text out = { 0 };
        escape_html(&out, hostile[i]);
        CU_ASSERT_PTR_NULL(strpbrk(out.bytes, "<>\"'"));
        text_release(&out);
    }
}

static void csv_guards_formulas(void)
{
    check_escape(escape_csv, "=cmd|'/c calc'!A1", "\"'=cmd|'/c calc'!A1\"");
    check_escape(escape_csv, "+1", "\"'+1\"");
    check_escape(escape_csv, "-1", "\"'-1\"");
    check_escape(escape_csv, "@SUM(A1)", "\"'@SUM(A1)\"");
    check_escape(escape_csv, "\tx", "\"'\tx\"");
    check_escape(escape_csv, "  =1", "\"'  =1\"");
    check_escape(escape_csv, "\xEF\xBC\x9D" "1", "\"'\xEF\xBC\x9D" "1\"");
    check_escape(escape_csv, "P-40", "P-40");
    check_escape(escape_csv, "a;=1", "\"a;=1\"");
    check_escape(escape_csv, "5\" pipe", "\"5\"\" pipe\"");
    check_escape(escape_csv, "a,b\nc", "\"a,b\nc\"");
}

static void json_text_is_whole_and_valid(void)
{
    check_escape(escape_utf8, "caf\xC3\xA9\n", "caf\xC3\xA9\n");
    check_escape(escape_utf8, "a\xFF" "b\xE2\x82", "a\xEF\xBF\xBD" "b\xEF\xBF\xBD\xEF\xBF\xBD");
    check_escape(escape_utf8, "", "");
}

static void cutting_respects_characters(void)
{
    struct text out = { 0 };
    escape_cut(&out, "caf\xC3\xA9 noir", 5);
    check_text(out.bytes, "caf\xC3\xA9\xE2\x80\xA6");
    CU_ASSERT(escape_width(out.bytes) == 5);
    text_clear(&out);
    escape_cut(&out, "caf\xC3\xA9", 4);
    check_text(out.bytes, "caf\xC3\xA9");
    text_clear(&out);
    escape_cut(&out, "abcdef", 3);
    check_text(out.bytes, "ab\xE2\x80\xA6");
    text_release(&out);
}

int main(void)
{
    static const struct check_case cases[] = {
        { "gnuplot labels hold no quote, control or section end", gnuplot_labels_hold_no_quote },
        { "gnuplot labels read as typed", gnuplot_labels_read_as_typed },
        { "Markdown keeps signs as signs", markdown_keeps_signs_as_signs },
        { "HTML leaves no markup", html_leaves_no_markup },
        { "CSV guards formulas", csv_guards_formulas },
        { "JSON text is whole and valid", json_text_is_whole_and_valid },
        { "cutting respects characters", cutting_respects_characters },
    };
    return check_run("escape", cases, sizeof cases / sizeof cases[0]);
}
