#include "commands/record_questions.h"

#include "base/number.h"

#include <string.h>

#define SHAPE(name) (1u << SHAPE_##name)
#define BLOCKS (SHAPE(BEAM) | SHAPE(SLAB))
#define ROUND (SHAPE(CYLINDER) | SHAPE(CORE))
#define ANY_KNOWN (SHAPE(CUBE) | BLOCKS | ROUND)

const struct question record_questions[QUESTION_COUNT] = {
    [QUESTION_SPECIMEN] = {"specimen", "its name", 0, false, NULL},
    [QUESTION_MIX] = {"mix", "the recipe", 0, true, NULL},
    [QUESTION_BATCH] = {"batch", "the mixing it came from", 0, true, NULL},
    [QUESTION_AGGREGATE] = {"aggregate", "the light one", 0, true, NULL},
    [QUESTION_FRACTION] = {"aggregate_fraction", "0.3 or 30 %", 0, true, NULL},
    [QUESTION_SHAPE] = {"shape", "cube, cylinder, beam, slab, core", 0, true, NULL},
    [QUESTION_LENGTH] = {"length", "with its unit, 100 mm", ANY_KNOWN, false, "with its unit, 4 in"},
    [QUESTION_WIDTH] = {"width", "with its unit; Enter: a cube's other sides are alike", SHAPE(CUBE) | BLOCKS, false, NULL},
    [QUESTION_HEIGHT] = {"height", "with its unit; Enter: a cube's other sides are alike", SHAPE(CUBE) | BLOCKS, false, NULL},
    [QUESTION_DIAMETER] = {"diameter", "with its unit, 150 mm", ROUND, false, "with its unit, 6 in"},
    [QUESTION_SPAN] = {"span", "between the supports, with its unit", BLOCKS, true, NULL},
    [QUESTION_LOADING] = {"loading", "axial, centre-point, third-point, splitting; Enter: as usual for the shape", ANY_KNOWN, true, NULL},
    [QUESTION_BREAK_LOAD] = {"break_load", "with its unit, 182 kN; Enter: not broken", ANY_KNOWN, false, "with its unit, 41000 lbf; Enter: not broken"},
    [QUESTION_FRACTURE] = {"fracture_from_support", "with its unit; Enter: broken in the middle third", SHAPE(BEAM), false, NULL},
    [QUESTION_MASS] = {"mass", "with its unit, 1712 g", 0, false, "with its unit, 3.77 lb"},
    [QUESTION_MOISTURE] = {"moisture", "as-cast, saturated, air-dry, oven-dry", 0, true, NULL},
    [QUESTION_AGE] = {"age", "days; Enter: from the dates", 0, true, NULL},
    [QUESTION_CAST_ON] = {"cast_on", "2026-03-09", 0, true, NULL},
    [QUESTION_TESTED_ON] = {"tested_on", "2026-04-06", 0, true, NULL},
    [QUESTION_NOTE] = {"note", "anything", 0, false, NULL},
};

const struct unit *question_units(const char *column)
{
    for (size_t i = 0; i < n_specimen_rules; i++)
        if (heading_same(specimen_rules[i].name, column))
            return specimen_rules[i].units;
    return NULL;
}

bool question_applies(enum question_id id, const char *const answers[QUESTION_COUNT])
{
    unsigned shapes = record_questions[id].shapes;
    if (shapes && !(shapes & 1u << shape_find(answers[QUESTION_SHAPE])))
        return false;
    enum loading loading = loading_find(answers[QUESTION_LOADING]);
    if (id == QUESTION_FRACTURE)
        return answers[QUESTION_BREAK_LOAD][0] != '\0' && (loading == LOADING_UNKNOWN || loading == LOADING_THIRD_POINT);
    if (id == QUESTION_CAST_ON || id == QUESTION_TESTED_ON)
        return answers[QUESTION_AGE][0] == '\0';
    return true;
}

size_t question_number_length(const char *answer)
{
    double value;
    size_t length = strlen(answer);
    while (length > 0 && (answer[length - 1] == ' ' || number_parse(answer, length, '.', &value) != NULL))
        length--;
    return length;
}
