#include "specimen/kind.h"

#include "base/number.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define SAME_SIZE 0.1 /* of the smaller */
/* Sizes are shown as those of moulds: to these steps, small ones finer. */
#define STEP_MM 5.0
#define STEP_IN 0.25
#define SMALL_MM 25.0
#define SHOWN_DIGITS 4

enum loading specimen_loading(const struct specimen *specimen, enum shape shape)
{
    static const enum loading usual[SHAPE_COUNT] = {
        [SHAPE_UNKNOWN] = LOADING_UNKNOWN, [SHAPE_CUBE] = LOADING_AXIAL,
        [SHAPE_CYLINDER] = LOADING_AXIAL,  [SHAPE_BEAM] = LOADING_THIRD_POINT,
        [SHAPE_SLAB] = LOADING_CENTRE_POINT, [SHAPE_CORE] = LOADING_AXIAL,
    };
    return specimen->loading != LOADING_UNKNOWN ? specimen->loading : usual[shape];
}

/* As fmin: what is NaN is passed over. */
static double lesser(double a, double b)
{
    return a < b || isnan(b) ? a : b;
}

/* The size that strength depends on most; of a cube any side that was told. */
static double size_of(const struct specimen *specimen)
{
    switch (specimen->shape) {
    case SHAPE_CYLINDER:
    case SHAPE_CORE:
        return specimen->diameter_mm;
    case SHAPE_CUBE:
        return lesser(specimen->length_mm, lesser(specimen->width_mm, specimen->height_mm));
    case SHAPE_BEAM:
    case SHAPE_SLAB:
        return specimen->height_mm;
    default:
        return NAN;
    }
}

/* To the next step; what is less than half of one stays as it is. */
static double nominal(double size, double step)
{
    const double rounded = number_round(size, step, false);
    return rounded > 0 ? rounded : size;
}

/* Of the mould, as moulds are named: sides measured a little apart, in whatever order, make one kind. */
static double mould_mm(double size_mm)
{
    return nominal(size_mm, size_mm < SMALL_MM ? 1 : STEP_MM);
}

/* A size well within half a step of a rounded one rounds to that. */
struct specimen_kind specimen_kind_after(const struct specimen *specimen, struct specimen_kind before)
{
    const double size_mm = size_of(specimen);
    const bool rounds_alike = before.size_mm >= SMALL_MM + STEP_MM && fabs(size_mm - before.size_mm) < 0.49 * STEP_MM;
    return (struct specimen_kind){ specimen->shape, specimen_loading(specimen, specimen->shape), rounds_alike ? before.size_mm : mould_mm(size_mm) };
}

struct specimen_kind specimen_kind_of(const struct specimen *specimen)
{
    return specimen_kind_after(specimen, (struct specimen_kind){ SHAPE_UNKNOWN, LOADING_UNKNOWN, NAN });
}

static bool size_same(double a_mm, double b_mm)
{
    if (isnan(a_mm) || isnan(b_mm))
        return isnan(a_mm) && isnan(b_mm);
    return fabs(a_mm - b_mm) <= SAME_SIZE * fmin(a_mm, b_mm);
}

bool specimen_kind_same(struct specimen_kind a, struct specimen_kind b)
{
    return a.shape == b.shape && a.loading == b.loading && size_same(a.size_mm, b.size_mm);
}

bool specimen_kind_meant(struct specimen_kind wanted, struct specimen_kind kind)
{
    return (wanted.shape == SHAPE_UNKNOWN || wanted.shape == kind.shape)
        && (wanted.loading == LOADING_UNKNOWN || wanted.loading == kind.loading)
        && (isnan(wanted.size_mm) || size_same(wanted.size_mm, kind.size_mm));
}

void specimen_kind_words(struct specimen_kind kind, bool us, char *out, size_t size)
{
    const struct unit *unit = unit_find(units_length, us ? "in" : "mm");
    char loading[32] = "", measure[48] = "";
    if (kind.loading != LOADING_UNKNOWN && kind.loading != LOADING_AXIAL)
        snprintf(loading, sizeof loading, " %s", loading_word(kind.loading));
    if (!isnan(kind.size_mm))
        snprintf(measure, sizeof measure, " %.*g %s", SHOWN_DIGITS,
                 us ? nominal(kind.size_mm / unit->factor, STEP_IN) : mould_mm(kind.size_mm), unit->symbol);
    snprintf(out, size, "%s%s%s", kind.shape == SHAPE_UNKNOWN ? "no shape" : shape_word(kind.shape), loading, measure);
}

/* One word of a kind; false when it is neither a shape nor a loading. */
static bool take_word(const char *word, struct specimen_kind *wanted)
{
    enum shape shape = shape_find(word);
    enum loading loading = loading_find(word);
    if (shape != SHAPE_UNKNOWN)
        wanted->shape = shape;
    else if (loading != LOADING_UNKNOWN)
        wanted->loading = loading;
    return shape != SHAPE_UNKNOWN || loading != LOADING_UNKNOWN;
}

enum status specimen_kind_parse(const char *text, const char *what, struct specimen_kind *wanted, struct problem *problem)
{
    static const char blanks[] = " \t,";
    *wanted = (struct specimen_kind){ SHAPE_UNKNOWN, LOADING_UNKNOWN, NAN };
    const char *rest = text + strspn(text, blanks);
    if (*rest == '\0')
        return problem_set(problem, STATUS_USAGE, NULL, "%s: name a shape, such as cube or 'cylinder 150mm'", what);
    for (; *rest; rest += strspn(rest, blanks)) {
        char word[32];
        size_t length = strcspn(rest, blanks);
        if (strchr("0123456789.", *rest)) /* the size ends it */
            return quantity_parse(rest, units_length, what, &wanted->size_mm, problem);
        snprintf(word, sizeof word, "%.*s", (int)(length < sizeof word ? length : sizeof word - 1), rest);
        if (!take_word(word, wanted))
            return problem_set(problem, STATUS_USAGE, NULL,
                               "%s: '%s' is no shape (cube, cylinder, beam, slab, core), no loading (axial, centre-point, "
                               "third-point, splitting) and no size such as 150mm", what, word);
        rest += length;
    }
    return STATUS_OK;
}
