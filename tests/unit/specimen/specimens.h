#ifndef TESTS_SPECIMENS_H
#define TESTS_SPECIMENS_H

#include "support/check.h"

#include "specimen/specimen.h"

#include <limits.h>

/* Specimens for the tests of specimen_derive; invented but for the case numbers. */
static inline struct specimen blank_specimen(void)
{
    struct specimen specimen;
    specimen_clear(&specimen);
    specimen.path = "trial.csv";
    specimen.line = 7;
    specimen.id = "A1";
    specimen.batch = "b1";
    return specimen;
}

static inline struct specimen cube_specimen(double side_mm, double mass_kg, double break_load_n)
{
    struct specimen specimen = blank_specimen();
    specimen.shape = SHAPE_CUBE;
    specimen.length_mm = side_mm;
    specimen.mass_kg = mass_kg;
    specimen.break_load_n = break_load_n;
    return specimen;
}

static inline struct specimen round_specimen(enum shape shape, double diameter_mm, double length_mm)
{
    struct specimen specimen = blank_specimen();
    specimen.shape = shape;
    specimen.diameter_mm = diameter_mm;
    specimen.length_mm = length_mm;
    return specimen;
}

/* Case F1: 150 x 150 mm on 450 mm, 36 kN. */
static inline struct specimen beam_specimen(void)
{
    struct specimen specimen = blank_specimen();
    specimen.shape = SHAPE_BEAM;
    specimen.length_mm = 500;
    specimen.width_mm = specimen.height_mm = 150;
    specimen.span_mm = 450;
    specimen.break_load_n = 36000;
    return specimen;
}

/* All problems of one derivation. Release with problem_list_release(). */
static inline struct problem_list derive(struct specimen *specimen)
{
    struct problem_list problems = {0};
    bool good = specimen_derive(specimen, &problems);
    CU_ASSERT_EQUAL(good, problems.n_errors == 0);
    CU_ASSERT_EQUAL(problems.worst, problems.n_errors ? STATUS_INPUT : STATUS_OK);
    return problems;
}

/* Derives without any problem of any severity. */
static inline void derive_clean(struct specimen *specimen)
{
    struct problem_list problems = derive(specimen);
    CU_ASSERT_EQUAL(problems.n_errors + problems.n_doubts + problems.n_notices, 0);
    for (size_t i = 0; i < problems.n_items; i++)
        fprintf(stderr, "unexpected: %s: %s\n", problems.items[i].column, problems.items[i].text);
    problem_list_release(&problems);
}

/* Derives with exactly one problem, of this severity, at this column, that says `word`. */
static inline void check_one_at(const char *file, int line, struct specimen *specimen, enum severity severity,
                                const char *column, const char *word)
{
    struct problem_list problems = derive(specimen);
    const struct problem *found = problems.n_items == 1 ? &problems.items[0] : NULL;
    int good = found && found->severity == severity && strcmp(found->column, column) == 0 &&
               strstr(found->text, word) != NULL && found->line == specimen->line &&
               strcmp(found->path, specimen->path) == 0;
    for (size_t i = 0; !good && i < problems.n_items; i++)
        fprintf(stderr, "%s:%d: got %s: \"%s\", want %s: \"%s\"\n", file, line, problems.items[i].column,
                problems.items[i].text, column, word);
    CU_assertImplementation(good, (unsigned)line, word, file, "", CU_FALSE);
    problem_list_release(&problems);
}
#define check_error(specimen, column, word) \
    check_one_at(__FILE__, __LINE__, specimen, SEVERITY_ERROR, column, word)
#define check_doubt(specimen, column, word) \
    check_one_at(__FILE__, __LINE__, specimen, SEVERITY_DOUBT, column, word)
#define check_notice(specimen, column, word) \
    check_one_at(__FILE__, __LINE__, specimen, SEVERITY_NOTICE, column, word)

#endif
