#include "journal_files.h"

#include "base/memory.h"

#include <errno.h>
#include <sys/file.h>
#include <sys/wait.h>

#define SEALED_HEADING TEST_HEADING ",row_check\n"

static const char *const rows[] = {
    "S-01,cube,100,2405", "S-02,cube,100,2398", "S-03,cube,100,", "S-04,beam,400,\"9,100\"", "S-05,cube,99.8,2390",
    "S-06,cube,100.1,2401",
};
static const size_t record_start[] = { 0, 1, 4, 6 }; /* records of 1, 3 and 2 rows */
enum { N_RECORDS = 3, N_ROWS = 6 };

/* Three records; ends[i] is the size of the journal after i of them (0: the heading alone). */
static void fill(struct shelf *shelf, size_t ends[N_RECORDS + 1])
{
    struct journal_result result;
    struct problem problem;
    ends[0] = strlen(SEALED_HEADING);
    for (size_t i = 0; i < N_RECORDS; i++) {
        size_t n = record_start[i + 1] - record_start[i];
        CU_ASSERT_EQUAL(append_rows(shelf, rows + record_start[i], n, &result, &problem), STATUS_OK);
        shelf_read(shelf);
        ends[i + 1] = shelf->size;
    }
}

/* Each row of the first n_records is there once, the others are not, and the new row is last. */
static void check_rows(const struct shelf *shelf, size_t n_records, const char *last)
{
    for (size_t i = 0; i < N_ROWS; i++)
        CU_ASSERT_EQUAL(times(shelf->content, rows[i]), i < record_start[n_records]);
    CU_ASSERT_EQUAL(times(shelf->content, SEALED_HEADING), 1);
    CU_ASSERT_EQUAL(times(shelf->content, "\n"), record_start[n_records] + 2);
    CU_ASSERT_EQUAL(times(shelf->content, last), 1);
    CU_ASSERT_EQUAL(shelf->content[shelf->size - 1], '\n');
}

/*
 * A writer that dies leaves the file cut anywhere. Every cut: what was whole
 * stays, the rest goes to .torn byte by byte, the next record follows.
 */
static void test_every_cut(void)
{
    struct shelf shelf;
    struct journal_result result;
    struct problem problem;
    size_t ends[N_RECORDS + 1];
    static char full[sizeof shelf.content];
    shelf_open(&shelf);
    fill(&shelf, ends);
    memcpy(full, shelf.content, shelf.size);
    for (size_t cut = 0; cut <= ends[N_RECORDS]; cut++) {
        size_t whole = 0, line_end_only = 0, kept = 0;
        for (size_t i = 0; i <= N_RECORDS; i++)
            if (cut + 1 >= ends[i]) { /* one byte less: only the line end is missing */
                whole = i;
                kept = ends[i];
                line_end_only = cut + 1 == ends[i];
            }
        shelf_write(shelf.path, full, cut);
        unlink(shelf.torn);
        CU_ASSERT_EQUAL(append_one(&shelf, "S-99,cube,100,1", &result, &problem), STATUS_OK);
        shelf_read(&shelf);
        check_rows(&shelf, whole, "S-99,cube,100,1,1/1-");
        size_t torn = line_end_only ? 0 : cut - kept;
        CU_ASSERT_EQUAL(result.torn_bytes, torn);
        CU_ASSERT_EQUAL(exists(shelf.torn), torn > 0);
        const char *moved = torn > 0 ? strchr(shelf.torn_content, '\n') : NULL;
        CU_ASSERT(torn == 0 || (moved && memcmp(moved + 1, full + kept, torn) == 0 && moved[torn + 1] == '\n'));
    }
    shelf_close(&shelf);
}

/* After a power cut a file system may show zeros where data never arrived. */
static void test_holes(void)
{
    struct shelf shelf;
    struct journal_result result;
    struct problem problem;
    size_t ends[N_RECORDS + 1];
    shelf_open(&shelf);
    fill(&shelf, ends);
    memset(shelf.content + ends[2] + 5, 0, ends[3] - ends[2] - 5);
    shelf_write(shelf.path, shelf.content, ends[3]);
    CU_ASSERT_EQUAL(append_one(&shelf, "S-99,cube,100,1", &result, &problem), STATUS_OK);
    CU_ASSERT_EQUAL(result.torn_bytes, ends[3] - ends[2]);
    CU_ASSERT_EQUAL(result.n_changed, 0);
    shelf_read(&shelf);
    check_rows(&shelf, 2, "S-99,cube,100,1,1/1-");
    memset(shelf.content + ends[1] + 5, 0, 3); /* amid whole records: told, not moved */
    shelf_write(shelf.path, shelf.content, shelf.size);
    CU_ASSERT_EQUAL(append_one(&shelf, "S-98,cube,100,1", &result, &problem), STATUS_OK);
    CU_ASSERT(result.torn_bytes == 0 && result.n_changed == 1 && result.first_changed_line == 3);
    shelf_write(shelf.path, shelf.content, ends[2] - 5); /* a hole in a torn record goes with it */
    CU_ASSERT_EQUAL(append_one(&shelf, "S-97,cube,100,1", &result, &problem), STATUS_OK);
    CU_ASSERT_EQUAL(result.torn_bytes, ends[2] - 5 - ends[1]);
    shelf_close(&shelf);
}

/* The state a fault starts from: no file, whole records, or a torn tail. */
static void prepare(struct shelf *shelf, int state, const char *full, const size_t *ends)
{
    unlink(shelf->path);
    unlink(shelf->torn);
    if (state > 0)
        shelf_write(shelf->path, full, state == 1 ? ends[1] : ends[2] - 9);
}

/* After a failure the acknowledged row is there, the refused one not, and nothing bars the next. */
static void check_after_fault(struct shelf *shelf, int state, enum status status, const struct journal_result *result)
{
    struct journal_result next;
    struct problem problem;
    const char *refused = "S-50,cube,100,1,1/1-";
    shelf_read(shelf);
    CU_ASSERT_EQUAL(times(shelf->content, rows[0]), state > 0);
    if (status == STATUS_OK)
        CU_ASSERT(result->outcome == JOURNAL_RECORDED && times(shelf->content, refused) == 1);
    if (result->outcome == JOURNAL_NOT_RECORDED)
        CU_ASSERT_EQUAL(times(shelf->content, refused), 0);
    size_t there = times(shelf->content, refused);
    CU_ASSERT_EQUAL(append_one(shelf, "S-51,cube,100,1", &next, &problem), STATUS_OK);
    shelf_read(shelf);
    CU_ASSERT_EQUAL(times(shelf->content, rows[0]), state > 0);
    CU_ASSERT_EQUAL(times(shelf->content, rows[1]), 0);
    CU_ASSERT_EQUAL(times(shelf->content, refused), there);
    CU_ASSERT_EQUAL(times(shelf->content, "S-51,cube,100,1,1/1-"), 1);
    CU_ASSERT(state < 2 || times(shelf->torn_content, rows[1]) >= 1);
}

/* Fails write or sync number n with this error until an append needs fewer calls; the number of failures seen. */
static unsigned fail_each_call(struct shelf *shelf, int state, bool sticky, const char *full, const size_t *ends)
{
    unsigned failures = 0;
    for (unsigned long n = 1;; n++) {
        struct journal_result result;
        struct problem problem = { 0 };
        prepare(shelf, state, full, ends);
        file_fail_at(n, sticky, sticky ? EIO : ENOSPC);
        enum status status = append_one(shelf, "S-50,cube,100,1", &result, &problem);
        bool reached = file_calls() >= n;
        file_fail_at(0, false, 0);
        if (reached) {
            failures++;
            CU_ASSERT_EQUAL(status, STATUS_IO);
            CU_ASSERT(problem.text[0] != '\0' && result.outcome != JOURNAL_RECORDED);
            CU_ASSERT(sticky || result.outcome == JOURNAL_NOT_RECORDED);
        }
        check_after_fault(shelf, state, status, &result);
        if (!reached)
            return failures;
    }
}

static void test_disk_faults(void)
{
    struct shelf shelf;
    size_t ends[N_RECORDS + 1];
    static char full[sizeof shelf.content];
    shelf_open(&shelf);
    fill(&shelf, ends);
    memcpy(full, shelf.content, shelf.size);
    for (int state = 0; state < 3; state++)
        for (int sticky = 0; sticky < 2; sticky++) {
            unsigned failures = fail_each_call(&shelf, state, sticky, full, ends);
            CU_ASSERT_EQUAL(failures, state == 2 ? 9 : 3); /* write, sync, folder; for the tail 3 writes and 3 syncs more */
        }
    shelf_close(&shelf);
}

/* An interrupted write is no failure. */
static void test_interrupted_write(void)
{
    struct shelf shelf;
    struct journal_result result;
    struct problem problem;
    shelf_open(&shelf);
    for (unsigned long n = 1; n <= 3; n++) {
        file_fail_at(n, false, EINTR);
        CU_ASSERT_EQUAL(append_one(&shelf, rows[n - 1], &result, &problem), STATUS_OK);
    }
    file_fail_at(0, false, 0);
    shelf_read(&shelf);
    CU_ASSERT_EQUAL(times(shelf.content, "\n"), 4);
    shelf_close(&shelf);
}

static void test_memory_faults(void)
{
    struct shelf shelf;
    size_t ends[N_RECORDS + 1];
    bool reached = true;
    shelf_open(&shelf);
    fill(&shelf, ends);
    static char full[sizeof shelf.content];
    memcpy(full, shelf.content, shelf.size);
    for (unsigned long n = 1; reached; n++) {
        struct journal_result result;
        struct problem problem = { 0 };
        prepare(&shelf, 2, full, ends);
        memory_fail_at(n, true);
        enum status status = append_one(&shelf, "S-50,cube,100,1", &result, &problem);
        reached = memory_calls() >= n;
        memory_fail_at(0, false);
        if (reached)
            CU_ASSERT(status == STATUS_MEMORY || status == STATUS_IO);
        check_after_fault(&shelf, 2, status, &result);
    }
    shelf_close(&shelf);
}

/* A writer that waits for the lock while a program replaces the file must not write into the old one. */
static void test_replaced_while_waiting(void)
{
    struct shelf shelf;
    struct journal_result result;
    struct problem problem;
    size_t ends[N_RECORDS + 1];
    char replacement[128];
    int ready[2];
    shelf_open(&shelf);
    fill(&shelf, ends);
    snprintf(replacement, sizeof replacement, "%s/saved.csv", shelf.folder);
    shelf_write(replacement, shelf.content, ends[1]);
    CU_ASSERT_EQUAL_FATAL(pipe(ready), 0);
    pid_t child = fork();
    if (child == 0) {
        FILE *file = fopen(shelf.path, "r");
        bool good = file && flock(fileno(file), LOCK_EX) == 0 && write(ready[1], "x", 1) == 1;
        usleep(100000);
        _exit(good && rename(replacement, shelf.path) == 0 ? 0 : 1);
    }
    char byte;
    CU_ASSERT_EQUAL(read(ready[0], &byte, 1), 1);
    CU_ASSERT_EQUAL(append_one(&shelf, "S-99,cube,100,1", &result, &problem), STATUS_OK);
    int ended;
    CU_ASSERT(waitpid(child, &ended, 0) == child && WIFEXITED(ended) && WEXITSTATUS(ended) == 0);
    shelf_read(&shelf);
    check_rows(&shelf, 1, "S-99,cube,100,1,1/1-");
    close(ready[0]);
    close(ready[1]);
    shelf_close(&shelf);
}

int main(void)
{
    static const struct check_case cases[] = {
        { "the file cut at every byte", test_every_cut },
        { "zeros where data never arrived", test_holes },
        { "each write and sync failing", test_disk_faults },
        { "interrupted writes", test_interrupted_write },
        { "each allocation failing", test_memory_faults },
        { "the file replaced while we wait", test_replaced_while_waiting },
    };
    return check_run("journal faults", cases, sizeof cases / sizeof cases[0]);
}
