#ifndef TESTS_SUPPORT_CERTIFIED_H
#define TESTS_SUPPORT_CERTIFIED_H

#include "support/check.h"

#include <stdbool.h>
#include <stdint.h>
#include <stdlib.h>

/*
 * Published data and answers. Data are CSV files without quotes below
 * tests/certified/data; tests run from the folder of the Makefile.
 */
#define CERTIFIED_DATA "tests/certified/data/"

enum { CERTIFIED_COLUMNS = 16, CERTIFIED_GROUPS = 512, CERTIFIED_WORD = 128 };

struct certified_table {
    size_t n_rows, n_columns, capacity;
    char heading[CERTIFIED_COLUMNS][CERTIFIED_WORD];
    char **cell; /* n_rows x CERTIFIED_COLUMNS */
};

static inline char *certified_copy(const char *text, size_t length)
{
    char *copy = malloc(length + 1);
    if (!copy)
        abort();
    memcpy(copy, text, length);
    copy[length] = '\0';
    return copy;
}

/* Cuts a line at its commas; row NULL: headings. */
static inline void certified_cut(struct certified_table *table, char *line, char **row)
{
    size_t column = 0;
    line[strcspn(line, "\r\n")] = '\0';
    for (char *at = line; column < CERTIFIED_COLUMNS; column++) {
        size_t length = strcspn(at, ",");
        if (row)
            row[column] = certified_copy(at, length);
        else
            snprintf(table->heading[column], CERTIFIED_WORD, "%.*s", (int)length, at);
        if (at[length] == '\0')
            break;
        at += length + 1;
    }
    if (!row)
        table->n_columns = column + 1;
}

/* Aborts the program when the file is not there: a test without its data must not pass. */
static inline struct certified_table certified_read(const char *name)
{
    struct certified_table table = { 0 };
    char path[512], line[1024];
    snprintf(path, sizeof path, "%s%s", CERTIFIED_DATA, name);
    FILE *file = fopen(path, "r");
    if (!file || !fgets(line, sizeof line, file)) {
        fprintf(stderr, "%s: cannot be read; run from the folder of the Makefile\n", path);
        abort();
    }
    certified_cut(&table, line, NULL);
    while (fgets(line, sizeof line, file)) {
        if (table.n_rows == table.capacity) {
            table.capacity = table.capacity ? 2 * table.capacity : 256;
            table.cell = realloc(table.cell, table.capacity * CERTIFIED_COLUMNS * sizeof *table.cell);
            if (!table.cell)
                abort();
        }
        char **row = table.cell + table.n_rows++ * CERTIFIED_COLUMNS;
        memset(row, 0, CERTIFIED_COLUMNS * sizeof *row);
        certified_cut(&table, line, row);
    }
    fclose(file);
    return table;
}

static inline void certified_release(struct certified_table *table)
{
    for (size_t i = 0; i < table->n_rows * CERTIFIED_COLUMNS; i++)
        free(table->cell[i]);
    free(table->cell);
    *table = (struct certified_table){ 0 };
}

static inline size_t certified_column(const struct certified_table *table, const char *heading)
{
    for (size_t j = 0; j < table->n_columns; j++)
        if (strcmp(table->heading[j], heading) == 0)
            return j;
    fprintf(stderr, "no column '%s'\n", heading);
    abort();
}

/* Text of a cell, "" when the row is too short. */
static inline const char *certified_text(const struct certified_table *table, size_t row, const char *heading)
{
    const char *text = table->cell[row * CERTIFIED_COLUMNS + certified_column(table, heading)];
    return text ? text : "";
}

static inline double certified_number(const struct certified_table *table, size_t row, const char *heading)
{
    const char *text = certified_text(table, row, heading);
    char *end;
    double value = strtod(text, &end);
    return *text == '\0' || *end != '\0' ? NAN : value;
}

/* A whole column of numbers; free() it. */
static inline double *certified_numbers(const struct certified_table *table, const char *heading)
{
    double *values = malloc((table->n_rows + 1) * sizeof *values);
    if (!values)
        abort();
    for (size_t i = 0; i < table->n_rows; i++)
        values[i] = certified_number(table, i, heading);
    return values;
}

/* A column of names as 0, 1, ... in order of appearance; free() it. */
static inline uint32_t *certified_groups(const struct certified_table *table, const char *heading, size_t *n_groups)
{
    uint32_t *groups = malloc((table->n_rows + 1) * sizeof *groups);
    size_t first[CERTIFIED_GROUPS];
    *n_groups = 0;
    if (!groups)
        abort();
    for (size_t i = 0; i < table->n_rows; i++) {
        size_t g = 0;
        while (g < *n_groups && strcmp(certified_text(table, first[g], heading), certified_text(table, i, heading)) != 0)
            g++;
        if (g == *n_groups) {
            if (g == CERTIFIED_GROUPS)
                abort();
            first[(*n_groups)++] = i;
        }
        groups[i] = (uint32_t)g;
    }
    return groups;
}

/* Correct significant digits, -log10 of the relative error (absolute for 0), at most 15; 0 for nonsense. */
static inline double certified_digits(double got, double want)
{
    if (!isfinite(got))
        return 0;
    if (got == want)
        return 15;
    double digits = -log10(fabs(got - want) / (want == 0 ? 1 : fabs(want)));
    return digits > 15 ? 15 : digits > 0 ? digits : 0;
}

/* Shows the digits reached and fails below the bar; the bar itself is printed to one decimal, hence 0.05. */
static inline void certified_check_at(const char *file, int line, const char *data_set, const char *what,
                                      double got, double want, double bar)
{
    double digits = certified_digits(got, want);
    /* A line for tests/run-certified.sh: data set, quantity, digits reached, bar. */
    printf("certified:\t%s\t%s\t%.1f\t%.1f\n", data_set, what, digits, bar);
    bool good = digits >= bar - 0.05;
    if (!good)
        fprintf(stderr, "%s:%d: %s %s: got %.17g, want %.17g: %.2f digits, bar %.1f\n", file, line, data_set, what, got,
                want, digits, bar);
    CU_assertImplementation(good, (unsigned)line, what, file, "", CU_FALSE);
}
#define certified_check(data_set, what, got, want, bar) \
    certified_check_at(__FILE__, __LINE__, data_set, what, got, want, bar)

#endif
