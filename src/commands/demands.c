#include "commands/study.h"

#include "base/number.h"
#include "commands/naming.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define FRACTILE_USUAL 0.05
enum { RESAMPLES = 400 }; /* enough for a 95 % interval of the recommended fraction to two digits */
enum { RESAMPLE_THREADS = 2 }; /* the answer does not depend on it */

/* `property=VALUE UNIT`, piece_mass=VALUE UNIT or cost=VALUE. */
static enum status parse_demand(const char *option, const char *text, struct demand *demand, struct problem *problem)
{
    const char *equals = strchr(text, '=');
    char name[64], what[96];
    if (equals == NULL || equals == text || (size_t)(equals - text) >= sizeof name)
        return problem_set(problem, STATUS_USAGE, NULL,
                           "--%s: '%s' is not NAME=VALUE, such as compressive_strength=10MPa", option, text);
    memcpy(name, text, (size_t)(equals - text));
    name[equals - text] = '\0';
    snprintf(what, sizeof what, "--%s %s", option, name);
    *demand = (struct demand){.kind = DEMAND_PROPERTY, .property = property_find(name)};
    if (demand->property != PROPERTY_COUNT)
        return quantity_parse(equals + 1, property_row(demand->property)->units, what, &demand->value, problem);
    if (heading_same(name, "piece_mass")) {
        demand->kind = DEMAND_PIECE_MASS;
        return quantity_parse(equals + 1, units_mass, what, &demand->value, problem);
    }
    if (!heading_same(name, "cost"))
        return naming_unknown(option, name, true, problem);
    demand->kind = DEMAND_COST;
    return quantity_parse(equals + 1, units_cost, what, &demand->value, problem);
}

static void parse_demands(struct run *run, const char *option, const struct text_list *texts,
                          struct demand *demands, size_t *n_demands)
{
    for (size_t i = 0; i < texts->n_items; i++) {
        struct problem problem = {0};
        struct demand demand;
        if (parse_demand(option, texts->items[i], &demand, &problem) != STATUS_OK)
            problem_list_take(&run->problems, &problem);
        else if (!(demand.value > 0))
            usage_error(run, "--%s: '%s' is not above zero", option, texts->items[i]);
        else if (*n_demands == DEMANDS_MAX)
            usage_error(run, "--%s: no more than %d of them", option, DEMANDS_MAX);
        else
            demands[(*n_demands)++] = demand;
    }
}

static void parse_piece(struct run *run, const struct study_options *options, struct recommend_request *request)
{
    struct problem problem = {0};
    if (options->piece && quantity_parse_piece(options->piece, &request->piece, &problem) != STATUS_OK)
        problem_list_take(&run->problems, &problem);
    if (options->inserts_mass
        && quantity_parse(options->inserts_mass, units_mass, "--inserts-mass", &request->inserts_mass_kg, &problem) != STATUS_OK)
        problem_list_take(&run->problems, &problem);
    if (options->inserts_mass && options->piece == NULL)
        usage_error(run, "--inserts-mass needs the --piece that the inserts are in");
}

static bool has_kind(const struct demand *demands, size_t n_demands, enum demand_kind kind)
{
    for (size_t i = 0; i < n_demands; i++)
        if (demands[i].kind == kind)
            return true;
    return false;
}

static bool same_subject(const struct demand *a, const struct demand *b)
{
    return a->kind == b->kind && (a->kind != DEMAND_PROPERTY || a->property == b->property);
}

/* A minimum above the maximum of the same thing: no recipe can do that, and none should be searched for. */
static void refuse_contradictions(struct run *run, const struct study *study, const struct recommend_request *request)
{
    for (size_t i = 0; i < request->n_targets; i++)
        for (size_t j = 0; j < request->n_limits; j++)
            if (same_subject(&request->targets[i], &request->limits[j]) && request->targets[i].value > request->limits[j].value)
                usage_error(run, "--target '%s' lies above --limit '%s': nothing can be both", study->options.targets.items[i],
                            study->options.limits.items[j]);
}

/* Told, but without the assurance that it belongs to, the share would be passed over in silence. */
static void say_idle_fractile(struct run *run, const struct study_options *options)
{
    if (!isnan(options->fractile) && options->assurance != ASSURANCE_FRACTILE)
        problem_list_add(&run->problems, SEVERITY_NOTICE, STATUS_OK, NULL,
                         "--fractile=%g has no effect: it belongs to --assurance=fractile, and the assurance is '%s'",
                         options->fractile, assurance_word((enum assurance_kind)options->assurance));
}

/* Demands that need something else to be told. */
static void require_companions(struct run *run, const struct study *study, const struct recommend_request *request)
{
    bool mass = has_kind(request->targets, request->n_targets, DEMAND_PIECE_MASS)
        || has_kind(request->limits, request->n_limits, DEMAND_PIECE_MASS);
    bool cost = has_kind(request->targets, request->n_targets, DEMAND_COST)
        || has_kind(request->limits, request->n_limits, DEMAND_COST) || request->seek == SEEK_CHEAPEST;
    if (mass && study->options.piece == NULL)
        usage_error(run, "piece_mass needs the size of the piece: --piece=400x400x40mm, or its volume: --piece=6.4L");
    if (cost && (study->options.materials == NULL || study->options.mixes == NULL))
        usage_error(run, "cost needs the recipes and their prices: --mixes=FILE --materials=FILE");
}

/* The request but for the selection, which needs the specimens. */
enum status study_make_request(struct run *run, const struct study *study, struct recommend_request *request)
{
    const struct study_options *options = &study->options;
    size_t errors_before = run->problems.n_errors;
    *request = (struct recommend_request){
        .seek = (enum seek)options->seek,
        .assurance = {.kind = (enum assurance_kind)options->assurance, .confidence = options->confidence,
                      .fractile = isnan(options->fractile) ? FRACTILE_USUAL : options->fractile,
                      .specimens_per_batch = (double)options->specimens_per_batch},
        .law = (enum law)options->law,
        .piece = PIECE_NONE,
        .reference_mix = options->reference,
        .mixes = options->mixes ? &study->mixes : NULL,
        .materials = options->materials ? &study->materials : NULL,
        .seed = options->seed,
        .n_resamples = RESAMPLES,
        .n_threads = RESAMPLE_THREADS,
    };
    parse_demands(run, "target", &options->targets, request->targets, &request->n_targets);
    parse_demands(run, "limit", &options->limits, request->limits, &request->n_limits);
    parse_piece(run, options, request);
    if (run->problems.n_errors == errors_before) {
        require_companions(run, study, request);
        refuse_contradictions(run, study, request);
        say_idle_fractile(run, options);
    }
    return run->problems.n_errors == errors_before ? STATUS_OK : run->problems.worst;
}

enum status study_open_deciding(struct run *run, const struct option_group *groups, struct study *study,
                                struct recommend_request *request)
{
    enum status status = study_settle_options(run, groups, study);
    return status == STATUS_OK ? study_open_settled(run, study, request) : status;
}

enum status study_open_settled(struct run *run, struct study *study, struct recommend_request *request)
{
    enum status status = study_make_request(run, study, request);
    if (status == STATUS_OK)
        status = study_read_files(run, study);
    if (status == STATUS_OK)
        status = study_select_quietly(run, study);
    request->selection = study->selection;
    request->selection_notices = &study->selection_notices;
    request->units = study->us ? UNITS_US : UNITS_SI;
    return status;
}
