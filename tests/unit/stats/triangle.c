#include "stats/triangle.h"
#include "support/check.h"

enum { SIZE = 4, ROWS = 150 };

/* Odd numbers without a pattern that rounding could hide behind. */
static double entry(size_t row, size_t column)
{
    return sin(1.7 * (double)row + 2.3 * (double)(column * column)) + (column == 2 ? 30.0 : 0.0);
}

static void absorb_rows(double *triangle, size_t first, size_t last, size_t at_once)
{
    double block[SIZE * TRIANGLE_BLOCK];
    for (size_t row = first; row < last;) {
        size_t n = 0;
        for (; n < at_once && row < last; n++, row++)
            for (size_t k = 0; k < SIZE; k++)
                block[k * TRIANGLE_BLOCK + n] = entry(row, k);
        triangle_absorb(triangle, SIZE, block, n);
    }
}

/* R'R = X'X, however the rows are cut into blocks. */
static void test_cross_products_stay(void)
{
    static const size_t at_once[] = { 1, 7, TRIANGLE_BLOCK };
    for (size_t way = 0; way < 3; way++) {
        double triangle[SIZE * SIZE] = { 0 };
        absorb_rows(triangle, 0, ROWS, at_once[way]);
        for (size_t i = 0; i < SIZE; i++)
            for (size_t j = 0; j < SIZE; j++) {
                double want = 0, got = 0;
                for (size_t row = 0; row < ROWS; row++)
                    want += entry(row, i) * entry(row, j);
                for (size_t k = 0; k < SIZE; k++)
                    got += triangle[k * SIZE + i] * triangle[k * SIZE + j];
                check_close("cross product", got, want, 1e-12);
                if (j < i)
                    CU_ASSERT_EQUAL(triangle[i * SIZE + j], 0);
            }
    }
}

static void test_nothing_absorbed(void)
{
    double triangle[SIZE * SIZE] = { 1, 2, 3, 4, 0, 5, 6, 7, 0, 0, 8, 9, 0, 0, 0, 10 }, before[SIZE * SIZE];
    double block[SIZE * TRIANGLE_BLOCK] = { 0 };
    memcpy(before, triangle, sizeof before);
    triangle_absorb(triangle, SIZE, block, 0);
    triangle_absorb(triangle, SIZE, block, 5);
    CU_ASSERT_EQUAL(memcmp(before, triangle, sizeof before), 0);
}

static void test_solves(void)
{
    double triangle[SIZE * SIZE] = { 2, 1, -3, 4, 0, 5, 6, 7, 0, 0, -8, 9, 0, 0, 0, 10 };
    double x[SIZE] = { 1, -2, 3, 0.5 }, forward[SIZE] = { 0 }, backward[SIZE] = { 0 };
    for (size_t i = 0; i < SIZE; i++)
        for (size_t j = 0; j < SIZE; j++) {
            forward[i] += triangle[i * SIZE + j] * x[j];
            backward[j] += triangle[i * SIZE + j] * x[i];
        }
    triangle_solve(triangle, SIZE, SIZE, forward);
    triangle_solve_transposed(triangle, SIZE, SIZE, backward);
    for (size_t i = 0; i < SIZE; i++) {
        check_close("R x = b", forward[i], x[i], 1e-13);
        check_close("R' x = b", backward[i], x[i], 1e-13);
    }
}

static void test_condition(void)
{
    double work[2 * SIZE * SIZE + SIZE];
    double diagonal[SIZE * SIZE] = { 3, 0, 0, 0, 0, 12, 0, 0, 0, 0, 6, 0, 0, 0, 0, 0.5 };
    check_close("diagonal", triangle_condition(diagonal, SIZE, SIZE, work), 24, 1e-13);
    check_close("leading part", triangle_condition(diagonal, SIZE, 3, work), 4, 1e-13);
    /* [1 1; 0 1]: singular values are the golden ratio and its inverse */
    double shear[4] = { 1, 1, 0, 1 };
    check_close("shear", triangle_condition(shear, 2, 2, work), (3 + sqrt(5)) / 2, 1e-13);
    double singular[4] = { 1, 1, 0, 0 };
    CU_ASSERT_TRUE(triangle_condition(singular, 2, 2, work) > 1e15);
}

int main(void)
{
    static const struct check_case cases[] = {
        { "cross products stay", test_cross_products_stay }, { "nothing absorbed", test_nothing_absorbed },
        { "solves", test_solves },                           { "condition", test_condition },
    };
    return check_run("triangle", cases, sizeof cases / sizeof *cases);
}
