#ifndef STATS_GSL_GUARD_H
#define STATS_GSL_GUARD_H

#include "base/status.h"

#include <stdbool.h>

/*
 * GSL's own handler ends the process, and some of its functions report success
 * after a failure inside. So: begin, call, then ask whether both the returned
 * code and everything recorded meanwhile in this thread are clean.
 *
 * GSL functions that allocate inside are not used at all (several of them read
 * through the missing block); work space comes from base/memory.h as views.
 */
void gsl_guard_begin(void);

/* Whether the call returned success and nothing was recorded since gsl_guard_begin(). */
bool gsl_guard_good(int returned_code);

/* The recorded failure in our words: STATUS_OK, STATUS_MEMORY or STATUS_NUMERIC. */
enum status gsl_guard_status(int returned_code);

/* GSL's reason for the recorded failure, "" without one. */
const char *gsl_guard_reason(void);

#endif
