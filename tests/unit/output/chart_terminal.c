#include "output/chart.h"

#include "study.h"
#include "support/check.h"

/* The longest line in characters, whether all is ASCII, and whether a colour is set. */
struct page { size_t widest; bool ascii, coloured; };
static struct page look_at(const struct text *text)
{
    struct page page = { 0, true, false };
    size_t width = 0;
    for (size_t i = 0; i < text->length; i++) {
        unsigned char byte = (unsigned char)text->bytes[i];
        page.ascii = page.ascii && byte < 0x80;
        page.coloured = page.coloured || byte == 0x1B;
        width = byte == '\n' ? 0 : width + ((byte & 0xC0) != 0x80);
        page.widest = width > page.widest ? width : page.widest;
    }
    return page;
}

static struct text show(const struct study *study, struct terminal terminal)
{
    struct chart_list charts;
    struct problem problem = { 0 };
    struct text out = { 0 };
    const struct chart_source source = { .set = &study->set, .request = &study->request, .answer = &study->answer, .quality = &study->qualities };
    CU_ASSERT(chart_show(&source, &terminal, &out, &charts, &problem) == STATUS_OK);
    CU_ASSERT(charts.n_items > 5 && charts.items[0].drawn);
    CU_ASSERT_PTR_NOT_NULL_FATAL(out.bytes);
    chart_list_release(&charts);
    return out;
}

static void a_terminal_gets_what_it_can_show(void)
{
    struct study study;
    CU_ASSERT_FATAL(study_make(&study));
    for (unsigned columns = 60; columns <= 120; columns += 20) {
        struct text plain = show(&study, (struct terminal){ columns, false, false });
        struct page page = look_at(&plain);
        CU_ASSERT(page.widest <= columns && page.widest > columns - 10 && page.ascii && !page.coloured);
        CU_ASSERT_PTR_NOT_NULL(strstr(plain.bytes, "Candidates, best first"));
        CU_ASSERT_PTR_NOT_NULL(strstr(plain.bytes, "density (kg/m3)"));
        text_release(&plain);
    }
    struct text rich = show(&study, (struct terminal){ 80, true, true });
    struct page page = look_at(&rich);
    CU_ASSERT(!page.ascii && page.coloured);
    CU_ASSERT_PTR_NOT_NULL(strstr(rich.bytes, "\xE2\x97\x8F")); /* a full disc */
    text_release(&rich);
    study_release(&study);
}

static void the_screen_is_as_the_environment_says(void)
{
    setenv("COLUMNS", "100", 1);
    setenv("LC_ALL", "", 1);
    setenv("LC_CTYPE", "", 1);
    setenv("LANG", "de_AT.utf8", 1);
    struct terminal terminal = terminal_of(-1);
    CU_ASSERT(terminal.columns == 100 && !terminal.colour && terminal.utf8);
    setenv("COLUMNS", "7", 1);
    setenv("LC_ALL", "C", 1);
    terminal = terminal_of(-1);
    CU_ASSERT(terminal.columns == TERMINAL_COLUMNS_LEAST && !terminal.utf8);
    setenv("COLUMNS", "9000", 1);
    CU_ASSERT(terminal_of(-1).columns == TERMINAL_COLUMNS_MOST);
    setenv("COLUMNS", "wide", 1);
    CU_ASSERT(terminal_of(-1).columns == 80);
}

int main(void)
{
    static const struct check_case cases[] = {
        { "a terminal gets what it can show", a_terminal_gets_what_it_can_show },
        { "the screen is as the environment says", the_screen_is_as_the_environment_says },
    };
    return check_run("chart on a terminal", cases, sizeof cases / sizeof cases[0]);
}
