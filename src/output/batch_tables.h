#ifndef OUTPUT_SRC_BATCH_TABLES_H
#define OUTPUT_SRC_BATCH_TABLES_H

#include "advise/batch_sheet.h"
#include "output/table.h"

/* Tables that the terminal, the Markdown and the HTML of a batch sheet share. Each fills a zeroed table. */

/* Each ingredient's loose volume and mass for all pieces, a load and a trial, as far as they were asked for. */
void batch_weigh_table(const struct batch_sheet *sheet, bool us, struct table *table);

/* Needed, whole bags, cost. */
void batch_buy_table(const struct batch_sheet *sheet, bool us, struct table *table);

/* Densities and masses of concrete and piece. */
void batch_expect_table(const struct batch_sheet *sheet, bool us, struct table *table);

/* "materials for this cost 21.30, 1.78 a piece; whole bags 46.20". "" without a price. */
void batch_cost_words(const struct batch_sheet *sheet, bool us, char *out, size_t size);

/* What is written down while casting: labels of the empty lines. */
extern const char *const batch_write_ins[];
extern const size_t n_batch_write_ins;

#endif
