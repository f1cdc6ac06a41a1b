#include "analysis/quality_flag.h"

#include "base/memory.h"
#include "base/tasks.h"

#include <math.h>
#include <string.h>

/* Chance that a mix without a fault gets any outlier flag at all. */
#define FALSE_ALARM 0.05

bool quality_add(struct quality_findings *findings, const struct quality_finding *finding)
{
    void *items = findings->items;
    if (!memory_reserve(&items, &findings->capacity, findings->n_items + 1, sizeof *finding))
        return false;
    findings->items = items;
    findings->items[findings->n_items++] = *finding;
    return true;
}

void quality_findings_release(struct quality_findings *findings)
{
    memory_free(findings->items);
    memset(findings, 0, sizeof *findings);
}

static void run_release(struct quality_run *run)
{
    memory_free(run->values.value);
    memory_free(run->values.row);
    memory_free(run->values.start);
    memory_free(run->taken);
}

static bool run_reserve(struct quality_run *run, size_t n)
{
    if (n <= run->capacity)
        return true;
    run_release(run);
    run->values = (struct companion_values){
        .value = memory_resize(NULL, n, sizeof *run->values.value),
        .row = memory_resize(NULL, n, sizeof *run->values.row),
        .start = memory_resize(NULL, n + 1, sizeof *run->values.start),
    };
    run->taken = memory_resize(NULL, n, sizeof *run->taken);
    run->capacity = n;
    return run->values.value && run->values.row && run->values.start && run->taken;
}

/* Whether outliers can be judged among these values, which need not be taken for it: a few rows mostly tell. */
static bool is_family(const struct specimen_set *set, const struct companion_group *group, enum property property)
{
    struct companion_values counted = { 0 };
    uint32_t batch = 0;
    for (size_t i = 0; i < group->n_rows; i++) {
        const size_t row = group->row[i];
        if (isnan(set->value[property][row]))
            continue;
        counted.n_batches += counted.n++ == 0 || group->batch[i] != batch;
        batch = group->batch[i];
        if (counted.n - counted.n_batches >= OUTLIER_LEAST_DF)
            return true;
    }
    return quality_outlier_df(&counted) >= OUTLIER_LEAST_DF;
}

static size_t count_families(const struct specimen_set *set, const struct companion_mix *mix)
{
    size_t n = 0;
    for (size_t i = 0; i < mix->n_groups; i++)
        for (enum property property = 0; property < PROPERTY_COUNT; property++)
            n += set->value[property] && is_family(set, &mix->groups[i], property);
    return n;
}

static enum status judge_values(struct quality_run *run, enum property property, uint32_t mix, size_t n_families)
{
    quality_flag_ranges(run, property);
    return n_families > 0 ? quality_flag_outliers(run, property, mix, FALSE_ALARM / (double)n_families) : STATUS_OK;
}

static double least_of(const struct companion_values *values)
{
    double least = INFINITY;
    for (size_t i = 0; i < values->n; i++)
        least = values->value[i] < least ? values->value[i] : least;
    return least;
}

/* The densities are taken first, for ranges are judged by them. */
_Static_assert(PROPERTY_DENSITY == 0, "the first property");

static enum status judge_group(struct quality_run *run, const struct companion_group *group, uint32_t mix, size_t n_families)
{
    enum status status = STATUS_OK;
    run->least_density = INFINITY;
    for (enum property property = 0; status == STATUS_OK && property < PROPERTY_COUNT; property++) {
        if (!run->set->value[property])
            continue;
        companion_values_take(run->set, group, property, &run->values);
        if (property == PROPERTY_DENSITY)
            run->least_density = least_of(&run->values);
        status = judge_values(run, property, mix, n_families);
    }
    return status;
}

static enum status judge_mix(const struct companion_mix *mix, void *context)
{
    struct quality_run *run = context;
    const size_t n_families = count_families(run->set, mix);
    enum status status = run_reserve(run, mix->most_rows) ? STATUS_OK : STATUS_MEMORY;
    run->findings->n_mixes_tested += n_families > 0 ? 1 : 0;
    for (size_t i = 0; status == STATUS_OK && i < mix->n_groups; i++)
        status = judge_group(run, &mix->groups[i], mix->mix, n_families);
    return status;
}

/* ---- all mixes, in parts: a part is judged by whichever thread is free, and has its own findings ---- */

#define PARTS_MOST 16

struct quality_parts {
    struct specimen_set *set;
    struct companions companions;
    size_t n;
    uint32_t first[PARTS_MOST + 1]; /* the first mix of each, and where the last one ends */
    struct quality_findings findings[PARTS_MOST];
    enum status status[PARTS_MOST];
};

/* Parts are alike in rows, as far as mixes are. */
static void divide(struct quality_parts *parts)
{
    const struct specimen_set *set = parts->set;
    uint32_t mix = 0;
    for (size_t part = 0; part < parts->n; part++) {
        while (mix < set->n_mixes && parts->companions.first_row[mix] < set->n * part / parts->n)
            mix++;
        parts->first[part] = mix;
    }
    parts->first[parts->n] = (uint32_t)set->n_mixes;
}

static void judge_part(void *context, size_t part)
{
    struct quality_parts *parts = context;
    struct quality_run run = { .set = parts->set, .findings = &parts->findings[part] };
    parts->status[part] = companions_walk_some(&parts->companions, parts->first[part], parts->first[part + 1], judge_mix, &run);
    run_release(&run);
}

/* There is room for the items. */
static void add_findings(struct quality_findings *findings, const struct quality_findings *more)
{
    findings->n_mixes_tested += more->n_mixes_tested;
    for (enum property property = 0; property < PROPERTY_COUNT; property++) {
        findings->range[property].n_batches += more->range[property].n_batches;
        findings->range[property].n_wide += more->range[property].n_wide;
        findings->range[property].n_not_established += more->range[property].n_not_established;
    }
    if (more->n_items > 0)
        memcpy(findings->items + findings->n_items, more->items, more->n_items * sizeof *more->items);
    findings->n_items += more->n_items;
}

/* What all parts found, in the order of the mixes. */
static enum status join_parts(const struct quality_parts *parts, struct quality_findings *findings)
{
    size_t n_items = 0;
    for (size_t part = 0; part < parts->n; part++) {
        if (parts->status[part] != STATUS_OK)
            return parts->status[part];
        n_items += parts->findings[part].n_items;
    }
    findings->items = memory_resize(NULL, n_items, sizeof *findings->items);
    if (!findings->items)
        return STATUS_MEMORY;
    findings->capacity = n_items;
    for (size_t part = 0; part < parts->n; part++)
        add_findings(findings, &parts->findings[part]);
    return STATUS_OK;
}

static enum status judge_all(struct specimen_set *set, struct quality_findings *findings)
{
    struct quality_parts parts = { .set = set, .n = set->n < ROWS_WORTH_HELP ? 1 : PARTS_MOST };
    enum status status = companions_make(set, &parts.companions) ? STATUS_OK : STATUS_MEMORY;
    if (status == STATUS_OK) {
        divide(&parts);
        tasks_run(parts.n, parts.n > 1, judge_part, &parts);
        status = join_parts(&parts, findings);
    }
    for (size_t part = 0; part < parts.n; part++)
        quality_findings_release(&parts.findings[part]);
    companions_release(&parts.companions);
    return status;
}

enum status quality_flag(struct specimen_set *set, struct quality_findings *findings, struct problem *problem)
{
    memset(findings, 0, sizeof *findings);
    for (size_t i = 0; i < set->n; i++)
        set->flags[i] &= (uint16_t)~(FLAG_OUTLIER | FLAG_RANGE_WIDE);
    const enum status status = judge_all(set, findings);
    if (status == STATUS_OK)
        return status;
    quality_findings_release(findings);
    return problem_set(problem, status, NULL, "no memory left to judge the scatter of %zu specimens", set->n);
}

/* The column that the value leans on most, as the file calls it; NULL when it cannot be told. */
static const char *column_behind(const struct specimen_set *set, const struct quality_finding *finding)
{
    static const char *const computed[PROPERTY_COUNT][3] = {
        [PROPERTY_DENSITY] = { "mass", "mass_oven_dry", "mass_saturated" }, [PROPERTY_COMPRESSIVE_STRENGTH] = { "break_load" },
        [PROPERTY_FLEXURAL_STRENGTH] = { "break_load" }, [PROPERTY_SPLITTING_STRENGTH] = { "break_load" },
        [PROPERTY_ABSORPTION] = { "mass_saturated" }, [PROPERTY_VOIDS] = { "mass_boiled" },
    };
    const char *heading = NULL;
    if (set->flags[finding->row] & FLAG_READY_VALUE)
        heading = specimen_set_heading(set, finding->row, property_row(finding->property)->name);
    for (size_t i = 0; i < 3 && !heading && computed[finding->property][i]; i++)
        heading = specimen_set_heading(set, finding->row, computed[finding->property][i]);
    return heading;
}

static void tell_outlier(const struct specimen_set *set, const struct quality_finding *finding, bool us,
                         struct problem_list *problems)
{
    struct place place = specimen_set_place(set, finding->row);
    char value[40], others[40];
    struct name_room room;
    place.column = column_behind(set, finding);
    property_show(finding->property, finding->value, us, value, sizeof value);
    property_show(finding->property, finding->companions_mean, us, others, sizeof others);
    problem_list_add(problems, SEVERITY_DOUBT, STATUS_OK, &place,
                     "%s %s %s of specimen '%s' is an outlier in mix '%s' (its companions: %s); "
                     "look at the specimen before believing it; it stays in the analysis",
                     property_row(finding->property)->words, value, property_unit(finding->property, us),
                     specimen_set_id(set, finding->row, &room), set->mixes[finding->mix].name, others);
}

static void tell_ranges(const struct quality_range_count *count, enum property property, struct problem_list *problems)
{
    const char *words = property_row(property)->words, *method = NULL;
    (void)quality_reference_cv_pct(property, &method);
    if (count->n_wide)
        problem_list_add(problems, SEVERITY_NOTICE, STATUS_OK, NULL,
                         "%s: in %zu of %zu batches the specimens differ by more than normal-weight concrete should "
                         "(%s; about %.0f would by luck); 'plumestone results' flags them",
                         words, count->n_wide, count->n_batches, method, 0.05 * (double)count->n_batches);
    if (count->n_not_established)
        problem_list_add(problems, SEVERITY_NOTICE, STATUS_OK, NULL,
                         "%s: in %zu batches below %.0f kg/m3 the range within the batch was not judged, because no limits "
                         "are established there", words, count->n_not_established, QUALITY_LEAST_DENSITY_KG_M3);
}

void quality_tell_outliers(const struct specimen_set *set, const struct quality_findings *findings, bool us,
                           struct problem_list *problems)
{
    for (size_t i = 0; i < findings->n_items; i++)
        tell_outlier(set, &findings->items[i], us, problems);
}

void quality_tell_ranges(const struct quality_findings *findings, struct problem_list *problems)
{
    for (enum property property = 0; property < PROPERTY_COUNT; property++)
        tell_ranges(&findings->range[property], property, problems);
}
