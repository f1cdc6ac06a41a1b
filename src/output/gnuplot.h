#ifndef OUTPUT_GNUPLOT_H
#define OUTPUT_GNUPLOT_H

#include "base/problem.h"

/*
 * Runs `gnuplot -d script` with `folder` as its working folder, a bare
 * environment, nothing on its input and output, and limit_s seconds at most.
 * script is relative to folder. Success says that gnuplot did not complain,
 * not that a picture exists: look at the files.
 * STATUS_TOOL  gnuplot is missing (problem says what to install), failed
 *              (problem holds its words) or took too long
 */
enum status gnuplot_run(const char *folder, const char *script, double limit_s, struct problem *problem);

#endif
