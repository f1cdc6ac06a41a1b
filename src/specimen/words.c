#include "specimen/specimen.h"

#include "ingest/columns.h"

#include <string.h>

struct word {
    const char *typed;
    int value;
};

static const char *const shape_words[SHAPE_COUNT] = {
    [SHAPE_UNKNOWN] = "", [SHAPE_CUBE] = "cube", [SHAPE_CYLINDER] = "cylinder",
    [SHAPE_BEAM] = "beam", [SHAPE_SLAB] = "slab", [SHAPE_CORE] = "core",
};
static const char *const loading_words[LOADING_COUNT] = {
    [LOADING_UNKNOWN] = "", [LOADING_AXIAL] = "axial", [LOADING_CENTRE_POINT] = "centre-point",
    [LOADING_THIRD_POINT] = "third-point", [LOADING_SPLITTING] = "splitting",
};
static const char *const moisture_words[MOISTURE_COUNT] = {
    [MOISTURE_UNKNOWN] = "", [MOISTURE_AS_CAST] = "as-cast", [MOISTURE_SATURATED] = "saturated",
    [MOISTURE_AIR_DRY] = "air-dry", [MOISTURE_OVEN_DRY] = "oven-dry",
};
static const struct {
    const char *word, *meaning;
} flags[FLAG_KINDS] = {
    {"length-corrected", "its strength is brought to that of a cylinder two diameters long"},
    {"correction-unproved", "that correction was never validated for such concrete"},
    {"fracture-outside", "it broke just outside the middle third, which its strength allows for"},
    {"fracture-discard", "it broke too far outside the middle third to have a strength"},
    {"no-batch", "its batch is not told: it counts as a batch of its own"},
    {"doubtful-value", "a value of it was asked about and is used as it stands"},
    {"outlier", "a result of it stands out from those of its companions"},
    {"ready-value", "a result of it was typed in ready, not computed from measurements"},
    {"range-wide", "the results of its batch lie further apart than those of companions should"},
    {"batch-assumed", "its batch is not told: it counts with the nearest one of its mix"},
};

/* Other words of the trade for the same thing. */
static const struct word other_shapes[] = {
    {"prism", SHAPE_BEAM}, {"cubes", SHAPE_CUBE}, {"cylinders", SHAPE_CYLINDER}, {"beams", SHAPE_BEAM},
    {"slabs", SHAPE_SLAB}, {"cores", SHAPE_CORE}, {"prisms", SHAPE_BEAM}, {"paver", SHAPE_SLAB}, {NULL, 0},
};
static const struct word other_loadings[] = {
    {"center-point", LOADING_CENTRE_POINT}, {"compression", LOADING_AXIAL}, {"compressive", LOADING_AXIAL},
    {"two-point", LOADING_THIRD_POINT}, {"three-point", LOADING_CENTRE_POINT},
    {"split", LOADING_SPLITTING}, {"splitting-tension", LOADING_SPLITTING}, {NULL, 0},
};
static const struct word other_moistures[] = {
    {"equilibrium", MOISTURE_AIR_DRY}, {"ssd", MOISTURE_SATURATED}, {"surface-dry", MOISTURE_SATURATED},
    {"saturated-surface-dry", MOISTURE_SATURATED}, {"fresh", MOISTURE_AS_CAST}, {NULL, 0},
};

/* 0 is the unknown value of every list of words. */
static int word_find(const char *const *words, int n_words, const struct word *others, const char *typed)
{
    if (typed[0] == '\0')
        return 0;
    for (int i = 1; i < n_words; i++) /* most write it as it stands here */
        if (strcmp(words[i], typed) == 0)
            return i;
    for (int i = 1; i < n_words; i++)
        if (heading_same(words[i], typed))
            return i;
    for (const struct word *other = others; other->typed; other++)
        if (heading_same(other->typed, typed))
            return other->value;
    return 0;
}

const char *shape_word(enum shape shape) { return shape_words[shape]; }
const char *loading_word(enum loading loading) { return loading_words[loading]; }
const char *moisture_word(enum moisture moisture) { return moisture_words[moisture]; }

enum shape shape_find(const char *word)
{
    return (enum shape)word_find(shape_words, SHAPE_COUNT, other_shapes, word);
}

enum loading loading_find(const char *word)
{
    return (enum loading)word_find(loading_words, LOADING_COUNT, other_loadings, word);
}

enum moisture moisture_find(const char *word)
{
    return (enum moisture)word_find(moisture_words, MOISTURE_COUNT, other_moistures, word);
}

const char *flag_word(unsigned flag)
{
    for (unsigned i = 0; i < FLAG_KINDS; i++)
        if (flag == 1u << i)
            return flags[i].word;
    return "";
}

const char *flag_meaning(unsigned flag)
{
    for (unsigned i = 0; i < FLAG_KINDS; i++)
        if (flag == 1u << i)
            return flags[i].meaning;
    return "";
}
