#include "analysis/small_system.h"

#include <math.h>

bool small_system_factor(double matrix[SMALL_SYSTEM_MAX][SMALL_SYSTEM_MAX], size_t n, double smallest)
{
    for (size_t i = 0; i < n; i++) {
        for (size_t j = 0; j <= i; j++) {
            double sum = matrix[i][j];
            for (size_t k = 0; k < j; k++)
                sum -= matrix[i][k] * matrix[j][k];
            if (i == j && !(sum > smallest * fabs(matrix[i][i])))
                return false;
            matrix[i][j] = i == j ? sqrt(sum) : sum / matrix[j][j];
        }
    }
    return true;
}

void small_system_solve(double factor[SMALL_SYSTEM_MAX][SMALL_SYSTEM_MAX], double *right, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        for (size_t k = 0; k < i; k++)
            right[i] -= factor[i][k] * right[k];
        right[i] /= factor[i][i];
    }
    for (size_t i = n; i-- > 0;) {
        for (size_t k = i + 1; k < n; k++)
            right[i] -= factor[k][i] * right[k];
        right[i] /= factor[i][i];
    }
}
