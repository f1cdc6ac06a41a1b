#include "stats/gsl_guard.h"
#include "support/check.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_linalg.h>
#include <gsl/gsl_sf_exp.h>

/* Without the guard each of these ends the process. */
static void test_failures_are_recorded(void)
{
    gsl_guard_begin();
    gsl_sf_result result;
    int code = gsl_sf_exp_e(5000, &result);
    CU_ASSERT_FALSE(gsl_guard_good(code));
    CU_ASSERT_EQUAL(gsl_guard_status(code), STATUS_NUMERIC);
    CU_ASSERT_TRUE(strlen(gsl_guard_reason()) > 0);
    /* a function that swallows the failure inside and reports success is caught by the record */
    CU_ASSERT_FALSE(gsl_guard_good(GSL_SUCCESS));

    gsl_guard_begin();
    GSL_ERROR_VAL("no memory here", GSL_ENOMEM, );
}

static void test_memory_and_first_failure(void)
{
    test_failures_are_recorded();
    CU_ASSERT_EQUAL(gsl_guard_status(GSL_SUCCESS), STATUS_MEMORY);
    check_text(gsl_guard_reason(), "no memory here");
    gsl_error("later consequence", __FILE__, __LINE__, GSL_EDOM);
    check_text(gsl_guard_reason(), "no memory here");
}

static void test_begin_wipes_the_record(void)
{
    gsl_error("left over", __FILE__, __LINE__, GSL_EDOM);
    gsl_guard_begin();
    CU_ASSERT_TRUE(gsl_guard_good(GSL_SUCCESS));
    CU_ASSERT_EQUAL(gsl_guard_status(GSL_SUCCESS), STATUS_OK);
    check_text(gsl_guard_reason(), "");
}

int main(void)
{
    static const struct check_case cases[] = {
        { "failures are recorded", test_failures_are_recorded },
        { "memory, and the first failure stays", test_memory_and_first_failure },
        { "begin wipes the record", test_begin_wipes_the_record },
    };
    return check_run("gsl_guard", cases, sizeof cases / sizeof *cases);
}
