#include "commands/record_questions.h"
#include "support/check.h"

static bool applies(enum question_id id, const char *shape, const char *loading, const char *break_load, const char *age)
{
    const char *answers[QUESTION_COUNT];
    for (size_t i = 0; i < QUESTION_COUNT; i++)
        answers[i] = "";
    answers[QUESTION_SHAPE] = shape;
    answers[QUESTION_LOADING] = loading;
    answers[QUESTION_BREAK_LOAD] = break_load;
    answers[QUESTION_AGE] = age;
    return question_applies(id, answers);
}

static void sizes_by_shape(void)
{
    CU_ASSERT(applies(QUESTION_WIDTH, "cube", "", "", ""));
    CU_ASSERT_FALSE(applies(QUESTION_WIDTH, "core", "", "", ""));
    CU_ASSERT(applies(QUESTION_DIAMETER, "cylinder", "", "", ""));
    CU_ASSERT_FALSE(applies(QUESTION_DIAMETER, "slab", "", "", ""));
    CU_ASSERT(applies(QUESTION_SPAN, "prism", "", "", "")); /* a beam by another name */
    CU_ASSERT_FALSE(applies(QUESTION_LENGTH, "", "", "", ""));
    CU_ASSERT(applies(QUESTION_MASS, "", "", "", ""));
}

static void what_hangs_on_other_answers(void)
{
    CU_ASSERT(applies(QUESTION_FRACTURE, "beam", "", "8 kN", ""));
    CU_ASSERT(applies(QUESTION_FRACTURE, "beam", "third-point", "8 kN", ""));
    CU_ASSERT_FALSE(applies(QUESTION_FRACTURE, "beam", "centre-point", "8 kN", ""));
    CU_ASSERT_FALSE(applies(QUESTION_FRACTURE, "beam", "", "", ""));
    CU_ASSERT_FALSE(applies(QUESTION_FRACTURE, "cube", "", "8 kN", ""));
    CU_ASSERT(applies(QUESTION_CAST_ON, "cube", "", "", ""));
    CU_ASSERT_FALSE(applies(QUESTION_TESTED_ON, "cube", "", "", "28"));
}

/* Each question is about a column of specimens.csv, and no column is asked for twice. */
static void questions_are_columns(void)
{
    for (size_t i = 0; i < QUESTION_COUNT; i++) {
        size_t found = 0;
        for (size_t j = 0; j < n_specimen_rules; j++)
            found += strcmp(specimen_rules[j].name, record_questions[i].column) == 0;
        CU_ASSERT_EQUAL(found, 1);
        for (size_t j = 0; j < i; j++)
            CU_ASSERT(strcmp(record_questions[i].column, record_questions[j].column) != 0);
    }
    CU_ASSERT_PTR_EQUAL(question_units("mass"), units_mass);
    CU_ASSERT_PTR_NULL(question_units("mix"));
}

static void numbers(void)
{
    CU_ASSERT_EQUAL(question_number_length("100 mm"), 3);
    CU_ASSERT_EQUAL(question_number_length("1.71kg"), 4);
    CU_ASSERT_EQUAL(question_number_length("1e3 N"), 3);
    CU_ASSERT_EQUAL(question_number_length("100"), 3);
    CU_ASSERT_EQUAL(question_number_length("mm"), 0);
    CU_ASSERT_EQUAL(question_number_length(""), 0);
}

int main(void)
{
    static const struct check_case cases[] = {
        { "sizes by shape", sizes_by_shape }, { "what hangs on other answers", what_hangs_on_other_answers },
        { "questions are columns", questions_are_columns }, { "numbers", numbers },
    };
    return check_run("record questions", cases, sizeof cases / sizeof *cases);
}
