#include "output/report_text.h"

#include "base/memory.h"
#include "output/escape.h"
#include "output/gather.h"
#include "output/words.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

void report_add_chart(const struct report_source *source, const char *name, struct text *out)
{
    for (size_t i = 0; i < source->charts->n_items; i++) {
        const struct chart *chart = &source->charts->items[i];
        if (strcmp(chart->name, name) != 0)
            continue;
        if (chart->drawn) {
            text_add(out, "![");
            escape_markdown(out, chart->alternative);
            text_addf(out, "](charts/%s.svg)\n\n", name);
        } else {
            text_add(out, "*");
            escape_markdown(out, chart->title);
            text_addf(out, "*: not drawn; run `gnuplot charts/%s.gp` in this folder.\n\n", name);
        }
    }
}

/* Charts of properties by fraction: their names end so. */
static void add_fraction_charts(const struct report_source *source, struct text *out)
{
    static const char ending[] = "-by-fraction";
    for (size_t i = 0; i < source->charts->n_items; i++) {
        const char *name = source->charts->items[i].name;
        size_t length = strlen(name);
        if (length > sizeof ending && strcmp(name + length - (sizeof ending - 1), ending) == 0)
            report_add_chart(source, name, out);
    }
}

static bool has_chart(const struct report_source *source, const char *name)
{
    for (size_t i = 0; i < source->charts->n_items; i++)
        if (strcmp(source->charts->items[i].name, name) == 0)
            return true;
    return false;
}

/* One sentence that says what to see, then the chart; nothing when there is no such chart. */
static void add_told_chart(const struct report_source *source, const char *name, const char *sentence, struct text *out)
{
    if (!has_chart(source, name))
        return;
    text_add(out, sentence);
    report_add_chart(source, name, out);
}

static void add_drying_words(const struct report_source *source, struct text *out)
{
    const struct drying_study *drying = source->settings->drying;
    size_t judged = 0, constant = 0;
    for (size_t i = 0; drying && i < drying->n_items; i++) {
        judged += drying->items[i].judged && drying->items[i].state.comparable ? 1 : 0;
        constant += drying->items[i].judged && drying->items[i].state.comparable && drying->items[i].state.constant ? 1 : 0;
    }
    if (judged > 0)
        text_addf(out, "%zu of %zu specimens that were weighed again and again have come to constant mass.\n\n", constant, judged);
}

void report_add_evidence(const struct report_source *source, struct text *out)
{
    text_add(out, "\n## What the trials show\n\n");
    text_add(out, "More light aggregate makes the concrete lighter and weaker. How fast, the trial batches say:\n\n");
    add_fraction_charts(source, out);
    add_told_chart(source, "strength-against-density", "What each step towards lightness takes away in strength:\n\n", out);
    add_told_chart(source, "cost-against-density", "And what it costs:\n\n", out);
    add_told_chart(source, "percent-lighter", "Against the mix that all are compared with:\n\n", out);
    if (has_chart(source, "strength-with-age")) {
        text_add(out, "### Strength with age\n\n");
        report_add_age_words(source, out);
        report_add_chart(source, "strength-with-age", out);
    }
    if (has_chart(source, "drying")) {
        text_add(out, "### How dry the specimens are\n\n");
        add_drying_words(source, out);
        report_add_chart(source, "drying", out);
    }
}

static void add_counts(const struct report_source *source, struct text *out)
{
    const struct specimen_set *set = source->set;
    text_addf(out, "%zu specimens in %zu batches of %zu mixes were read", set->n, set->n_batches, set->n_mixes);
    if (set->n_set_aside)
        text_addf(out, "; **%zu row%s set aside** (`set-aside.csv` holds %s, with the reason).", set->n_set_aside,
                  set->n_set_aside == 1 ? " was" : "s were", set->n_set_aside == 1 ? "it" : "them");
    else
        text_add(out, "; none were set aside.");
    if (!set->has_batch_column)
        text_add(out, " There is no batch column, so each specimen counts as its own batch: the intervals are narrower than they should be.");
    text_add(out, "\n\n");
}

static void add_flags(const struct report_source *source, struct text *out)
{
    size_t counts[FLAG_KINDS];
    if (words_flag_counts(source->set, counts) == 0)
        return;
    text_add(out, "Flags never remove a specimen; `results.csv` shows whose they are:\n\n");
    for (unsigned bit = 0; bit < FLAG_KINDS; bit++)
        if (counts[bit] > 0)
            text_addf(out, "- %s, %zu specimen%s: %s\n", flag_word(1u << bit), counts[bit], counts[bit] == 1 ? "" : "s", flag_meaning(1u << bit));
    text_add(out, "\n");
}

#define PROBLEMS_SHOWN 40
static void add_problems(const struct report_source *source, enum severity severity, const char *lead, struct text *out)
{
    const struct problem_list *problems = source->settings->problems;
    struct gathering gathering = { problems, severity, 0 };
    const struct problem *first;
    char sentence[1024];
    size_t shown = 0, all = problems ? problem_list_count(problems, severity) : 0, told = 0, n;
    while (problems && shown < PROBLEMS_SHOWN && gathering_next(&gathering, &first, &n, sentence, sizeof sentence)) {
        told += n;
        text_add(out, shown++ == 0 ? lead : "");
        text_add(out, "- ");
        escape_markdown_line(out, sentence);
        text_add(out, "\n");
    }
    if (all > told)
        text_addf(out, "- ... and %zu more: `plumestone check` lists them\n", all - told);
    if (shown > 0)
        text_add(out, "\n");
}

/* What the answer is not about: other ages, moisture states and aggregates. */
static void add_left_out(const struct report_source *source, struct text *out)
{
    const struct specimen_set *set = source->set;
    const struct selection *selection = &source->answer->selection;
    bool *wanted = memory_new(set->n + 1, sizeof *wanted);
    out->failed |= wanted == NULL;
    size_t n = wanted ? selection_rows(set, selection, wanted) : set->n;
    memory_free(wanted);
    if (n == set->n)
        return;
    char age[48] = "";
    if (isfinite(selection->age_days))
        snprintf(age, sizeof age, "%g days old", selection->age_days);
    text_addf(out, "The answer is about %zu of them", n);
    if (*age || selection->moisture != MOISTURE_UNKNOWN)
        text_addf(out, " (%s%s%s)", age, *age && selection->moisture != MOISTURE_UNKNOWN ? ", " : "",
                  selection->moisture != MOISTURE_UNKNOWN ? moisture_word(selection->moisture) : "");
    text_addf(out, "; %zu of another age, moisture state or aggregate are left out of it.\n\n", set->n - n);
}

void report_add_quality(const struct report_source *source, struct text *out)
{
    text_add(out, "\n## How far the data can be trusted\n\n");
    add_counts(source, out);
    add_left_out(source, out);
    add_problems(source, SEVERITY_DOUBT, "Doubtful values, kept but worth a look at the notebook:\n\n", out);
    add_problems(source, SEVERITY_NOTICE, "To know:\n\n", out);
    add_flags(source, out);
    out->failed |= answer_quality_markdown(source->set, source->settings->quality, out) != STATUS_OK;
    report_add_chart(source, "control", out);
    report_add_chart(source, "batches-within-mixes", out);
    add_told_chart(source, "residuals", "### The fitted curve\n\n", out);
}
