/* Long files are read in stretches by several threads: whatever stands in them, all is as when they are read a line at a time. */
#include "support/check.h"
#include "support/temporary.h"

#include "base/memory.h"
#include "base/text.h"
#include "ingest/reader.h"

#include <unistd.h>

#define DIGEST_LONGEST 64
#define COLUMNS 8

/* Cells joined by '|', rows by '/', each with its line; the same whichever way they come. */
struct seen {
    struct text text;
    size_t n_bad, n_in_stretches, stop_after; /* 0: read on */
    size_t n_rows, n_expected, n_before;      /* rows, and what was told of those to come when so many had come */
    bool crowded;                             /* there is no room for those expected */
};

static void add_row(struct seen *seen, const char *cells, size_t line, const char *raw, size_t raw_length)
{
    text_addf(&seen->text, "/%zu:%s<%.*s>", line, cells, (int)raw_length, raw);
    seen->n_rows++;
}

static void join_cells(const struct row *row, char *out, size_t size)
{
    size_t used = 0;
    out[0] = '\0';
    for (size_t i = 0; i < row->n_cells && used < size; i++)
        used += (size_t)snprintf(out + used, size - used, "%s|", row->cells[i].text);
}

static enum status take_heading(const struct row *row, const struct dialect *dialect, void *context)
{
    (void)row, (void)dialect, (void)context;
    return STATUS_OK;
}

static enum status stop(struct seen *seen)
{
    return seen->stop_after > 0 && --seen->stop_after == 0 ? STATUS_TOO_FEW : STATUS_OK;
}

static enum status take_row(const struct row *row, void *context)
{
    char cells[DIGEST_LONGEST];
    join_cells(row, cells, sizeof cells);
    add_row(context, cells, row->line, row->raw, row->raw_length);
    return stop(context);
}

static enum status take_bad(const struct row *row, const char *reason, void *context)
{
    struct seen *seen = context;
    seen->n_bad++;
    add_row(seen, reason, row->line, row->raw, row->raw_length);
    return STATUS_OK;
}

/* Rows of a stretch. The texts of the row above are kept by their addresses. */
struct block {
    size_t n;
    const char *above[COLUMNS];
    struct {
        char cells[DIGEST_LONGEST];
        const char *raw;
        size_t raw_length;
    } rows[STRETCH_ROWS_MOST];
};

static enum status expect_rows(size_t n_rows, void *context)
{
    struct seen *seen = context;
    seen->n_expected = n_rows;
    seen->n_before = seen->n_rows;
    return seen->crowded ? STATUS_MEMORY : STATUS_OK;
}

static void *open_block(void)
{
    return memory_new(1, sizeof(struct block));
}

static void begin_block(void *block)
{
    ((struct block *)block)->n = 0;
}

/* A row that holds 'ask' is one about which there is something to say. Cells as above are taken from the row above. */
static bool digest_row(const struct row *row, const void *context, void *into)
{
    struct block *block = into;
    struct cell cells[COLUMNS];
    struct row joined = *row;
    (void)context;
    if (row->n_cells > COLUMNS || block->n == STRETCH_ROWS_MOST)
        return false;
    for (size_t i = 0; i < row->n_cells; i++) {
        cells[i] = row->cells[i];
        if (cells[i].as_above && (block->n == 0 || cells[i].text != block->above[i]))
            return false;
        block->above[i] = cells[i].text;
    }
    joined.cells = cells;
    block->rows[block->n].raw = row->raw;
    block->rows[block->n].raw_length = row->raw_length;
    join_cells(&joined, block->rows[block->n].cells, DIGEST_LONGEST);
    return !strstr(block->rows[block->n++].cells, "ask");
}

/* Stops at rows that hold 'alone'. */
static enum status take_stretch(const struct row_stretch *stretch, size_t *from, void *context)
{
    const struct block *block = stretch->block;
    struct seen *seen = context;
    enum status status = STATUS_OK;
    CU_ASSERT_EQUAL(block->n, stretch->n_rows);
    for (; status == STATUS_OK && *from < stretch->n_rows && !strstr(block->rows[*from].cells, "alone"); ++*from) {
        add_row(seen, block->rows[*from].cells, stretch->first_line + *from, block->rows[*from].raw, block->rows[*from].raw_length);
        seen->n_in_stretches++;
        status = stop(seen);
    }
    return status;
}

static const struct row_digest digest = { expect_rows, open_block, memory_free, begin_block, digest_row, take_stretch };

struct reading {
    struct seen seen;
    struct problem_list problems;
    enum status status;
    uint64_t fingerprint;
};

static void read_path(struct reading *reading, const char *path, const struct row_digest *by, size_t stop_after, bool want_bad)
{
    struct dialect dialect = { 0 };
    *reading = (struct reading){ .seen.stop_after = stop_after, .fingerprint = READER_FINGERPRINT_START };
    struct row_receiver receiver = { .heading = take_heading, .row = take_row, .bad_row = want_bad ? take_bad : NULL, .digest = by,
                                     .context = &reading->seen, .fingerprint = &reading->fingerprint };
    reading->status = reader_run(path, &dialect, &receiver, &reading->problems);
}

static void end(struct reading *reading)
{
    text_release(&reading->seen.text);
    problem_list_release(&reading->problems);
}

static bool same_problems(const struct problem_list *a, const struct problem_list *b)
{
    bool same = a->n_items == b->n_items && a->n_errors == b->n_errors && a->n_notices == b->n_notices && a->worst == b->worst;
    for (size_t i = 0; same && i < a->n_items; i++)
        same = a->items[i].line == b->items[i].line && strcmp(a->items[i].text, b->items[i].text) == 0
            && strcmp(a->items[i].column, b->items[i].column) == 0;
    return same;
}

static bool same_text(const struct text *a, const struct text *b)
{
    return a->length == b->length && (a->length == 0 || memcmp(a->bytes, b->bytes, a->length) == 0);
}

/* Reads the bytes both ways and holds them against one another; returns how many rows came in stretches. */
static size_t check_same(const char *bytes, size_t length, size_t stop_after, bool want_bad)
{
    struct reading plain, long_file;
    const char *path = temporary_bytes("in.csv", bytes, length);
    read_path(&plain, path, NULL, stop_after, want_bad);
    read_path(&long_file, path, &digest, stop_after, want_bad);
    CU_ASSERT_EQUAL(plain.status, long_file.status);
    CU_ASSERT_TRUE(same_text(&plain.seen.text, &long_file.seen.text));
    CU_ASSERT_TRUE(same_problems(&plain.problems, &long_file.problems));
    CU_ASSERT_EQUAL(plain.seen.n_bad, long_file.seen.n_bad);
    CU_ASSERT(plain.status != STATUS_OK || plain.fingerprint == long_file.fingerprint); /* how far a reading went that is broken off is open */
    size_t n = long_file.seen.n_in_stretches;
    end(&plain);
    end(&long_file);
    return n;
}

static unsigned draw(unsigned *state, unsigned below)
{
    *state = *state * 1664525u + 1013904223u; /* Numerical Recipes' quick generator will do here */
    return (*state >> 8) % below;
}

/* What may stand between good rows. The last four end the reading. */
static const char *const odd_lines[] = {
    "\n", "  \t\n", "# a comment\n", "# a,comment,like a row\n", ",,\n", " , ,\n", "\"q\",2,3\n", "\"two\nlines\",2,3\n", "1,\"a \"\"b\"\"\",3\n",
    "ask,2,3\n", "alone,2,3\n", "alone\t, 2 ,\n", "1,2\n", "1,2,3,4\n", "1;2;3\n", "crlf,2,3\r\n", "crs,2,3\r\r\n", "gr\xC3\xB6\xC3\x9F" "e,2,3\n", "bad \xC3(,2,3\n",
    "mark \xEF\xBB\xBF,2,3\n", "nul \0,2,3\n", "ctrl-z \x1A,2,3\n", "a\rb,2,3\n", "  padded\t,\t2  , 3\n",
    "open \" quote,2,3\n", "\"closed\" early,2,3\n", "\"never closed,2,3\n", "\"\n",
};
#define N_ODD (sizeof odd_lines / sizeof *odd_lines)
#define N_FATAL 4

static size_t odd_length(size_t i)
{
    return strncmp(odd_lines[i], "nul", 3) == 0 ? sizeof "nul \0,2,3\n" - 1 : strlen(odd_lines[i]);
}

/* A file of so many bytes at least; one line in `rarity` is odd, the last one too if `fatal`. */
static struct text random_file(unsigned *state, size_t length, unsigned rarity, bool fatal)
{
    struct text text = { 0 };
    text_add(&text, "name,number,more\n");
    for (unsigned row = 0; text.length < length; row++) {
        size_t odd = draw(state, (unsigned)(N_ODD - N_FATAL));
        if (rarity > 0 && draw(state, rarity) == 0)
            text_add_bytes(&text, odd_lines[odd], odd_length(odd));
        else
            text_addf(&text, "S%u,%u.%u,%.*s\n", row, draw(state, 900), draw(state, 100), (int)draw(state, 12), "some more text");
    }
    if (fatal)
        text_add(&text, odd_lines[N_ODD - 1 - draw(state, N_FATAL)]);
    for (unsigned row = 0; fatal && row < 10000; row++)
        text_addf(&text, "T%u,1,2\n", row);
    return text;
}

static bool has_workers(void)
{
    return sysconf(_SC_NPROCESSORS_ONLN) > 1;
}

static void clean_files(void)
{
    unsigned state = 1;
    for (unsigned k = 0; k < 6; k++) {
        struct text text = random_file(&state, 300000 + draw(&state, 500000), 0, false);
        size_t in_stretches = check_same(text.bytes, text.length, 0, false);
        CU_ASSERT(!has_workers() || in_stretches > 1000);
        check_same(text.bytes, text.length - 1, 0, false); /* no end of line at the end */
        check_same(text.bytes, text.length, 10000 + draw(&state, 2000), false);
        text_release(&text);
    }
}

/* Odd lines of all kinds, rare and frequent. */
static void odd_files(void)
{
    unsigned state = 2;
    static const unsigned rarities[] = { 20, 500, 5000, 30000 };
    for (unsigned k = 0; k < 12; k++) {
        struct text text = random_file(&state, 400000 + draw(&state, 300000), rarities[k % 4], k % 3 == 0);
        size_t in_stretches = check_same(text.bytes, text.length, 0, true);
        CU_ASSERT(!has_workers() || rarities[k % 4] < 5000 || in_stretches > 1000);
        check_same(text.bytes, text.length, 0, false);
        text_release(&text);
    }
}

/* Rows that the receiver leaves to be given by themselves, between others that it takes. */
static void rows_alone(void)
{
    struct text text = { 0 };
    text_add(&text, "name,number,more\n");
    for (unsigned row = 0; row < 40000; row++)
        text_addf(&text, row % 400 < 2 ? "alone %u,2,%u\n" : "S%u,2,%u\n", row, row / 3);
    size_t in_stretches = check_same(text.bytes, text.length, 0, false);
    CU_ASSERT(!has_workers() || (in_stretches > 20000 && in_stretches <= 40000 - 200));
    check_same(text.bytes, text.length, 20000, false);
    text_release(&text);
}

/* Lines longer than a stretch, cells longer than a cell may be, rows longer than a row may be. */
static void long_lines(void)
{
    static const size_t lengths[] = { 65530, 65535, 65536, 65537, 70000, 131073, 400000, 1048570, 1048577, 1400000 };
    unsigned state = 3;
    for (size_t i = 0; i < sizeof lengths / sizeof *lengths; i++)
        for (int quoted = 0; quoted < 2; quoted++) {
            struct text text = random_file(&state, 300000 + draw(&state, 100000), 0, false);
            text_add(&text, quoted ? "\"" : "");
            for (size_t k = 0; k < lengths[i]; k++)
                text_add_bytes(&text, k % 50 == 49 ? "," : "x", 1);
            text_add(&text, quoted ? "\",2,3\n" : "\n");
            for (unsigned row = 0; row < 9000; row++)
                text_addf(&text, "T%u,1,2\n", row);
            check_same(text.bytes, text.length, 0, true);
            text_release(&text);
        }
}

/* The other separators, with a decimal comma. */
static void other_separators(void)
{
    struct text text = { 0 };
    text_add(&text, "name;number;more\n");
    for (unsigned row = 0; row < 60000; row++)
        text_addf(&text, "S%u;%u,5;x\r\n", row, row % 90);
    size_t in_stretches = check_same(text.bytes, text.length, 0, false);
    CU_ASSERT(!has_workers() || in_stretches > 40000);
    text_release(&text);
}

/* So many short rows that a block has no room for those of a stretch. */
static void short_rows(void)
{
    struct text text = { 0 };
    text_add(&text, "a,b\n");
    for (unsigned row = 0; row < 200000; row++)
        text_addf(&text, "%u,2\n", row % 10);
    CU_ASSERT(check_same(text.bytes, text.length, 0, false) <= 8192); /* the last stretch may be short */
    text_release(&text);
}

/* A file tells about how many rows are to come; with no room for them nothing more is read. */
static void rows_expected(void)
{
    unsigned state = 5;
    struct problem_list problems = { 0 };
    struct text text = random_file(&state, 3000000, 0, false);
    const char *path = temporary_bytes("in.csv", text.bytes, text.length);
    struct reading reading;
    read_path(&reading, path, &digest, 0, false);
    const size_t n_to_come = reading.seen.n_rows - reading.seen.n_before;
    CU_ASSERT(reading.seen.n_before > 0 && n_to_come > 100000);
    CU_ASSERT(reading.seen.n_expected > n_to_come && reading.seen.n_expected < n_to_come + n_to_come / 8); /* the first names are shorter */
    end(&reading);

    struct dialect dialect = { 0 };
    struct seen crowded = { .crowded = true };
    struct row_receiver receiver = { .heading = take_heading, .row = take_row, .digest = &digest, .context = &crowded };
    CU_ASSERT_EQUAL(reader_run(path, &dialect, &receiver, &problems), STATUS_MEMORY);
    CU_ASSERT_EQUAL(crowded.n_rows, crowded.n_before);
    text_release(&crowded.text);
    problem_list_release(&problems);
    text_release(&text);
}

/* Each allocation failing: the memory is said to be out, or all was read all the same. */
static void memory_failures(void)
{
    unsigned state = 4;
    struct text text = random_file(&state, 600000, 0, false);
    const char *path = temporary_bytes("in.csv", text.bytes, text.length);
    struct reading whole, cut;
    read_path(&whole, path, &digest, 0, false);
    for (unsigned long n = 1; n <= 40; n++) {
        memory_fail_at(n, n % 2 == 0);
        read_path(&cut, path, &digest, 0, false);
        bool ran_out = memory_ran_out();
        memory_fail_at(0, false);
        CU_ASSERT(cut.status == STATUS_MEMORY || cut.seen.text.failed || (cut.status == STATUS_OK && same_text(&cut.seen.text, &whole.seen.text)));
        CU_ASSERT(ran_out || cut.status == STATUS_OK);
        end(&cut);
    }
    end(&whole);
    text_release(&text);
}

int main(void)
{
    static const struct check_case cases[] = {
        { "clean files", clean_files }, { "odd files", odd_files }, { "rows alone", rows_alone }, { "long lines", long_lines },
        { "other separators", other_separators }, { "short rows", short_rows }, { "memory failures", memory_failures },
        { "rows expected", rows_expected },
    };
    if (!temporary_start())
        return 2;
    int result = check_run("stretches", cases, sizeof cases / sizeof *cases);
    temporary_end();
    return result;
}
