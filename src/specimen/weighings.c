#include "specimen/weighings.h"

#include "base/memory.h"
#include "base/utf8.h"
#include "specimen/file_rules.h"
#include "specimen/quantity.h"
#include "specimen/recipe_file.h"

#include <limits.h>
#include <math.h>
#include <string.h>

enum { RULE_SPECIMEN, RULE_WEIGHED_ON, RULE_HOURS, RULE_DAYS, RULE_MASS, RULE_DRIED_IN, RULE_NOTE, RULE_COUNT };

const struct column_rule weighing_rules[RULE_COUNT] = {
    [RULE_SPECIMEN] = { "specimen", CELL_TEXT, NULL, false, false },
    [RULE_WEIGHED_ON] = { "weighed_on", CELL_DATE, NULL, false, false },
    [RULE_HOURS] = { "hours", CELL_NUMBER, NULL, false, false },
    [RULE_DAYS] = { "days", CELL_NUMBER, NULL, false, false },
    [RULE_MASS] = { "mass", CELL_NUMBER, units_mass, false, false },
    [RULE_DRIED_IN] = { "dried_in", CELL_TEXT, NULL, false, false },
    [RULE_NOTE] = { "note", CELL_TEXT, NULL, false, true },
};

const size_t n_weighing_rules = RULE_COUNT;

static bool add_error(const struct recipe_file *file, const struct row *row, size_t rule, const char *text)
{
    struct place place = { row->path, row->line, file->bindings[rule].heading };
    problem_list_add(file->problems, SEVERITY_ERROR, STATUS_INPUT, &place, "%s", text);
    return false;
}

/* A file needs its masses and one kind of time, which shows at the first row. */
static bool check_columns(const struct recipe_file *file, const struct row *row)
{
    struct place place = { row->path, 1, NULL };
    int n_times = 0;
    for (size_t rule = RULE_WEIGHED_ON; rule <= RULE_DAYS; rule++)
        n_times += file->bindings[rule].index >= 0;
    if (file->bindings[RULE_MASS].index < 0)
        problem_list_add(file->problems, SEVERITY_ERROR, STATUS_INPUT, &place, "no column is 'mass', with its unit, as in mass_g");
    if (n_times != 1)
        problem_list_add(file->problems, SEVERITY_ERROR, STATUS_INPUT, &place,
                         n_times ? "more than one column tells the time: keep one of weighed_on, hours, days"
                                 : "no column tells the time: add weighed_on (dates), hours or days");
    return n_times == 1 && file->bindings[RULE_MASS].index >= 0;
}

static bool take_time(struct recipe_file *file, const struct row *row, double *hours)
{
    static const struct recipe_range any = { -1e7, 1e7 };
    long day = LONG_MIN;
    size_t rule = RULE_WEIGHED_ON;
    while (file->bindings[rule].index < 0)
        rule++;
    bool good = rule == RULE_WEIGHED_ON ? cell_date(row, &file->bindings[rule], &day, file->problems)
                                        : recipe_number(file, row, rule, any, hours);
    if (!good)
        return false;
    if (rule == RULE_WEIGHED_ON)
        *hours = day == LONG_MIN ? NAN : 24.0 * (double)day;
    else if (rule == RULE_DAYS)
        *hours *= 24;
    return !isnan(*hours) || add_error(file, row, rule, "is empty: when was it weighed?");
}

static bool take_mass(struct recipe_file *file, const struct row *row, double *mass_kg)
{
    if (!cell_number(row, &file->bindings[RULE_MASS], &file->dialect, mass_kg, file->problems))
        return false;
    if (isnan(*mass_kg))
        return add_error(file, row, RULE_MASS, "is empty: a weighing has a mass");
    return *mass_kg > 0 || add_error(file, row, RULE_MASS, "is not above zero");
}

static bool take_place(struct recipe_file *file, const struct row *row, enum drying_place *place)
{
    const char *word = cell_text(row, &file->bindings[RULE_DRIED_IN]);
    *place = heading_same(word, "oven") ? DRYING_PLACE_OVEN : heading_same(word, "air") ? DRYING_PLACE_AIR : DRYING_PLACE_UNKNOWN;
    return word[0] == '\0' || *place != DRYING_PLACE_UNKNOWN
        || add_error(file, row, RULE_DRIED_IN, "is neither 'oven' nor 'air'");
}

/* The series of a name, the one used last looked at first; NULL when memory is out. */
static struct weighing_series *series_of(struct weighing_list *list, const char *name, size_t line)
{
    for (size_t i = list->n_series; i-- > 0;)
        if (strcmp(list->series[i].specimen, name) == 0)
            return &list->series[i];
    void *series = list->series;
    char *copy = memory_text(name, strlen(name));
    if (!copy || !memory_reserve(&series, &list->capacity, list->n_series + 1, sizeof *list->series)) {
        memory_free(copy);
        return NULL;
    }
    list->series = series;
    list->series[list->n_series] = (struct weighing_series){ .specimen = copy, .line = line };
    return &list->series[list->n_series++];
}

static bool reserve_weighing(struct weighing_series *series)
{
    void *items = series->items, *lines = series->lines;
    size_t capacity = series->capacity;
    bool good = memory_reserve(&items, &series->capacity, series->n_items + 1, sizeof *series->items)
        && memory_reserve(&lines, &capacity, series->n_items + 1, sizeof *series->lines);
    series->items = items;
    series->lines = lines;
    return good;
}

/* Puts a weighing where its time belongs. False after a problem: weighed twice at one time. */
static bool insert_weighing(struct recipe_file *file, const struct row *row, struct weighing_series *series, struct weighing weighing)
{
    size_t at = series->n_items;
    while (at > 0 && series->items[at - 1].hours > weighing.hours)
        at--;
    if (at > 0 && series->items[at - 1].hours == weighing.hours) {
        struct place place = { row->path, row->line, NULL };
        problem_list_add(file->problems, SEVERITY_ERROR, STATUS_INPUT, &place, "'%.*s' was weighed at this time already, on line %zu",
                         (int)utf8_cut(series->specimen, 60), series->specimen, series->lines[at - 1]);
        return false;
    }
    memmove(series->items + at + 1, series->items + at, (series->n_items - at) * sizeof *series->items);
    memmove(series->lines + at + 1, series->lines + at, (series->n_items - at) * sizeof *series->lines);
    series->items[at] = weighing;
    series->lines[at] = row->line;
    series->n_items++;
    return true;
}

static enum status take_weighing(struct recipe_file *file, const struct row *row, void *context)
{
    struct weighing_list *list = context;
    struct weighing weighing = { NAN, NAN };
    enum drying_place place;
    const char *name = cell_text(row, &file->bindings[RULE_SPECIMEN]);
    if (!check_columns(file, row))
        return STATUS_INPUT;
    list->us_units = file->bindings[RULE_MASS].unit->us;
    bool good = name[0] != '\0' || add_error(file, row, RULE_SPECIMEN, "is empty: which specimen was weighed?");
    good = take_time(file, row, &weighing.hours) && good;
    good = take_mass(file, row, &weighing.mass_kg) && good;
    good = take_place(file, row, &place) && good;
    if (!good)
        return STATUS_OK;
    struct weighing_series *series = series_of(list, name, row->line);
    if (!series || !reserve_weighing(series))
        return recipe_memory_out(file, row);
    if (series->place != DRYING_PLACE_UNKNOWN && place != DRYING_PLACE_UNKNOWN && series->place != place)
        (void)add_error(file, row, RULE_DRIED_IN, "is not what an earlier row of this specimen says: keep one, or name the specimen anew");
    if (place != DRYING_PLACE_UNKNOWN)
        series->place = place;
    (void)insert_weighing(file, row, series, weighing); /* its problem is counted with the others */
    return STATUS_OK;
}

enum status weighing_list_read(const char *path, struct weighing_list *list, struct problem_list *problems)
{
    struct recipe_file file = { .path = path, .rules = weighing_rules, .n_rules = RULE_COUNT, .required = RULE_SPECIMEN,
                                .problems = problems, .take = take_weighing, .list = list };
    *list = (struct weighing_list){ 0 };
    enum status status = recipe_file_read(&file, &list->path);
    if (status != STATUS_OK)
        weighing_list_release(list);
    return status;
}

void weighing_list_release(struct weighing_list *list)
{
    for (size_t i = 0; i < list->n_series; i++) {
        memory_free(list->series[i].specimen);
        memory_free(list->series[i].items);
        memory_free(list->series[i].lines);
    }
    memory_free(list->series);
    memory_free(list->path);
    *list = (struct weighing_list){ 0 };
}
