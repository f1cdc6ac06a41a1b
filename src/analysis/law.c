#include "analysis/curve.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

struct law_row {
    const char *word, *formula;
    size_t n_terms;
    bool log_response, log_predictor;
};

static const struct law_row laws[] = {
    [LAW_LINEAR] = { "linear", "y = a + b x", 2, false, false },
    [LAW_QUADRATIC] = { "quadratic", "y = a + b x + c x^2", 3, false, false },
    [LAW_EXPONENTIAL] = { "exponential", "ln y = a + b x", 2, true, false },
    [LAW_EXPONENTIAL_QUADRATIC] = { "exponential-quadratic", "ln y = a + b x + c x^2", 3, true, false },
    [LAW_POWER] = { "power", "ln y = a + b ln x", 2, true, true },
};
_Static_assert(sizeof laws / sizeof laws[0] == LAW_COUNT, "each law has its row");

static const char *const assurance_words[] = {
    [ASSURANCE_MEAN] = "mean",
    [ASSURANCE_NEXT_BATCH] = "next-batch",
    [ASSURANCE_FRACTILE] = "fractile",
};
_Static_assert(sizeof assurance_words / sizeof assurance_words[0] == ASSURANCE_COUNT, "each assurance has its word");

const char *law_word(enum law law)
{
    return law < LAW_COUNT ? laws[law].word : "auto";
}

const char *law_formula(enum law law)
{
    return law < LAW_COUNT ? laws[law].formula : "the law with the smallest AICc";
}

bool law_find(const char *word, enum law *law)
{
    for (enum law candidate = 0; candidate <= LAW_COUNT; candidate++) {
        if (strcmp(word, law_word(candidate)) == 0) {
            *law = candidate;
            return true;
        }
    }
    return false;
}

bool law_is_log(enum law law)
{
    return laws[law].log_response;
}

size_t law_terms(enum law law)
{
    return laws[law].n_terms;
}

void law_design(enum law law, double x, double terms[3])
{
    double along = laws[law].log_predictor ? log(x) : x;
    terms[0] = 1;
    terms[1] = along;
    terms[2] = along * along;
}

void law_term_name(enum law law, size_t term, const char *predictor, char *out, size_t size)
{
    if (term == 0)
        snprintf(out, size, "intercept");
    else if (laws[law].log_predictor)
        snprintf(out, size, "ln %s", predictor);
    else
        snprintf(out, size, "%s%s", predictor, term == 2 ? "^2" : "");
}

const char *assurance_word(enum assurance_kind kind)
{
    return kind < ASSURANCE_COUNT ? assurance_words[kind] : "";
}

bool assurance_find(const char *word, enum assurance_kind *kind)
{
    for (enum assurance_kind candidate = 0; candidate < ASSURANCE_COUNT; candidate++) {
        if (strcmp(word, assurance_words[candidate]) == 0) {
            *kind = candidate;
            return true;
        }
    }
    return false;
}
