#ifndef OUTPUT_CHART_H
#define OUTPUT_CHART_H

#include "advise/recommend.h"
#include "analysis/age_study.h"
#include "analysis/drying_study.h"
#include "analysis/growth_study.h"
#include "base/problem.h"
#include "output/answer_quality.h"
#include "output/terminal.h"
#include "specimen/specimen_set.h"

/* What all charts of a run are drawn from; borrows everything. */
struct chart_source {
    const struct specimen_set *set;
    const struct recommend_request *request;
    const struct recommendation *answer; /* of recommend_search; may have found nothing */
    const struct quality_list *quality;  /* NULL: no control chart */
    const struct drying_study *drying;   /* NULL: no drying curves */
    const struct age_study *ages;        /* NULL: no strength with age */
    const struct growth_study *growth;   /* curves for it; NULL: lines from mean to mean */
    bool us;                             /* axes in US units */
    const char *const *wanted;           /* n_wanted names of charts; n_wanted 0: all */
    size_t n_wanted;
    unsigned columns;                    /* of the terminal that the charts are for; 0: pictures */
};

/* A chart written to a folder: NAME.gp (script with its data inside) and, when gnuplot drew them, pictures. */
struct chart {
    char name[64];         /* file stem, ours, e.g. "strength-by-fraction" */
    char title[160];
    char alternative[400]; /* text for those who cannot see it */
    bool drawn;
};
struct chart_list { struct chart *items; size_t n_items, capacity; };

enum chart_format { CHART_SVG = 1, CHART_PNG = 2, CHART_PDF = 4, CHART_TEXT = 8, CHART_COLOURED_TEXT = 16 };
#define CHART_TEXT_EXTENSION ".txt"

/* Files of pictures: the word that names the format is the ending as well. */
enum { CHART_FILES = 3 };
struct chart_file { unsigned format; const char *word; };
extern const struct chart_file chart_files[CHART_FILES];

/*
 * Writes every chart that the source supports into folder, scripts first, then
 * draws them all: in one gnuplot run, or many of them in two that run side by side.
 * STATUS_TOOL  gnuplot missing or failed: the scripts are there, problem says what to install
 */
enum status chart_write_all(const struct chart_source *source, unsigned formats, const char *folder,
                            struct chart_list *charts, struct problem *problem);
void chart_list_release(struct chart_list *charts);

/* Whether a study may have a chart of this name. If none can, near is the name most like it, for "did you mean", or NULL. */
bool chart_known(const char *name, const char **near);

/*
 * Draws the same charts with characters, fitted to the terminal, onto out.
 * source->columns is not used. charts is filled as by chart_write_all; no file stays.
 * STATUS_TOOL  gnuplot missing or failed
 */
enum status chart_show(const struct chart_source *source, const struct terminal *terminal, struct text *out,
                       struct chart_list *charts, struct problem *problem);

#endif
