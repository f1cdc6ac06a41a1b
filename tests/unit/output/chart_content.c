#include "output/chart_builders.h"

#include "output/words.h"
#include "study.h"
#include "support/check.h"

/* What the pictures claim, read from the scripts that draw them. */

struct scene {
    struct study study;
    struct chart_source source;
    struct chart chart;
    struct drawing drawing;
};

static void scene_open(struct scene *scene)
{
    memset(scene, 0, sizeof *scene);
    CU_ASSERT_FATAL(study_make(&scene->study));
    scene->source = (struct chart_source){ .set = &scene->study.set, .request = &scene->study.request, .answer = &scene->study.answer };
}

static void scene_close(struct scene *scene)
{
    drawing_release(&scene->drawing);
    study_release(&scene->study);
}

/* Rows of two numbers in block `$name`; returns how many. */
static size_t read_block(const struct drawing *drawing, const char *name, double x[], double y[], size_t most)
{
    char opening[64];
    snprintf(opening, sizeof opening, "$%s << EOD\n", name);
    const char *at = strstr(drawing->script.bytes, opening);
    size_t n = 0;
    CU_ASSERT_PTR_NOT_NULL_FATAL(at);
    for (at += strlen(opening); strncmp(at, "EOD", 3) != 0 && n < most; at = strchr(at, '\n') + 1)
        n += sscanf(at, "%lf %lf", &x[n], &y[n]) == 2;
    return n;
}

/* Density of the lightest mix whose mean reaches the strength, straight from the summaries; NaN when none does. */
static double lightest_that_reaches(const struct study *study, double strength)
{
    double lightest = NAN;
    for (size_t i = 0; i < study->answer.mixes.n_items; i++) {
        const struct mix_summary *mix = &study->answer.mixes.items[i];
        if (mix->property[PROPERTY_COMPRESSIVE_STRENGTH].mean >= strength)
            lightest = fmin(lightest, mix->property[PROPERTY_DENSITY].mean);
    }
    return lightest;
}

/* Where gnuplot's `steps` stand at a height: from each point across to the next one's x, then up at it. */
static double step_at(const double x[], const double y[], size_t n, double height)
{
    for (size_t i = 1; i < n; i++)
        if (height > y[i - 1] && height <= y[i])
            return x[i];
    return NAN;
}

static void the_front_claims_no_strength_that_its_mix_does_not_reach(void)
{
    static struct scene scene;
    double x[64], y[64];
    scene_open(&scene);
    CU_ASSERT(chart_trade_off(&scene.source, &scene.chart, &scene.drawing) == STATUS_OK);
    size_t n = read_block(&scene.drawing, "front", x, y, 64);
    CU_ASSERT_FATAL(n > 3);
    CU_ASSERT_PTR_NOT_NULL(strstr(scene.drawing.script.bytes, "$front using 1:2 with steps "));
    check_close("it begins at the axis", y[0], scene.drawing.y.low, 1e-12);
    for (size_t i = 1; i < n; i++)
        for (double share = 0.1; share <= 1; share += 0.3) {
            double height = y[i - 1] + share * (y[i] - y[i - 1]);
            check_close("density for this strength", step_at(x, y, n, height), lightest_that_reaches(&scene.study, height), 1e-12);
        }
    CU_ASSERT(isnan(lightest_that_reaches(&scene.study, 1.0001 * y[n - 1])));
    scene_close(&scene);
}

/* gnuplot draws in the order of the plot command, and all arrows before it. */
static void levels_lie_over_the_band_and_under_the_points(void)
{
    static struct scene scene;
    scene_open(&scene);
    CU_ASSERT(chart_by_fraction(&scene.source, PROPERTY_COMPRESSIVE_STRENGTH, &scene.chart, &scene.drawing) == STATUS_OK);
    const char *plot = strstr(scene.drawing.script.bytes, "\nplot ");
    CU_ASSERT_PTR_NOT_NULL_FATAL(plot);
    const char *band = strstr(plot, "with filledcurves"), *level = strstr(plot, "$demand using 1:2 with lines"), *points = strstr(plot, "with points");
    CU_ASSERT_FATAL(band && level && points);
    CU_ASSERT(band < level && level < points);
    scene_close(&scene);
}

static void hollow_marks_stand_on_paper(void)
{
    static struct scene scene;
    scene_open(&scene);
    CU_ASSERT(chart_candidates(&scene.source, &scene.chart, &scene.drawing) == STATUS_OK);
    const char *script = scene.drawing.script.bytes;
    const char *interval = strstr(script, "with vectors nohead linestyle 31"), *paper = strstr(script, "with points linestyle 41"),
               *mark = strstr(script, "with points linestyle 31");
    CU_ASSERT_FATAL(interval && paper && mark);
    CU_ASSERT(interval < paper && paper < mark);
    scene_close(&scene);
}

static void check_recipe_name(struct scene *scene, const char *aggregate, const char *expected)
{
    char name[48], given[64];
    char *own = scene->study.set.aggregates[1];
    struct candidate candidate = scene->study.candidates[0];
    candidate.shown_fraction = 0.41275;
    snprintf(given, sizeof given, "%s", aggregate);
    scene->study.set.aggregates[1] = given;
    chart_recipe_name(&scene->source, &candidate, name);
    check_text(name, expected);
    scene->study.set.aggregates[1] = own;
}

#define FOUR_BYTES "\xF0\x9F\x9C\x81"
static void a_row_keeps_its_fraction(void)
{
    static struct scene scene;
    scene_open(&scene);
    check_recipe_name(&scene, "pumice", "pumice at 0.41275");
    check_recipe_name(&scene, "expanded glass", "expanded glass at 0.41275");
    check_recipe_name(&scene, "expanded clay from the north", "expanded\xE2\x80\xA6he north at 0.41275");
    check_recipe_name(&scene, FOUR_BYTES FOUR_BYTES FOUR_BYTES FOUR_BYTES FOUR_BYTES FOUR_BYTES FOUR_BYTES FOUR_BYTES FOUR_BYTES FOUR_BYTES FOUR_BYTES,
                      FOUR_BYTES FOUR_BYTES FOUR_BYTES FOUR_BYTES "\xE2\x80\xA6" FOUR_BYTES FOUR_BYTES FOUR_BYTES FOUR_BYTES " at 0.41275");
    scene.study.set.has_aggregate_column = false;
    check_recipe_name(&scene, "all", "fraction 0.41275");
    scene_close(&scene);
}

static void no_line_ends_between_a_number_and_its_unit(void)
{
    struct text out = { 0 };
    words_add_unbroken(&out, "95 % of 12 MPa, 1420 kg/m3 (40 in by 3 inside), 2 ft\xC2\xB3, level 7");
    check_text(out.bytes, "95\xC2\xA0% of 12\xC2\xA0MPa, 1420\xC2\xA0kg/m3 (40\xC2\xA0in by 3 inside), 2\xC2\xA0" "ft\xC2\xB3, level 7");
    text_release(&out);
}

int main(void)
{
    static const struct check_case cases[] = {
        { "the front claims no strength that its mix does not reach", the_front_claims_no_strength_that_its_mix_does_not_reach },
        { "levels lie over the band and under the points", levels_lie_over_the_band_and_under_the_points },
        { "hollow marks stand on paper", hollow_marks_stand_on_paper },
        { "a row keeps its fraction", a_row_keeps_its_fraction },
        { "no line ends between a number and its unit", no_line_ends_between_a_number_and_its_unit },
    };
    return check_run("chart content", cases, sizeof cases / sizeof cases[0]);
}
