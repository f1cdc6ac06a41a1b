/* Kinds of specimen: shape, loading and size, in words and back. */
#include "specimen/kind.h"
#include "support/check.h"

#include <math.h>
#include <string.h>

static struct specimen_kind parsed(const char *text)
{
    struct specimen_kind kind;
    struct problem problem = { 0 };
    CU_ASSERT_EQUAL(specimen_kind_parse(text, "--shape", &kind, &problem), STATUS_OK);
    return kind;
}

static void words_go_there_and_back(void)
{
    static const struct specimen_kind kinds[] = {
        { SHAPE_CUBE, LOADING_AXIAL, 100 }, { SHAPE_CYLINDER, LOADING_SPLITTING, 150 }, { SHAPE_BEAM, LOADING_THIRD_POINT, 70.7 },
        { SHAPE_SLAB, LOADING_CENTRE_POINT, NAN }, { SHAPE_CORE, LOADING_AXIAL, 94 },
    };
    static const char *const words[] = { "cube 100 mm", "cylinder splitting 150 mm", "beam third-point 70 mm", "slab centre-point", "core 95 mm" };
    char shown[80];
    for (size_t i = 0; i < 5; i++) {
        specimen_kind_words(kinds[i], false, shown, sizeof shown);
        check_text(shown, words[i]);
        CU_ASSERT_TRUE(specimen_kind_meant(parsed(shown), kinds[i]));
        specimen_kind_words(kinds[i], true, shown, sizeof shown);
        CU_ASSERT_TRUE(specimen_kind_meant(parsed(shown), kinds[i]));
    }
    specimen_kind_words((struct specimen_kind){ SHAPE_CYLINDER, LOADING_AXIAL, 6 * 25.4 }, true, shown, sizeof shown);
    check_text(shown, "cylinder 6 in");
    specimen_kind_words((struct specimen_kind){ SHAPE_UNKNOWN, LOADING_UNKNOWN, NAN }, false, shown, sizeof shown);
    check_text(shown, "no shape");
}

static void any_part_may_be_told(void)
{
    struct specimen_kind kind = parsed("150mm");
    CU_ASSERT(kind.shape == SHAPE_UNKNOWN && kind.loading == LOADING_UNKNOWN);
    check_close("size", kind.size_mm, 150, 0);
    kind = parsed(" centre-point, prism 4 in");
    CU_ASSERT(kind.shape == SHAPE_BEAM && kind.loading == LOADING_CENTRE_POINT);
    check_close("size", kind.size_mm, 101.6, 1e-12);
    CU_ASSERT_TRUE(specimen_kind_meant(parsed("cube"), (struct specimen_kind){ SHAPE_CUBE, LOADING_AXIAL, 50 }));
    CU_ASSERT_FALSE(specimen_kind_meant(parsed("cube"), (struct specimen_kind){ SHAPE_CORE, LOADING_AXIAL, 50 }));
    CU_ASSERT_FALSE(specimen_kind_meant(parsed("cube splitting"), (struct specimen_kind){ SHAPE_CUBE, LOADING_AXIAL, 50 }));
    CU_ASSERT_FALSE(specimen_kind_meant(parsed("cube 100mm"), (struct specimen_kind){ SHAPE_CUBE, LOADING_AXIAL, NAN }));
}

static void nonsense_is_refused(void)
{
    static const char *const texts[] = { "", "  ", "ball", "cube 100", "cube 100kg", "cube big", "100mm cube" };
    for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++) {
        struct specimen_kind kind;
        struct problem problem = { 0 };
        CU_ASSERT_EQUAL(specimen_kind_parse(texts[i], "--shape", &kind, &problem), STATUS_USAGE);
        CU_ASSERT_PTR_NOT_NULL(strstr(problem.text, "--shape"));
    }
}

/* Moulds of one size differ by less than a tenth, moulds of two sizes by more. */
static void sizes_of_moulds(void)
{
    const struct specimen_kind mould = { SHAPE_CUBE, LOADING_AXIAL, 100 };
    static const double same[] = { 99.1, 101.6, 109.9, 91 }, other[] = { 112, 90, 150, 70.7, NAN };
    for (size_t i = 0; i < 4; i++)
        CU_ASSERT_TRUE(specimen_kind_same(mould, (struct specimen_kind){ SHAPE_CUBE, LOADING_AXIAL, same[i] }));
    for (size_t i = 0; i < 5; i++)
        CU_ASSERT_FALSE(specimen_kind_same(mould, (struct specimen_kind){ SHAPE_CUBE, LOADING_AXIAL, other[i] }));
    CU_ASSERT_FALSE(specimen_kind_same(mould, (struct specimen_kind){ SHAPE_CYLINDER, LOADING_AXIAL, 100 }));
    CU_ASSERT_FALSE(specimen_kind_same(mould, (struct specimen_kind){ SHAPE_CUBE, LOADING_SPLITTING, 100 }));
}

static void of_a_specimen(void)
{
    struct specimen specimen;
    specimen_clear(&specimen);
    specimen.shape = SHAPE_CUBE;
    specimen.width_mm = 100.4;
    struct specimen_kind kind = specimen_kind_of(&specimen);
    CU_ASSERT_EQUAL(kind.loading, LOADING_AXIAL);
    check_close("any side, as the mould is named", kind.size_mm, 100, 0);
    specimen.width_mm = 99.7;
    check_close("measured a little less", specimen_kind_of(&specimen).size_mm, 100, 0);
    specimen.width_mm = 20.4;
    check_close("small", specimen_kind_of(&specimen).size_mm, 20, 0);
    specimen.shape = SHAPE_BEAM;
    specimen.height_mm = 75;
    kind = specimen_kind_of(&specimen);
    CU_ASSERT_EQUAL(kind.loading, LOADING_THIRD_POINT);
    check_close("depth", kind.size_mm, 75, 0);
    specimen.shape = SHAPE_CORE;
    specimen.diameter_mm = 94;
    specimen.loading = LOADING_SPLITTING;
    kind = specimen_kind_of(&specimen);
    CU_ASSERT_EQUAL(kind.loading, LOADING_SPLITTING);
    check_close("diameter", kind.size_mm, 95, 0);
}

int main(void)
{
    static const struct check_case cases[] = {
        { "words go there and back", words_go_there_and_back },
        { "any part may be told", any_part_may_be_told },
        { "nonsense is refused", nonsense_is_refused },
        { "sizes of moulds", sizes_of_moulds },
        { "of a specimen", of_a_specimen },
    };
    return check_run("kind", cases, sizeof cases / sizeof cases[0]);
}
