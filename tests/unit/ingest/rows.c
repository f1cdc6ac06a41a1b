#include "ingest/rows.h"

#include "support/check.h"

#include <string.h>

/* Letters that a line without quotes may hold and that either way of splitting could trip over. */
static const char letters[] = "  \t\t,,,;;ab1.-+#'x";

static unsigned draw(unsigned *state, unsigned below)
{
    *state = *state * 1664525u + 1013904223u; /* Numerical Recipes' quick generator will do here */
    return (*state >> 8) % below;
}

static size_t random_line(unsigned *state, char *line, size_t longest)
{
    size_t n = draw(state, (unsigned)longest);
    for (size_t i = 0; i < n; i++)
        line[i] = draw(state, 40) == 0 ? (char)0xC3 : letters[draw(state, sizeof letters - 1)];
    return n;
}

static bool same_cells(struct row_parser *a, struct row_parser *b)
{
    size_t n_a, n_b;
    const struct cell *cells_a = row_parser_cells(a, &n_a), *cells_b = row_parser_cells(b, &n_b);
    bool same = n_a == n_b;
    for (size_t i = 0; same && i < n_a; i++)
        same = cells_a[i].length == cells_b[i].length && !cells_b[i].quoted && strcmp(cells_a[i].text, cells_b[i].text) == 0;
    return same;
}

/* A line that holds more than blanks: the reader passes over others before they are parsed. */
static bool has_content(const char *line, size_t length)
{
    for (size_t i = 0; i < length; i++)
        if (line[i] != ' ' && line[i] != '\t')
            return true;
    return false;
}

/* One parser sees every line through libcsv, the other now and then, as a file with a few quotes makes it. */
static void split_like_libcsv(char separator)
{
    struct row_parser *by_libcsv = row_parser_new(separator), *mixed = row_parser_new(separator);
    unsigned state = (unsigned)separator;
    size_t n_lines = 0, n_different = 0, at;
    char line[90];
    for (size_t i = 0; i < 200000; i++) {
        size_t length = random_line(&state, line, sizeof line - 1);
        if (!has_content(line, length))
            continue;
        line[length] = '\n';
        bool fed = draw(&state, 8) == 0;
        enum parse_result whole = row_parser_feed(by_libcsv, line, length + 1, &at);
        enum parse_result split = fed ? row_parser_feed(mixed, line, length + 1, &at) : row_parser_split(mixed, line, length);
        n_different += whole != PARSE_ROW || split != PARSE_ROW || !same_cells(by_libcsv, mixed);
        n_lines++;
    }
    CU_ASSERT_TRUE(n_lines > 150000);
    CU_ASSERT_EQUAL(n_different, 0);
    CU_ASSERT_TRUE(row_parser_end(mixed));
    row_parser_free(by_libcsv);
    row_parser_free(mixed);
}

static void test_split(void)
{
    split_like_libcsv(',');
    split_like_libcsv(';');
    split_like_libcsv('\t');
}

/* More cells than are kept are still counted. */
static void test_many_cells(void)
{
    static char line[3001];
    struct row_parser *by_libcsv = row_parser_new(','), *split = row_parser_new(',');
    size_t at, n;
    memset(line, ',', 3000);
    line[3000] = '\n';
    CU_ASSERT_EQUAL(row_parser_feed(by_libcsv, line, 3001, &at), PARSE_ROW);
    CU_ASSERT_EQUAL(row_parser_split(split, line, 3000), PARSE_ROW);
    row_parser_cells(split, &n);
    CU_ASSERT_EQUAL(n, 3001);
    row_parser_cells(by_libcsv, &n);
    CU_ASSERT_EQUAL(n, 3001);
    row_parser_free(by_libcsv);
    row_parser_free(split);
}

int main(void)
{
    static const struct check_case cases[] = {
        { "lines without quotes split as libcsv does", test_split }, { "more cells than are kept", test_many_cells },
    };
    return check_run("rows", cases, sizeof cases / sizeof *cases);
}
