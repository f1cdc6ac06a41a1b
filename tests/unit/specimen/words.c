#include "support/check.h"

#include "specimen/specimen.h"

static void every_word_found(void)
{
    for (int i = 1; i < SHAPE_COUNT; i++)
        CU_ASSERT_EQUAL(shape_find(shape_word((enum shape)i)), i);
    for (int i = 1; i < LOADING_COUNT; i++)
        CU_ASSERT_EQUAL(loading_find(loading_word((enum loading)i)), i);
    for (int i = 1; i < MOISTURE_COUNT; i++)
        CU_ASSERT_EQUAL(moisture_find(moisture_word((enum moisture)i)), i);
    check_text(shape_word(SHAPE_UNKNOWN), "");
}

static void other_words(void)
{
    CU_ASSERT_EQUAL(shape_find("Prism"), SHAPE_BEAM);
    CU_ASSERT_EQUAL(shape_find("CUBE"), SHAPE_CUBE);
    CU_ASSERT_EQUAL(loading_find("third point"), LOADING_THIRD_POINT);
    CU_ASSERT_EQUAL(loading_find("Centre_Point"), LOADING_CENTRE_POINT);
    CU_ASSERT_EQUAL(loading_find("center-point"), LOADING_CENTRE_POINT);
    CU_ASSERT_EQUAL(loading_find("compression"), LOADING_AXIAL);
    CU_ASSERT_EQUAL(moisture_find("air dry"), MOISTURE_AIR_DRY);
    CU_ASSERT_EQUAL(moisture_find("equilibrium"), MOISTURE_AIR_DRY);
    CU_ASSERT_EQUAL(moisture_find("SSD"), MOISTURE_SATURATED);
    CU_ASSERT_EQUAL(moisture_find("ovendry"), MOISTURE_OVEN_DRY);
}

static void unknown_words(void)
{
    CU_ASSERT_EQUAL(shape_find("sphere"), SHAPE_UNKNOWN);
    CU_ASSERT_EQUAL(shape_find(""), SHAPE_UNKNOWN);
    CU_ASSERT_EQUAL(loading_find("four-point"), LOADING_UNKNOWN); /* at the thirds or the quarters? */
    CU_ASSERT_EQUAL(moisture_find("wet"), MOISTURE_UNKNOWN);      /* as cast or soaked? */
    CU_ASSERT_EQUAL(moisture_find("-"), MOISTURE_UNKNOWN);
}

static void flags(void)
{
    for (unsigned i = 0; i < FLAG_KINDS; i++)
        for (unsigned j = 0; j < i; j++)
            CU_ASSERT(strcmp(flag_word(1u << i), flag_word(1u << j)) != 0);
    check_text(flag_word(FLAG_LENGTH_CORRECTED), "length-corrected");
    check_text(flag_word(FLAG_FRACTURE_DISCARD), "fracture-discard");
    check_text(flag_word(FLAG_RANGE_WIDE), "range-wide");
    check_text(flag_word(1u << FLAG_KINDS), "");
    for (unsigned i = 0; i < FLAG_KINDS; i++)
        CU_ASSERT(flag_meaning(1u << i)[0] != '\0');
    check_text(flag_meaning(FLAG_RANGE_WIDE), "the results of its batch lie further apart than those of companions should");
    check_text(flag_meaning(1u << FLAG_KINDS), "");
}

int main(void)
{
    static const struct check_case cases[] = {
        {"every word found", every_word_found}, {"other words", other_words},
        {"unknown words", unknown_words}, {"flags", flags},
    };
    return check_run("words", cases, sizeof cases / sizeof *cases);
}
