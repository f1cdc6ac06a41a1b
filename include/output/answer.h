#ifndef OUTPUT_ANSWER_H
#define OUTPUT_ANSWER_H

#include "advise/recommend.h"
#include "analysis/curve.h"
#include "analysis/drying_study.h"
#include "base/problem.h"
#include "base/text.h"
#include "output/answer_quality.h"
#include "specimen/specimen_set.h"

/*
 * Answers as text. Each function appends to out and computes nothing that is
 * not already in its arguments. `_table` is for a terminal (80 to 100
 * columns, text made printable), `_json` is one object as docs/json.md says,
 * numbers unrounded, absent null. STATUS_MEMORY when out could not grow.
 */
struct fit_list { struct curve_set *items; size_t n_items; };

enum status answer_check_table(const struct specimen_set *set, const struct problem_list *problems, struct text *out);
/* drying: NULL without weighings; the key "drying" is null then. quality: NULL or empty gives an empty array. */
enum status answer_check_json(const struct specimen_set *set, const struct problem_list *problems, const struct drying_study *drying,
                              const struct quality_list *quality, struct text *out);
enum status answer_results_table(const struct specimen_set *set, bool us, struct text *out);
enum status answer_results_json(const struct specimen_set *set, const struct drying_study *drying, struct text *out);
enum status answer_results_csv(const struct specimen_set *set, bool us, struct text *out); /* text cells guarded against formulas */
/* set may be NULL for general fits; then predictor_name and property_name name the columns. */
enum status answer_fit_table(const struct specimen_set *set, const struct fit_list *fits, double confidence, bool us, struct text *out);
enum status answer_fit_json(const struct specimen_set *set, const struct fit_list *fits, double confidence, struct text *out);
enum status answer_recommend_table(const struct specimen_set *set, const struct recommend_request *request,
                                   const struct recommendation *answer, bool us, struct text *out);
enum status answer_recommend_json(const struct specimen_set *set, const struct recommend_request *request,
                                  const struct recommendation *answer, struct text *out);

#endif
