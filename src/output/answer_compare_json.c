#include "output/answer_compare.h"

#include "output/holds_for.h"
#include "output/json_build.h"
#include "output/trials_json.h"
#include "output/words.h"

#include <math.h>
#include <string.h>

static void put_limits(struct json_build *build, json_t *object, double lower, double upper)
{
    json_put_number(build, object, "lower", lower);
    json_put_number(build, object, "upper", upper);
}

static void put_mix_property(struct json_build *build, json_t *mix, enum property property, const struct mix_property *of)
{
    json_t *object = json_put_object(build, mix, property_row(property)->json_key);
    json_put_count(build, object, "n_specimens", of->n_specimens);
    json_put_count(build, object, "n_batches", of->n_batches);
    json_put_number(build, object, "mean", of->available ? of->mean : NAN);
    json_put_number(build, object, "sd_batch", of->available ? of->sd_batch : NAN);
    json_put_number(build, object, "sd_specimen", of->available ? of->sd_specimen : NAN);
}

static void put_percent_lighter(struct json_build *build, json_t *mix, const struct mix_summary *summary)
{
    json_t *object = json_put_object(build, mix, "percent_lighter");
    json_put_number(build, object, "estimate", summary->percent_lighter.estimate);
    put_limits(build, object, summary->percent_lighter.lower, summary->percent_lighter.upper);
    json_put_bool(build, object, "bounded", summary->percent_lighter.bounded);
}

static void count_rows(const struct specimen_set *set, const struct mix_comparison *answer, uint32_t mix,
                       size_t *n_specimens, size_t *n_batches)
{
    *n_specimens = *n_batches = 0;
    for (enum property property = 0; property < PROPERTY_COUNT; property++) {
        const struct mix_property *of = &answer->means.items[mix].property[property];
        if (!set->value[property] || !of->available)
            continue;
        *n_specimens = of->n_specimens > *n_specimens ? of->n_specimens : *n_specimens;
        *n_batches = of->n_batches > *n_batches ? of->n_batches : *n_batches;
    }
}

static void put_mixes(struct json_build *build, const struct specimen_set *set, const struct mix_comparison *answer)
{
    json_t *array = json_put_array(build, build->root, "mixes");
    for (uint32_t mix = 0; mix < answer->means.n_items; mix++) {
        size_t n_specimens, n_batches;
        if (!answer->shown[mix])
            continue;
        json_t *object = json_append_object(build, array);
        count_rows(set, answer, mix, &n_specimens, &n_batches);
        json_put_text(build, object, "mix", set->mixes[mix].name);
        json_put_text(build, object, "aggregate", words_aggregate(set, set->mixes[mix].aggregate));
        json_put_number(build, object, "aggregate_fraction", set->mixes[mix].aggregate_fraction);
        json_put_count(build, object, "n_specimens", n_specimens);
        json_put_count(build, object, "n_batches", n_batches);
        for (enum property property = 0; property < PROPERTY_COUNT; property++)
            put_mix_property(build, object, property, &answer->means.items[mix].property[property]);
        put_percent_lighter(build, object, &answer->means.items[mix]);
    }
}

/* names: of mixes (true) or of aggregates. */
static void put_pairs(struct json_build *build, json_t *array, const struct specimen_set *set, const char *property,
                      const struct comparison *pairs, size_t n_pairs, bool mixes)
{
    for (size_t i = 0; i < n_pairs; i++) {
        const struct comparison *pair = &pairs[i];
        json_t *object = json_append_object(build, array);
        json_put_text(build, object, "a", mixes ? set->mixes[pair->a].name : set->aggregates[pair->a]);
        json_put_text(build, object, "b", mixes ? set->mixes[pair->b].name : set->aggregates[pair->b]);
        json_put_text(build, object, "property", property);
        json_put_number(build, object, "difference", pair->difference);
        put_limits(build, object, pair->lower, pair->upper);
        json_put_number(build, object, "p_adjusted", pair->p);
    }
}

static void put_families(struct json_build *build, const struct specimen_set *set, const struct mix_comparison *answer)
{
    json_t *pairs = json_put_array(build, build->root, "pairs");
    for (enum property property = 0; property < PROPERTY_COUNT; property++)
        put_pairs(build, pairs, set, property_row(property)->name, answer->property[property].pairs, answer->property[property].n_pairs, true);
    json_t *against = json_put_array(build, build->root, "against_reference");
    for (enum property property = 0; property < PROPERTY_COUNT; property++)
        put_pairs(build, against, set, property_row(property)->name, answer->property[property].against, answer->property[property].n_against, true);
}

static void put_methods(struct json_build *build, const struct specimen_set *set, const struct mix_comparison *answer)
{
    json_t *array = json_put_array(build, build->root, "methods");
    for (enum property property = 0; property < PROPERTY_COUNT; property++) {
        const struct property_comparison *of = &answer->property[property];
        if (!set->value[property])
            continue;
        json_t *object = json_append_object(build, array);
        json_put_text(build, object, "property", property_row(property)->name);
        json_put_text(build, object, "pairs", comparison_method_word(of->pairs_method));
        json_put_text(build, object, "against_reference", comparison_method_word(of->against_method));
        json_put_bool(build, object, "log_scale", of->log_scale);
        json_put_text(build, object, "reason", of->reason);
        json_t *means = json_put_object(build, object, "equal_means");
        json_put_number(build, means, "f", of->equal_means_f);
        json_put_number(build, means, "df1", of->equal_means_df1);
        json_put_number(build, means, "df2", of->equal_means_df2);
        json_put_number(build, means, "p", of->equal_means_p);
        json_t *spread = json_put_object(build, object, "equal_spread");
        json_put_number(build, spread, "f", of->spread.statistic);
        json_put_number(build, spread, "df1", of->spread.df1);
        json_put_number(build, spread, "df2", of->spread.df2);
        json_put_number(build, spread, "p", of->spread.p);
        json_put_number(build, spread, "bartlett_p", of->bartlett.p);
    }
}

static void put_test(struct json_build *build, json_t *object, const char *key, const struct ancova_test *test)
{
    json_t *child = json_put_object(build, object, key);
    json_put_number(build, child, "f", test->f);
    json_put_number(build, child, "df1", test->df1);
    json_put_number(build, child, "df2", test->df2);
    json_put_number(build, child, "p", test->p);
}

static void put_lines(struct json_build *build, const struct specimen_set *set, const struct mix_comparison *answer)
{
    json_t *array = json_put_array(build, build->root, "lines");
    for (enum property property = 0; property < PROPERTY_COUNT; property++) {
        const struct line_comparison *of = &answer->lines[property];
        if (!of->available)
            continue;
        json_t *object = json_append_object(build, array);
        json_put_text(build, object, "property", property_row(property)->name);
        json_put_text(build, object, "predictor", of->predictor == PROPERTY_COUNT ? "aggregate_fraction" : property_row(of->predictor)->name);
        json_put_bool(build, object, "log_scale", of->log_scale);
        json_put_bool(build, object, "parallel", of->parallel);
        json_put_number(build, object, "slope", of->lines.slope);
        json_put_number(build, object, "slope_std_error", of->lines.slope_std_error);
        put_test(build, object, "common_slope", &of->lines.common_slope);
        put_test(build, object, "equal_intercepts", &of->lines.equal_intercepts);
        json_t *pairs = json_put_array(build, object, "pairs");
        put_pairs(build, pairs, set, property_row(property)->name, of->pairs, of->n_pairs, false);
    }
}

static const char *reach_word(enum reach reach)
{
    static const char *const words[] = {
        [REACH_FOUND] = "reached", [REACH_BEYOND] = "beyond", [REACH_NOWHERE] = "not_reached", [REACH_NO_CURVE] = "no_curve",
    };
    return words[reach];
}

static void put_at_target(struct json_build *build, json_t *array, const struct target_comparison *target,
                          const struct aggregate_at_target *at)
{
    json_t *object = json_append_object(build, array);
    json_put_text(build, object, "property", property_row(target->property)->name);
    json_put_number(build, object, "target", target->value);
    json_put_text(build, object, "status", reach_word(at->reach));
    json_put_number(build, object, "aggregate_fraction", at->aggregate_fraction);
    json_t *density = json_put_object(build, object, "density_kg_m3");
    json_put_number(build, density, "estimate", at->density_kg_m3);
    put_limits(build, density, at->lower, at->upper);
    json_put_number(build, object, "largest_estimate", at->best);
    json_put_text(build, object, "reason", at->reason);
}

/* An aggregate is among those of every target or, without a target, among the mixes shown. */
static bool aggregate_shown(const struct specimen_set *set, const struct mix_comparison *answer, uint32_t aggregate)
{
    for (size_t mix = 0; mix < set->n_mixes; mix++)
        if (answer->shown[mix] && set->mixes[mix].aggregate == aggregate)
            return true;
    return false;
}

static void put_aggregates(struct json_build *build, const struct specimen_set *set, const struct mix_comparison *answer)
{
    json_t *array = json_put_array(build, build->root, "aggregates");
    for (uint32_t aggregate = 0; aggregate < set->n_aggregates; aggregate++) {
        if (!aggregate_shown(set, answer, aggregate))
            continue;
        json_t *object = json_append_object(build, array);
        json_put_text(build, object, "aggregate", words_aggregate(set, aggregate));
        json_t *targets = json_put_array(build, object, "at_target");
        for (size_t i = 0; i < answer->n_targets; i++)
            for (size_t k = 0; k < answer->targets[i].n_aggregates; k++)
                if (answer->targets[i].aggregates[k].aggregate == aggregate)
                    put_at_target(build, targets, &answer->targets[i], &answer->targets[i].aggregates[k]);
    }
}

static void put_equal_strength(struct json_build *build, const struct specimen_set *set, const struct mix_comparison *answer)
{
    json_t *array = json_put_array(build, build->root, "equal_strength");
    for (size_t i = 0; i < answer->n_targets; i++) {
        const struct target_comparison *target = &answer->targets[i];
        json_t *object = json_append_object(build, array);
        json_put_text(build, object, "property", property_row(target->property)->name);
        json_put_number(build, object, "target", target->value);
        json_t *pairs = json_put_array(build, object, "pairs");
        put_pairs(build, pairs, set, property_row(PROPERTY_DENSITY)->name, target->pairs, target->n_pairs, false);
    }
}

static void put_holds_for(struct json_build *build, const struct specimen_set *set, const struct mix_comparison *answer)
{
    json_t *array = json_put_array(build, build->root, "holds_for");
    for (enum property property = 0; property < PROPERTY_COUNT; property++)
        if (set->value[property])
            holds_for_append(build, array, set, &answer->selection, property);
}

enum status answer_compare_json(const struct specimen_set *set, const struct mix_comparison *answer, struct text *out)
{
    struct json_build build;
    json_build_start(&build);
    json_put_text(&build, build.root, "reference", words_mix(set, answer->reference));
    json_put_number(&build, build.root, "confidence", answer->confidence);
    put_holds_for(&build, set, answer);
    put_mixes(&build, set, answer);
    put_families(&build, set, answer);
    put_aggregates(&build, set, answer);
    put_equal_strength(&build, set, answer);
    put_lines(&build, set, answer);
    put_methods(&build, set, answer);
    trials_put(&build, build.root, set, &answer->trials);
    return json_build_finish(&build, out);
}
