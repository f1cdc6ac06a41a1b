#include "output/coefficients.h"

#include "base/number.h"

#include <math.h>

static void add_number_cell(struct table *table, double value, int digits)
{
    char cell[64];
    number_show_significant(value, digits, cell, sizeof cell);
    table_cell(table, cell);
}

void coefficients_start(struct table *table)
{
    table_column(table, "coefficient", false);
    table_column(table, "estimate", true);
    table_column(table, "std. error", true);
    table_column(table, "df", true);
    table_column(table, "t", true);
    table_column(table, "p", true);
    table_column(table, "lower", true);
    table_column(table, "upper", true);
}

void coefficients_add(struct table *table, const struct coefficient_row *row)
{
    table_cell(table, row->name);
    add_number_cell(table, row->estimate, 5);
    add_number_cell(table, row->std_error, 3);
    add_number_cell(table, row->df, 3);
    add_number_cell(table, row->t, 3);
    if (row->p < 0.0001)
        table_cell(table, "< 0.0001");
    else
        add_number_cell(table, row->p, 2);
    add_number_cell(table, row->lower, 5);
    add_number_cell(table, row->upper, 5);
}

void coefficients_show(struct table *table, struct text *out)
{
    table_show(table, out);
    out->failed |= table->failed;
    table_release(table);
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
