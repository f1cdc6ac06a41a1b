#ifndef COMMANDS_OPTIONS_H
#define COMMANDS_OPTIONS_H

#include "cli/option.h"

/*
 * Every long option of every command in one struct, because a study file may
 * hold any of them whatever command reads it. Texts borrow from the command
 * line or from the study file's texts.
 */
struct study_options {
    /* common */
    struct text_list specimens;      /* study file only */
    struct text_list columns;        /* NAME=HEADING */
    struct text_list aggregates;
    struct text_list shapes;         /* kinds of specimen: specimen/kind.h */
    const char *mixes, *materials, *study, *set_aside, *reference, *output;
    double age_days;                 /* NaN: not told */
    int moisture;                    /* enum moisture less one; -1: not told */
    int units;                       /* index into the words si, us; -1: as measured */
    double confidence;
    unsigned long seed;
    bool json, quiet, help, terminal;
    /* deciding */
    struct text_list targets, limits; /* NAME=VALUE UNIT */
    const char *piece, *inserts_mass;
    int seek, assurance, law;        /* enum seek, assurance_kind, law */
    unsigned long specimens_per_batch;
    double fractile;                 /* NaN: not told */
    /* of one command */
    struct text_list properties, also, formats, charts;
    const char *response, *on, *weights, *batch, *title, *weighings, *fresh;
    unsigned long degree;
    bool no_intercept, csv;
    /* casting: batch and plan */
    const char *mix, *fraction, *waste, *hold_back, *trial, *mixer;
    const char *light_moisture, *sand_moisture, *gravel_moisture;
    unsigned long pieces;            /* 0: not told */
    double yield;                    /* NaN: not told */
    int water_counts;                /* enum water_count */
    bool recommended;
    struct text_list differences;    /* NAME=VALUE UNIT */
    double power;
};

/* Indices of the words of --units. */
enum { SHOWN_SI, SHOWN_US };

/* What stands when nothing is told. */
void study_options_default(struct study_options *options);
void study_options_release(struct study_options *options);

enum { COMMON_ROWS = 17, DECIDING_ROWS = 9, RESULTS_ROWS = 1, DRYING_ROWS = 1, FRESH_ROWS = 1, FIT_ROWS = 9, CHART_ROWS = 3, REPORT_ROWS = 1,
       BATCH_ROWS = 13, PLAN_ROWS = 2 };
extern const struct option_row common_rows[COMMON_ROWS];
extern const struct option_row deciding_rows[DECIDING_ROWS];
extern const struct option_row results_rows[RESULTS_ROWS];
extern const struct option_row drying_rows[DRYING_ROWS];
extern const struct option_row fresh_rows[FRESH_ROWS]; /* options_casting.c */
extern const struct option_row fit_rows[FIT_ROWS];
extern const struct option_row chart_rows[CHART_ROWS];
extern const struct option_row report_rows[REPORT_ROWS];
extern const struct option_row batch_rows[BATCH_ROWS]; /* options_casting.c */
extern const struct option_row plan_rows[PLAN_ROWS];

extern const struct option_group check_groups[], record_groups[], results_groups[], fit_groups[], recommend_groups[],
    chart_groups[], report_groups[], batch_groups[], plan_groups[], help_groups[];

/* All that a study file may hold. */
extern const struct option_group study_groups[];

#endif
