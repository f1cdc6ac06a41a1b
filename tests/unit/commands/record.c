/*
 * `record` with its Nth allocation, write or sync failing, in each of its three ways: what was acknowledged stands in the
 * journal once, what was refused does not stand there, and the rows of before are as they were.
 */
#include "support/check.h"
#include "support/temporary.h"

#include "base/file.h"
#include "base/memory.h"
#include "commands/command.h"

#include <errno.h>
#include <fcntl.h>

static char before[4096], after[65536];

/* Runs a command line with standard input from a file; the status as main would see it. */
static enum status run_words(const char *const *words, const char *input, bool *acknowledged)
{
    char *argv[24];
    int argc = 0, kept_input = dup(STDIN_FILENO), kept_talk = dup(STDERR_FILENO);
    int from = open(input, O_RDONLY), nowhere = open("/dev/null", O_WRONLY);
    struct problem problem;
    for (; words[argc]; argc++)
        argv[argc] = (char *)words[argc];
    struct run run = {.argc = argc - 1, .argv = argv + 1};
    CU_ASSERT_FATAL(dup2(from, STDIN_FILENO) >= 0 && dup2(nowhere, STDERR_FILENO) >= 0);
    enum status status = command_find(argv[0], &problem)->run(&run);
    CU_ASSERT_FATAL(dup2(kept_input, STDIN_FILENO) >= 0 && dup2(kept_talk, STDERR_FILENO) >= 0);
    int opened[] = {from, nowhere, kept_input, kept_talk};
    for (size_t i = 0; i < 4; i++)
        close(opened[i]);
    *acknowledged = !run.out.failed && run.out.bytes && strstr(run.out.bytes, "recorded ") && !strstr(run.out.bytes, "nothing");
    if (run.out.failed)
        status = STATUS_MEMORY;
    CU_ASSERT(status == STATUS_OK || run.problems.n_errors > 0 || status == STATUS_MEMORY);
    text_release(&run.out);
    problem_list_release(&run.problems);
    return status;
}

static size_t count(const char *text, const char *words)
{
    size_t n = 0;
    for (; (text = strstr(text, words)) != NULL; text++)
        n++;
    return n;
}

struct way {
    const char *name, *input;
    const char *words[8];
};

static char journal[320], rows[320], answers[320], nothing[320];

static void keep(char out[320], const char *path)
{
    snprintf(out, 320, "%s", path);
}

static void prepare(void)
{
    bool acknowledged;
    keep(journal, temporary_path("journal.csv"));
    keep(nothing, temporary_text("nothing", ""));
    keep(rows, temporary_text("rows.csv", "specimen,shape,length_mm,mass_g\nN1,cube,100,1700\nN2,cube,100,1710\n"));
    keep(answers, temporary_text("answers", "N1\n\n\n\n\ncube\n100mm\n\n\n\n\n1.7kg\n\n\n\n\n\n\ny\nn\n"));
    unlink(journal);
    const char *const words[] = {"record", journal, "specimen=A1", "shape=cube", "length=100mm", "mass=1.71kg", NULL};
    CU_ASSERT_EQUAL_FATAL(run_words(words, nothing, &acknowledged), STATUS_OK);
    temporary_read(journal, before, sizeof before);
}

static struct way make_way(int number)
{
    if (number == 0)
        return (struct way){"values", nothing, {"record", journal, "specimen=N1", "shape=cube", "length=100mm", "mass=1.7kg", NULL}};
    if (number == 1)
        return (struct way){"file", nothing, {"record", journal, "--from", rows, NULL}};
    return (struct way){"answers", answers, {"record", journal, "--ask", NULL}};
}

/* What stands in the journal must be what was told of it. */
static void audit(const struct way *way, enum status status, bool acknowledged, bool unsure_allowed)
{
    temporary_read(journal, after, sizeof after);
    size_t n = count(after, "\nN1,");
    CU_ASSERT_EQUAL(strncmp(after, before, strlen(before)), 0);
    CU_ASSERT(n <= 1);
    if (acknowledged && n != 1)
        fprintf(stderr, "%s: acknowledged and not there\n", way->name);
    CU_ASSERT(!acknowledged || n == 1);
    CU_ASSERT(status == STATUS_OK || n == 0 || unsure_allowed);
    temporary_text("journal.csv", before);
}

static void each_way_works(void)
{
    prepare();
    for (int i = 0; i < 3; i++) {
        struct way way = make_way(i);
        bool acknowledged;
        enum status status = run_words(way.words, way.input, &acknowledged);
        CU_ASSERT_EQUAL(status, STATUS_OK);
        CU_ASSERT_TRUE(acknowledged);
        audit(&way, status, acknowledged, false);
    }
}

static void no_memory(void)
{
    prepare();
    for (int i = 0; i < 3; i++) {
        struct way way = make_way(i);
        bool acknowledged, failed;
        unsigned long n = 0;
        do {
            n++;
            memory_fail_at(n, n % 2 == 0);
            enum status status = run_words(way.words, way.input, &acknowledged);
            failed = memory_calls() >= n;
            memory_fail_at(0, false);
            CU_ASSERT(status == STATUS_MEMORY || status == STATUS_OK);
            audit(&way, status, acknowledged, i == 2); /* the last word of a talk may fail behind a record that was told */
        } while (failed && n < 5000);
        CU_ASSERT(n > 20 && n < 5000);
    }
}

static void no_disk(void)
{
    prepare();
    for (int i = 0; i < 3; i++) {
        struct way way = make_way(i);
        bool acknowledged, failed;
        unsigned long n = 0;
        do {
            n++;
            file_fail_at(n, n % 2 == 0, ENOSPC);
            enum status status = run_words(way.words, way.input, &acknowledged);
            failed = file_calls() >= n;
            file_fail_at(0, false, 0);
            CU_ASSERT(status == STATUS_IO || status == STATUS_OK);
            audit(&way, status, acknowledged, true); /* "perhaps recorded" is said when taking rows back failed too */
        } while (failed && n < 500);
        CU_ASSERT(n > 3 && n < 500);
    }
}

/* The drying table needs memory of its own. */
static void weighings_without_memory(void)
{
    char specimens[320], weighings[320];
    keep(specimens, temporary_text("specimens.csv", "specimen,shape,length_mm,mass_g,moisture\nA,cube,100,1502,oven-dry\n"));
    keep(weighings, temporary_text("weighings.csv", "specimen,hours,mass_g\nA,0,1712\nA,12,1621\nA,24,1570\nA,48,1523\nA,72,1508\n"));
    const char *const ways[][6] = {{"results", "--json", "--weighings", weighings, specimens, NULL},
                                   {"check", "--weighings", weighings, specimens, NULL}};
    for (size_t i = 0; i < 2; i++) {
        bool acknowledged, failed;
        unsigned long n = 0;
        do {
            n++;
            memory_fail_at(n, n % 2 == 0);
            enum status status = run_words(ways[i], nothing, &acknowledged);
            failed = memory_calls() >= n;
            memory_fail_at(0, false);
            CU_ASSERT(status == STATUS_MEMORY || status == STATUS_OK);
            if (status != STATUS_MEMORY && status != STATUS_OK)
                fprintf(stderr, "%s: allocation %lu: status %d\n", ways[i][0], n, (int)status);
        } while (failed && n < 5000);
        CU_ASSERT(n > 50 && n < 5000);
    }
}

int main(void)
{
    static const struct check_case cases[] = {
        {"each way works", each_way_works}, {"no memory", no_memory}, {"no disk", no_disk},
        {"weighings without memory", weighings_without_memory},
    };
    if (!temporary_start())
        return 1;
    int failed = check_run("record", cases, sizeof cases / sizeof cases[0]);
    temporary_end();
    return failed;
}
