#ifndef TESTS_FAULTS_JOURNAL_LEDGER_H
#define TESTS_FAULTS_JOURNAL_LEDGER_H

/* What the ill-treated journal must hold, and the audit against it. */
#include "base/memory.h"
#include "ingest/journal.h"
#include "ingest/journal_rows.h"

#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

#define HEADING "specimen,shape,length_mm,width_mm,height_mm,mass_g,break_load_kN,note"
enum { WRITERS = 2, ROWS_MOST = 400, RECORDS_MOST = 100000 };

static void need(bool good, const char *what)
{
    if (good)
        return;
    fprintf(stderr, "journal-kill: broken: %s\n", what);
    exit(1);
}

/* One number in, a scattered one out (splitmix64): row contents and moments are functions of their number. */
static uint64_t scatter(uint64_t x)
{
    x += 0x9E3779B97F4A7C15u;
    x = (x ^ (x >> 30)) * 0xBF58476D1CE4E5B9u;
    x = (x ^ (x >> 27)) * 0x94D049BB133111EBu;
    return x ^ (x >> 31);
}

static void row_text(unsigned writer, unsigned long record, unsigned long k, char out[160])
{
    uint64_t x = scatter(writer * 1000003u + record * 1009u + k);
    snprintf(out, 160, "W%u-R%lu-%lu,cube,100.%u,99.%u,100,%u,%u.%u,\"pale, dry; %016llx%016llx\"", writer, record, k,
             (unsigned)(x % 10), (unsigned)(x / 10 % 10), (unsigned)(1000 + x / 100 % 1400), (unsigned)(x % 400),
             (unsigned)(x / 7 % 10), (unsigned long long)x, (unsigned long long)scatter(x));
}

/* Records of very different sizes: only large writes tear. */
static unsigned long rows_of(unsigned writer, unsigned long record, unsigned long most)
{
    return 1 + scatter(writer * 7919u + record) % most;
}

static enum status append_record(const char *path, unsigned writer, unsigned long record, unsigned long n,
                                 struct journal_result *result)
{
    static char text[ROWS_MOST][160];
    static const char *rows[ROWS_MOST];
    for (unsigned long k = 0; k < n; k++) {
        row_text(writer, record, k + 1, text[k]);
        rows[k] = text[k];
    }
    struct journal_request request = { .path = path, .heading = HEADING, .rows = rows, .n_rows = n };
    struct problem problem;
    return journal_append(&request, result, &problem);
}

/* What the journal must hold. */
struct ledger {
    unsigned long most;                              /* rows a record, at most */
    unsigned long next[WRITERS];                     /* first number that is not taken */
    uint8_t told[WRITERS][RECORDS_MOST], seen[WRITERS][RECORDS_MOST];
    unsigned long n_told, n_rows_told, n_unasked, n_tails;
};

/* The line as the journal must hold it. */
static bool line_is(const char *line, unsigned writer, unsigned long record, struct journal_seal seal)
{
    struct text want = { 0 };
    char row[160];
    row_text(writer, record, seal.k, row);
    journal_row_add(&want, row, seal);
    need(!want.failed, "no memory");
    bool same = strncmp(line, want.bytes, want.length) == 0;
    text_release(&want);
    return same;
}

static const char *next_line(const char *line)
{
    const char *end = strchr(line, '\n');
    return end ? end + 1 : NULL;
}

/* Steps over one whole record; NULL when it is cut short by the end of the file. */
static const char *whole_record(struct ledger *ledger, const char *line)
{
    unsigned writer;
    unsigned long record;
    if (sscanf(line, "W%u-R%lu-", &writer, &record) != 2 || writer >= WRITERS || record >= RECORDS_MOST)
        return NULL;
    unsigned long n = rows_of(writer, record, ledger->most);
    for (unsigned long k = 1; k <= n; k++) {
        if (!next_line(line) || !line_is(line, writer, record, (struct journal_seal){ k, n }))
            return NULL;
        line = next_line(line);
    }
    need(!ledger->seen[writer][record], "a record stands twice");
    ledger->seen[writer][record] = 1;
    if (ledger->next[writer] <= record)
        ledger->next[writer] = record + 1; /* also one that stands but was not acknowledged in time */
    return line;
}

static char *load(const char *path)
{
    FILE *file = fopen(path, "rb");
    struct stat entry;
    if (!file || fstat(fileno(file), &entry) != 0)
        return memory_text("", 0);
    char *bytes = memory_new((size_t)entry.st_size + 1, 1);
    need(bytes && fread(bytes, 1, (size_t)entry.st_size, file) == (size_t)entry.st_size, "cannot read the journal");
    fclose(file);
    return bytes;
}

/* Every acknowledged record is there once and whole; nothing else but whole records, and at most one torn tail. */
static void audit(struct ledger *ledger, const char *path, bool tail_allowed)
{
    char *bytes = load(path);
    const char *line = bytes, *heading = HEADING ",row_check\n";
    memset(ledger->seen, 0, sizeof ledger->seen);
    if (strncmp(line, heading, strlen(heading)) == 0)
        line += strlen(heading);
    while (*line) {
        const char *next = whole_record(ledger, line);
        if (!next)
            break;
        line = next;
    }
    need(*line == '\0' || tail_allowed, "bytes that are no whole record");
    ledger->n_tails += *line != '\0';
    for (unsigned writer = 0; writer < WRITERS; writer++)
        for (unsigned long record = 0; record < RECORDS_MOST; record++) {
            need(ledger->seen[writer][record] || !ledger->told[writer][record], "an acknowledged record is gone");
            ledger->n_unasked += ledger->seen[writer][record] && !ledger->told[writer][record];
        }
    memory_free(bytes);
}

#endif
