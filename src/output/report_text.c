#include "output/report_text.h"

#include "advise/words.h"
#include "output/escape.h"
#include "output/words.h"

#include <inttypes.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

const char *report_title(const struct report_settings *settings)
{
    return settings->title && *settings->title ? settings->title : "Trial batches: report";
}

static void add_safety(bool us, struct text *out)
{
    text_addf(out, "\n## Before you cast\n\n"
    "- Cement is caustic. Fresh concrete burns skin and eyes, often hours later: wear waterproof gloves and goggles, and rinse splashes off at once.\n"
    "- Cement, perlite, pumice and sand raise dust that harms lungs; some of it holds crystalline silica. Wear a fitting P3 or N95 mask, wet what you cut, do not sweep dry.\n"
    "- Specimens burst when they break: stand behind a guard and keep goggles on.\n"
    "- Concrete is heavy. Lift with two above about %s, and secure moulds before filling.\n"
    "- Whatever carries people or part of a building is subject to local codes and needs a licensed engineer. This report is no design of a structure.\n", us ? "55 lb" : "25 kg");
}

static const char methods[] =
    "\n## Methods and sources\n\n"
    "- **Curves.** Each result is a smooth law of the aggregate fraction plus the luck of its batch plus the scatter of the specimen. "
    "Both variances are estimated by restricted maximum likelihood, with degrees of freedom after Kenward and Roger.\n"
    "- **Choice of law.** Smallest AICc on the scale of the result; ties go to the law that predicts left-out batches better.\n"
    "- **Assured values.** One-sided bounds for the mean of the recipe, for the mean of the next batch, or for single specimens "
    "(tolerance bound with noncentral t, as ISO 16269-6 for a single mix). The mean alone never decides.\n"
    "- **Interpolated recipes.** Only inside the range that was tested; the fraction is found where the assured value meets the demand.\n"
    "- **Percent lighter.** Ratio of means with Fieller's interval on the variance of batches.\n"
    "- **Spread of the fraction.** Whole batches resampled with replacement (bootstrap), everything recomputed each time.\n"
    "- **Quality of testing.** Companion specimens of one batch give the scatter of testing, batch means the scatter of casting; "
    "control limits are three sigma, with sigma from the moving range of neighbouring batches.\n"
    "- **Strength with age.** A law of growth through the batch means of a mix, that with the smallest AICc; mixes are compared at one age only.\n"
    "- **Drying.** A mass is constant when it changes by at most 0.5 % in 24 hours in the oven, in 28 days in air (ASTM C567).\n"
    "- **Rounding.** Full precision inside; values shown are rounded as the test standards ask, ties to even (ASTM E29).\n";

static const char sources[] =
    "\n### Sources\n\n"
    "- H. D. Patterson and R. Thompson, Biometrika 58 (1971) 545-554: restricted maximum likelihood.\n"
    "- M. G. Kenward and J. H. Roger, Biometrics 53 (1997) 983-997: degrees of freedom.\n"
    "- C. M. Hurvich and C.-L. Tsai, Biometrika 76 (1989) 297-307: AICc.\n"
    "- E. C. Fieller, Journal of the Royal Statistical Society B 16 (1954) 175-185: interval of a ratio.\n"
    "- B. Efron and R. J. Tibshirani, An Introduction to the Bootstrap, 1993.\n"
    "- ISO 16269-6: statistical tolerance intervals. ASTM E29: rounding. ASTM C567: density and drying of lightweight concrete. "
    "ACI 214R: strength tests. EN 206: classes.\n";

static void add_demand_list(const struct report_source *source, struct text *out)
{
    const struct recommend_request *request = source->request;
    text_addf(out, "- Sought: the %s recipe", seek_word(request->seek));
    for (size_t i = 0; i < request->n_targets + request->n_limits; i++) {
        bool is_limit = i >= request->n_targets;
        const struct demand *demand = is_limit ? &request->limits[i - request->n_targets] : &request->targets[i];
        char value[WORDS_MAX];
        demand_value_words(demand, source->settings->us, value, sizeof value);
        text_addf(out, "%s %s of %s %s", i ? "," : " with", demand_words(demand), is_limit ? "at most" : "at least", value);
    }
    char meaning[WORDS_MAX];
    words_basis(source->set, request, source->answer, meaning);
    text_addf(out, "; assured: %s\n", meaning);
}

/* A file that stood beside the specimens; path NULL: there was none. */
static void add_beside(const char *path, const char *what, struct text *out)
{
    if (!path)
        return;
    text_addf(out, "; %s: ", what);
    escape_markdown(out, path);
}

static void add_origin(const struct report_source *source, struct text *out)
{
    const struct specimen_set *set = source->set;
    text_add(out, "\n## Where this report comes from\n\n");
    add_demand_list(source, out);
    text_add(out, "- Read:");
    for (size_t i = 0; i < set->n_paths; i++) {
        text_add(out, i ? ", " : " ");
        escape_markdown(out, set->paths[i]);
    }
    add_beside(source->request->mixes ? source->request->mixes->path : NULL, "mixes", out);
    add_beside(source->request->materials ? source->request->materials->path : NULL, "materials", out);
    text_addf(out, "\n- Fingerprint of the data: %016" PRIx64 "\n", set->fingerprint);
    text_addf(out, "- Seed of the random numbers: %" PRIu64 "\n", source->request->seed);
    text_addf(out, "- plumestone %s; the same data, options and versions (of gnuplot too) give the same report to the last byte\n", PLUMESTONE_VERSION);
    text_add(out, "- Beside this report: `results.csv` (every specimen), `summary.json` (the answer for programs), `charts/` (scripts that hold their data)\n");
}

/* Adds text with never more than one blank line. */
static void add_tidy(struct text *out, const char *string)
{
    struct text tidy = { 0 };
    while (*string) {
        size_t line = strcspn(string, "\n"), breaks = strspn(string + line, "\n");
        text_add_bytes(&tidy, string, line + (breaks < 2 ? breaks : 2));
        string += line + breaks;
    }
    words_add_printed(out, tidy.bytes ? tidy.bytes : "");
    out->failed |= tidy.failed;
    text_release(&tidy);
}

enum status report_text(const struct report_source *source, struct text *out)
{
    struct text draft = { 0 };
    text_add(&draft, "# ");
    escape_markdown(&draft, report_title(source->settings));
    text_add(&draft, "\n\n");
    report_add_answer(source, &draft);
    report_add_evidence(source, &draft);
    report_add_quality(source, &draft);
    add_safety(source->settings->us, &draft);
    report_add_numbers(source, &draft);
    text_add(&draft, methods);
    text_add(&draft, sources);
    add_origin(source, &draft);
    add_tidy(out, draft.bytes ? draft.bytes : "");
    out->failed |= draft.failed;
    text_release(&draft);
    return out->failed ? STATUS_MEMORY : STATUS_OK;
}
