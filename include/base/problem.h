#ifndef BASE_PROBLEM_H
#define BASE_PROBLEM_H

#include "base/status.h"

#include <stdbool.h>
#include <stddef.h>

enum severity { SEVERITY_ERROR, SEVERITY_DOUBT, SEVERITY_NOTICE };

/* Where in the input a problem sits. Any part may be absent (NULL or 0). */
struct place {
    const char *path;
    size_t line;          /* physical line, from 1 */
    const char *column;   /* heading as the user wrote it */
};

/*
 * A failure or doubt that knows its place. Owns nothing: all text is inside,
 * cut to fit, made printable when shown.
 */
struct problem {
    enum status status;
    enum severity severity;
    size_t line;
    char path[256];
    char column[80];
    char text[480];
};

/* Fills a problem. place may be NULL. Returns status, so that callers can write `return problem_set(...)`. */
enum status problem_set(struct problem *problem, enum status status,
                        const struct place *place, const char *format, ...)
    __attribute__((format(printf, 4, 5)));
#ifdef READ_BY_ANALYSERS /* `make lint`: they do not look into another file to see that the status handed in comes back */
#define problem_set(problem, status, ...) (problem_set(problem, status, __VA_ARGS__), (status))
#endif

/* `path:line: column 'x': text` into out (always NUL-terminated, control characters masked). */
void problem_sentence(const struct problem *problem, char *out, size_t size);

/*
 * All problems of a run, in the order found. Keeps the first PROBLEM_LIST_KEPT
 * of each severity and counts the rest. Release with problem_list_release().
 */
#define PROBLEM_LIST_KEPT 200
struct problem_list {
    struct problem *items;
    size_t n_items, capacity;
    size_t n_errors, n_doubts, n_notices; /* all, kept or not */
    enum status worst;                    /* status of the first error, STATUS_OK without one; STATUS_MEMORY once memory ran out */
};

/* Adds one; when memory is out, still counts it and sets worst to STATUS_MEMORY. */
void problem_list_add(struct problem_list *list, enum severity severity, enum status status,
                      const struct place *place, const char *format, ...)
    __attribute__((format(printf, 5, 6)));
void problem_list_take(struct problem_list *list, const struct problem *problem);

/* How many of a severity were found, kept or not. */
size_t problem_list_count(const struct problem_list *list, enum severity severity);

/* Adds all of another list, with the counts of what it did not keep. */
void problem_list_pass(const struct problem_list *from, struct problem_list *to);
void problem_list_release(struct problem_list *list);

#endif
