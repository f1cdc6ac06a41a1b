#include "commands/options.h"

#include "advise/recommend.h"
#include "commands/fitting.h"

#include <math.h>
#include <stddef.h>

#define AT(member) offsetof(struct study_options, member)

static const char *const moisture_words[] = {
    [MOISTURE_AS_CAST - 1] = "as-cast", [MOISTURE_SATURATED - 1] = "saturated",
    [MOISTURE_AIR_DRY - 1] = "air-dry", [MOISTURE_OVEN_DRY - 1] = "oven-dry", [MOISTURE_COUNT - 1] = NULL,
};
static const char *const unit_words[] = {[SHOWN_SI] = "si", [SHOWN_US] = "us", NULL};
static const char *const seek_words[] = {
    [SEEK_LIGHTEST] = "lightest", [SEEK_STRONGEST] = "strongest", [SEEK_CHEAPEST] = "cheapest", [SEEK_COUNT] = NULL,
};
static const char *const assurance_words[] = {
    [ASSURANCE_MEAN] = "mean", [ASSURANCE_NEXT_BATCH] = "next-batch", [ASSURANCE_FRACTILE] = "fractile", [ASSURANCE_COUNT] = NULL,
};
static const char *const law_words[] = {
    [LAW_LINEAR] = "linear", [LAW_QUADRATIC] = "quadratic", [LAW_EXPONENTIAL] = "exponential",
    [LAW_EXPONENTIAL_QUADRATIC] = "exponential-quadratic", [LAW_POWER] = "power", [LAW_AUTO] = "auto", [LAW_COUNT + 1] = NULL,
};

static const char *const fit_law_words[] = {
    [LAW_LINEAR] = "linear", [LAW_QUADRATIC] = "quadratic", [LAW_EXPONENTIAL] = "exponential",
    [LAW_EXPONENTIAL_QUADRATIC] = "exponential-quadratic", [LAW_POWER] = "power", [LAW_AUTO] = "auto",
    [FITTING_LAW_HYPERBOLIC] = "hyperbolic", [FITTING_LAW_ROOT_EXPONENTIAL] = "root-exponential", [FITTING_LAW_ROOT_EXPONENTIAL + 1] = NULL,
};

const struct option_row common_rows[COMMON_ROWS] = {
    {"mixes", OPTION_TEXT, "FILE", "recipes of the mixes (docs/files.md)", AT(mixes), 0, 0, NULL},
    {"materials", OPTION_TEXT, "FILE", "densities and prices of the ingredients", AT(materials), 0, 0, NULL},
    {"study", OPTION_TEXT, "FILE", "read options from this file as 'name = value'; the command line wins", AT(study), 0, 0, NULL},
    {"column", OPTION_TEXT_LIST, "NAME=HEADING", "the file calls column NAME by this HEADING; a unit in brackets may follow (repeatable)",
     AT(columns), 0, 0, NULL},
    {"set-aside", OPTION_TEXT, "FILE", "go on without the bad rows and keep them in FILE with the reason", AT(set_aside), 0, 0, NULL},
    {"aggregate", OPTION_TEXT_LIST, "NAME", "only mixes with this aggregate (repeatable)", AT(aggregates), 0, 0, NULL},
    {"age", OPTION_NUMBER, "DAYS", "only specimens tested at this age", AT(age_days), 0, 36500, NULL},
    {"moisture", OPTION_CHOICE, NULL, "only specimens in this moisture state", AT(moisture), 0, 0, moisture_words},
    {"shape", OPTION_TEXT_LIST, "KIND", "strengths of this kind of specimen only, such as cube, 'cylinder 150mm', 'beam third-point' (repeatable)",
     AT(shapes), 0, 0, NULL},
    {"reference", OPTION_TEXT, "MIX", "the mix that 'percent lighter' is counted from", AT(reference), 0, 0, NULL},
    {"units", OPTION_CHOICE, NULL, "units of the answer (as measured)", AT(units), 0, 0, unit_words},
    {"confidence", OPTION_NUMBER, "LEVEL", "confidence of bounds and intervals (0.95)", AT(confidence), 0.5, 0.9999, NULL},
    {"seed", OPTION_WHOLE, "N", "start of the random numbers (1)", AT(seed), 1, 4294967295.0, NULL},
    {"json", OPTION_FLAG, NULL, "answer as one JSON object (docs/json.md)", AT(json), 0, 0, NULL},
    {"output", OPTION_TEXT, "PATH", "write the answer here instead of to the screen", AT(output), 0, 0, NULL},
    {"quiet", OPTION_FLAG, NULL, "show no notes, only errors and doubtful values", AT(quiet), 0, 0, NULL},
    {"help", OPTION_FLAG, NULL, "explain the command", AT(help), 0, 0, NULL},
};

const struct option_row deciding_rows[DECIDING_ROWS] = {
    {"target", OPTION_TEXT_LIST, "NAME=VALUE", "a minimum to reach, such as compressive_strength=10MPa (repeatable)",
     AT(targets), 0, 0, NULL},
    {"limit", OPTION_TEXT_LIST, "NAME=VALUE", "a maximum not to pass: density=1500kg/m3, absorption=15%, piece_mass=12kg, cost=90 (repeatable)",
     AT(limits), 0, 0, NULL},
    {"piece", OPTION_TEXT, "SIZE", "size of the finished piece, such as 400x400x40mm, or the volume of one that is no block, such as 6.4L", AT(piece), 0, 0, NULL},
    {"inserts-mass", OPTION_TEXT, "MASS", "mass of metal or other inserts in one piece, such as 0.8kg", AT(inserts_mass), 0, 0, NULL},
    {"seek", OPTION_CHOICE, NULL, "what the best recipe is (lightest)", AT(seek), 0, 0, seek_words},
    {"assurance", OPTION_CHOICE, NULL, "what is held against a target: bound of the mean, of the next batch, or of a fractile (next-batch)",
     AT(assurance), 0, 0, assurance_words},
    {"specimens-per-batch", OPTION_WHOLE, "M", "specimens averaged for the next batch (3)", AT(specimens_per_batch), 1, 1000, NULL},
    {"fractile", OPTION_NUMBER, "SHARE", "share of results allowed beyond a fractile bound (0.05)", AT(fractile), 0.0001, 0.5, NULL},
    {"law", OPTION_CHOICE, NULL, "shape of the curves (auto)", AT(law), 0, 0, law_words},
};

const struct option_row results_rows[RESULTS_ROWS] = {
    {"csv", OPTION_FLAG, NULL, "answer as a CSV file", AT(csv), 0, 0, NULL},
};

const struct option_row drying_rows[DRYING_ROWS] = {
    {"weighings", OPTION_TEXT, "FILE", "repeated weighings while drying: is the mass constant, and where will it end? (docs/files.md)",
     AT(weighings), 0, 0, NULL},
};

const struct option_row fit_rows[FIT_ROWS] = {
    {"property", OPTION_TEXT_LIST, "NAME", "fit this property (repeatable; all strengths and density)", AT(properties), 0, 0, NULL},
    {"law", OPTION_CHOICE, "LAW", "shape of the curves: linear, quadratic, exponential, exponential-quadratic, power; on age: hyperbolic, exponential, "
     "root-exponential (auto)", AT(law), 0, 0, fit_law_words},
    {"response", OPTION_TEXT, "COLUMN", "general fit: the column to explain, by its heading, values as written", AT(response), 0, 0, NULL},
    {"on", OPTION_TEXT, "COLUMN", "general fit: the column that explains it; without --response 'age' (each mix over its ages, compared at --age) or a property in the "
     "place of the fraction",
     AT(on), 0, 0, NULL},
    {"also", OPTION_TEXT_LIST, "COLUMN", "general fit: one more column that explains it (repeatable)", AT(also), 0, 0, NULL},
    {"degree", OPTION_WHOLE, "N", "general fit: powers of the --on column (1)", AT(degree), 1, 10, NULL},
    {"no-intercept", OPTION_FLAG, NULL, "general fit: through zero", AT(no_intercept), 0, 0, NULL},
    {"weights", OPTION_TEXT, "COLUMN", "general fit: weight of each row, one over its variance", AT(weights), 0, 0, NULL},
    {"batch", OPTION_TEXT, "COLUMN", "general fit: rows alike in this column share a batch (all apart)", AT(batch), 0, 0, NULL},
};

static const char *const format_words[] = {"svg", "png", "pdf", NULL};
const struct option_row chart_rows[CHART_ROWS] = {
    {"format", OPTION_TEXT_LIST, "svg|png|pdf", "kind of picture (repeatable; svg and png)", AT(formats), 0, 0, format_words},
    {"chart", OPTION_TEXT_LIST, "NAME", "only this chart, such as strength-by-fraction (repeatable; all)", AT(charts), 0, 0, NULL},
    {"terminal", OPTION_FLAG, NULL, "draw on the screen, with characters, and write no file", AT(terminal), 0, 0, NULL},
};

const struct option_row report_rows[REPORT_ROWS] = {
    {"title", OPTION_TEXT, "TEXT", "title of the report", AT(title), 0, 0, NULL},
};

static const struct option_row specimens_row[] = {
    {"specimens", OPTION_TEXT_LIST, "FILE", "specimen files when the command line names none (repeatable)", AT(specimens), 0, 0, NULL},
};

#define COMMON {"Common options", common_rows, COMMON_ROWS}
#define DECIDING {"Deciding", deciding_rows, DECIDING_ROWS}
#define END {NULL, NULL, 0}

#define DRYING {"Drying", drying_rows, DRYING_ROWS}
#define FRESH {"Fresh concrete", fresh_rows, FRESH_ROWS}

const struct option_group check_groups[] = {DRYING, FRESH, COMMON, END};
const struct option_group results_groups[] = {{"Results", results_rows, RESULTS_ROWS}, DRYING, FRESH, COMMON, END};
const struct option_group fit_groups[] = {{"Fit", fit_rows, FIT_ROWS}, COMMON, END};
const struct option_group recommend_groups[] = {DECIDING, COMMON, END};
const struct option_group chart_groups[] = {{"Chart", chart_rows, CHART_ROWS}, DRYING, DECIDING, COMMON, END};
const struct option_group report_groups[] = {{"Report", report_rows, REPORT_ROWS}, DRYING, FRESH, DECIDING, COMMON, END};
const struct option_group batch_groups[] = {{"Batch", batch_rows, BATCH_ROWS}, DECIDING, COMMON, END};
const struct option_group plan_groups[] = {{"Plan", plan_rows, PLAN_ROWS}, DECIDING, COMMON, END};

const struct option_group study_groups[] = {
    {"Study", specimens_row, 1}, COMMON, DECIDING,
    {"Results", results_rows, RESULTS_ROWS}, DRYING, FRESH, {"Fit", fit_rows, FIT_ROWS},
    {"Chart", chart_rows, CHART_ROWS}, {"Report", report_rows, REPORT_ROWS},
    {"Batch", batch_rows, BATCH_ROWS}, {"Plan", plan_rows, PLAN_ROWS}, END,
};

void study_options_default(struct study_options *options)
{
    *options = (struct study_options){
        .age_days = NAN, .moisture = -1, .units = -1, .confidence = 0.95, .seed = 1,
        .assurance = ASSURANCE_NEXT_BATCH, .law = LAW_AUTO,
        .specimens_per_batch = 3, .fractile = NAN, .degree = 1, .yield = NAN, .power = 0.8,
    };
}

void study_options_release(struct study_options *options)
{
    struct text_list *lists[] = {&options->specimens, &options->columns, &options->aggregates, &options->shapes, &options->targets,
                                 &options->limits, &options->properties, &options->also, &options->formats, &options->charts, &options->differences};
    for (size_t i = 0; i < sizeof lists / sizeof lists[0]; i++)
        text_list_release(lists[i]);
}
