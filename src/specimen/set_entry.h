#ifndef SPECIMEN_SET_ENTRY_H
#define SPECIMEN_SET_ENTRY_H

#include "specimen/specimen_set_store.h"

/* Where a row stands and the names it goes by, "" when absent; its fraction, which is the mix's, NaN when absent. */
struct row_names {
    const char *path;
    size_t line;
    const char *id, *mix, *batch, *aggregate;
    double aggregate_fraction;
};

/*
 * A row on its way into a set, or several that share all but their ids: all that is looked up before anything is changed.
 * begin, look_up_id, look_up_group; and if nothing stands against it (clash), enter_group and enter_id.
 */
struct entry {
    struct specimen_set *set;         /* these three by whoever makes it, the others by those calls */
    struct problem_list *problems;
    uint32_t file;
    struct row_names names;
    const char *mix_name, *aggregate; /* aggregate "" = not given */
    double fraction;
    uint32_t mix, batch;              /* NOT_KNOWN = new */
    uint32_t kind;
    uint32_t mix_hash;
    struct number_mark batch_number;
    struct id_mark id_mark;           /* of names.id, which the caller fills with it */
    int32_t cast_on;                  /* of a batch that is new: by the caller, before enter_group */
    bool clash;
};

/* Begins anew. The entry borrows the names; that of a mix which is not named is made up, and stays until the next one begins. */
void entry_begin(struct entry *entry, const struct row_names *names);

/* Adds problems; errors among them set clash. */
void entry_look_up_id(struct entry *entry);
void entry_look_up_group(struct entry *entry, const struct mix_list *mixes);

/*
 * Mix, batch and kind become known to the set, after set_reserve_groups; the id becomes that of its next row. False when memory is
 * out.
 */
bool entry_enter_group(struct entry *entry, struct specimen_kind kind);
bool entry_enter_id(struct entry *entry);

#endif
