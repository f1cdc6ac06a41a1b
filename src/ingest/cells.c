#include "base/number.h"
#include "base/utf8.h"
#include "ingest/columns.h"

#include <limits.h>
#include <math.h>
#include <string.h>

/* A value as it may stand in a message: not too long. */
#define SHOWN_LENGTH 60

static struct place cell_place(const struct row *row, const struct column_binding *binding)
{
    size_t i = (size_t)binding->index;
    return (struct place){ row->path, i < row->n_cells ? row->cells[i].line : row->line, binding->heading };
}

static const struct cell *bound_cell(const struct row *row, const struct column_binding *binding)
{
    return binding->index >= 0 && (size_t)binding->index < row->n_cells ? &row->cells[binding->index] : NULL;
}

static char lower(char c)
{
    return c >= 'A' && c <= 'Z' ? (char)(c - 'A' + 'a') : c;
}

/* Empty, NA, n/a, - and ? all say that there is no value. */
static bool cell_is_missing(const struct cell *cell)
{
    const char *t = cell->text;
    if (cell->length > 3)
        return false;
    if (cell->length <= 1)
        return cell->length == 0 || t[0] == '-' || t[0] == '?';
    if (cell->length == 2)
        return lower(t[0]) == 'n' && lower(t[1]) == 'a';
    return lower(t[0]) == 'n' && t[1] == '/' && lower(t[2]) == 'a';
}

static void number_problem(const struct row *row, const struct column_binding *binding, const struct cell *cell,
                           const struct dialect *dialect, const char *reason, struct problem_list *problems)
{
    struct place place = cell_place(row, binding);
    if (dialect->separator != ',' && strstr(reason, "decimal comma:"))
        reason = "has a decimal comma, but most columns of this file write decimal points: write 1.5";
    bool about_unit = binding->unit && strstr(reason, "unit") != NULL;
    problem_list_add(problems, SEVERITY_ERROR, STATUS_INPUT, &place, about_unit ? "'%.*s' %s (this column is in %s)" : "'%.*s' %s%s",
                     (int)utf8_cut(cell->text, SHOWN_LENGTH), cell->text, reason, about_unit ? binding->unit->symbol : "");
}

bool cell_number(const struct row *row, const struct column_binding *binding,
                 const struct dialect *dialect, double *value, struct problem_list *problems)
{
    const struct cell *cell = bound_cell(row, binding);
    *value = NAN;
    if (!cell || cell_is_missing(cell))
        return true;
    double typed;
    const char *reason = number_parse(cell->text, cell->length, dialect->decimal_mark, &typed);
    if (!reason && binding->unit)
        typed *= binding->unit->factor;
    if (!reason && !isfinite(typed))
        reason = "is out of range: no measurement is that large";
    if (reason) {
        number_problem(row, binding, cell, dialect, reason, problems);
        return false;
    }
    *value = typed;
    return true;
}

/* Two or four digits at t; -1 when they are not digits. */
static int date_digits(const char *t, int n)
{
    int value = 0;
    for (int i = 0; i < n; i++) {
        if (t[i] < '0' || t[i] > '9')
            return -1;
        value = value * 10 + (t[i] - '0');
    }
    return value;
}

static int month_length(int year, int month)
{
    static const int lengths[] = { 31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31 };
    bool leap = (year % 4 == 0 && year % 100 != 0) || year % 400 == 0;
    return month == 2 && leap ? 29 : lengths[month - 1];
}

/* Days since 1970-01-01 in the Gregorian calendar. Source: Hinnant, "chrono-compatible low-level date algorithms". */
static long days_since_1970(int year, int month, int day)
{
    long y = month <= 2 ? year - 1 : year;
    long era = y / 400, year_of_era = y - era * 400;
    long day_of_year = (153 * (month + (month > 2 ? -3 : 9)) + 2) / 5 + day - 1;
    long day_of_era = year_of_era * 365 + year_of_era / 4 - year_of_era / 100 + day_of_year;
    return era * 146097 + day_of_era - 719468;
}

/* NULL when the date is good. */
static const char *date_parse(const struct cell *cell, long *days)
{
    const char *t = cell->text;
    if (cell->length != 10 || t[4] != '-' || t[7] != '-')
        return "is not a date: write year-month-day, as in 2024-02-29";
    int year = date_digits(t, 4), month = date_digits(t + 5, 2), day = date_digits(t + 8, 2);
    if (year < 0 || month < 0 || day < 0)
        return "is not a date: write year-month-day, as in 2024-02-29";
    if (year < 1900 || year > 2199)
        return "is not a likely date: the year must be 1900 to 2199";
    if (month < 1 || month > 12 || day < 1 || day > month_length(year, month))
        return "is not in the calendar: write year-month-day, as in 2024-02-29";
    *days = days_since_1970(year, month, day);
    return NULL;
}

bool cell_date(const struct row *row, const struct column_binding *binding, long *days,
               struct problem_list *problems)
{
    const struct cell *cell = bound_cell(row, binding);
    *days = LONG_MIN;
    if (!cell || cell_is_missing(cell))
        return true;
    const char *reason = date_parse(cell, days);
    if (!reason)
        return true;
    struct place place = cell_place(row, binding);
    problem_list_add(problems, SEVERITY_ERROR, STATUS_INPUT, &place, "'%.*s' %s", (int)utf8_cut(cell->text, SHOWN_LENGTH), cell->text, reason);
    return false;
}

const char *cell_text(const struct row *row, const struct column_binding *binding)
{
    const struct cell *cell = bound_cell(row, binding);
    return cell ? cell->text : "";
}

static bool cell_has_break(const struct cell *cell)
{
    return memchr(cell->text, '\n', cell->length) || memchr(cell->text, '\r', cell->length);
}

static const struct column_binding *free_text_binding(const struct column_rule *rules, size_t n_rules,
                                                      const struct column_binding *bindings, size_t column)
{
    for (size_t i = 0; i < n_rules; i++)
        if (bindings[i].index == (long)column && rules[i].free_text)
            return &bindings[i];
    return NULL;
}

bool row_check_breaks(const struct row *row, const struct column_rule *rules, size_t n_rules,
                      const struct column_binding *bindings, struct problem_list *problems)
{
    bool good = true;
    for (size_t i = 0; row->has_breaks && i < row->n_cells; i++) {
        if (!cell_has_break(&row->cells[i]) || free_text_binding(rules, n_rules, bindings, i))
            continue;
        const char *column = NULL;
        for (size_t r = 0; r < n_rules && !column; r++)
            if (bindings[r].index == (long)i)
                column = bindings[r].heading;
        struct place place = { row->path, row->cells[i].line, column };
        problem_list_add(problems, SEVERITY_ERROR, STATUS_INPUT, &place,
                         "a line break stands in the quoted cell that opens here%s: is its closing quote missing?",
                         column ? "" : " (in a column that is not used)");
        good = false;
    }
    return good;
}
