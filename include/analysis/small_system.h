#ifndef ANALYSIS_SMALL_SYSTEM_H
#define ANALYSIS_SMALL_SYSTEM_H

#include <stdbool.h>
#include <stddef.h>

/*
 * Symmetric positive definite systems of up to three rows, the size of a law,
 * solved thousands of times in a row without allocation.
 */
#define SMALL_SYSTEM_MAX 3

/* Lower Cholesky factor in place (only the lower triangle is read); false when a pivot is not above `smallest` times its diagonal. */
bool small_system_factor(double matrix[SMALL_SYSTEM_MAX][SMALL_SYSTEM_MAX], size_t n, double smallest);

/* Solves factor * factor' x = right in place. */
void small_system_solve(double factor[SMALL_SYSTEM_MAX][SMALL_SYSTEM_MAX], double *right, size_t n);

#endif
