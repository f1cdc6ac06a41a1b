#ifndef SPECIMEN_RECORDING_H
#define SPECIMEN_RECORDING_H

#include "base/text.h"
#include "specimen/specimen_set.h"

/*
 * Specimens on their way into a journal (ingest/journal.h). A journal has
 * every column of specimens.csv, in SI or in US units, so that what was typed
 * in pounds may stay in pounds. docs/methods/journal.md
 */
struct recorded {
    struct specimen specimen; /* derived; its texts stay with the recording */
    char *row;                /* its line in the journal, without row_check and line end */
};

/* Owns its rows and texts; release with recording_release(). */
struct recording {
    bool us;                  /* units of the journal */
    struct recorded *items;
    size_t n_items, capacity;
    char *from;               /* file the specimens came from, NULL when typed */
    struct set_store *texts;  /* private */
};

/* Columns and units of a journal, without row_check, as one line. STATUS_MEMORY. */
enum status recording_heading(bool us, struct text *heading);

/* Whether an existing journal has US units; `otherwise` when it is new or no journal. */
bool recording_units_us(const char *journal_path, bool otherwise);

/*
 * Sets a column of a specimen as it was typed: "mass", "1.71 kg". Texts are
 * borrowed. A number needs its unit, but for ages and fractions. False after a
 * problem, which names the column, was added.
 */
bool recording_set_column(struct specimen *specimen, const char *name, const char *value, struct problem_list *problems);

/*
 * Adds a copy of a specimen as measured (nothing derived yet): writes its row,
 * then derives its results. A line break in a text becomes a blank.
 * STATUS_INPUT   problems say why: no name, nothing measured, whatever specimen_derive refuses
 * STATUS_MEMORY
 */
enum status recording_add(struct recording *recording, const struct specimen *specimen, struct problem_list *problems);

/* Adds all specimens of a CSV file as recording_add does. STATUS_INPUT with all problems. */
enum status recording_add_file(struct recording *recording, const char *path, const struct column_map *maps, size_t n_maps,
                               struct problem_list *problems);

/*
 * Enters the specimens of a journal (NULL: none) and then those of the
 * recording into one set, as every later reading of the journal will: names
 * taken, a mix with another aggregate, names alike but for capitals. Doubts
 * and notices about what the journal holds already are not told again.
 *
 * set   out, all that was entered; may be NULL; release with specimen_set_release()
 *
 * STATUS_INPUT  problems say why; also when the journal cannot be read as it stands
 * STATUS_IO, STATUS_MEMORY
 */
enum status recording_check(const struct recording *recording, const char *journal_path, struct specimen_set *set,
                            struct problem_list *problems);

/* The line of a journal that has a specimen of this name; 0 when there is none or it cannot be read just now. */
size_t recording_line_of(const char *journal_path, const char *id);

void recording_release(struct recording *recording);

#endif
