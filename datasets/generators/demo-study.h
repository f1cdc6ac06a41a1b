#ifndef TOOLS_DEMO_STUDY_H
#define TOOLS_DEMO_STUDY_H

/* What the generators of invented studies share. Stand-alone: no part of the program. */
#include <errno.h>
#include <gsl/gsl_randist.h>
#include <gsl/gsl_rng.h>
#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* A random stream and the file being written. */
struct maker {
    gsl_rng *random;
    FILE *file;
    const char *folder;
};

static inline void maker_stop(const char *what, const char *name)
{
    fprintf(stderr, "%s '%s': %s\n", what, name, strerror(errno));
    exit(4);
}

static inline void maker_open(struct maker *maker, const char *name)
{
    char path[512];
    int length = snprintf(path, sizeof path, "%s/%s", maker->folder, name);
    maker->file = length > 0 && (size_t)length < sizeof path ? fopen(path, "wb") : NULL;
    if (!maker->file)
        maker_stop("cannot write", name);
}

static inline void maker_close(struct maker *maker, const char *name)
{
    int bad = ferror(maker->file);
    if (fclose(maker->file) != 0 || bad)
        maker_stop("cannot write", name);
}

__attribute__((format(printf, 2, 3)))
static inline void maker_write(struct maker *maker, const char *format, ...)
{
    va_list arguments;
    va_start(arguments, format);
    vfprintf(maker->file, format, arguments); /* checked by maker_close */
    va_end(arguments);
}

/* Normal, mean 0. Results are rounded to what a scale or ruler shows, so that the last bits of a mathematics library do not matter. */
static inline double maker_scatter(struct maker *maker, double sd)
{
    return gsl_ran_gaussian(maker->random, sd);
}

static inline void maker_start(struct maker *maker, const char *folder, unsigned long seed)
{
    maker->folder = folder;
    maker->random = gsl_rng_alloc(gsl_rng_mt19937);
    if (!maker->random)
        maker_stop("no memory", "random numbers");
    gsl_rng_set(maker->random, seed);
}

/* FOLDER [SEED] from the command line; the seed's default is the one of the committed files. */
static inline int maker_arguments(int argc, char **argv, struct maker *maker, unsigned long seed)
{
    char *end = NULL;
    if (argc == 3)
        seed = strtoul(argv[2], &end, 10);
    if (argc < 2 || argc > 3 || (end && *end) || seed == 0) {
        fprintf(stderr, "usage: %s FOLDER [SEED]\n", argv[0]);
        return 2;
    }
    maker_start(maker, argv[1], seed);
    return 0;
}

#endif
