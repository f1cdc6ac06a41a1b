#include "support/check.h"

#include "analysis/curve.h"

#include <math.h>

static void words_and_terms(void)
{
    enum law law;
    char name[40];
    double terms[3];
    for (law = 0; law < LAW_COUNT; law++) {
        enum law found = LAW_COUNT;
        CU_ASSERT(law_find(law_word(law), &found));
        CU_ASSERT_EQUAL(found, law);
    }
    CU_ASSERT(law_find("auto", &law));
    CU_ASSERT_EQUAL(law, LAW_AUTO);
    CU_ASSERT_FALSE(law_find("cubic", &law));
    law_design(LAW_EXPONENTIAL_QUADRATIC, 0.3, terms);
    check_close("square", terms[2], 0.09, 1e-15);
    law_design(LAW_POWER, 0.3, terms);
    check_close("logarithm", terms[1], log(0.3), 1e-15);
    law_term_name(LAW_QUADRATIC, 2, "aggregate_fraction", name, sizeof name);
    check_text(name, "aggregate_fraction^2");
    enum assurance_kind kind;
    CU_ASSERT(assurance_find("fractile", &kind));
    CU_ASSERT_EQUAL(kind, ASSURANCE_FRACTILE);
    CU_ASSERT_FALSE(assurance_find("none", &kind));
}

int main(void)
{
    static const struct check_case cases[] = {
        { "words and terms", words_and_terms },
    };
    return check_run("law", cases, sizeof cases / sizeof cases[0]);
}
