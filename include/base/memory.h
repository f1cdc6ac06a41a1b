#ifndef BASE_MEMORY_H
#define BASE_MEMORY_H

#include <stdbool.h>
#include <stddef.h>

/*
 * The one allocation seam. count * size is checked for overflow; memory is
 * zeroed; NULL means none left. memory_resize keeps the old block on failure.
 * Every failure can be injected with memory_fail_at().
 */
void *memory_new(size_t count, size_t size);
void *memory_resize(void *block, size_t count, size_t size);
char *memory_text(const char *bytes, size_t length); /* NUL-terminated copy */
void memory_free(void *block);

/*
 * Once, before any thread is started: what is let go stays for what is asked for next, on any thread. A long file asks for much, and
 * having pages anew from the system would be a sixth of the work of a recommendation; it is paid for in memory where little is asked
 * for again, up to a sixth more for long lists.
 */
void memory_settle(void);

/*
 * Says that about so many bytes will be asked for, block by block, so that they lie in large pages where the system gives them to
 * those who ask: a recommendation from a long file takes a tenth less time. Takes nothing, and cannot fail.
 */
void memory_foresee(size_t bytes);

/* Grows *block (element size `size`) so that `needed` elements fit; doubles. False when memory is out. */
bool memory_reserve(void **block, size_t *capacity, size_t needed, size_t size);

/*
 * Whether any allocation of this run has failed. What was made since may lack
 * a part (a cell, a note), so nothing is then passed for an answer: main and
 * file_batch_add (so file_replace too) ask before they write.
 */
bool memory_ran_out(void);

/* Tests: makes allocation number n (from 1) fail, and all after it if sticky. 0 turns it off. */
void memory_fail_at(unsigned long n, bool sticky);
unsigned long memory_calls(void);

#endif
