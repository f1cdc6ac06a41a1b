#ifndef OUTPUT_ANSWER_COMPARE_WORDS_H
#define OUTPUT_ANSWER_COMPARE_WORDS_H

#include "output/answer_compare.h"
#include "output/words.h"

/* "-120 (-180 to -60)" in the shown unit; "-" when it cannot be had. */
void compare_difference_words(enum property property, const struct comparison *pair, bool us, char out[WORDS_MAX]);

/* Whether 0 lies outside the interval. */
bool compare_told_apart(const struct comparison *pair);

/* Adds the answer in words: percent lighter, aggregates at the target, mixes that cannot be told apart. */
void compare_add_sentences(const struct specimen_set *set, const struct mix_comparison *answer, bool us, struct text *out);

/* Adds what each line comparison says in a sentence, and each target's. */
void compare_add_lines(const struct specimen_set *set, const struct mix_comparison *answer, struct text *out);

/* Adds what a reader must keep in mind, a bullet each. */
void compare_add_cautions(const struct specimen_set *set, const struct mix_comparison *answer, bool us, struct text *out);

/* Adds a paragraph wrapped to the page, or a bullet. */
void compare_add_paragraph(const struct text *paragraph, struct text *out);
void compare_add_bullet(const struct text *line, struct text *out);

#endif
