#include "support/check.h"

#include "base/tasks.h"

#define TASKS 1000

static void count_up(void *context, size_t i)
{
    ((unsigned char *)context)[i]++;
}

static void each_once(void)
{
    for (int helped = 0; helped < 2; helped++)
        for (size_t n = 0; n <= TASKS; n += n < 4 ? 1 : TASKS / 4) {
            unsigned char runs[TASKS + 1] = { 0 };
            size_t wrong = 0;
            tasks_run(n, helped, count_up, runs);
            for (size_t i = 0; i <= TASKS; i++)
                wrong += runs[i] != (i < n);
            CU_ASSERT_EQUAL(wrong, 0);
        }
}

int main(void)
{
    static const struct check_case cases[] = { { "each task once", each_once } };
    return check_run("tasks", cases, sizeof cases / sizeof *cases);
}
