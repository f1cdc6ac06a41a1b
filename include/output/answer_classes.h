#ifndef OUTPUT_ANSWER_CLASSES_H
#define OUTPUT_ANSWER_CLASSES_H

#include "analysis/mix_class.h"
#include "base/text.h"

/*
 * Dry densities and classes by mix, for a terminal or as Markdown under a
 * heading of level 3; as answer.h. Nothing when there is nothing to tell.
 */
enum status answer_classes_table(const struct specimen_set *set, const struct mix_class_list *classes, bool us, struct text *out);
enum status answer_classes_markdown(const struct specimen_set *set, const struct mix_class_list *classes, bool us, struct text *out);

#endif
