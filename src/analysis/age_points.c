#include "analysis/age_points.h"

#include "analysis/row_filter.h"
#include "analysis/states.h"
#include "base/memory.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* No two rows are level but equal ones, so that neither their order nor the way of sorting shows in a sum. */
static int by_mix_batch_age(const void *left, const void *right)
{
    const struct age_row *a = left, *b = right;
    if (a->mix != b->mix)
        return a->mix < b->mix ? -1 : 1;
    if (a->batch != b->batch)
        return a->batch < b->batch ? -1 : 1;
    if (a->age_days != b->age_days)
        return a->age_days < b->age_days ? -1 : 1;
    return (a->value > b->value) - (a->value < b->value);
}

static size_t gather(const struct row_filter *filter, struct age_row *rows)
{
    const struct specimen_set *set = filter->set;
    size_t n = 0;
    for (size_t i = 0; i < set->n; i++)
        if (!isnan(filter->value[i]) && specimen_set_age(set, i) > 0 && row_filter_passes(filter, i)
            && selection_wants(filter->selection, set->aggregates[set->mixes[specimen_set_mix(set, i)].aggregate]))
            rows[n++] = (struct age_row){ specimen_set_mix(set, i), set->batch[i], specimen_set_age(set, i), filter->value[i] };
    qsort(rows, n, sizeof *rows, by_mix_batch_age);
    return n;
}

static size_t count_ages(const struct age_points *points)
{
    struct age_list ages = { 0 };
    for (size_t i = 0; i < points->n_points; i++)
        age_list_add(&ages, points->age_days[i], 1);
    return age_list_kinds(&ages);
}

/* Means of the rows of one mix, which stand together. */
static void make_points(const struct age_row *rows, size_t n, struct age_points *points)
{
    points->n_specimens = n;
    for (size_t i = 0, end; i < n; i = end) {
        double sum = 0;
        for (end = i; end < n && rows[end].batch == rows[i].batch && age_same(rows[end].age_days, rows[i].age_days); end++)
            sum += rows[end].value;
        points->age_days[points->n_points] = rows[i].age_days;
        points->batch[points->n_points] = rows[i].batch;
        points->n_results[points->n_points] = end - i;
        points->value[points->n_points++] = sum / (double)(end - i);
        points->n_batches += i == 0 || rows[i].batch != rows[i - 1].batch;
    }
    points->n_ages = count_ages(points);
}

static void split_by_mix(const struct age_row *rows, size_t n, struct age_table *table)
{
    size_t used = 0;
    for (size_t i = 0, end; i < n; i = end) {
        for (end = i; end < n && rows[end].mix == rows[i].mix;)
            end++;
        struct age_points *points = &table->mixes[table->n_mixes];
        *points = (struct age_points){ .mix = rows[i].mix, .age_days = table->age_days + used, .value = table->value + used,
                                        .batch = table->batch + used, .n_results = table->n_results + used };
        make_points(rows + i, end - i, points);
        if (points->n_ages < 2) {
            table->n_single++;
            continue;
        }
        used += points->n_points;
        table->n_mixes++;
    }
}

enum status age_table_make(const struct specimen_set *set, const struct selection *selection, enum property property,
                           struct age_table *table, struct problem_list *problems)
{
    struct selection any_age = *selection;
    memset(table, 0, sizeof *table);
    if (!set->value[property])
        return STATUS_OK;
    any_age.age_days = NAN;
    if (!selection->settled && settle_property(set, &any_age, property, problems) != STATUS_OK)
        return STATUS_MEMORY;
    table->rows = memory_new(set->n, sizeof *table->rows);
    table->age_days = memory_new(set->n, sizeof *table->age_days);
    table->value = memory_new(set->n, sizeof *table->value);
    table->batch = memory_new(set->n, sizeof *table->batch);
    table->n_results = memory_new(set->n, sizeof *table->n_results);
    table->mixes = memory_new(set->n_mixes + 1, sizeof *table->mixes);
    if (!table->rows || !table->age_days || !table->value || !table->batch || !table->n_results || !table->mixes) {
        age_table_release(table);
        return STATUS_MEMORY;
    }
    const struct row_filter filter = row_filter_of(set, &any_age, property);
    split_by_mix(table->rows, gather(&filter, table->rows), table);
    return STATUS_OK;
}

void age_table_release(struct age_table *table)
{
    memory_free(table->rows);
    memory_free(table->age_days);
    memory_free(table->value);
    memory_free(table->batch);
    memory_free(table->n_results);
    memory_free(table->mixes);
    memset(table, 0, sizeof *table);
}
