#ifndef COMMANDS_RECORD_QUESTIONS_H
#define COMMANDS_RECORD_QUESTIONS_H

#include "specimen/recording.h"

#include <stdbool.h>

/* The questions that `record` asks, in their order. */
enum question_id {
    QUESTION_SPECIMEN, QUESTION_MIX, QUESTION_BATCH, QUESTION_AGGREGATE, QUESTION_FRACTION, QUESTION_SHAPE,
    QUESTION_LENGTH, QUESTION_WIDTH, QUESTION_HEIGHT, QUESTION_DIAMETER, QUESTION_SPAN, QUESTION_LOADING, QUESTION_BREAK_LOAD,
    QUESTION_FRACTURE, QUESTION_MASS, QUESTION_MOISTURE, QUESTION_AGE, QUESTION_CAST_ON, QUESTION_TESTED_ON, QUESTION_NOTE,
    QUESTION_COUNT
};

struct question {
    const char *column;
    const char *hint;   /* what an answer looks like */
    unsigned shapes;    /* bit per enum shape that is asked about; 0 = all */
    bool kept;          /* offered again for the next specimen */
    const char *us_hint; /* the same for a journal in US units; NULL: as above */
};
extern const struct question record_questions[QUESTION_COUNT];

/* Units of a column that measures something, NULL for texts and dates. */
const struct unit *question_units(const char *column);

/* Whether a question makes sense after the answers before it ("" = none). */
bool question_applies(enum question_id id, const char *const answers[QUESTION_COUNT]);

/* Bytes of the number at the start of an answer; 0 when there is none. */
size_t question_number_length(const char *answer);

#endif
