#include "journal_files.h"

#include "base/text.h"
#include "ingest/journal_rows.h"

#define SEALED_HEADING TEST_HEADING ",row_check\n"

static const char *const two_rows[] = { "S-02,cube,100,", "S-03,\"a, \"\"b\"\"\",9,1" };

/* CRC-32 of "1/1,S-01,cube,100,24.05" and of "2/3,S-02,cube,100," by Python 3's zlib.crc32. */
static void test_seal(void)
{
    struct text out = { 0 };
    journal_row_add(&out, "S-01,cube,100,24.05", (struct journal_seal){ 1, 1 });
    journal_row_add(&out, "S-02,cube,100,", (struct journal_seal){ 2, 3 });
    check_text(out.bytes, "S-01,cube,100,24.05,1/1-50d66d5d\nS-02,cube,100,,2/3-3280c619\n");
    text_release(&out);
}

static enum journal_line kind_of(const char *line)
{
    struct journal_seal seal;
    return journal_line_read(line, strlen(line), &seal);
}

static void test_line_kinds(void)
{
    struct journal_seal seal = { 0, 0 };
    const char *good = "S-02,cube,100,,2/3-3280c619";
    CU_ASSERT_EQUAL(journal_line_read(good, strlen(good), &seal), LINE_SEALED);
    CU_ASSERT(seal.k == 2 && seal.n == 3);
    CU_ASSERT_EQUAL(kind_of("S-02,cube,100,,2/3-3280c619\r"), LINE_SEALED);
    CU_ASSERT_EQUAL(kind_of("S-02,cube,101,,2/3-3280c619"), LINE_CHANGED);
    CU_ASSERT_EQUAL(kind_of("S-02,cube,100,,1/3-3280c619"), LINE_CHANGED);
    CU_ASSERT_EQUAL(kind_of("S-02,cube,100,,2/3-3280c61"), LINE_UNSEALED);
    CU_ASSERT_EQUAL(kind_of("S-02,cube,100,,2/3-3280c6199"), LINE_UNSEALED);
    CU_ASSERT_EQUAL(kind_of("S-02,cube,100,,2/3-3280C619"), LINE_UNSEALED);
    CU_ASSERT_EQUAL(kind_of("S-02,cube,100,,4/3-3280c619"), LINE_UNSEALED);
    CU_ASSERT_EQUAL(kind_of("S-02,cube,100,,0/3-3280c619"), LINE_UNSEALED);
    CU_ASSERT_EQUAL(kind_of("S-02,cube,100,,2-3280c619"), LINE_UNSEALED);
    CU_ASSERT_EQUAL(kind_of("S-02,cube,100,,2/3"), LINE_UNSEALED);
    CU_ASSERT_EQUAL(kind_of("S-02"), LINE_UNSEALED);
    CU_ASSERT_EQUAL(kind_of("S-02,cube,100,,"), LINE_BY_HAND);
    CU_ASSERT_EQUAL(kind_of("# note"), LINE_PASSED);
    CU_ASSERT_EQUAL(kind_of(" \t"), LINE_PASSED);
    CU_ASSERT_EQUAL(kind_of(""), LINE_PASSED);
    CU_ASSERT_EQUAL(journal_line_read("S-0\0\0\0", 6, &seal), LINE_HOLE);
}

static void test_cell_count(void)
{
    CU_ASSERT_EQUAL(journal_cell_count("a,b,c"), 3);
    CU_ASSERT_EQUAL(journal_cell_count(",,"), 3);
    CU_ASSERT_EQUAL(journal_cell_count("\"a,b\",\"c\"\"d\",e"), 3);
    CU_ASSERT_EQUAL(journal_cell_count("\"\","), 2);
    CU_ASSERT_EQUAL(journal_cell_count("5\" pipe,1"), 0);
    CU_ASSERT_EQUAL(journal_cell_count("\"a\"b,1"), 0);
    CU_ASSERT_EQUAL(journal_cell_count("\"open,1"), 0);
    CU_ASSERT_EQUAL(journal_cell_count("a\nb"), 0);
    CU_ASSERT_EQUAL(journal_cell_count("a\rb"), 0);
}

static void test_new_journal_and_next_record(void)
{
    struct shelf shelf;
    struct journal_result result;
    struct problem problem;
    shelf_open(&shelf);
    CU_ASSERT_EQUAL(append_one(&shelf, "S-01,cube,100,24.05", &result, &problem), STATUS_OK);
    CU_ASSERT(result.created && result.outcome == JOURNAL_RECORDED && result.torn_bytes == 0);
    CU_ASSERT_EQUAL(append_rows(&shelf, two_rows, 2, &result, &problem), STATUS_OK);
    CU_ASSERT(!result.created && result.outcome == JOURNAL_RECORDED);
    shelf_read(&shelf);
    CU_ASSERT_EQUAL(times(shelf.content, "S-01,cube,100,24.05,1/1-50d66d5d\nS-02,cube,100,,1/2-"), 1);
    CU_ASSERT_EQUAL(times(shelf.content, SEALED_HEADING), 1);
    CU_ASSERT_EQUAL(times(shelf.content, "\nS-03,\"a, \"\"b\"\"\",9,1,2/2-"), 1);
    CU_ASSERT(!exists(shelf.torn));
    shelf_close(&shelf);
}

/* A row that could not be read back is refused before anything is opened. */
static void test_bad_rows(void)
{
    static const char *const bad[] = {
        "S-01,cube,100,1\nS-02,cube,100,1", "S-01,cube,100", "S-01,cube,100,1,2", "S-01,\"cube,100,1", "S-01,cu\"be,100,1",
        "#12,cube,100,1", "  ", "", "S-\xE9,cube,100,1",
    };
    struct shelf shelf;
    shelf_open(&shelf);
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++) {
        struct journal_result result;
        struct problem problem;
        const char *const rows[] = { "S-00,cube,100,1", bad[i] };
        CU_ASSERT_EQUAL(append_rows(&shelf, rows, 2, &result, &problem), STATUS_INPUT);
        CU_ASSERT_EQUAL(result.outcome, JOURNAL_NOT_RECORDED);
        CU_ASSERT_EQUAL(times(problem.text, "row 2 of 2 cannot be recorded"), 1);
        CU_ASSERT(!exists(shelf.path));
    }
    struct journal_result result;
    struct problem problem;
    CU_ASSERT_EQUAL(append_rows(&shelf, bad, 0, &result, &problem), STATUS_INPUT);
    CU_ASSERT_EQUAL(append_one(&shelf, "\"#12\",cube,100,1", &result, &problem), STATUS_OK);
    shelf_close(&shelf);
}

/* Puts content there, appends, and expects a refusal that leaves every byte. */
static void check_refused(const char *content, size_t size, size_t line, const char *words)
{
    struct shelf shelf;
    struct journal_result result;
    struct problem problem = { 0 };
    shelf_open(&shelf);
    shelf_write(shelf.path, content, size);
    CU_ASSERT_EQUAL(append_one(&shelf, "S-09,cube,100,1", &result, &problem), STATUS_INPUT);
    CU_ASSERT_EQUAL(result.outcome, JOURNAL_NOT_RECORDED);
    CU_ASSERT_EQUAL(problem.line, line);
    check_text(strstr(problem.text, words) ? words : problem.text, words);
    shelf_read(&shelf);
    CU_ASSERT(shelf.size == size && memcmp(shelf.content, content, size) == 0);
    CU_ASSERT(!exists(shelf.torn));
    shelf_close(&shelf);
}

static void test_refused_files(void)
{
    static const char holes[] = "\0\0\0\0\0\0";
#define REFUSED(content, line, words) check_refused(content, sizeof(content) - 1, line, words)
    REFUSED("specimen,mass_g,row_check\n", 1, "heading");
    REFUSED(TEST_HEADING "\nS-01,cube,100,1\n", 1, "heading");
    REFUSED(TEST_HEADING ",row_check,note\n", 1, "heading");
    REFUSED("# mine\nspecimen;shape;length_mm;mass_g;row_check\n", 2, "heading");
    REFUSED("two lines\nof a letter\n", 1, "heading");
    REFUSED("no line end but not ours either", 1, "heading");
    REFUSED(holes, 1, "heading");
    REFUSED(SEALED_HEADING "S-01,cube,101,24.05,1/1-50d66d5d\n", 2, "was changed after it was recorded");
    REFUSED(SEALED_HEADING "\n# note\nS-01,cube,100,24.05\n", 4, "does not end in a cell 'row_check'");
#undef REFUSED
}

static void test_long_line(void)
{
    size_t size = sizeof SEALED_HEADING - 1 + (1 << 21);
    char *content = malloc(size);
    struct shelf shelf;
    struct journal_result result;
    struct problem problem;
    if (!content)
        abort();
    memset(content, 'x', size);
    memcpy(content, SEALED_HEADING, sizeof SEALED_HEADING - 1);
    shelf_open(&shelf);
    shelf_write(shelf.path, content, size);
    CU_ASSERT_EQUAL(append_one(&shelf, "S-09,cube,100,1", &result, &problem), STATUS_INPUT);
    CU_ASSERT_EQUAL(problem.line, 2);
    struct stat entry;
    CU_ASSERT(stat(shelf.path, &entry) == 0 && (size_t)entry.st_size == size);
    free(content);
    shelf_close(&shelf);
}

/* Not a regular file, or a name that leads nowhere; a link to a journal is followed. */
static void test_kinds_of_file(void)
{
    struct shelf shelf;
    struct journal_result result;
    struct problem problem;
    char real[128];
    shelf_open(&shelf);
    CU_ASSERT_EQUAL(mkdir(shelf.path, 0777), 0);
    CU_ASSERT_NOT_EQUAL(append_one(&shelf, "S-01,cube,100,1", &result, &problem), STATUS_OK);
    CU_ASSERT_EQUAL(rmdir(shelf.path), 0);
    CU_ASSERT_EQUAL(mkfifo(shelf.path, 0666), 0);
    CU_ASSERT_EQUAL(append_one(&shelf, "S-01,cube,100,1", &result, &problem), STATUS_INPUT);
    CU_ASSERT(exists(shelf.path));
    unlink(shelf.path);
    CU_ASSERT_EQUAL(symlink("/dev/full", shelf.path), 0);
    CU_ASSERT_EQUAL(append_one(&shelf, "S-01,cube,100,1", &result, &problem), STATUS_INPUT);
    unlink(shelf.path);
    snprintf(real, sizeof real, "%s/real.csv", shelf.folder);
    CU_ASSERT_EQUAL(symlink(real, shelf.path), 0);
    CU_ASSERT_EQUAL(append_one(&shelf, "S-01,cube,100,1", &result, &problem), STATUS_INPUT);
    CU_ASSERT(!exists(real));
    shelf_write(real, "", 0);
    CU_ASSERT_EQUAL(append_one(&shelf, "S-01,cube,100,24.05", &result, &problem), STATUS_OK);
    CU_ASSERT_EQUAL(shelf_load(real, shelf.content, sizeof shelf.content), strlen(SEALED_HEADING) + 33);
    unlink(real);
    shelf_close(&shelf);
    struct journal_request request = request_of("/nonexistent/journal.csv", two_rows, 2);
    CU_ASSERT_EQUAL(journal_append(&request, &result, &problem), STATUS_IO);
}

/* Puts content there, appends, and expects before + the new row + nothing torn. */
static void check_accepted(const char *content, const char *before, size_t n_changed, size_t first)
{
    struct shelf shelf;
    struct journal_result result;
    struct problem problem = { 0 };
    char want[1024];
    shelf_open(&shelf);
    shelf_write(shelf.path, content, strlen(content));
    CU_ASSERT_EQUAL(append_one(&shelf, "S-01,cube,100,24.05", &result, &problem), STATUS_OK);
    CU_ASSERT(result.n_changed == n_changed && result.first_changed_line == first && result.torn_bytes == 0);
    shelf_read(&shelf);
    snprintf(want, sizeof want, "%sS-01,cube,100,24.05,1/1-50d66d5d\n", before);
    check_text(shelf.content, want);
    shelf_close(&shelf);
}

/* What a person or a spreadsheet program may do to a journal and still go on. */
static void test_hand_edits(void)
{
#define MARK "\xEF\xBB\xBF"
#define ROW "S-01,cube,100,24.05,1/1-50d66d5d"
#define ACCEPTED(content, n_changed, first) check_accepted(content, content, n_changed, first)
    ACCEPTED(SEALED_HEADING, 0, 0);
    ACCEPTED("# invented\n\n" SEALED_HEADING, 0, 0);
    check_accepted("# invented\n", "# invented\n" SEALED_HEADING, 0, 0);
    check_accepted("", SEALED_HEADING, 0, 0);
    ACCEPTED(MARK SEALED_HEADING ROW "\r\n", 0, 0);
    ACCEPTED(TEST_HEADING ",row_check\r\n" ROW "\r\n", 0, 0);
    ACCEPTED(SEALED_HEADING "S-07,cube,100,1,\n", 0, 0);
    ACCEPTED(SEALED_HEADING ROW "\n# withdrawn: S-01\n", 0, 0);
    ACCEPTED(SEALED_HEADING "S-01,cube,101,24.05,1/1-50d66d5d\n" ROW "\n", 1, 2);
    ACCEPTED(SEALED_HEADING ROW "\nS-07,cube,100\nS-07\n" ROW "\n", 2, 3);
    /* the last row of a record of two, set right by hand */
    ACCEPTED(SEALED_HEADING "S-02,cube,100,,2/3-3280c619\nS-03,cube,100,1,\n", 0, 0);
    check_accepted(SEALED_HEADING ROW, SEALED_HEADING ROW "\n", 0, 0);
    check_accepted(TEST_HEADING ",row_check", SEALED_HEADING, 0, 0);
#undef ACCEPTED
}

static enum status refuse_always(const char *path, void *context, struct problem *problem)
{
    struct place place = { .path = path };
    ++*(int *)context;
    return problem_set(problem, STATUS_INPUT, &place, "specimen 'S-01' is there already");
}

static void test_allow(void)
{
    struct shelf shelf;
    struct journal_result result;
    struct problem problem;
    int asked = 0;
    shelf_open(&shelf);
    struct journal_request request = request_of(shelf.path, two_rows, 2);
    request.allow = refuse_always;
    request.context = &asked;
    CU_ASSERT_EQUAL(journal_append(&request, &result, &problem), STATUS_OK);
    CU_ASSERT_EQUAL(asked, 0);
    shelf_read(&shelf);
    size_t size = shelf.size;
    CU_ASSERT_EQUAL(journal_append(&request, &result, &problem), STATUS_INPUT);
    check_text(problem.text, "specimen 'S-01' is there already");
    CU_ASSERT(asked == 1 && result.outcome == JOURNAL_NOT_RECORDED);
    shelf_read(&shelf);
    CU_ASSERT_EQUAL(shelf.size, size);
    shelf_close(&shelf);
}

int main(void)
{
    static const struct check_case cases[] = {
        { "the row check is the CRC-32 of place and row", test_seal },
        { "lines are told apart", test_line_kinds },
        { "cells are counted as a reader would", test_cell_count },
        { "a new journal and the next record", test_new_journal_and_next_record },
        { "rows that could not be read back", test_bad_rows },
        { "files that are no journal stay as they are", test_refused_files },
        { "a line without end", test_long_line },
        { "kinds of file", test_kinds_of_file },
        { "edits by hand", test_hand_edits },
        { "the caller's last look", test_allow },
    };
    return check_run("journal", cases, sizeof cases / sizeof cases[0]);
}
