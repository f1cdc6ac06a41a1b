#include "specimen/set_entry.h"

#include "base/memory.h"
#include "base/utf8.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* Fractions this near are one fraction: 30 % and 0.3 differ in the last bit. */
#define SAME_FRACTION 1e-6
/* A fraction typed in whole per cent may stand beside the exact one of the recipe. */
#define ROUNDED_FRACTION 0.0050001

/* What name_alike passes over. */
#define ALIKE "capitals, blanks or the coding of an accent"

void set_place_words(const struct specimen_set *set, struct set_place there, uint32_t here, char *out, size_t size)
{
    if (there.file == here)
        snprintf(out, size, "line %u", there.line);
    else
        snprintf(out, size, "%.100s:%u", set->paths[there.file], there.line);
}

static struct set_place place_of(const struct specimen_set *set, size_t i)
{
    return (struct set_place){ (uint32_t)specimen_set_file(set, i), (uint32_t)specimen_set_line(set, i) };
}

static void add_clash(struct entry *entry, enum severity severity, const char *column, const char *format,
                      const char *name, struct set_place there)
{
    char words[140];
    struct place place = { entry->names.path, entry->names.line, column };
    set_place_words(entry->set, there, entry->file, words, sizeof words);
    problem_list_add(entry->problems, severity, severity == SEVERITY_ERROR ? STATUS_INPUT : STATUS_OK, &place, format,
                     (int)utf8_cut(name, 60), name, words);
    entry->clash |= severity == SEVERITY_ERROR;
}

/* Numbers that start anew in each batch are the usual cause, and then the way out is one for all of them. */
static void add_twice(struct entry *entry, uint32_t first)
{
    const struct specimen_set *set = entry->set;
    const char *batch = entry->names.batch;
    bool told = batch[0] && !(set->flags[first] & FLAG_NO_BATCH);
    bool elsewhere = told && (strcmp(set->mixes[specimen_set_mix(set, first)].name, entry->mix_name) != 0
                              || !set_name_is(set->store, set->batches[set->batch[first]].name, batch, number_mark_of(batch)));
    add_clash(entry, SEVERITY_ERROR, "specimen",
              elsewhere ? "'%.*s' stands twice, first on %s in another batch: a name counts for the whole study, so put mix and batch before it, such as 'P1-2-3'"
                        : "'%.*s' stands twice, first on %s: give each specimen its own name",
              entry->names.id, place_of(set, first));
}

void entry_look_up_id(struct entry *entry)
{
    const struct specimen_set *set = entry->set;
    const char *id = entry->names.id;
    bool same;
    const uint32_t found = id_find(set, id, &entry->id_mark, &same);
    if (found != NOT_KNOWN && same)
        add_twice(entry, found);
    else if (found != NOT_KNOWN)
        add_clash(entry, SEVERITY_DOUBT, "specimen", "'%.*s' differs from the specimen on %s in " ALIKE " only", id,
                  place_of(set, found));
}

static void look_up_mix(struct entry *entry)
{
    const struct specimen_set *set = entry->set;
    uint32_t alike = NOT_KNOWN, i;
    if (set->n > 0 && strcmp(set->mixes[specimen_set_mix(set, set->n - 1)].name, entry->mix_name) == 0) { /* mostly the mix of the row before */
        entry->mix = specimen_set_mix(set, set->n - 1);
        return;
    }
    entry->mix_hash = name_hash(entry->mix_name, 0);
    for (size_t slot = entry->mix_hash; (i = name_table_next(&set->store->mix_table, entry->mix_hash, &slot)) != NOT_KNOWN;) {
        if (strcmp(set->mixes[i].name, entry->mix_name) == 0) {
            entry->mix = i;
            return;
        }
        if (name_alike(set->mixes[i].name, entry->mix_name))
            alike = i;
    }
    if (alike != NOT_KNOWN)
        add_clash(entry, SEVERITY_DOUBT, "mix", "'%.*s' differs from the mix on %s in " ALIKE " only", entry->mix_name,
                  set->store->mix_places[alike].first);
}

/* Whether a batch is the one that the row names, in the mix that it names. */
static bool is_batch(const struct entry *entry, uint32_t batch)
{
    const struct specimen_set *set = entry->set;
    return batch != NOT_KNOWN && set->batches[batch].mix == entry->mix
        && set_name_is(set->store, set->batches[batch].name, entry->names.batch, entry->batch_number);
}

static void look_up_batch(struct entry *entry)
{
    const struct specimen_set *set = entry->set;
    const struct name_index *index = &set->store->batch_index;
    const char *batch = entry->names.batch;
    if (!batch[0])
        return;
    entry->batch_number = number_mark_of(batch);
    if (entry->mix == NOT_KNOWN || name_index_is_below(index, entry->batch_number))
        return;
    uint32_t i = set->n > 0 ? set->batch[set->n - 1] : NOT_KNOWN; /* mostly that of the row before */
    if (!is_batch(entry, i))
        i = name_index_run(index, entry->batch_number.number);
    const uint32_t hash = name_hash(batch, entry->mix + 1);
    for (size_t slot = hash; !is_batch(entry, i);)
        if ((i = name_table_next(&index->others, hash, &slot)) == NOT_KNOWN)
            return;
    entry->batch = i;
}

/* A new aggregate that is an old one but for capitals is asked about. */
static void look_up_aggregate(struct entry *entry)
{
    const struct specimen_set *set = entry->set;
    struct place place = { entry->names.path, entry->names.line, "aggregate" };
    size_t alike = set->n_aggregates;
    if (!entry->aggregate[0] || (entry->mix != NOT_KNOWN && set->mixes[entry->mix].aggregate != NOT_KNOWN))
        return;
    for (size_t i = 0; i < set->n_aggregates; i++) {
        if (strcmp(set->aggregates[i], entry->aggregate) == 0)
            return;
        if (name_alike(set->aggregates[i], entry->aggregate))
            alike = i;
    }
    if (alike < set->n_aggregates)
        problem_list_add(entry->problems, SEVERITY_DOUBT, STATUS_OK, &place, "'%.60s' differs from the aggregate '%.60s' in " ALIKE " only",
                         entry->aggregate, set->aggregates[alike]);
}

/* Aggregate and fraction belong to the mix: all its rows must agree. */
static void check_mix(struct entry *entry)
{
    const struct specimen_set *set = entry->set;
    if (entry->mix == NOT_KNOWN)
        return;
    const struct set_mix *mix = &set->mixes[entry->mix];
    const struct mix_places *places = &set->store->mix_places[entry->mix];
    if (mix->aggregate != NOT_KNOWN && entry->aggregate[0] && strcmp(set->aggregates[mix->aggregate], entry->aggregate) != 0)
        add_clash(entry, SEVERITY_ERROR, "aggregate", "'%.*s' is not the aggregate that this mix has on %s: a mix has one aggregate",
                  entry->aggregate, places->aggregate);
    if (!isnan(mix->aggregate_fraction) && !isnan(entry->fraction) && fabs(mix->aggregate_fraction - entry->fraction) > SAME_FRACTION) {
        char shown[40];
        snprintf(shown, sizeof shown, "%.6g", entry->fraction);
        add_clash(entry, SEVERITY_ERROR, "aggregate_fraction", "'%.*s' is not the fraction that this mix has on %s: a mix has one fraction",
                  shown, places->fraction);
    }
}

static void add_recipe_error(struct entry *entry, const struct mix_list *mixes, const struct mix *mix, const char *column, const char *text)
{
    struct place place = { entry->names.path, entry->names.line, column };
    problem_list_add(entry->problems, SEVERITY_ERROR, STATUS_INPUT, &place, "%s (%.100s:%zu)", text, mixes->path, mix->line);
    entry->clash = true;
}

/* A slip in the name, or a recipe that was never written down. */
static void ask_about_recipe(struct entry *entry, const struct mix_list *mixes)
{
    const char *name = entry->names.mix;
    struct place place = { entry->names.path, entry->names.line, "mix" };
    char meant[100] = "";
    const char *near = entry->problems->n_doubts < PROBLEM_LIST_KEPT ? mix_list_nearest(mixes, name) : NULL; /* else not told */
    if (near)
        snprintf(meant, sizeof meant, ": was '%.*s' meant, or is its recipe missing?", (int)utf8_cut(near, 40), near);
    problem_list_add(entry->problems, SEVERITY_DOUBT, STATUS_OK, &place, "'%.*s' is not in %.100s%s",
                     (int)utf8_cut(name, 60), name, mixes->path, meant);
}

/* What the recipe says fills what the row leaves out, and must agree with what it says. */
static void consult_recipe(struct entry *entry, const struct mix_list *mixes)
{
    const struct row_names *names = &entry->names;
    const struct mix *mix = mixes && names->mix[0] ? mix_list_find(mixes, names->mix) : NULL;
    if (mixes && names->mix[0] && !mix && entry->mix == NOT_KNOWN)
        ask_about_recipe(entry, mixes);
    if (!mix)
        return;
    if (mix->aggregate[0] && names->aggregate[0] && strcmp(mix->aggregate, names->aggregate) != 0)
        add_recipe_error(entry, mixes, mix, "aggregate", "is not the aggregate of the recipe");
    else if (mix->aggregate[0])
        entry->aggregate = mix->aggregate;
    double fraction = mix_aggregate_fraction(mix);
    if (isnan(fraction))
        return;
    if (!isnan(entry->fraction) && fabs(fraction - entry->fraction) > ROUNDED_FRACTION) {
        char text[120];
        snprintf(text, sizeof text, "'%.4g' is not the fraction of the recipe, %.4g", entry->fraction, fraction);
        add_recipe_error(entry, mixes, mix, "aggregate_fraction", text);
    }
    entry->fraction = fraction;
}

/* A row without mix belongs to the mix of its aggregate and fraction. */
static void name_mix(const struct row_names *names, char *out, size_t size)
{
    const char *aggregate = names->aggregate;
    if (isnan(names->aggregate_fraction))
        snprintf(out, size, "%s", aggregate[0] ? aggregate : "all");
    else
        snprintf(out, size, "%s%s%.6g %%", aggregate, aggregate[0] ? " " : "", names->aggregate_fraction * 100);
}

static bool enter_mix(struct entry *entry)
{
    struct specimen_set *set = entry->set;
    struct set_store *store = set->store;
    struct set_place here = { entry->file, (uint32_t)entry->names.line };
    if (entry->mix == NOT_KNOWN) {
        const char *name = set_keep_text(store, entry->mix_name);
        if (!name)
            return false;
        entry->mix = (uint32_t)set->n_mixes++;
        set->mixes[entry->mix] = (struct set_mix){ .name = name, .aggregate = NOT_KNOWN, .aggregate_fraction = NAN };
        store->mix_places[entry->mix].first = here;
        name_table_add(&store->mix_table, entry->mix_hash, entry->mix);
    }
    struct set_mix *mix = &set->mixes[entry->mix];
    if (mix->aggregate == NOT_KNOWN && entry->aggregate[0]) {
        mix->aggregate = set_aggregate(set, entry->aggregate);
        store->mix_places[entry->mix].aggregate = here;
        if (mix->aggregate == NOT_KNOWN)
            return false;
    }
    if (isnan(mix->aggregate_fraction) && !isnan(entry->fraction)) {
        mix->aggregate_fraction = entry->fraction;
        store->mix_places[entry->mix].fraction = here;
    }
    return true;
}

static bool enter_batch(struct entry *entry)
{
    struct specimen_set *set = entry->set;
    const char *batch = entry->names.batch;
    if (entry->batch != NOT_KNOWN)
        return true;
    uint32_t name = NAME_NONE;
    if (batch[0] && !set_keep_name(set->store, batch, entry->batch_number, &name))
        return false;
    entry->batch = (uint32_t)set->n_batches++;
    set->batches[entry->batch] = (struct set_batch){ name, entry->mix, entry->cast_on };
    if (batch[0] && !name_index_add(&set->store->batch_index, entry->batch_number, entry->batch))
        name_table_add(&set->store->batch_index.others, name_hash(batch, entry->mix + 1), entry->batch);
    return true;
}

bool entry_enter_id(struct entry *entry)
{
    return id_enter(entry->set, entry->names.id, &entry->id_mark, entry->names.line);
}

void entry_look_up_group(struct entry *entry, const struct mix_list *mixes)
{
    look_up_mix(entry);
    consult_recipe(entry, mixes);
    check_mix(entry);
    look_up_aggregate(entry);
    look_up_batch(entry);
}

/* Rows of one kind mostly stand together. */
static bool enter_kind(struct entry *entry, struct specimen_kind kind)
{
    struct specimen_set *set = entry->set;
    if (set->n > 0 && specimen_kind_same(specimen_set_kind(set, set->n - 1), kind))
        entry->kind = (uint32_t)specimen_set_kind_index(set, set->n - 1);
    else
        entry->kind = set_kind(set, kind);
    return entry->kind != NOT_KNOWN;
}

bool entry_enter_group(struct entry *entry, struct specimen_kind kind)
{
    return enter_mix(entry) && enter_batch(entry) && enter_kind(entry, kind);
}

void entry_begin(struct entry *entry, const struct row_names *names)
{
    char *made_name = entry->set->store->made_name;
    entry->names = *names;
    entry->mix_name = names->mix;
    entry->aggregate = names->aggregate;
    entry->fraction = names->aggregate_fraction;
    entry->mix = entry->batch = NOT_KNOWN;
    entry->clash = false;
    if (names->mix[0])
        return;
    name_mix(names, made_name, sizeof entry->set->store->made_name);
    entry->mix_name = made_name;
}
