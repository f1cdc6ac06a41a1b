#ifndef STATS_MIXED_CAREFUL_H
#define STATS_MIXED_CAREFUL_H

#include "stats/mixed.h"

/*
 * Terms that nearly depend on one another (the powers of a polynomial above
 * all) cost as many digits as their condition number has. Here they are made
 * orthogonal in long double first, terms that are products of two others
 * taken with the digits that rounding them to double took away. The fit then
 * runs in harmless terms Z = X S, and its coefficients are turned back, b = S g.
 * Source: docs/methods/least-squares.md
 */
struct careful_terms {
    const struct mixed_data *original;
    struct mixed_data data;  /* the same rows in the terms Z */
    double *design;          /* Z, owned by this */
    long double *turn;       /* S, n_terms^2 row-major */
    double log_determinant;  /* ln |det S| */
    size_t (*factors)[2];    /* terms of which a term is the product; n_terms: a term of its own */
};

/* Whether the rows are few enough for the careful way. */
bool careful_terms_allowed(const struct mixed_data *data);

/* STATUS_MEMORY. Release in any case. */
enum status careful_terms_build(const struct mixed_data *data, struct careful_terms *terms);

/*
 * Turns a fit in Z into one in X. Least squares is refined once more by the
 * residuals in long double.
 */
void careful_terms_turn_back(const struct careful_terms *terms, struct mixed_fit *fit);

void careful_terms_release(struct careful_terms *terms);

#endif
