/*
 * A library to preload: makes one call of the program fail, or all from it on.
 * Memory (malloc, calloc, realloc, also of the libraries that the program
 * links with) and calls to the system are counted apart. At the end it writes
 * what it saw to FAIL_REPORT. What the environment says:
 *
 *   FAIL_KIND    memory or system
 *   FAIL_AT      number of the call that fails, from 1; 0: none
 *   FAIL_HOW     once, always (all from FAIL_AT on), interrupt (EINTR), short (half of a read or write)
 *   FAIL_REPORT  file to write to
 *   FAIL_LIST    file that gets the number of each allocation that is reached in a new way, with a hash of the way
 *
 * Children of the program do not inherit it.
 */
#define _GNU_SOURCE
#include <dlfcn.h>
#include <errno.h>
#include <execinfo.h>
#include <fcntl.h>
#include <poll.h>
#include <pthread.h>
#include <spawn.h>
#include <stdarg.h>
#include <stdatomic.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <sys/syscall.h>
#include <unistd.h>

extern void *__libc_malloc(size_t size);
extern void *__libc_calloc(size_t count, size_t size);
extern void *__libc_realloc(void *block, size_t size);
extern void __libc_free(void *block);

enum how { ONCE, ALWAYS, INTERRUPT, SHORT };
enum { WAYS = 1 << 16, FRAMES = 14 };

static bool active, fail_memory;
static unsigned long fail_at;
static enum how how;
static atomic_ulong memory_calls, system_calls;
static atomic_long live_blocks;
static const char *failed_call = "none";
static int failed_descriptor = -1, list = -1;
static char report_path[512];
static uint64_t ways[WAYS]; /* hashes of the ways to an allocation */
static pthread_mutex_t ways_lock = PTHREAD_MUTEX_INITIALIZER;
static __thread bool inside;

static void write_line(int descriptor, const char *format, ...)
{
    char line[256];
    va_list arguments;
    va_start(arguments, format);
    int length = vsnprintf(line, sizeof line, format, arguments);
    va_end(arguments);
    syscall(SYS_write, descriptor, line, (size_t)length);
}

/* How the program came here, as a hash of its return addresses. */
static uint64_t way_here(void)
{
    void *frames[FRAMES];
    uint64_t hash = UINT64_C(14695981039346656037);
    int n = backtrace(frames, FRAMES);
    for (int i = 2; i < n; i++)
        hash = (hash ^ (uint64_t)(uintptr_t)frames[i]) * UINT64_C(1099511628211);
    return hash | 1;
}

static void list_way(unsigned long number)
{
    uint64_t way = way_here();
    pthread_mutex_lock(&ways_lock);
    size_t slot = way % WAYS, tried = 0;
    for (; ways[slot] != 0 && ways[slot] != way && tried < WAYS; tried++)
        slot = (slot + 1) % WAYS;
    bool fresh = ways[slot] == 0;
    if (fresh)
        ways[slot] = way;
    pthread_mutex_unlock(&ways_lock);
    if (fresh)
        write_line(list, "%lu %016llx\n", number, (unsigned long long)way);
}

static bool memory_fails(void)
{
    if (!active || inside)
        return false;
    unsigned long now = atomic_fetch_add(&memory_calls, 1) + 1;
    if (list >= 0) {
        inside = true;
        list_way(now);
        inside = false;
    }
    if (!fail_memory || fail_at == 0 || now < fail_at || (now > fail_at && how != ALWAYS))
        return false;
    if (now == fail_at)
        failed_call = "memory";
    errno = ENOMEM;
    return true;
}

static void *counted(void *block)
{
    if (block && active && !inside)
        atomic_fetch_add(&live_blocks, 1);
    return block;
}

void *malloc(size_t size)
{
    return memory_fails() ? NULL : counted(__libc_malloc(size));
}

void *calloc(size_t count, size_t size)
{
    return memory_fails() ? NULL : counted(__libc_calloc(count, size));
}

void *realloc(void *block, size_t size)
{
    if (memory_fails())
        return NULL;
    return block ? __libc_realloc(block, size) : counted(__libc_realloc(block, size));
}

void free(void *block)
{
    if (block && active && !inside)
        atomic_fetch_sub(&live_blocks, 1);
    __libc_free(block);
}

/* Whether this call to the system fails. An interrupt or a short piece only befalls calls that know them. */
static bool system_fails(const char *call, int descriptor, int error, bool knows_interrupt)
{
    if (!active || inside)
        return false;
    unsigned long now = atomic_fetch_add(&system_calls, 1) + 1;
    if (fail_memory || fail_at == 0 || now < fail_at || (now > fail_at && how != ALWAYS))
        return false;
    if (how == SHORT || (how == INTERRUPT && !knows_interrupt))
        return false;
    if (now == fail_at) {
        failed_call = call;
        failed_descriptor = descriptor;
    }
    errno = how == INTERRUPT ? EINTR : error;
    return true;
}

/* How much of size is to be moved by the call that was just counted. */
static size_t piece(const char *call, int descriptor, size_t size)
{
    if (!active || how != SHORT || fail_memory || atomic_load(&system_calls) != fail_at || size < 2)
        return size;
    failed_call = call;
    failed_descriptor = descriptor;
    return size / 2;
}

#define REAL(name) (__extension__(__typeof__(&name))dlsym(RTLD_NEXT, #name))

int open(const char *path, int flags, ...)
{
    va_list arguments;
    va_start(arguments, flags);
    mode_t mode = flags & O_CREAT ? va_arg(arguments, mode_t) : 0;
    va_end(arguments);
    return system_fails("open", -1, EMFILE, true) ? -1 : REAL(open)(path, flags, mode);
}

FILE *fopen(const char *path, const char *mode)
{
    return system_fails("fopen", -1, EMFILE, false) ? NULL : REAL(fopen)(path, mode);
}

ssize_t read(int descriptor, void *bytes, size_t size)
{
    return system_fails("read", descriptor, EIO, true) ? -1 : REAL(read)(descriptor, bytes, piece("read", descriptor, size));
}

ssize_t pread(int descriptor, void *bytes, size_t size, off_t at)
{
    return system_fails("pread", descriptor, EIO, true) ? -1 : REAL(pread)(descriptor, bytes, piece("pread", descriptor, size), at);
}

ssize_t write(int descriptor, const void *bytes, size_t size)
{
    return system_fails("write", descriptor, ENOSPC, true) ? -1 : REAL(write)(descriptor, bytes, piece("write", descriptor, size));
}

int fsync(int descriptor)
{
    return system_fails("fsync", descriptor, EIO, true) ? -1 : REAL(fsync)(descriptor);
}

/* Linux closes the descriptor whatever it returns. */
int close(int descriptor)
{
    bool fails = system_fails("close", descriptor, EIO, false);
    int error = errno, result = REAL(close)(descriptor);
    if (fails)
        errno = error;
    return fails ? -1 : result;
}

int rename(const char *from, const char *to)
{
    return system_fails("rename", -1, EIO, false) ? -1 : REAL(rename)(from, to);
}

int ftruncate(int descriptor, off_t size)
{
    return system_fails("ftruncate", descriptor, EIO, true) ? -1 : REAL(ftruncate)(descriptor, size);
}

int unlink(const char *path)
{
    return system_fails("unlink", -1, EIO, false) ? -1 : REAL(unlink)(path);
}

int rmdir(const char *path)
{
    return system_fails("rmdir", -1, EIO, false) ? -1 : REAL(rmdir)(path);
}

int mkdir(const char *path, mode_t mode)
{
    return system_fails("mkdir", -1, ENOSPC, false) ? -1 : REAL(mkdir)(path, mode);
}

char *mkdtemp(char *name)
{
    return system_fails("mkdtemp", -1, ENOSPC, false) ? NULL : REAL(mkdtemp)(name);
}

int fchmod(int descriptor, mode_t mode)
{
    return system_fails("fchmod", descriptor, EIO, false) ? -1 : REAL(fchmod)(descriptor, mode);
}

int fstat(int descriptor, struct stat *entry)
{
    return system_fails("fstat", descriptor, EIO, false) ? -1 : REAL(fstat)(descriptor, entry);
}

int flock(int descriptor, int operation)
{
    return system_fails("flock", descriptor, ENOLCK, true) ? -1 : REAL(flock)(descriptor, operation);
}

int dup2(int from, int to)
{
    return system_fails("dup2", to, EMFILE, true) ? -1 : REAL(dup2)(from, to);
}

int pipe(int ends[2])
{
    return system_fails("pipe", -1, EMFILE, false) ? -1 : REAL(pipe)(ends);
}

int poll(struct pollfd *watched, nfds_t n, int limit_ms)
{
    return system_fails("poll", -1, ENOMEM, true) ? -1 : REAL(poll)(watched, n, limit_ms);
}

int posix_spawnp(pid_t *child, const char *file, const posix_spawn_file_actions_t *actions, const posix_spawnattr_t *attributes,
                 char *const arguments[], char *const environment[])
{
    return system_fails("posix_spawnp", -1, EAGAIN, false) ? EAGAIN : REAL(posix_spawnp)(child, file, actions, attributes, arguments, environment);
}

int pthread_create(pthread_t *thread, const pthread_attr_t *attributes, void *(*run)(void *), void *context)
{
    return system_fails("pthread_create", -1, EAGAIN, false) ? EAGAIN : REAL(pthread_create)(thread, attributes, run, context);
}

static enum how read_how(const char *word)
{
    static const char *const words[] = {[ONCE] = "once", [ALWAYS] = "always", [INTERRUPT] = "interrupt", [SHORT] = "short"};
    for (enum how at = ONCE; at <= SHORT; at++)
        if (word && strcmp(word, words[at]) == 0)
            return at;
    return ONCE;
}

__attribute__((constructor)) static void begin(void)
{
    const char *kind = getenv("FAIL_KIND"), *number = getenv("FAIL_AT"), *report = getenv("FAIL_REPORT"), *list_path = getenv("FAIL_LIST");
    void *frames[2];
    if (!kind || !number || !report)
        return;
    backtrace(frames, 2); /* loads what it needs now, not inside the first allocation */
    fail_memory = strcmp(kind, "memory") == 0;
    fail_at = strtoul(number, NULL, 10);
    how = read_how(getenv("FAIL_HOW"));
    snprintf(report_path, sizeof report_path, "%s", report);
    if (list_path)
        list = (int)syscall(SYS_openat, AT_FDCWD, list_path, O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC, 0600);
    if (list >= 0) { /* out of the way of the descriptors that the program expects */
        int low = list;
        list = (int)syscall(SYS_fcntl, low, F_DUPFD_CLOEXEC, 200);
        syscall(SYS_close, low);
    }
    unsetenv("LD_PRELOAD");
    active = true;
}

__attribute__((destructor)) static void end(void)
{
    if (!active)
        return;
    active = false;
    int descriptor = (int)syscall(SYS_openat, AT_FDCWD, report_path, O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC, 0600);
    write_line(descriptor, "%lu %lu %ld %s %d\n", atomic_load(&memory_calls), atomic_load(&system_calls), atomic_load(&live_blocks),
               failed_call, failed_descriptor);
}
