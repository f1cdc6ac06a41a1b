/*
 * Ill-treats the journal and counts what is left.
 *
 *   journal-kill kill ROUNDS SEED    two writers killed at random moments, again and again
 *   journal-kill writers RECORDS     two writers at once, RECORDS of three rows each
 *   journal-kill limit               a limit on the size of files
 *   journal-kill full FOLDER         FOLDER is on a small file system
 *   journal-kill readonly            folder or file that may not be written
 *
 * Prints one line of counts; exit code 1 when a promise was broken.
 */
#include "journal-ledger.h"

#include <fcntl.h>
#include <signal.h>
#include <sys/resource.h>
#include <sys/syscall.h>
#include <sys/wait.h>
#include <unistd.h>

enum { ROUNDS_PER_JOURNAL = 20 };

/*
 * Stands before the C library's write: a write of more than a page may be the
 * last thing its process does, half done. Kills from outside seldom hit that
 * moment. 0: never; else the number of such writes still to go.
 */
static unsigned writes_to_tear;
static uint64_t tear_seed;

ssize_t write(int descriptor, const void *bytes, size_t length)
{
    if (length > 4096 && writes_to_tear > 0 && --writes_to_tear == 0) {
        syscall(SYS_write, descriptor, bytes, scatter(tear_seed) % length);
        kill(getpid(), SIGKILL);
    }
    return syscall(SYS_write, descriptor, bytes, length);
}

struct acknowledgement { uint32_t writer, record; };

/* Records until killed or done; tells each record only when the journal says so. */
static void write_records(const char *path, unsigned writer, unsigned long first, unsigned long count, unsigned long most,
                          int tell)
{
    for (unsigned long record = first; record < first + count; record++) {
        struct journal_result result;
        if (append_record(path, writer, record, rows_of(writer, record, most), &result) != STATUS_OK)
            _exit(2);
        struct acknowledgement told = { writer, (uint32_t)record };
        if (write(tell, &told, sizeof told) != sizeof told)
            _exit(3);
    }
    _exit(0);
}

static pid_t start_writer(const char *path, unsigned writer, unsigned long first, unsigned long count, unsigned long most,
                          int tell)
{
    pid_t child = fork();
    need(child >= 0, "cannot fork");
    if (child == 0)
        write_records(path, writer, first, count, most, tell);
    return child;
}

static void note(struct ledger *ledger, struct acknowledgement told)
{
    need(told.writer < WRITERS && told.record < RECORDS_MOST, "too many records");
    ledger->told[told.writer][told.record] = 1;
    ledger->n_told++;
    ledger->n_rows_told += rows_of(told.writer, told.record, ledger->most);
}

static void collect(struct ledger *ledger, int hear)
{
    struct acknowledgement told;
    while (read(hear, &told, sizeof told) == sizeof told)
        note(ledger, told);
}

/* One round: two writers, each killed at a moment of its own; in every third round one of them amid a write. */
static void kill_round(struct ledger *ledger, const char *path, uint64_t moment)
{
    int channel[2];
    pid_t child[WRITERS];
    need(pipe(channel) == 0 && fcntl(channel[0], F_SETFL, O_NONBLOCK) == 0, "cannot make a pipe");
    for (unsigned writer = 0; writer < WRITERS; writer++) {
        tear_seed = scatter(moment + 7 + writer);
        writes_to_tear = writer == 0 && moment % 3 == 0 ? 1 + (unsigned)(tear_seed % 4) : 0;
        child[writer] = start_writer(path, writer, ledger->next[writer], 1000, ledger->most, channel[1]);
    }
    writes_to_tear = 0;
    close(channel[1]);
    for (unsigned writer = 0; writer < WRITERS; writer++) {
        if (writer > 0 || moment % 3 != 0) { /* else it kills itself */
            usleep((useconds_t)(scatter(moment + writer) % 9000));
            kill(child[writer], SIGKILL);
        }
        int ended;
        need(waitpid(child[writer], &ended, 0) == child[writer] && WIFSIGNALED(ended), "a writer gave up");
    }
    collect(ledger, channel[0]);
    close(channel[0]);
}

/* Mends the tail as the next record does, and looks once more. */
static void finish_journal(struct ledger *ledger, const char *path)
{
    unsigned long record = ledger->next[0];
    struct journal_result result;
    need(append_record(path, 0, record, rows_of(0, record, ledger->most), &result) == STATUS_OK,
         "the next record fails");
    note(ledger, (struct acknowledgement){ 0, (uint32_t)record });
    audit(ledger, path, false);
}

static void forget_records(struct ledger *ledger)
{
    memset(ledger->told, 0, sizeof ledger->told);
    memset(ledger->next, 0, sizeof ledger->next);
}

static void run_kill(struct ledger *ledger, const char *folder, unsigned long rounds, uint64_t seed)
{
    char path[256], torn[300];
    ledger->most = ROWS_MOST;
    snprintf(path, sizeof path, "%s/journal.csv", folder);
    snprintf(torn, sizeof torn, "%s.torn", path);
    for (unsigned long round = 1; round <= rounds; round++) {
        kill_round(ledger, path, scatter(seed + round));
        audit(ledger, path, true);
        if (round % ROUNDS_PER_JOURNAL != 0 && round != rounds)
            continue;
        finish_journal(ledger, path);
        forget_records(ledger);
        unlink(path);
        unlink(torn);
    }
    need(ledger->n_told > rounds / 2 && (rounds < 30 || ledger->n_tails > 0), "too little happened to mean anything");
    printf("kill: %lu rounds, %lu records (%lu rows) acknowledged, %lu torn tails, 0 lost, 0 doubled, 0 damaged\n",
           rounds, ledger->n_told, ledger->n_rows_told, ledger->n_tails);
}

static void run_writers(struct ledger *ledger, const char *folder, unsigned long records)
{
    char path[256];
    int channel[2];
    pid_t child[WRITERS];
    ledger->most = 5;
    snprintf(path, sizeof path, "%s/journal.csv", folder);
    need(pipe(channel) == 0, "cannot make a pipe");
    for (unsigned writer = 0; writer < WRITERS; writer++)
        child[writer] = start_writer(path, writer, 1, records, ledger->most, channel[1]);
    close(channel[1]);
    collect(ledger, channel[0]);
    for (unsigned writer = 0; writer < WRITERS; writer++) {
        int ended;
        need(waitpid(child[writer], &ended, 0) == child[writer] && WIFEXITED(ended) && WEXITSTATUS(ended) == 0,
             "a writer gave up");
    }
    audit(ledger, path, false);
    need(ledger->n_told == WRITERS * records && ledger->n_unasked == 0, "not every record was acknowledged");
    printf("writers: 2 at once, %lu records (%lu rows), each there once\n", ledger->n_told, ledger->n_rows_told);
    unlink(path);
}

/* Records until the disk refuses; then nothing acknowledged is missing and nothing else is there. */
static void fill_disk(struct ledger *ledger, const char *path)
{
    struct journal_result result = { .outcome = JOURNAL_RECORDED };
    unsigned long record = 1;
    ledger->most = 40;
    while (record < 1000 && append_record(path, 0, record, rows_of(0, record, ledger->most), &result) == STATUS_OK)
        note(ledger, (struct acknowledgement){ 0, (uint32_t)record++ });
    need(record > 2 && record < 1000, "the disk never filled");
    need(result.outcome == JOURNAL_NOT_RECORDED, "a full disk leaves doubt");
    audit(ledger, path, false);
    need(ledger->n_unasked == 0, "a refused record is there");
}

/* Fills, makes room, goes on. */
static void run_limit(struct ledger *ledger, const char *folder)
{
    char path[256];
    struct rlimit limit, old;
    snprintf(path, sizeof path, "%s/journal.csv", folder);
    need(getrlimit(RLIMIT_FSIZE, &old) == 0, "cannot read the limit");
    limit = (struct rlimit){ .rlim_cur = 30000, .rlim_max = old.rlim_max };
    need(setrlimit(RLIMIT_FSIZE, &limit) == 0, "cannot set the limit");
    fill_disk(ledger, path);
    need(setrlimit(RLIMIT_FSIZE, &old) == 0, "cannot lift the limit");
    finish_journal(ledger, path);
    printf("limit: %lu records, one taken back whole before there was room\n", ledger->n_told);
    unlink(path);
}

static void save(const char *path, const char *bytes, size_t size, mode_t mode)
{
    FILE *file = fopen(path, "wb");
    need(file && fwrite(bytes, 1, size, file) == size && fclose(file) == 0 && chmod(path, mode) == 0,
         "cannot prepare a file");
}

static void run_full(struct ledger *ledger, const char *folder)
{
    static const char ballast[16384];
    char path[256], ballast_path[256];
    snprintf(path, sizeof path, "%s/journal.csv", folder);
    snprintf(ballast_path, sizeof ballast_path, "%s/ballast", folder);
    save(ballast_path, ballast, sizeof ballast, 0666);
    fill_disk(ledger, path);
    unlink(ballast_path);
    finish_journal(ledger, path);
    printf("full: %lu records, one taken back whole before there was room\n", ledger->n_told);
    unlink(path);
}

static void refuses(const char *folder, const char *name, const char *bytes)
{
    char path[256];
    struct journal_result result;
    snprintf(path, sizeof path, "%s/%s", folder, name);
    need(append_record(path, 0, 1, 3, &result) == STATUS_IO, "a record that cannot be written is not refused");
    need(result.outcome == JOURNAL_NOT_RECORDED, "a refused record leaves doubt");
    char *now = load(path);
    need(strcmp(now, bytes) == 0, "a refused record changed the file");
    memory_free(now);
}

/* Permissions do not bind root: the child becomes nobody. */
static int readonly_child(const char *folder, const char *whole, const char *torn)
{
    struct journal_result result;
    char path[256];
    if (geteuid() == 0 && (setgid(65534) != 0 || setuid(65534) != 0))
        return 2;
    refuses(folder, "new.csv", "");
    refuses(folder, "locked.csv", whole);
    refuses(folder, "torn.csv", torn); /* its tail cannot be set aside */
    snprintf(path, sizeof path, "%s/open.csv", folder);
    need(append_record(path, 0, 1, 3, &result) == STATUS_OK, "a writable journal in a locked folder is refused");
    return 0;
}

static void run_readonly(const char *folder)
{
    static const char *const names[] = { "new.csv", "locked.csv", "torn.csv", "open.csv" };
    const char *whole = HEADING ",row_check\n", *torn = HEADING ",row_check\nW0-R9-1,cu";
    char path[256];
    for (size_t i = 1; i < 4; i++) {
        snprintf(path, sizeof path, "%s/%s", folder, names[i]);
        save(path, i == 2 ? torn : whole, strlen(i == 2 ? torn : whole), i == 1 ? 0444 : 0666);
    }
    need(chmod(folder, 0555) == 0, "cannot lock the folder");
    fflush(stdout);
    pid_t child = fork();
    if (child == 0)
        _exit(readonly_child(folder, whole, torn));
    int ended;
    need(waitpid(child, &ended, 0) == child && WIFEXITED(ended) && WEXITSTATUS(ended) == 0, "read-only");
    need(chmod(folder, 0777) == 0, "cannot unlock the folder");
    for (size_t i = 0; i < 4; i++) {
        snprintf(path, sizeof path, "%s/%s", folder, names[i]);
        need((unlink(path) == 0) == (i > 0), "a refused record left a file");
    }
    printf("readonly: 3 refused with nothing changed, 1 recorded\n");
}

static int run_mode(struct ledger *ledger, int argc, char **argv, const char *folder)
{
    const char *mode = argv[1];
    if (strcmp(mode, "kill") == 0 && argc == 4)
        run_kill(ledger, folder, strtoul(argv[2], NULL, 10), strtoull(argv[3], NULL, 10));
    else if (strcmp(mode, "writers") == 0 && argc == 3)
        run_writers(ledger, folder, strtoul(argv[2], NULL, 10));
    else if (strcmp(mode, "limit") == 0 && argc == 2)
        run_limit(ledger, folder);
    else if (strcmp(mode, "full") == 0 && argc == 3)
        run_full(ledger, argv[2]);
    else if (strcmp(mode, "readonly") == 0 && argc == 2)
        run_readonly(folder);
    else
        return 2;
    return 0;
}

int main(int argc, char **argv)
{
    char folder[] = "/tmp/journal-kill-XXXXXX";
    struct ledger *ledger = memory_new(1, sizeof *ledger);
    signal(SIGXFSZ, SIG_IGN);
    signal(SIGPIPE, SIG_IGN);
    if (argc < 2 || !ledger || !mkdtemp(folder))
        return 2;
    int result = run_mode(ledger, argc, argv, folder);
    memory_free(ledger);
    rmdir(folder);
    return result;
}
