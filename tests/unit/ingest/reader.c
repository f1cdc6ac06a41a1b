#include "support/check.h"
#include "support/temporary.h"

#include "base/memory.h"
#include "base/text.h"
#include "ingest/reader.h"

#include <fcntl.h>
#include <sys/stat.h>

/* What came in: cells joined by '|', rows by '/', each row with its line. */
struct seen {
    struct text text;
    size_t n_rows, n_bad, n_quoted;
    struct dialect dialect;
    char last_raw[200];
    size_t last_cell_line;
};

static void add_row(struct seen *seen, const struct row *row)
{
    text_addf(&seen->text, "%s%zu:", seen->text.length ? "/" : "", row->line);
    for (size_t i = 0; i < row->n_cells; i++) {
        text_addf(&seen->text, "%s%s", i ? "|" : "", row->cells[i].text);
        seen->n_quoted += row->cells[i].quoted;
        seen->last_cell_line = row->cells[i].line;
    }
    snprintf(seen->last_raw, sizeof seen->last_raw, "%.*s", (int)row->raw_length, row->raw);
}

static enum status take_heading(const struct row *row, const struct dialect *dialect, void *context)
{
    struct seen *seen = context;
    seen->dialect = *dialect;
    add_row(seen, row);
    return STATUS_OK;
}

static enum status take_row(const struct row *row, void *context)
{
    struct seen *seen = context;
    seen->n_rows++;
    add_row(seen, row);
    return STATUS_OK;
}

static enum status take_bad(const struct row *row, const char *reason, void *context)
{
    struct seen *seen = context;
    seen->n_bad++;
    CU_ASSERT(strlen(reason) > 5);
    snprintf(seen->last_raw, sizeof seen->last_raw, "%.*s", (int)row->raw_length, row->raw);
    return STATUS_OK;
}

/* One reading; release with end(). */
struct reading {
    struct seen seen;
    struct problem_list problems;
    enum status status;
};

static struct reading read_path(const char *path)
{
    struct reading reading = { 0 };
    struct dialect dialect = { 0 };
    struct row_receiver receiver = { .heading = take_heading, .row = take_row, .context = &reading.seen };
    reading.status = reader_run(path, &dialect, &receiver, &reading.problems);
    return reading;
}

static struct reading read_bytes(const char *bytes, size_t length)
{
    return read_path(temporary_bytes("in.csv", bytes, length));
}

static struct reading read_text(const char *text)
{
    return read_bytes(text, strlen(text));
}

static void end(struct reading *reading)
{
    text_release(&reading->seen.text);
    problem_list_release(&reading->problems);
}

static void check_good(const char *text, const char *want)
{
    struct reading reading = read_text(text);
    CU_ASSERT_EQUAL(reading.status, STATUS_OK);
    CU_ASSERT_EQUAL(reading.problems.n_errors, 0);
    check_text(reading.seen.text.bytes, want);
    end(&reading);
}

static void check_bad_bytes(const char *bytes, size_t length, const char *place, const char *word)
{
    struct reading reading = read_bytes(bytes, length);
    CU_ASSERT_EQUAL(reading.status, STATUS_INPUT);
    CU_ASSERT(reading.problems.n_errors > 0);
    SAYS(&reading.problems, SEVERITY_ERROR, place, word);
    end(&reading);
}

static void check_bad(const char *text, const char *place, const char *word)
{
    check_bad_bytes(text, strlen(text), place, word);
}

static void empty_files(void)
{
    check_bad("", "in.csv:1:", "empty");
    check_bad("\xEF\xBB\xBF", "in.csv:1:", "empty");
    check_bad("\n  \n", "in.csv:1:", "empty");
    check_bad("a,b\n", "in.csv:1:", "no rows");
    check_bad("a,b", "in.csv:1:", "no rows");
    check_bad("# only\n# comments\n", "in.csv:1:", "empty");
    struct dialect dialect = { 0 };
    struct seen seen = { 0 };
    struct problem_list problems = { 0 };
    struct row_receiver receiver = { .heading = take_heading, .row = take_row, .context = &seen, .rows_optional = true };
    CU_ASSERT_EQUAL(reader_run(temporary_text("in.csv", "a,b\n"), &dialect, &receiver, &problems), STATUS_OK);
    text_release(&seen.text);
    problem_list_release(&problems);
}

static void line_ends(void)
{
    check_good("a,b\n1,2", "1:a|b/2:1|2");
    check_good("a,b\r\n1,2\r\n3,4\r\n", "1:a|b/2:1|2/3:3|4");
    check_good("a,b\r\n1,2\n3,4\r\n", "1:a|b/2:1|2/3:3|4");
    check_good("a,b\r\r\n1,2\r\r\n", "1:a|b/2:1|2");
    check_good("a,b\n\n1,2\n   \t \n\r\n3,4\n", "1:a|b/3:1|2/6:3|4");
    check_good("a,b\n1,2\n,\n3,4\n", "1:a|b/2:1|2/4:3|4");
    check_bad("a,b\r1,2\r3,4\r", "in.csv:1:", "CR line ends");
    check_bad("a,b\nx,12.5\r3\n", "in.csv:2: column 'b'", "carriage return");
}

static void comments(void)
{
    check_good("# made by hand\na,b\n#1,2,3\n1,#2\n", "2:a|b/4:1|#2");
    check_good("a,b\n\"#1\",2\n", "1:a|b/2:#1|2");
    struct reading reading = read_text("a,b\n#12,5\n1,2\n");
    SAYS(&reading.problems, SEVERITY_NOTICE, "in.csv:2:", "passed over");
    CU_ASSERT_EQUAL(reading.seen.n_rows, 1);
    end(&reading);
}

static void encodings(void)
{
    check_good("\xEF\xBB\xBF" "a,b\n1,2\n", "1:a|b/2:1|2");
    check_good("\xEF\xBB\xBF\"a\",b\n1,2\n", "1:a|b/2:1|2");
    check_bad("a,b\n1,2\n\xEF\xBB\xBF" "a,b\n", "in.csv:3: column 'a'", "byte-order mark");
    check_bad_bytes("\xFF\xFE" "a\0,\0b\0\n\0", 10, "in.csv:1:", "UTF-16");
    check_bad_bytes("\xFE\xFF\0a\0,\0b\0\n", 10, "in.csv:1:", "UTF-16");
    check_bad_bytes("a\0,\0b\0\n\0", 8, "in.csv:1:", "UTF-16");
    check_bad("id,n\nB\xE9,2\n", "in.csv:2: column 'id'", "0xE9");
    check_bad("id,n\n1,\xC0\xAF\n", "in.csv:2: column 'n'", "invalid UTF-8");
    check_bad("id,n\n1,\xED\xA0\x80\n", "in.csv:2: column 'n'", "invalid UTF-8");
    check_bad("id,n\n1,\xE2\x82\n", "in.csv:2: column 'n'", "invalid UTF-8");
    check_bad_bytes("id,n\nA\0B,2\n", 11, "in.csv:2: column 'id'", "NUL");
    check_bad_bytes("id,n\nA,2\0" "5\n", 11, "in.csv:2: column 'n'", "NUL");
    check_bad("a,b\n1,2\n\x1a", "in.csv:3:", "Ctrl-Z");
}

static void separators(void)
{
    check_good("a;b\n1;2\n", "1:a|b/2:1|2");
    check_good("a\tb\n1\t2\n", "1:a|b/2:1|2");
    check_good("\"load, kN\";b\n1;2\n", "1:load, kN|b/2:1|2");
    check_good("load (a, b);c\n1;2\n", "1:load (a, b)|c/2:1|2");
    check_good("load (a;b\n1;2\n", "1:load (a|b/2:1|2");
    check_good("one\n5\n", "1:one/2:5");
    check_bad("a,b,c\n1;2;3\n", "in.csv:2:", "separator ';'");
    check_bad("a,b\n1\t2\n", "in.csv:2:", "separator a tab");
}

static char decimal_mark_of(const char *text)
{
    struct reading reading = read_text(text);
    char mark = reading.seen.dialect.decimal_mark;
    end(&reading);
    return mark;
}

static void decimal_marks(void)
{
    CU_ASSERT_EQUAL(decimal_mark_of("a;b\nx;1,5\n"), ',');
    CU_ASSERT_EQUAL(decimal_mark_of("a;b\nx;-1,5 \ny;\"2,5\"\nz;1.5\n"), ',');
    CU_ASSERT_EQUAL(decimal_mark_of("a\tb\nx\t1,5\n"), ',');
    CU_ASSERT_EQUAL(decimal_mark_of("a;b\nx;1.5\n"), '.');
    CU_ASSERT_EQUAL(decimal_mark_of("batch;b\n3.1;1,5\n3.2;2\n3.3;4\n"), ',');
    CU_ASSERT_EQUAL(decimal_mark_of("a;b;list\n3.1;1.5;1,2\n"), '.');
    CU_ASSERT_EQUAL(decimal_mark_of("a;b\nx, y;15\n"), '.');
    CU_ASSERT_EQUAL(decimal_mark_of("a;b\n2024.05.01;1,2,3\n"), '.');
    CU_ASSERT_EQUAL(decimal_mark_of("a,b\n\"1,5\",2\n"), '.');
}

static void ragged_rows(void)
{
    check_bad("a,b,c\n1,2\n", "in.csv:2:", "has 2 cells where the heading has 3");
    check_bad("a,b\n1,2,3\n", "in.csv:2:", "has 3 cells where the heading has 2");
    check_bad("a,b\n1,2,\n", "in.csv:2:", "separator too many");
    struct reading reading = read_text("a,b\n1\n1,2\n3,4,5\n");
    CU_ASSERT_EQUAL(reading.problems.n_errors, 2); /* all at once */
    CU_ASSERT_EQUAL(reading.seen.n_rows, 1);
    end(&reading);
}

static void bad_rows_are_handed_over_whole(void)
{
    struct seen seen = { 0 };
    struct problem_list problems = { 0 };
    struct dialect dialect = { 0 };
    struct row_receiver receiver = { .heading = take_heading, .row = take_row, .bad_row = take_bad, .context = &seen };
    const char *path = temporary_text("in.csv", "a,b\n1, 2 ,\"x\",\r\n3,4\nB\xE9,1\n");
    CU_ASSERT_EQUAL(reader_run(path, &dialect, &receiver, &problems), STATUS_OK);
    CU_ASSERT_EQUAL(seen.n_bad, 2);
    CU_ASSERT_EQUAL(seen.n_rows, 1);
    CU_ASSERT_EQUAL(problems.n_errors, 2);
    check_text(seen.last_raw, "B\xE9,1");
    text_release(&seen.text);
    problem_list_release(&problems);
}

static void quoting(void)
{
    check_good("a,b\n\"5\"\" pipe\",2\n", "1:a|b/2:5\" pipe|2");
    check_good("a,b\n\"x,y\",\"\"\n", "1:a|b/2:x,y|");
    check_good("a,b\n  x  , \" y \" \n", "1:a|b/2:x|y");
    check_good("a,b\n\"one\ntwo\",2\n3,4\n", "1:a|b/2:one\ntwo|2/4:3|4");
    check_good("a,b\n\"\",\"\"\n1,2\n", "1:a|b/2:|/3:1|2");
    check_bad("a,b\n1,\"open\n3,4\n", "in.csv:2: column 'b'", "never closes");
    check_bad("a,b\n1,2\n\"open", "in.csv:3: column 'a'", "never closes");
    check_bad("a,b\n\"a\"x,1\n", "in.csv:2: column 'a'", "follows the closing quote");
    check_bad("a,b\n1,5\" pipe\n", "in.csv:2: column 'b'", "inch mark");
    check_bad("a,b\n1,5\" pipe", "in.csv:2: column 'b'", "inch mark");
    check_bad("a,b\n\"1,2\n3,4\"x,5\n", "in.csv:3:", "starts on line 2");
}

static void rows_know_their_lines(void)
{
    struct reading reading = read_text("a,b,c\n\"x\ny\",2,\"z\nw\"\n");
    CU_ASSERT_EQUAL(reading.seen.last_cell_line, 3);
    CU_ASSERT_EQUAL(reading.seen.n_quoted, 2);
    check_text(reading.seen.last_raw, "\"x\ny\",2,\"z\nw\"");
    end(&reading);
}

/* n times the same byte behind a start. */
static void check_long(const char *start, char fill, size_t n, const char *place, const char *word)
{
    size_t length = strlen(start);
    char *bytes = malloc(length + n);
    if (!bytes)
        abort();
    memcpy(bytes, start, length);
    memset(bytes + length, fill, n);
    check_bad_bytes(bytes, length + n, place, word);
    free(bytes);
}

static void caps(void)
{
    check_long("a,b\n1,", 'x', 3000000, "in.csv:2:", "longer than 1048576");
    check_long("a,b\n1,", 'x', 70000, "in.csv:2: column 'b'", "longer than 65536");
    check_long("a,b\n1,\"", 'x', 3000000, "in.csv:2: column 'b'", "longer than 65536");
    check_long("a,b\n1,\"", '\n', 3000000, "in.csv:2: column 'b'", "longer than 65536");
    check_long("a,b\n1,", '"', 10000000, "in.csv:2:", "");
    check_long("a", ',', 100000, "in.csv:1:", "1024 columns");
    check_long("", '\r', 3000000, "in.csv:1:", "CR line ends");
    check_long("", '\0', 3000000, "in.csv:1:", "");
}

/* A row that straddles the blocks in which the file is read. */
static void long_files(void)
{
    struct text text = { 0 };
    text_add(&text, "id,x\n");
    for (int i = 0; i < 60000; i++)
        text_addf(&text, "specimen %d,%d\n", i, i % 7);
    struct reading reading = read_bytes(text.bytes, text.length);
    CU_ASSERT_EQUAL(reading.status, STATUS_OK);
    CU_ASSERT_EQUAL(reading.seen.n_rows, 60000);
    check_text(reading.seen.last_raw, "specimen 59999,2");
    text_release(&text);
    end(&reading);
}

static void check_unreadable(const char *path, const char *word)
{
    struct reading reading = read_path(path);
    CU_ASSERT_EQUAL(reading.status, STATUS_INPUT);
    SAYS(&reading.problems, SEVERITY_ERROR, path, word);
    end(&reading);
}

static void things_that_are_no_files(void)
{
    check_unreadable(temporary_folder, "folder");
    check_unreadable("/dev/zero", "device");
    check_unreadable(temporary_path("missing.csv"), "No such file");
    const char *pipe_path = temporary_path("pipe");
    CU_ASSERT_EQUAL(mkfifo(pipe_path, 0600), 0);
    struct reading reading = read_path(pipe_path); /* nobody writes: must not hang */
    CU_ASSERT_EQUAL(reading.status, STATUS_INPUT);
    end(&reading);
    if (geteuid() != 0) {
        const char *path = temporary_text("locked.csv", "a\n1\n");
        chmod(path, 0);
        check_unreadable(path, "ermission");
    }
}

static void standard_input(void)
{
    int kept = dup(STDIN_FILENO), ends[2];
    CU_ASSERT(kept >= 0 && pipe(ends) == 0);
    CU_ASSERT_EQUAL(write(ends[1], "a,b\n1,2\n", 8), 8);
    close(ends[1]);
    dup2(ends[0], STDIN_FILENO);
    close(ends[0]);
    struct reading reading = read_path("-");
    CU_ASSERT_EQUAL(reading.status, STATUS_OK);
    CU_ASSERT_EQUAL(reading.seen.n_rows, 1);
    end(&reading);
    dup2(kept, STDIN_FILENO);
    close(kept);
}

/* FNV-1a 64: offset basis for no bytes, af63dc4c8601ec8c for "a". Source: RFC 9923, test vectors. */
static void fingerprint(void)
{
    uint64_t print = READER_FINGERPRINT_START;
    struct seen seen = { 0 };
    struct problem_list problems = { 0 };
    struct dialect dialect = { 0 };
    struct row_receiver receiver = { .heading = take_heading, .row = take_row, .context = &seen, .fingerprint = &print, .rows_optional = true };
    CU_ASSERT_EQUAL(reader_run(temporary_text("in.csv", "a"), &dialect, &receiver, &problems), STATUS_OK);
    CU_ASSERT_EQUAL(print, UINT64_C(0xaf63dc4c8601ec8c));
    text_release(&seen.text);
    problem_list_release(&problems);
}

/* Each allocation failed in turn: STATUS_MEMORY or the full result, never a crash or a part. */
static void memory_failures(void)
{
    const char *path = temporary_text("in.csv", "a,b\n1,\"2\n3\"\n4,5\n");
    for (unsigned long n = 1; n < 60; n++) {
        struct problem_list problems = { 0 };
        struct dialect dialect = { 0 };
        struct seen seen = { 0 };
        struct row_receiver receiver = { .heading = take_heading, .row = take_row, .context = &seen };
        memory_fail_at(n, true);
        enum status status = reader_run(path, &dialect, &receiver, &problems);
        bool reached = memory_calls() >= n;
        memory_fail_at(0, false);
        CU_ASSERT(status == STATUS_MEMORY || (status == STATUS_OK && (seen.text.failed || !reached)));
        text_release(&seen.text);
        problem_list_release(&problems);
    }
}

int main(void)
{
    static const struct check_case cases[] = {
        { "empty files", empty_files },
        { "line ends", line_ends },
        { "comments", comments },
        { "encodings", encodings },
        { "separators", separators },
        { "decimal marks", decimal_marks },
        { "ragged rows", ragged_rows },
        { "bad rows are handed over whole", bad_rows_are_handed_over_whole },
        { "quoting", quoting },
        { "rows know their lines", rows_know_their_lines },
        { "caps", caps },
        { "long files", long_files },
        { "things that are no files", things_that_are_no_files },
        { "standard input", standard_input },
        { "fingerprint", fingerprint },
        { "memory failures", memory_failures },
    };
    if (!temporary_start())
        return 2;
    int result = check_run("reader", cases, sizeof cases / sizeof cases[0]);
    temporary_end();
    return result;
}
