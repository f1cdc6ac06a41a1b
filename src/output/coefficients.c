#include "output/coefficients.h"

#include "base/number.h"

#include <math.h>
#include <stdio.h>

static void add_number_cell(struct table *table, double value, int digits)
{
    char cell[64];
    number_show_significant(value, digits, cell, sizeof cell);
    table_cell(table, cell);
}

void coefficients_start(struct coefficients_table *table, double confidence)
{
    *table = (struct coefficients_table){ 0 };
    snprintf(table->interval, sizeof table->interval, "%g %% interval", 100 * confidence);
    table_column(&table->table, "term", false);
    table_column(&table->table, "value", true);
    table_column(&table->table, table->interval, true);
    table_column(&table->table, "standard error", true);
    table_column(&table->table, "degrees of freedom", true);
    table_column(&table->table, "p", true);
}

void coefficients_add(struct coefficients_table *table, const struct coefficient_row *row)
{
    char lower[64], upper[64];
    number_show_significant(row->lower, 5, lower, sizeof lower);
    number_show_significant(row->upper, 5, upper, sizeof upper);
    table_cell(&table->table, row->name);
    add_number_cell(&table->table, row->estimate, 5);
    table_cellf(&table->table, "%s to %s", lower, upper);
    add_number_cell(&table->table, row->std_error, 3);
    add_number_cell(&table->table, row->df, 3);
    if (row->p < 0.0001)
        table_cell(&table->table, "< 0.0001");
    else
        add_number_cell(&table->table, row->p, 2);
}

void coefficients_show(struct coefficients_table *table, struct text *out)
{
    table_show(&table->table, out);
    table_release(&table->table);
}

void coefficients_put(struct json_build *build, json_t *array, const struct coefficient_row *row)
{
    json_t *object = json_append_object(build, array);
    json_put_text(build, object, "name", row->name);
    json_put_number(build, object, "estimate", row->estimate);
    json_put_number(build, object, "std_error", row->std_error);
    json_put_number(build, object, "df", row->df);
    json_put_number(build, object, "t", row->t);
    json_put_number(build, object, "p", row->p);
    json_put_number(build, object, "lower", row->lower);
    json_put_number(build, object, "upper", row->upper);
}

void coefficients_put_lack(struct json_build *build, json_t *fit, const struct lack_of_fit *lack)
{
    json_t *object = json_put_object(build, fit, "lack_of_fit");
    json_put_number(build, object, "f", lack->available ? lack->f : NAN);
    json_put_number(build, object, "df1", lack->available ? lack->df1 : NAN);
    json_put_number(build, object, "df2", lack->available ? lack->df2 : NAN);
    json_put_number(build, object, "p", lack->available ? lack->p : NAN);
}

void coefficients_say_lack(const struct lack_of_fit *lack, struct text *out)
{
    char f[64], p[64];
    if (!lack->available)
        return;
    number_show_significant(lack->f, 3, f, sizeof f);
    number_show_significant(lack->p, 2, p, sizeof p);
    text_addf(out, "lack of fit: F %s on %g and %g degrees of freedom, p %s\n", f, lack->df1, lack->df2, p);
}
