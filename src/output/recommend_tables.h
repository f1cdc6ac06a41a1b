#ifndef OUTPUT_RECOMMEND_TABLES_H
#define OUTPUT_RECOMMEND_TABLES_H

#include "advise/recommend.h"
#include "output/table.h"

/* Tables that the terminal and the report share. Each fills a zeroed table. */

/* All candidates in rank order: recipe, density with interval, each demand's assured value, percent lighter, verdict. */
void recommend_candidates_table(const struct specimen_set *set, const struct recommend_request *request,
                                const struct recommendation *answer, bool us, struct table *table);

/* The winner held against each demand. */
void recommend_demands_table(const struct recommendation *answer, bool us, struct table *table);

/*
 * What every law that could be fitted says at the winner's fraction, for each
 * property with curves. False (table empty) when the winner lies on no curve.
 */
bool recommend_laws_table(const struct recommend_request *request, const struct recommendation *answer, bool us, struct table *table);

/* The winner with each target at 0.8 to 1.2 times its value. False (table empty) when the request did not ask for it. */
bool recommend_sensitivity_table(const struct specimen_set *set, const struct recommend_request *request,
                                 const struct recommendation *answer, bool us, struct table *table);

/* Recipes of the front that meet every demand, lightest first. False (table empty) when there are fewer than two. */
bool recommend_front_table(const struct specimen_set *set, const struct recommendation *answer, bool us, struct table *table);

/* ", strength and cost", or " and strength" where costs do not count. */
const char *recommend_front_words(const struct recommendation *answer);

/* "materials cost 72.90 per m3, ...": the winner's cost and that of each per cent of weight saved. "" when it cannot be told. */
void recommend_cost_words(const struct specimen_set *set, const struct recommend_request *request,
                          const struct recommendation *answer, bool us, char *out, size_t size);

/* Means and scatter of all mixes for density and the strength that the answer is about. */
void recommend_mixes_table(const struct specimen_set *set, const struct recommendation *answer, bool us, struct table *table);

#endif
