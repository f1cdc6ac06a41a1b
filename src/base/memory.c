#include "base/memory.h"

#include <stdatomic.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <unistd.h>

#ifdef __GLIBC__ /* known from the headers above on */
#include <malloc.h>
#endif

/* The injection seam. Atomic, because threads allocate too. */
static atomic_ulong call_count;
static atomic_ulong fail_from;
static atomic_bool fail_always;

/* Set by every allocation that fails, never cleared but by a test. */
static atomic_bool ran_out;

void memory_fail_at(unsigned long n, bool sticky)
{
    atomic_store(&ran_out, false);
    atomic_store(&call_count, 0);
    atomic_store(&fail_always, sticky);
    atomic_store(&fail_from, n);
}

bool memory_ran_out(void)
{
    return atomic_load(&ran_out);
}

unsigned long memory_calls(void)
{
    return atomic_load(&call_count);
}

static bool injected_failure(void)
{
    unsigned long now = atomic_fetch_add_explicit(&call_count, 1, memory_order_relaxed) + 1;
    unsigned long from = atomic_load_explicit(&fail_from, memory_order_relaxed);
    return from != 0 && (now == from || (now > from && atomic_load(&fail_always)));
}

/* PTRDIFF_MAX, because a larger block breaks pointer differences. */
static bool size_fits(size_t count, size_t size)
{
    return size == 0 || count <= (size_t)PTRDIFF_MAX / size;
}

/* Passes a new block on, and remembers when there is none. */
static void *noted(void *block)
{
    if (!block)
        atomic_store(&ran_out, true);
    return block;
}

void *memory_new(size_t count, size_t size)
{
    if (injected_failure() || !size_fits(count, size))
        return noted(NULL);
    if (count == 0 || size == 0)
        return noted(calloc(1, 1));
    return noted(calloc(count, size));
}

void *memory_resize(void *block, size_t count, size_t size)
{
    if (injected_failure() || !size_fits(count, size))
        return noted(NULL);
    size_t bytes = count * size;
    return noted(realloc(block, bytes ? bytes : 1));
}

char *memory_text(const char *bytes, size_t length)
{
    if (length >= SIZE_MAX / 2)
        return noted(NULL);
    char *copy = memory_resize(NULL, length + 1, 1);
    if (!copy)
        return NULL;
    if (length)
        memcpy(copy, bytes, length);
    copy[length] = '\0';
    return copy;
}

/* Longer blocks are by themselves, so that they grow without being copied; all others are taken from the heap. */
#define HEAP_LONGEST (32 << 20) /* as much as malloc allows */
#define STOCK_BLOCK ((size_t)8 << 20)
#define STOCK_BLOCKS 16
_Static_assert(STOCK_BLOCK < HEAP_LONGEST, "the heap grows by them");
#define HEAP_KEPT (512 << 20) /* of what was let go; more than all blocks of the stock */

void memory_settle(void)
{
#ifdef __GLIBC__
    (void)mallopt(M_MMAP_THRESHOLD, HEAP_LONGEST);
    (void)mallopt(M_TRIM_THRESHOLD, HEAP_KEPT);
    (void)mallopt(M_ARENA_MAX, 1);
#endif
}

/* Large pages for some bytes, where the system gives them to those who ask. */
static void ask_for_large_pages(void *block, size_t size)
{
#ifdef MADV_HUGEPAGE
    const uintptr_t page = (uintptr_t)sysconf(_SC_PAGESIZE), from = (uintptr_t)block & ~(page - 1), end = (uintptr_t)block + size;
    (void)madvise((void *)from, ((end + page - 1) & ~(page - 1)) - from, MADV_HUGEPAGE);
#else
    (void)block, (void)size;
#endif
}

/*
 * The heap grows by blocks that go back to it at once, so that it holds them for what will be asked for. Not when that is more than
 * the stock: a machine that lends its memory has few large pages at hand, and takes as long to fetch the others as for five times
 * the memory in small ones.
 */
void memory_foresee(size_t bytes)
{
    void *blocks[STOCK_BLOCKS];
    const size_t n_wanted = bytes / STOCK_BLOCK <= STOCK_BLOCKS ? bytes / STOCK_BLOCK : 0;
    size_t n = 0;
    while (n < n_wanted && (blocks[n] = malloc(STOCK_BLOCK)))
        ask_for_large_pages(blocks[n++], STOCK_BLOCK);
    while (n > 0)
        free(blocks[--n]);
}

void memory_free(void *block)
{
    free(block);
}

bool memory_reserve(void **block, size_t *capacity, size_t needed, size_t size)
{
    if (needed <= *capacity)
        return true;
    size_t wanted = *capacity > SIZE_MAX / 2 ? needed : *capacity * 2;
    if (wanted < needed)
        wanted = needed;
    if (wanted < 16)
        wanted = 16;
    void *larger = memory_resize(*block, wanted, size);
    if (!larger)
        return false;
    *block = larger;
    *capacity = wanted;
    return true;
}
