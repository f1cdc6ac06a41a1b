#include "stats/ancova.h"

#include "base/memory.h"
#include "stats/compensated.h"
#include "stats/distribution.h"

#include <math.h>

/* Sums of one group, about the group's own means. */
struct group_line {
    size_t n;
    double first_x;
    bool x_varies;
    struct compensated x, y;       /* distances from the origin of all rows */
    double x_mean, y_mean;         /* likewise */
    struct compensated xx, xy, yy;
    double slope;                  /* NaN when x does not vary */
};

/* All groups (or all rows as one group), from an origin near all of them. */
struct lines {
    const struct ancova_data *data;
    bool as_one;
    double x_origin, y_origin;
    struct group_line *group;
    size_t n_groups;
};

static struct group_line *line_of(const struct lines *lines, size_t row)
{
    return &lines->group[lines->as_one ? 0 : lines->data->group[row]];
}

static void find_means(struct lines *lines)
{
    const struct ancova_data *data = lines->data;
    lines->x_origin = summary_sum(data->x, data->n_rows) / (double)data->n_rows;
    lines->y_origin = summary_sum(data->y, data->n_rows) / (double)data->n_rows;
    for (size_t i = 0; i < data->n_rows; i++) {
        struct group_line *line = line_of(lines, i);
        if (line->n++ == 0)
            line->first_x = data->x[i];
        line->x_varies |= data->x[i] != line->first_x;
        compensated_add(&line->x, data->x[i] - lines->x_origin);
        compensated_add(&line->y, data->y[i] - lines->y_origin);
    }
    for (size_t g = 0; g < lines->n_groups; g++) {
        struct group_line *line = &lines->group[g];
        line->x_mean = compensated_value(&line->x) / (double)line->n;
        line->y_mean = compensated_value(&line->y) / (double)line->n;
    }
}

static void find_slopes(struct lines *lines)
{
    const struct ancova_data *data = lines->data;
    for (size_t i = 0; i < data->n_rows; i++) {
        struct group_line *line = line_of(lines, i);
        double dx = data->x[i] - lines->x_origin - line->x_mean, dy = data->y[i] - lines->y_origin - line->y_mean;
        compensated_add(&line->xx, line->x_varies ? dx * dx : 0);
        compensated_add(&line->xy, line->x_varies ? dx * dy : 0);
        compensated_add(&line->yy, dy * dy);
    }
    for (size_t g = 0; g < lines->n_groups; g++) {
        struct group_line *line = &lines->group[g];
        line->slope = line->x_varies ? compensated_value(&line->xy) / compensated_value(&line->xx) : NAN;
    }
}

/* Squares about each group's own line, or about lines of this common slope (NaN: own). */
static double residual_squares(const struct lines *lines, double common_slope)
{
    const struct ancova_data *data = lines->data;
    struct compensated total = { 0, 0 };
    for (size_t i = 0; i < data->n_rows; i++) {
        const struct group_line *line = line_of(lines, i);
        double dx = data->x[i] - lines->x_origin - line->x_mean, dy = data->y[i] - lines->y_origin - line->y_mean;
        double slope = !isnan(common_slope) ? common_slope : line->x_varies ? line->slope : 0;
        double rest = dy - slope * dx;
        compensated_add(&total, rest * rest);
    }
    return compensated_value(&total);
}

static struct ancova_test make_test(double ss, double df1, double rest, double df2)
{
    struct ancova_test test = { NAN, df1, df2, NAN, ss };
    if (!(df1 > 0) || !(df2 > 0))
        return test;
    test.f = ss / df1 / (rest / df2);
    test.p = rest > 0 ? f_tail(test.f, df1, df2) : ss > 0 ? 0 : NAN;
    return test;
}

/* Squares the groups' own slopes take away from the common one. */
static double slope_squares(const struct lines *lines, double slope)
{
    double sum = 0;
    for (size_t g = 0; g < lines->n_groups; g++) {
        const struct group_line *line = &lines->group[g];
        if (line->x_varies)
            sum += compensated_value(&line->xx) * (line->slope - slope) * (line->slope - slope);
    }
    return sum;
}

static void describe_groups(const struct lines *lines, double within_xx, double own_variance, struct ancova *result)
{
    for (size_t g = 0; g < lines->n_groups; g++) {
        const struct group_line *line = &lines->group[g];
        double n = (double)line->n;
        result->group_n[g] = n;
        result->group_x_mean[g] = lines->x_origin + line->x_mean;
        result->group_slope[g] = line->slope;
        result->group_slope_std_error[g] = line->x_varies ? sqrt(own_variance / compensated_value(&line->xx)) : NAN;
        result->adjusted_mean[g] = lines->y_origin + line->y_mean - result->slope * line->x_mean;
        result->adjusted_std_error[g] =
            sqrt(result->residual_variance * (1 / n + line->x_mean * line->x_mean / within_xx));
    }
}

/* lines: by group; whole: all rows as one. Origins are the same for both. */
static enum status conclude(struct lines *lines, struct lines *whole, struct ancova *result, struct problem *problem)
{
    struct compensated xx = { 0, 0 }, xy = { 0, 0 };
    double n_groups = (double)lines->n_groups, n_rows = (double)lines->data->n_rows;
    for (size_t g = 0; g < lines->n_groups; g++) {
        compensated_add(&xx, compensated_value(&lines->group[g].xx));
        compensated_add(&xy, compensated_value(&lines->group[g].xy));
        result->n_sloped += lines->group[g].x_varies;
    }
    double within_xx = compensated_value(&xx), sloped = (double)result->n_sloped;
    result->df = n_rows - n_groups - 1;
    if (!(result->df > 0))
        return problem_set(problem, STATUS_TOO_FEW, NULL, "comparing lines needs more than %zu results, there are %zu",
                           lines->n_groups + 1, lines->data->n_rows);
    if (result->n_sloped == 0)
        return problem_set(problem, STATUS_NUMERIC, NULL, "the covariate does not vary within any group");
    result->slope = compensated_value(&xy) / within_xx;
    result->x_mean = lines->x_origin;
    double parallel = residual_squares(lines, result->slope);
    double one_line = residual_squares(whole, NAN), own_lines = residual_squares(lines, NAN);
    double df_own = n_rows - n_groups - sloped;
    result->residual_variance = parallel / result->df;
    result->slope_std_error = sqrt(result->residual_variance / within_xx);
    result->r_squared = 1 - parallel / compensated_value(&whole->group[0].yy);
    result->covariate = make_test(result->slope * result->slope * within_xx, 1, parallel, result->df);
    result->equal_intercepts = make_test(fmax(0, one_line - parallel), n_groups - 1, parallel, result->df);
    result->common_slope = make_test(slope_squares(lines, result->slope), sloped - 1, own_lines, df_own);
    result->coincidence = make_test(fmax(0, one_line - own_lines), n_groups + sloped - 2, own_lines, df_own);
    describe_groups(lines, within_xx, df_own > 0 ? own_lines / df_own : NAN, result);
    return STATUS_OK;
}

static enum status check_data(const struct ancova_data *data, struct problem *problem)
{
    if (data->n_groups < 2 || data->n_rows == 0)
        return problem_set(problem, STATUS_TOO_FEW, NULL, "comparing lines needs at least 2 groups");
    for (size_t i = 0; i < data->n_rows; i++)
        if (!isfinite(data->x[i]) || !isfinite(data->y[i]) || data->group[i] >= data->n_groups)
            return problem_set(problem, STATUS_NUMERIC, NULL, "a value is not a finite number or belongs to no group");
    return STATUS_OK;
}

static enum status check_groups(const struct lines *lines, struct problem *problem)
{
    const char *const *names = lines->data->group_names;
    for (size_t g = 0; g < lines->n_groups; g++)
        if (lines->group[g].n == 0)
            return problem_set(problem, STATUS_TOO_FEW, NULL, "group '%s' has no results", names ? names[g] : "?");
    return STATUS_OK;
}

static bool allocate(struct ancova *result, size_t n)
{
    double **arrays[] = { &result->group_n, &result->group_x_mean, &result->adjusted_mean,
                          &result->adjusted_std_error, &result->group_slope, &result->group_slope_std_error };
    bool all = true;
    for (size_t i = 0; i < sizeof arrays / sizeof *arrays; i++) {
        *arrays[i] = memory_new(n, sizeof **arrays[i]);
        all &= *arrays[i] != NULL;
    }
    return all;
}

enum status ancova_fit(const struct ancova_data *data, struct ancova *result, struct problem *problem)
{
    *result = (struct ancova){ .n_groups = data->n_groups };
    enum status status = check_data(data, problem);
    if (status != STATUS_OK)
        return status;
    struct lines lines = { .data = data, .n_groups = data->n_groups };
    struct lines whole = { .data = data, .n_groups = 1, .as_one = true };
    lines.group = memory_new(data->n_groups, sizeof *lines.group);
    whole.group = memory_new(1, sizeof *whole.group);
    if (!lines.group || !whole.group || !allocate(result, data->n_groups))
        status = problem_set(problem, STATUS_MEMORY, NULL, "no memory left to compare lines");
    if (status == STATUS_OK) {
        find_means(&lines);
        status = check_groups(&lines, problem);
    }
    if (status == STATUS_OK) {
        find_means(&whole);
        find_slopes(&lines);
        find_slopes(&whole);
        status = conclude(&lines, &whole, result, problem);
    }
    memory_free(lines.group);
    memory_free(whole.group);
    if (status != STATUS_OK)
        ancova_release(result);
    return status;
}

void ancova_release(struct ancova *result)
{
    memory_free(result->group_n);
    memory_free(result->group_x_mean);
    memory_free(result->adjusted_mean);
    memory_free(result->adjusted_std_error);
    memory_free(result->group_slope);
    memory_free(result->group_slope_std_error);
    *result = (struct ancova){ 0 };
}

enum status ancova_compare(const struct ancova *result, double confidence, struct comparison *comparisons)
{
    double within_xx = result->residual_variance / (result->slope_std_error * result->slope_std_error);
    size_t k = 0;
    for (size_t a = 1; a < result->n_groups; a++)
        for (size_t b = 0; b < a; b++, k++) {
            struct comparison *c = &comparisons[k];
            double shift = result->group_x_mean[a] - result->group_x_mean[b];
            double variance = 1 / result->group_n[a] + 1 / result->group_n[b] + shift * shift / within_xx;
            *c = (struct comparison){ .a = a, .b = b, .df = result->df };
            c->difference = result->adjusted_mean[a] - result->adjusted_mean[b];
            c->std_error = sqrt(result->residual_variance * variance);
            if (!(c->std_error > 0))
                return STATUS_NUMERIC;
            compare_as_pair(c, (double)result->n_groups, confidence);
        }
    return STATUS_OK;
}
