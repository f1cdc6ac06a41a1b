#include "stats/gsl_guard.h"

#include <gsl/gsl_errno.h>
#include <pthread.h>
#include <stddef.h>

struct gsl_record { int code; const char *reason; };

static _Thread_local struct gsl_record record;

/* Keeps the first failure: what follows is usually its consequence. The reason is a literal inside GSL. */
static void record_failure(const char *reason, const char *file, int line, int code)
{
    (void)file;
    (void)line;
    if (record.code == GSL_SUCCESS)
        record = (struct gsl_record){code, reason};
}

static void install_handler(void)
{
    gsl_set_error_handler(record_failure);
}

void gsl_guard_begin(void)
{
    static pthread_once_t installed = PTHREAD_ONCE_INIT;
    pthread_once(&installed, install_handler);
    record = (struct gsl_record){GSL_SUCCESS, NULL};
}

bool gsl_guard_good(int returned_code)
{
    return returned_code == GSL_SUCCESS && record.code == GSL_SUCCESS;
}

enum status gsl_guard_status(int returned_code)
{
    if (gsl_guard_good(returned_code))
        return STATUS_OK;
    return returned_code == GSL_ENOMEM || record.code == GSL_ENOMEM ? STATUS_MEMORY : STATUS_NUMERIC;
}

const char *gsl_guard_reason(void)
{
    return record.reason ? record.reason : "";
}
