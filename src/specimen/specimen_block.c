#include "specimen/specimen_block.h"

#include "base/memory.h"

#include <limits.h>
#include <math.h>
#include <string.h>

struct specimen_block *specimen_block_new(void)
{
    struct specimen_block *block = memory_resize(NULL, 1, sizeof *block); /* not zeroed, for then all pages would be touched */
    if (block)
        specimen_block_clear(block);
    return block;
}

void specimen_block_clear(struct specimen_block *block)
{
    block->n = block->n_groups = block->ids_length = 0;
    block->value.used = block->further.used = block->age_days.used = 0;
}

static void add_id(struct specimen_block *block, size_t i, const char *id)
{
    const size_t size = strlen(id) + 1;
    const struct id_mark mark = id_mark_of(id);
    const bool is_number = mark.number.number != NOT_KNOWN && !mark.number.has_blanks;
    block->ids_count_up = is_number && (i == 0 || (block->ids_count_up && mark.number.number == block->id_mark[i - 1].number.number + 1));
    block->id_mark[i] = mark;
    block->id_at[i] = block->ids_length;
    memcpy(block->ids + block->ids_length, id, size);
    block->ids_length += (uint32_t)size;
}

/* Columns that no row above has a number in. */
static void use_columns(struct block_numbers *columns, size_t i, unsigned unused)
{
    columns->used |= unused;
    for (; unused != 0; unused &= unused - 1)
        for (size_t above = 0; above < i; above++)
            columns->at[__builtin_ctz(unused)][above] = NAN;
}

/* given: a bit for each of the values that is there. */
static void add_numbers(struct block_numbers *columns, size_t i, const double *values, unsigned given)
{
    if (given & ~columns->used)
        use_columns(columns, i, given & ~columns->used);
    for (unsigned used = columns->used; used != 0; used &= used - 1)
        columns->at[__builtin_ctz(used)][i] = values[__builtin_ctz(used)];
}

static bool number_same(double a, double b)
{
    return a == b || (isnan(a) && isnan(b));
}

/* Texts that stand at one address are one; a row without a batch is of no group. */
static bool is_of_group(const struct block_group *group, const struct specimen *specimen, struct specimen_kind kind)
{
    return group->mix == specimen->mix && group->batch == specimen->batch && group->aggregate == specimen->aggregate
        && number_same(group->aggregate_fraction, specimen->aggregate_fraction) && specimen->batch[0] && group->kind.shape == kind.shape
        && group->kind.loading == kind.loading && number_same(group->kind.size_mm, kind.size_mm);
}

void specimen_block_add(struct specimen_block *block, const struct specimen *specimen)
{
    const size_t i = block->n++;
    const struct block_group *above = block->n_groups > 0 ? &block->groups[block->n_groups - 1] : NULL;
    const struct specimen_kind kind = above ? specimen_kind_after(specimen, above->kind) : specimen_kind_of(specimen);
    if (!above || !is_of_group(above, specimen, kind))
        block->groups[block->n_groups++] = (struct block_group){ i, specimen->mix, specimen->batch, specimen->aggregate,
                                                                 specimen->aggregate_fraction, kind };
    add_id(block, i, specimen->id);
    block->moisture[i] = (uint8_t)specimen->moisture;
    block->result[i] = (uint8_t)specimen->result;
    block->flags[i] = (uint16_t)specimen->flags;
    block->cast_on[i] = specimen_cast_on_kept(specimen);
    add_numbers(&block->age_days, i, &specimen->age_days, isnan(specimen->age_days) ? 0u : 1u);
    add_numbers(&block->value, i, specimen->value, specimen->known);
    add_numbers(&block->further, i, specimen->further, specimen->further_known);
}
