#ifndef TESTS_UNIT_SPECIMEN_SET_READING_H
#define TESTS_UNIT_SPECIMEN_SET_READING_H

#include "support/temporary.h"

#include "specimen/specimen_set.h"

/* One reading with what came of it. */
struct reading {
    struct specimen_set set;
    struct problem_list problems;
    enum status status;
};

static inline struct reading read_with(const char *const *paths, size_t n, const struct specimen_set_settings *settings)
{
    struct reading reading = { 0 };
    reading.status = specimen_set_read(paths, n, settings, &reading.set, &reading.problems);
    return reading;
}

static inline struct reading read_text(const char *text)
{
    struct specimen_set_settings strict = { 0 };
    const char *path = temporary_text("in.csv", text);
    return read_with(&path, 1, &strict);
}

/* Names as texts, good until the end of the block. */
#define ID_OF(set, i) specimen_set_id(set, i, &(struct name_room){ { 0 } })
#define BATCH_NAME(set, b) specimen_set_batch_name(set, b, &(struct name_room){ { 0 } })

static inline void end(struct reading *reading)
{
    specimen_set_release(&reading->set);
    problem_list_release(&reading->problems);
}

#endif
