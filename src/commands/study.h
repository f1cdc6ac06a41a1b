#ifndef COMMANDS_STUDY_H
#define COMMANDS_STUDY_H

#include "advise/recommend.h"
#include "analysis/quality.h"
#include "commands/command.h"
#include "commands/options.h"
#include "specimen/specimen_set.h"

/* Everything that one run works on. Owns all of it; release with study_release(). */
struct study {
    struct study_options options;
    struct text_list paths;          /* specimen files */
    struct text_list owned;          /* texts out of the study file */
    struct column_map *maps;         /* n_maps, those of the specimens first */
    size_t n_maps, n_specimen_maps;
    struct mix_list mixes;
    struct material_list materials;
    struct specimen_set set;
    struct quality_findings quality; /* by study_read_files */
    struct selection selection;
    struct problem_list selection_notices; /* what settling it said; told by study_select, not by study_open_deciding */
    bool us;                         /* show US units */
    bool fingerprint;                /* in: the set is to have one */
};

/*
 * Settles the options of a command: its study file first, the command line
 * over it. A list given on the command line takes the study file's place; a
 * target, limit or column takes the place of the study file's of that name.
 * STATUS_USAGE, STATUS_INPUT (study file) with all problems in run.
 */
enum status study_settle_options(struct run *run, const struct option_group *groups, struct study *study);

/* The same for a command that can do without specimens. */
enum status study_settle_options_alone(struct run *run, const struct option_group *groups, struct study *study);

/* Turns the deciding options into a request, which borrows from study; no file is read. STATUS_USAGE. */
enum status study_make_request(struct run *run, const struct study *study, struct recommend_request *request);

/* Reads mixes and materials only. */
enum status study_read_recipes(struct run *run, struct study *study);

/* Reads mixes, materials and specimens that the options name. Status of the worst problem. */
enum status study_read_files(struct run *run, struct study *study);

/* Which specimens are meant as far as it was told: aggregates, age, moisture, reference. */
enum status study_select_told(struct run *run, struct study *study);

/* The same, and takes the others out of the set; says how many are left. STATUS_TOO_FEW when none is. */
enum status study_keep_selected(struct run *run, struct study *study);

/* Settles which specimens are meant: what was not told is chosen, and that is said. */
enum status study_select(struct run *run, struct study *study);

/* The same, with what was chosen kept in selection_notices for study_tell_selection() or the answer to say. */
enum status study_select_quietly(struct run *run, struct study *study);
void study_tell_selection(struct run *run, const struct study *study);

/* All three. */
enum status study_open(struct run *run, const struct option_group *groups, struct study *study);
void study_release(struct study *study);

/* Writes run->out to --output when one is given, and empties it. status goes through unless writing fails. */
enum status study_deliver(struct run *run, const struct study *study, enum status status);

/*
 * As study_open for the commands that decide: the deciding options become the
 * request (which borrows from study), checked before any file is read. What
 * was chosen for want of being told is left to the answer to say.
 */
enum status study_open_deciding(struct run *run, const struct option_group *groups, struct study *study,
                                struct recommend_request *request);

/* The same from where the options are settled, for a command that looks at them before any file is read. */
enum status study_open_settled(struct run *run, struct study *study, struct recommend_request *request);

/* A usage error, which has no place. */
#define usage_error(run, ...) \
    problem_list_add(&(run)->problems, SEVERITY_ERROR, STATUS_USAGE, NULL, __VA_ARGS__)

#endif
