/* How derived specimens become rows of a set: one by one, or all those of a block. */
#include "specimen/set_entry.h"
#include "specimen/specimen_block.h"

#include <limits.h>
#include <math.h>
#include <string.h>

/* The next n rows of the set, lines below one another, as far as rows that enter after them are compared with them. Returns the first one's index. */
static size_t add_rows(const struct entry *entry, size_t line, const uint16_t *flags, size_t n)
{
    struct specimen_set *set = entry->set;
    const size_t first = set->n;
    set_places_add(set, &(struct set_run){ (uint32_t)first, (uint32_t)n, (uint32_t)line, entry->file });
    for (size_t i = 0; i < n; i++) {
        set->flags[first + i] = flags[i];
        set->batch[first + i] = entry->batch;
    }
    for (size_t i = 0; set->kind && i < n; i++)
        set->kind[first + i] = (uint16_t)entry->kind;
    set->n += n;
    set->mixes[entry->mix].n_specimens += (uint32_t)n;
    return first;
}

/* The first row's age and state are those of all until one differs. */
static void share(struct specimen_set *set, double age_days, enum moisture moisture)
{
    set->has_one_age = true;
    set->one_age_days = age_days;
    set->one_moisture = moisture;
}

/* ---- one specimen ---- */

/* To the last bit: -0 is not 0. */
static bool age_identical(double a_days, double b_days)
{
    return memcmp(&a_days, &b_days, sizeof a_days) == 0 || (isnan(a_days) && isnan(b_days));
}

/* What rows share until they differ. */
static bool need_shared(const struct entry *entry, const struct specimen *specimen)
{
    struct specimen_set *set = entry->set;
    const bool date_shared = entry->batch == NOT_KNOWN || set->batches[entry->batch].cast_on == specimen_cast_on_kept(specimen);
    if (set->n == 0)
        share(set, specimen->age_days, specimen->moisture);
    return (set->age_days || age_identical(specimen->age_days, set->one_age_days) || set_need_doubles(set, &set->age_days, set->one_age_days))
        && (set->moisture || specimen->moisture == set->one_moisture || set_need_bytes(set, &set->moisture, (uint8_t)set->one_moisture))
        && (set->cast_on || date_shared || set_need_dates(set));
}

/* Columns that this specimen is the first to need. */
static bool need_columns(const struct entry *entry, const struct specimen *specimen)
{
    struct specimen_set *set = entry->set;
    for (size_t p = 0; p < PROPERTY_COUNT; p++)
        if (!set->value[p] && !isnan(specimen->value[p]) && !set_need_doubles(set, &set->value[p], NAN))
            return false;
    for (size_t f = 0; f < FURTHER_COUNT; f++)
        if (!set->further[f] && !isnan(specimen->further[f]) && !set_need_doubles(set, &set->further[f], NAN))
            return false;
    return need_shared(entry, specimen) && (set->result || specimen->result == RESULT_NONE || set_need_bytes(set, &set->result, RESULT_NONE));
}

static void fill_row(struct specimen_set *set, const struct specimen *specimen, const struct entry *entry)
{
    const uint16_t flags = (uint16_t)specimen->flags;
    const size_t i = add_rows(entry, specimen->line, &flags, 1);
    if (set->result)
        set->result[i] = (uint8_t)specimen->result;
    for (size_t p = 0; p < PROPERTY_COUNT; p++)
        if (set->value[p])
            set->value[p][i] = specimen->value[p];
    for (size_t f = 0; f < FURTHER_COUNT; f++)
        if (set->further[f])
            set->further[f][i] = specimen->further[f];
    if (set->age_days)
        set->age_days[i] = specimen->age_days;
    if (set->moisture)
        set->moisture[i] = (uint8_t)specimen->moisture;
    if (set->cast_on)
        set->cast_on[i] = specimen_cast_on_kept(specimen);
}

enum status set_enter(struct specimen_set *set, const struct specimen *specimen, uint32_t file, const struct mix_list *mixes,
                      struct problem_list *problems)
{
    const struct row_names names = { specimen->path, specimen->line, specimen->id, specimen->mix, specimen->batch, specimen->aggregate,
                                     specimen->aggregate_fraction };
    struct entry entry = { .set = set, .problems = problems, .file = file };
    entry_begin(&entry, &names);
    entry.id_mark = id_mark_of(specimen->id);
    entry.cast_on = specimen_cast_on_kept(specimen);
    entry_look_up_id(&entry);
    entry_look_up_group(&entry, mixes);
    if (entry.clash)
        return STATUS_INPUT;
    if (!set_reserve_rows(set, 1) || !need_columns(&entry, specimen) || !set_reserve_groups(set, 1)
        || !entry_enter_group(&entry, specimen_kind_of(specimen)) || !entry_enter_id(&entry))
        return STATUS_MEMORY;
    fill_row(set, specimen, &entry);
    return STATUS_OK;
}

/* ---- a block ---- */

/* Rows of a block that entered a set, and where they begin in both. */
struct block_part {
    struct specimen_set *set;
    const struct specimen_block *block;
    size_t from, first_row, n;
};

static bool any_number(const double *values, size_t n)
{
    for (size_t i = 0; i < n; i++)
        if (!isnan(values[i]))
            return true;
    return false;
}

/* Whether n values of some size are all this one: the first is, and each is as the one before it. */
static bool all_are(const void *values, size_t size, size_t n, const void *this)
{
    return n == 0 || (memcmp(values, this, size) == 0 && memcmp(values, (const char *)values + size, (n - 1) * size) == 0);
}

/* A column that only rows which did not enter would need is not made. */
static bool fill_numbers(const struct block_part *part, double **to, const struct block_numbers *columns, size_t c)
{
    const bool used = columns->used & (1u << c);
    const double *from = columns->at[c] + part->from;
    if (!*to && (!used || !any_number(from, part->n)))
        return true;
    if (!*to && !set_need_doubles(part->set, to, NAN))
        return false;
    if (used) /* NOLINTNEXTLINE(clang-analyzer-core.NonNullParamChecker): made just now if it was not there */
        memcpy(*to + part->first_row, from, part->n * sizeof **to);
    for (size_t i = 0; !used && i < part->n; i++)
        (*to)[part->first_row + i] = NAN;
    return true;
}

/* A column of bytes that are all `shared` in the rows before, as long as it is not made. */
static bool fill_bytes(const struct block_part *part, uint8_t **to, const uint8_t *column, uint8_t shared)
{
    const uint8_t *from = column + part->from;
    if (!*to && all_are(from, sizeof shared, part->n, &shared))
        return true;
    if (!*to && !set_need_bytes(part->set, to, shared))
        return false;
    memcpy(*to + part->first_row, from, part->n * sizeof *from);
    return true;
}

/* Ages of rows of a block; NULL: none is given. */
static bool are_of_age(const double *ages, size_t n, double age_days)
{
    if (isnan(age_days))
        return !ages || !any_number(ages, n);
    return ages && all_are(ages, sizeof *ages, n, &age_days);
}

static bool fill_ages(const struct block_part *part, const double *from)
{
    struct specimen_set *set = part->set;
    if (!set->age_days && are_of_age(from, part->n, set->one_age_days))
        return true;
    return (set->age_days || set_need_doubles(set, &set->age_days, set->one_age_days))
        && fill_numbers(part, &set->age_days, &part->block->age_days, 0);
}

static bool fill_ages_and_moistures(const struct block_part *part)
{
    struct specimen_set *set = part->set;
    const struct block_numbers *ages = &part->block->age_days;
    const uint8_t *moisture = part->block->moisture;
    const double *from = ages->used ? ages->at[0] + part->from : NULL;
    if (part->first_row == 0)
        share(set, from ? from[0] : NAN, (enum moisture)moisture[part->from]);
    return fill_bytes(part, &set->moisture, moisture, (uint8_t)set->one_moisture) && fill_ages(part, from);
}

static bool are_of_batches(const struct specimen_set *set, const int32_t *dates, size_t first_row, size_t n)
{
    for (size_t i = 0; i < n; i++)
        if (dates[i] != set->batches[set->batch[first_row + i]].cast_on)
            return false;
    return true;
}

static bool fill_dates(const struct block_part *part)
{
    struct specimen_set *set = part->set;
    const int32_t *from = part->block->cast_on + part->from;
    if (!set->cast_on && are_of_batches(set, from, part->first_row, part->n))
        return true;
    if (!set->cast_on && !set_need_dates(set))
        return false;
    memcpy(set->cast_on + part->first_row, from, part->n * sizeof *from);
    return true;
}

/* What no row that enters after them is compared with. */
static bool fill_columns(const struct block_part *part)
{
    struct specimen_set *set = part->set;
    const struct specimen_block *block = part->block;
    bool good = fill_ages_and_moistures(part) && fill_dates(part)
        && fill_bytes(part, &set->result, block->result, RESULT_NONE);
    for (size_t p = 0; good && p < PROPERTY_COUNT; p++)
        good = fill_numbers(part, &set->value[p], &block->value, p);
    for (size_t f = 0; good && f < FURTHER_COUNT; f++)
        good = fill_numbers(part, &set->further[f], &block->further, f);
    return good;
}

/* Rows of a block on their way in. */
struct block_entry {
    const struct specimen_block *block;
    struct place first;          /* of the block */
    const struct mix_list *mixes;
    bool ids_new;                /* none of the ids can be known to the set, nor be like one that is */
    struct problem_list found;
    struct entry entry;          /* of the group at hand */
};

/* So many rows ahead the look-up of an id is announced: the table of a long file lies in slow memory. */
#define ROWS_AHEAD 8

/* Looks the id of a row up, and enters it when there is nothing to say. False when memory is out. */
static bool enter_one_id(struct block_entry *run, size_t i)
{
    struct entry *entry = &run->entry;
    const struct specimen_block *block = run->block;
    if (i + ROWS_AHEAD < block->n)
        id_expect(&entry->set->store->id_index, &block->id_mark[i + ROWS_AHEAD]);
    entry->names.line = run->first.line + i;
    entry->names.id = block->ids + block->id_at[i];
    entry->id_mark = block->id_mark[i];
    entry_look_up_id(entry);
    return run->found.n_items > 0 || entry_enter_id(entry);
}

/* Enters the rows of a group from *i on; stops at one about which there is something to say. */
static bool enter_group_rows(struct block_entry *run, size_t g, size_t *i)
{
    struct entry *entry = &run->entry;
    const struct block_group *group = &run->block->groups[g];
    const size_t end = g + 1 < run->block->n_groups ? group[1].first : run->block->n;
    const struct row_names names = { run->first.path, run->first.line + *i, "", group->mix, group->batch, group->aggregate,
                                     group->aggregate_fraction };
    bool entered = false;
    entry_begin(entry, &names);
    entry_look_up_group(entry, run->mixes);
    for (size_t n = 1; *i < end && run->found.n_items == 0; *i += n) {
        if (run->ids_new)
            n = end - *i;
        else if (!enter_one_id(run, *i))
            return false;
        if (run->found.n_items > 0)
            break;
        if (!entered) {
            entry->cast_on = run->block->cast_on[*i];
            if (!entry_enter_group(entry, group->kind))
                return false;
            entered = true;
        }
        (void)add_rows(entry, run->first.line + *i, run->block->flags + *i, n);
    }
    return true;
}

/* The group that a row is of. */
static size_t group_of(const struct specimen_block *block, size_t row)
{
    size_t from = 0, to = block->n_groups; /* the last group that does not begin behind the row is before `to` */
    while (from < to) {
        const size_t middle = from + (to - from) / 2;
        if (block->groups[middle].first <= row)
            from = middle + 1;
        else
            to = middle;
    }
    return to - 1;
}

enum status set_enter_block(struct specimen_set *set, const struct specimen_block *block, size_t *from, struct place first, uint32_t file,
                            const struct mix_list *mixes)
{
    const size_t begin = *from, first_row = set->n, g = group_of(block, begin);
    struct block_entry run = { .block = block, .first = first, .mixes = mixes };
    run.entry = (struct entry){ .set = set, .problems = &run.found, .file = file };
    run.ids_new = block->ids_count_up && name_index_is_below(&set->store->id_index, block->id_mark[begin].number);
    bool good = set_reserve_rows(set, block->n - begin) && set_reserve_groups(set, block->n_groups - g);
    for (size_t i = g; good && run.found.n_items == 0 && i < block->n_groups; i++)
        good = enter_group_rows(&run, i, from);
    if (good && *from > begin)
        good = fill_columns(&(struct block_part){ set, block, begin, first_row, *from - begin })
            && (!run.ids_new || ids_enter_run(set, block->id_mark[begin].number.number, *from - begin, first_row));
    problem_list_release(&run.found);
    return good ? STATUS_OK : STATUS_MEMORY;
}
