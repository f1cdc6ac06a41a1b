#ifndef OUTPUT_REPORT_H
#define OUTPUT_REPORT_H

#include "analysis/growth_study.h"
#include "output/answer.h"
#include "output/chart.h"

struct report_settings {
    const char *folder;
    const char *title;           /* NULL: "Trial batches: report" */
    bool us;
    bool draw;                   /* false: scripts only */
    double confidence;
    const struct problem_list *problems; /* what check said: doubts and notices go into the report */
    const char *set_aside_path;  /* NULL when strict */
    const struct mix_class_list *classes; /* NULL: nothing to tell */
    const struct fresh_list *fresh;       /* NULL: none */
    const struct mix_trials_list *trials; /* NULL or empty: none */
    const struct growth_study *growth;    /* NULL or without curves: no mix was tested at several ages */
    const struct quality_list *quality;   /* NULL: not measured */
    const struct drying_study *drying;    /* NULL: none */
    const struct age_study *ages;         /* NULL: none */
};

/*
 * Writes the report folder: report.md, report.html, charts/, results.csv,
 * summary.json (recommend --json) and set-aside.csv when rows were set aside.
 * Each file is replaced whole or not at all; the first sentence is the recommendation.
 * STATUS_TOOL  all but the pictures is there
 */
enum status report_write(const struct specimen_set *set, const struct recommend_request *request,
                         const struct recommendation *answer, const struct fit_list *fits,
                         const struct report_settings *settings, struct problem *problem);

#endif
