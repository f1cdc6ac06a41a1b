#ifndef STATS_TRIANGLE_H
#define STATS_TRIANGLE_H

#include <stdbool.h>
#include <stddef.h>

/* Rows handed over at once: a block of a few columns stays in the nearest cache. */
enum { TRIANGLE_BLOCK = 64 };

/*
 * Upper triangles of QR factorisations, row-major, size x size. The rows of a
 * tall matrix are absorbed block by block, so it is never held as a whole and
 * its cross products are never formed (they would square the condition).
 * Own code and not GSL's QR_UR: for three columns that one spends its time in calls.
 */

/*
 * Replaces the triangle R by the triangle of [R; block]. The block has n_rows
 * (at most TRIANGLE_BLOCK) rows, column k starting at block[k * TRIANGLE_BLOCK];
 * it is used up. Householder reflections.
 */
void triangle_absorb(double *triangle, size_t size, double *block, size_t n_rows);

/* Solves R x = b in place for the leading n columns of a triangle with rows of `stride`. */
void triangle_solve(const double *triangle, size_t stride, size_t n, double *x);

/* Solves R' x = b in place, as above. */
void triangle_solve_transposed(const double *triangle, size_t stride, size_t n, double *x);

/*
 * Ratio of the largest to the smallest singular value of the leading n columns;
 * INFINITY when the smallest is 0. work: 2 n^2 + n values.
 */
double triangle_condition(const double *triangle, size_t stride, size_t n, double *work);

#endif
