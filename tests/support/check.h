#ifndef TESTS_SUPPORT_CHECK_H
#define TESTS_SUPPORT_CHECK_H

#include <CUnit/Basic.h>
#include <CUnit/CUnit.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

/* Relative comparison that prints both values; want 0 compares absolutely. */
static inline void check_close_at(const char *file, int line, const char *what, double got, double want, double relative)
{
    double scale = want == 0 ? 1 : fabs(want);
    int good = fabs(got - want) <= relative * scale; /* NaN fails */
    if (!good)
        fprintf(stderr, "%s:%d: %s: got %.17g, want %.17g\n", file, line, what, got, want);
    CU_assertImplementation(good, (unsigned)line, what, file, "", CU_FALSE);
}
#define check_close(what, got, want, relative) check_close_at(__FILE__, __LINE__, what, got, want, relative)

/* NaN, which stands for absent, is the same as NaN. */
static inline int same_number(double a, double b)
{
    return a == b || (isnan(a) && isnan(b));
}

static inline void check_text_at(const char *file, int line, const char *got, const char *want)
{
    int good = got != NULL && strcmp(got, want) == 0;
    if (!good)
        fprintf(stderr, "%s:%d: got \"%s\", want \"%s\"\n", file, line, got ? got : "(null)", want);
    CU_assertImplementation(good, (unsigned)line, want, file, "", CU_FALSE);
}
#define check_text(got, want) check_text_at(__FILE__, __LINE__, got, want)

struct check_case { const char *name; void (*run)(void); };

/* Runs one suite with the Basic runner; the process's exit status. */
static inline int check_run(const char *suite_name, const struct check_case *cases, size_t n_cases)
{
    if (CU_initialize_registry() != CUE_SUCCESS)
        return 2;
    CU_pSuite suite = CU_add_suite(suite_name, NULL, NULL);
    for (size_t i = 0; suite && i < n_cases; i++)
        if (!CU_add_test(suite, cases[i].name, cases[i].run))
            return 2;
    CU_basic_set_mode(CU_BRM_VERBOSE);
    CU_basic_run_tests();
    unsigned failed = CU_get_number_of_tests_failed() + CU_get_number_of_suites_failed();
    unsigned ran = CU_get_number_of_tests_run();
    CU_cleanup_registry();
    return failed != 0 || ran != n_cases;
}

#endif
