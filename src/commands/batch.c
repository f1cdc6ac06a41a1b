#include "commands/deciding.h"

#include "output/answer_batch.h"

#include <math.h>
#include <stdio.h>
#include <string.h>
#include <strings.h>

/* A quantity above zero, or as it was when not told. */
static void parse(struct run *run, const char *option, const char *text, const struct unit *units, double *value)
{
    struct problem problem = {0};
    char what[64];
    snprintf(what, sizeof what, "--%s", option);
    if (text && quantity_parse(text, units, what, value, &problem) != STATUS_OK)
        problem_list_take(&run->problems, &problem);
}

static void require_above_zero(struct run *run, const char *option, double value)
{
    if (!isnan(value) && !(value > 0))
        usage_error(run, "--%s must be above zero", option);
}

static void parse_amounts(struct run *run, const struct study_options *options, struct batch_request *batch)
{
    parse(run, "waste", options->waste, units_percent, &batch->waste_pct);
    parse(run, "hold-back", options->hold_back, units_percent, &batch->hold_back_pct);
    parse(run, "trial", options->trial, units_volume, &batch->trial_l);
    parse(run, "mixer", options->mixer, units_volume, &batch->mixer_l);
    parse(run, "fraction", options->fraction, units_fraction, &batch->fraction);
    parse(run, "aggregate-moisture", options->light_moisture, units_percent, &batch->moisture_pct[BATCH_LIGHT]);
    parse(run, "sand-moisture", options->sand_moisture, units_percent, &batch->moisture_pct[BATCH_SAND]);
    parse(run, "gravel-moisture", options->gravel_moisture, units_percent, &batch->moisture_pct[BATCH_GRAVEL]);
    require_above_zero(run, "trial", batch->trial_l);
    require_above_zero(run, "mixer", batch->mixer_l);
    if (batch->hold_back_pct > 100)
        usage_error(run, "--hold-back is a share of the water, at most 100 %%");
    if (batch->waste_pct > 200)
        usage_error(run, "--waste is a share of the pieces' volume, at most 200 %%");
}

/* One recipe, told in one way. */
static void require_recipe(struct run *run, const struct study_options *options)
{
    int ways = (options->mix != NULL) + (options->fraction != NULL) + options->recommended;
    if (ways != 1)
        usage_error(run, "say the recipe in one way: --mix NAME, --aggregate NAME with --fraction SHARE, or --recommended");
    if (options->fraction && options->aggregates.n_items != 1)
        usage_error(run, "--fraction needs the one --aggregate that it is of");
    if (options->pieces == 0 && options->trial == NULL)
        usage_error(run, "say how much to cast: --pieces 12 with --piece 400x400x40mm, or --trial 20L");
    if (options->pieces > 0 && options->piece == NULL)
        usage_error(run, "--pieces needs the size of one: --piece 400x400x40mm");
    if (options->mixes == NULL)
        usage_error(run, "a batch sheet needs the recipes: --mixes FILE");
    if (options->materials == NULL)
        usage_error(run, "a batch sheet needs the loose bulk density of each ingredient: --materials FILE ('plumestone help columns' lists its columns)");
}

static enum status make_batch_request(struct run *run, const struct study *study, const struct recommend_request *request,
                                      struct batch_request *batch)
{
    const struct study_options *options = &study->options;
    *batch = (struct batch_request){
        .mixes = &study->mixes, .materials = &study->materials, .mix = options->mix,
        .fraction = NAN, .pieces = options->pieces ? (double)options->pieces : NAN,
        .piece = request->piece, .inserts_mass_kg = request->inserts_mass_kg, .waste_pct = NAN, .hold_back_pct = NAN, .trial_l = NAN, .mixer_l = NAN,
        .yield = options->yield, .water_count = (enum water_count)options->water_counts,
        .assurance = request->assurance, .law = request->law,
    };
    for (enum batch_role role = 0; role < BATCH_ROLES; role++)
        batch->moisture_pct[role] = NAN;
    if (options->fraction && options->aggregates.n_items > 0)
        batch->aggregate = options->aggregates.items[0];
    parse_amounts(run, options, batch);
    require_recipe(run, options);
    return run->problems.n_errors ? run->problems.worst : STATUS_OK;
}

/* Specimens give the dry density and say which mixes were tested; a sheet can do without. */
static enum status read_study(struct run *run, struct study *study, struct recommend_request *request, struct batch_request *batch)
{
    if (study->paths.n_items == 0 && study->options.recommended) {
        usage_error(run, "--recommended needs the specimen files that the recommendation comes from");
        return STATUS_USAGE;
    }
    if (study->paths.n_items == 0)
        return study_read_recipes(run, study);
    enum status status = study_read_files(run, study);
    if (status == STATUS_OK)
        status = study_select(run, study);
    request->selection = study->selection;
    request->units = study->us ? UNITS_US : UNITS_SI;
    batch->set = &study->set;
    batch->selection = &study->selection;
    return status;
}

/* The winner as the recipe, and the sentence that says so; without a winner the sentence is the answer. */
static enum status take_recommended(struct run *run, const struct study *study, const struct recommend_request *request,
                                    struct batch_request *batch, char *sentence, size_t size)
{
    struct recommendation answer = {0};
    enum status status = deciding_require_demand(run, request);
    if (status == STATUS_OK)
        status = deciding_search(run, study, request, &answer);
    if (status == STATUS_OK || status == STATUS_ANSWER_NO)
        if (recommendation_sentence(&study->set, request, &answer, study->us, sentence, size) != STATUS_OK)
            status = STATUS_MEMORY;
    if (status == STATUS_OK) {
        const struct candidate *winner = &answer.candidates[answer.winner];
        batch->mix = winner->interpolated ? NULL : study->set.mixes[winner->mix].name;
        batch->aggregate = study->set.aggregates[winner->aggregate];
        batch->fraction = winner->shown_fraction;
        batch->judged_fraction = winner->aggregate_fraction;
    }
    if (status == STATUS_ANSWER_NO) {
        text_add_printable(&run->out, sentence);
        text_add(&run->out, "\n");
    }
    recommendation_release(&answer);
    return status;
}

static bool ends_in(const char *path, const char *ending)
{
    size_t length = path ? strlen(path) : 0, tail = strlen(ending);
    return length >= tail && strcasecmp(path + length - tail, ending) == 0;
}

static enum status write_sheet(struct run *run, const struct study *study, const struct batch_sheet *sheet, const char *headline)
{
    const char *path = study->options.output;
    if (study->options.json)
        return answer_batch_json(sheet, headline, &run->out);
    if (ends_in(path, ".html") || ends_in(path, ".htm"))
        return answer_batch_html(sheet, headline, study->us, &run->out);
    if (ends_in(path, ".md"))
        return answer_batch_markdown(sheet, headline, study->us, &run->out);
    return answer_batch_table(sheet, headline, study->us, &run->out);
}

static enum status make_sheet(struct run *run, struct study *study, struct recommend_request *request, struct batch_request *batch)
{
    char sentence[2048] = "";
    struct batch_sheet sheet;
    enum status status = read_study(run, study, request, batch);
    if (status == STATUS_OK && study->options.recommended)
        status = take_recommended(run, study, request, batch, sentence, sizeof sentence);
    if (status == STATUS_ANSWER_NO)
        return study_deliver(run, study, status);
    if (status == STATUS_OK)
        status = batch_sheet_make(batch, &sheet, &run->problems);
    if (status == STATUS_OK)
        status = write_sheet(run, study, &sheet, sentence[0] ? sentence : NULL);
    return status == STATUS_OK ? study_deliver(run, study, status) : status;
}

enum status command_batch(struct run *run)
{
    struct study study = {0};
    struct recommend_request request;
    struct batch_request batch;
    enum status status = study_settle_options_alone(run, batch_groups, &study);
    if (status == STATUS_OK)
        status = study_make_request(run, &study, &request);
    if (status == STATUS_OK)
        status = make_batch_request(run, &study, &request, &batch);
    request.n_resamples = 0; /* a sheet tells no interval of the fraction, and of a point on a curve no caution but the first, which stands before */
    if (status == STATUS_OK)
        status = make_sheet(run, &study, &request, &batch);
    study_release(&study);
    return status;
}
