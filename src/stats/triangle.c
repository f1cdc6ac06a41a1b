#include "stats/triangle.h"

#include "stats/gsl_guard.h"

#include <gsl/gsl_linalg.h>
#include <math.h>

/* Applies the reflection of column k to the columns right of it. */
static void reflect_columns(double *triangle, size_t size, double *block, size_t n_rows, size_t k, double tau)
{
    const double *reflector = block + k * TRIANGLE_BLOCK;
    for (size_t j = k + 1; j < size; j++) {
        double *column = block + j * TRIANGLE_BLOCK;
        double sum = triangle[k * size + j];
        for (size_t i = 0; i < n_rows; i++)
            sum += reflector[i] * column[i];
        sum *= tau;
        triangle[k * size + j] -= sum;
        for (size_t i = 0; i < n_rows; i++)
            column[i] -= sum * reflector[i];
    }
}

void triangle_absorb(double *triangle, size_t size, double *block, size_t n_rows)
{
    for (size_t k = 0; k < size; k++) {
        double *column = block + k * TRIANGLE_BLOCK;
        double squares = 0;
        for (size_t i = 0; i < n_rows; i++)
            squares += column[i] * column[i];
        if (squares == 0)
            continue;
        double head = triangle[k * size + k];
        double norm = sqrt(head * head + squares);
        double reflected = head > 0 ? -norm : norm; /* the sign that does not cancel */
        double pivot = head - reflected;
        for (size_t i = 0; i < n_rows; i++)
            column[i] /= pivot;
        triangle[k * size + k] = reflected;
        reflect_columns(triangle, size, block, n_rows, k, -pivot / reflected);
    }
}

void triangle_solve(const double *triangle, size_t stride, size_t n, double *x)
{
    for (size_t k = n; k-- > 0;) {
        double sum = x[k];
        for (size_t j = k + 1; j < n; j++)
            sum -= triangle[k * stride + j] * x[j];
        x[k] = sum / triangle[k * stride + k];
    }
}

void triangle_solve_transposed(const double *triangle, size_t stride, size_t n, double *x)
{
    for (size_t k = 0; k < n; k++) {
        double sum = x[k];
        for (size_t j = 0; j < k; j++)
            sum -= triangle[j * stride + k] * x[j];
        x[k] = sum / triangle[k * stride + k];
    }
}

double triangle_condition(const double *triangle, size_t stride, size_t n, double *work)
{
    gsl_matrix_view left = gsl_matrix_view_array(work, n, n);
    gsl_matrix_view right = gsl_matrix_view_array(work + n * n, n, n);
    gsl_vector_view values = gsl_vector_view_array(work + 2 * n * n, n);
    for (size_t k = 0; k < n; k++)
        for (size_t j = 0; j < n; j++)
            gsl_matrix_set(&left.matrix, k, j, j >= k ? triangle[k * stride + j] : 0);
    gsl_guard_begin();
    int code = gsl_linalg_SV_decomp_jacobi(&left.matrix, &right.matrix, &values.vector);
    if (!gsl_guard_good(code))
        return NAN;
    double largest = gsl_vector_get(&values.vector, 0), smallest = gsl_vector_get(&values.vector, n - 1);
    return smallest > 0 ? largest / smallest : INFINITY;
}
