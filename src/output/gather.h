#ifndef OUTPUT_GATHER_H
#define OUTPUT_GATHER_H

#include "base/problem.h"

/* So many problems alike are still told one by one. */
#define GATHER_FEW 3

/*
 * Walks the problems of one severity as they are told: doubts and notices that
 * say the same of many rows come once, as the first of them with the lines of
 * the others: "... grams or kilograms? (and 57 more like it: lines 4 to 60)".
 * Alike are those of one file and column whose texts differ in numbers and in
 * quoted names only. Errors are told one by one: each is to be mended.
 */
struct gathering {
    const struct problem_list *problems;
    enum severity severity;
    size_t at; /* 0 at the start */
};

/* The next sentence, cut to size; n_told is of how many problems, first the one that it begins with. False at the end. */
bool gathering_next(struct gathering *gathering, const struct problem **first, size_t *n_told, char *sentence, size_t size);

#endif
