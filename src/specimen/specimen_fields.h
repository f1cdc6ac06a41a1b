#ifndef SPECIMEN_SPECIMEN_FIELDS_H
#define SPECIMEN_SPECIMEN_FIELDS_H

#include "specimen/specimen_set.h"

enum field_kind { FIELD_IGNORED, FIELD_TEXT, FIELD_NUMBER, FIELD_DATE, FIELD_SHAPE, FIELD_LOADING, FIELD_MOISTURE, FIELD_RESULT, FIELD_KINDS };

/* Where a column goes in a struct specimen. */
struct specimen_field {
    enum field_kind kind;
    size_t offset;
    bool measured; /* says something about a specimen, not only what it is */
};

/* One for each of specimen_rules, in their order. */
extern const struct specimen_field specimen_fields[];

/* "cube, cylinder, ... or core": what a column of this kind may say; NULL when it is no column of words. */
const char *specimen_field_words(enum field_kind kind);

/* Remembers the unit that a number of this table of units was typed in, for questions about what comes of it. */
void specimen_note_unit(struct specimen *specimen, const struct unit *units, const struct unit *typed);

/* Fills the field of a rule from its bound cell. False after a problem was added. */
bool specimen_take_field(struct specimen *specimen, size_t rule, const struct row *row, const struct column_binding *binding,
                         const struct dialect *dialect, struct problem_list *problems);

#endif
