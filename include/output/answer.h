#ifndef OUTPUT_ANSWER_H
#define OUTPUT_ANSWER_H

#include "advise/recommend.h"
#include "analysis/curve.h"
#include "analysis/drying_study.h"
#include "analysis/influence.h"
#include "analysis/mix_class.h"
#include "analysis/trials.h"
#include "base/problem.h"
#include "base/text.h"
#include "output/answer_quality.h"
#include "specimen/fresh_list.h"
#include "specimen/specimen_set.h"

/*
 * Answers as text. Each function appends to out and computes nothing that is
 * not already in its arguments. `_table` is for a terminal (80 to 100
 * columns, text made printable), `_json` is one object as docs/json.md says,
 * numbers unrounded, absent null. STATUS_MEMORY when out could not grow.
 */
/* influence: of the chosen curve of each item; NULL: not told. */
struct fit_list { struct curve_set *items; size_t n_items; struct influence *influence; };

enum status answer_check_table(const struct specimen_set *set, const struct problem_list *problems, struct text *out);
/* What stands beside the specimens' results; NULL: not asked for, and the key is null then. */
struct results_beside {
    const struct mix_class_list *classes;
    const struct fresh_list *fresh;
    const struct drying_study *drying;
    const struct mix_trials_list *trials;
};
/* Of beside the fresh concrete and the drying. quality: NULL or empty gives an empty array. */
enum status answer_check_json(const struct specimen_set *set, const struct problem_list *problems, const struct results_beside *beside,
                              const struct quality_list *quality, struct text *out);
enum status answer_results_table(const struct specimen_set *set, bool us, struct text *out);
/* What the flags in that table mean; nothing without any. */
void answer_results_flags(const struct specimen_set *set, struct text *out);
enum status answer_results_json(const struct specimen_set *set, const struct results_beside *beside, struct text *out);
/* Text cells guarded against formulas; columns of further results at the end when any specimen has one. */
enum status answer_results_csv(const struct specimen_set *set, bool us, struct text *out);
/* Absorption, bulk densities and voids of the specimens that were boiled (ASTM C642); nothing without any. */
enum status answer_soaked_table(const struct specimen_set *set, struct text *out);
/* set may be NULL for general fits; then predictor_name and property_name name the columns. */
enum status answer_fit_table(const struct specimen_set *set, const struct fit_list *fits, double confidence, bool us, struct text *out);
enum status answer_fit_json(const struct specimen_set *set, const struct fit_list *fits, double confidence, struct text *out);
enum status answer_recommend_table(const struct specimen_set *set, const struct recommend_request *request,
                                   const struct recommendation *answer, bool us, struct text *out);
enum status answer_recommend_json(const struct specimen_set *set, const struct recommend_request *request,
                                  const struct recommendation *answer, struct text *out);

#endif
