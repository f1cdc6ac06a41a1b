#ifndef OUTPUT_PRINT_H
#define OUTPUT_PRINT_H

#include "base/problem.h"
#include "base/text.h"

/* How many problems of one kind are shown; the rest is counted. */
#define PRINT_PROBLEMS 50

/*
 * The problems of a run as lines for standard error: errors first, then
 * doubtful values ("doubtful: "), then notices ("note: ", not when quiet).
 * A problem without a place starts with the program's name.
 */
void print_problems(const struct problem_list *problems, const char *program, bool quiet, struct text *out);

/* Adds a sentence wrapped to the page of a terminal, made printable, with a line end. */
void print_sentence(const char *sentence, struct text *out);

/*
 * Writes all bytes to a descriptor. A reader that went away is STATUS_IO with
 * an empty sentence in problem: nobody is left to tell.
 */
enum status print_bytes(int descriptor, const char *name, const struct text *text, struct problem *problem);

#endif
