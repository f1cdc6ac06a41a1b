#include "output/chart.h"

#include "output/gnuplot.h"
#include "folder.h"
#include "study.h"
#include "support/check.h"

#include <sys/stat.h>

static const char *const chart_names[] = {
    "strength-by-fraction", "density-by-fraction", "strength-against-density", "candidates", "fraction-spread", "sensitivity", "percent-lighter", "batches-within-mixes",
    "control", "residuals"
};
#define N_CHARTS (sizeof chart_names / sizeof chart_names[0])

static enum status write_charts(const struct study *study, const struct folder *folder, unsigned formats, struct chart_list *charts, struct problem *problem)
{
    const struct chart_source source = { .set = &study->set, .request = &study->request, .answer = &study->answer, .quality = &study->qualities };
    return chart_write_all(&source, formats, folder->path, charts, problem);
}

/* Lines between "$name << EOD" and "EOD" hold numbers and nothing else. */
static void check_blocks(const struct text *script)
{
    bool inside = false;
    size_t n_lines = 0;
    for (const char *line = script->bytes; *line; line += strcspn(line, "\n") + 1) {
        size_t length = strcspn(line, "\n");
        if (inside && strncmp(line, "EOD\n", 4) == 0) {
            inside = false;
        } else if (inside) {
            n_lines++;
            CU_ASSERT(strspn(line, "0123456789+-.e NaN") == length);
        } else if (*line == '$') {
            inside = length > 7 && strncmp(line + length - 7, " << EOD", 7) == 0;
        }
    }
    CU_ASSERT(!inside && n_lines > 0);
}

static void scripts_hold_their_data_and_no_text_in_it(void)
{
    struct study study;
    struct chart_list charts;
    struct problem problem;
    CU_ASSERT_FATAL(study_make(&study));
    struct folder folder = folder_open();
    CU_ASSERT(write_charts(&study, &folder, 0, &charts, &problem) == STATUS_OK);
    CU_ASSERT(charts.n_items == N_CHARTS && folder_count(&folder) == N_CHARTS);
    for (size_t i = 0; i < N_CHARTS && i < charts.n_items; i++) {
        char name[96];
        check_text(charts.items[i].name, chart_names[i]);
        CU_ASSERT(!charts.items[i].drawn && charts.items[i].title[0] && charts.items[i].alternative[0]);
        snprintf(name, sizeof name, "%s.gp", chart_names[i]);
        struct text script = folder_load(&folder, name);
        check_blocks(&script);
        CU_ASSERT_PTR_NULL(strstr(script.bytes, "\nload"));
        text_release(&script);
    }
    chart_list_release(&charts);
    folder_close(&folder);
    study_release(&study);
}

/* Bars add up to what was drawn, less the draws without an answer. */
static void the_spread_of_the_fraction_is_counted(void)
{
    struct study study;
    struct chart_list charts;
    struct problem problem;
    double sum = 0;
    CU_ASSERT_FATAL(study_make(&study));
    struct folder folder = folder_open();
    CU_ASSERT(write_charts(&study, &folder, 0, &charts, &problem) == STATUS_OK);
    struct text script = folder_load(&folder, "fraction-spread.gp");
    const char *line = strstr(script.bytes, "$bars << EOD\n");
    CU_ASSERT_PTR_NOT_NULL_FATAL(line);
    for (line = strchr(line, '\n') + 1; *line != 'E'; line = strchr(line, '\n') + 1) {
        double x = 0, share = 0;
        CU_ASSERT(sscanf(line, "%lf %lf", &x, &share) == 2 && x > 0.39 && x < 0.435);
        sum += share;
    }
    check_close("share drawn, %", sum, 100.0 * STUDY_DRAWS / (STUDY_DRAWS + 2), 1e-12);
    CU_ASSERT_PTR_NOT_NULL(strstr(script.bytes, "In 2 draws"));
    text_release(&script);
    chart_list_release(&charts);
    folder_close(&folder);
    study_release(&study);
}

/* Costs, ages and weighings each bring their chart. */
static void what_is_known_besides_is_drawn_too(void)
{
    struct study study;
    struct chart_list charts;
    struct problem problem = { 0 };
    CU_ASSERT_FATAL(study_make(&study));
    struct folder folder = folder_open();
    for (size_t i = 0; i < study.answer.n_candidates; i++)
        study.candidates[i].cost = 200 - 20 * (double)i;
    struct age_mean means[] = { { 7, 20, 6, 2 }, { 28, 30, 6, 2 } };
    double ages[] = { 7, 28 }, values[] = { 20, 30 };
    struct age_series series = { .mix = 1, .means = means, .n_means = 2, .ages = ages, .values = values, .n_values = 2 };
    const struct age_study by_age = { PROPERTY_COMPRESSIVE_STRENGTH, &series, 1 };
    char name[] = "s1";
    struct weighing items[] = { { 0, 2 }, { 24, 1.9 }, { 48, 1.899 } };
    const struct weighing_series weighed = { .specimen = name, .items = items, .n_items = 3 };
    struct drying_result result = { .series = &weighed, .rule = &drying_rule_oven, .judged = true,
        .state = { .comparable = true, .constant = true, .since = 2 } };
    const struct drying_study drying = { .items = &result, .n_items = 1 };
    const struct chart_source source = {
        .set = &study.set, .request = &study.request, .answer = &study.answer, .quality = &study.qualities, .drying = &drying, .ages = &by_age, .us = true
    };
    CU_ASSERT(chart_write_all(&source, CHART_SVG, folder.path, &charts, &problem) == STATUS_OK);
    CU_ASSERT(charts.n_items == N_CHARTS + 3 && folder_count(&folder) == 2 * N_CHARTS + 6);
    struct text script = folder_load(&folder, "drying.gp");
    CU_ASSERT_PTR_NOT_NULL(strstr(script.bytes, "$constant1 << EOD\n48 94.95"));
    CU_ASSERT_PTR_NOT_NULL(strstr(script.bytes, "'in the oven'"));
    text_release(&script);
    script = folder_load(&folder, "strength-with-age.gp");
    CU_ASSERT_PTR_NOT_NULL(strstr(script.bytes, "set xtics ('7' 1.945"));
    CU_ASSERT_PTR_NOT_NULL(strstr(script.bytes, "'P-20'"));
    CU_ASSERT_PTR_NOT_NULL(strstr(script.bytes, "'compressive strength (psi)'"));
    text_release(&script);
    script = folder_load(&folder, "cost-against-density.gp");
    CU_ASSERT_PTR_NOT_NULL(strstr(script.bytes, "$front << EOD\n"));
    text_release(&script);
    chart_list_release(&charts);
    folder_close(&folder);
    study_release(&study);
}

/* A batch beyond three sigma is named, and batches that were dated stand over their dates. */
static void a_control_chart_names_what_lies_beyond(void)
{
    struct study study;
    struct chart_list charts;
    struct problem problem;
    CU_ASSERT_FATAL(study_make(&study));
    struct folder folder = folder_open();
    struct quality_control *control = &study.quality[0].control;
    control->by_date = true;
    for (size_t i = 0; i < control->n_points; i++)
        control->points[i].cast_on = study.quality[1].control.points[i].cast_on = 19782 + (int32_t)i; /* from 29 February 2024 on */
    struct quality_point *wild = &control->points[5];
    wild->shown = control->upper + 1;
    wild->beyond = true;
    control->n_beyond = 1;
    CU_ASSERT(write_charts(&study, &folder, 0, &charts, &problem) == STATUS_OK);
    struct text script = folder_load(&folder, "control.gp");
    char name[128];
    snprintf(name, sizeof name, "'%s, %s'", study.set.mixes[wild->mix].name, specimen_set_batch_name(&study.set, wild->batch, &(struct name_room){ 0 }));
    CU_ASSERT_PTR_NOT_NULL(strstr(script.bytes, name));
    CU_ASSERT_PTR_NOT_NULL(strstr(script.bytes, "batches in the order of the file")); /* of the panel below, without dates */
    control->n_beyond = 0;
    wild->beyond = false;
    study.quality[1].control.by_date = true;
    text_release(&script);
    chart_list_release(&charts);
    CU_ASSERT(write_charts(&study, &folder, 0, &charts, &problem) == STATUS_OK);
    script = folder_load(&folder, "control.gp");
    CU_ASSERT_PTR_NULL(strstr(script.bytes, name));
    CU_ASSERT_PTR_NOT_NULL(strstr(script.bytes, "'2024-02-29' 1"));
    text_release(&script);
    chart_list_release(&charts);
    folder_close(&folder);
    study_release(&study);
}

static void pictures_are_drawn_whole_in_every_format(void)
{
    struct study study;
    struct chart_list charts;
    struct problem problem = { 0 };
    CU_ASSERT_FATAL(study_make(&study));
    struct folder folder = folder_open();
    enum status status = write_charts(&study, &folder, CHART_SVG | CHART_PNG | CHART_PDF, &charts, &problem);
    if (status != STATUS_OK)
        fprintf(stderr, "%s\n", problem.text);
    CU_ASSERT(status == STATUS_OK && folder_count(&folder) == 4 * N_CHARTS);
    for (size_t i = 0; i < charts.n_items; i++) {
        char name[96];
        CU_ASSERT(charts.items[i].drawn);
        snprintf(name, sizeof name, "%s.svg", charts.items[i].name);
        struct text picture = folder_load(&folder, name);
        CU_ASSERT_PTR_NOT_NULL(strstr(picture.bytes, "</svg>"));
        CU_ASSERT_PTR_NULL(strstr(picture.bytes, "<script"));
        CU_ASSERT_PTR_NULL(strstr(picture.bytes, "Arial"));
        text_release(&picture);
    }
    chart_list_release(&charts);
    folder_close(&folder);
    study_release(&study);
}

/* A script run by hand from elsewhere leaves its picture beside itself, the same to the byte. */
static void a_script_runs_by_itself(void)
{
    struct study study;
    struct chart_list charts;
    struct problem problem;
    char script[128], picture[160];
    CU_ASSERT_FATAL(study_make(&study));
    struct folder folder = folder_open();
    CU_ASSERT(write_charts(&study, &folder, CHART_SVG, &charts, &problem) == STATUS_OK);
    struct text first = folder_load(&folder, "strength-by-fraction.svg");
    snprintf(script, sizeof script, "%s/strength-by-fraction.gp", strrchr(folder.path, '/') + 1);
    snprintf(picture, sizeof picture, "%s/strength-by-fraction.svg", folder.path);
    unlink(picture);
    CU_ASSERT(gnuplot_run("/tmp", script, 30, &problem) == STATUS_OK);
    struct text second = folder_load(&folder, "strength-by-fraction.svg");
    check_text(second.bytes, first.bytes);
    text_release(&first);
    text_release(&second);
    chart_list_release(&charts);
    folder_close(&folder);
    study_release(&study);
}

static void hostile_names_are_drawn_and_do_nothing(void)
{
    static const char *const mixes[STUDY_MIXES] = {
        "`touch PWN`", "a'; system('touch PWN'); #", "EOD", "e", "'A1", "< touch PWN", "|touch PWN", "../../PWN",
        "<script>alert(1)</script>", "\"><img src=x onerror=alert(1)>", "]]>", "-->", "x_{1}^2@{3}&~%s", "100 % \\%d %",
        "a\"; system(\"touch PWN\"); #", "\xE2\x80\xAE" "abc"
    };
    static const char *const aggregates[STUDY_AGGREGATES] = { "''", "'; system('touch PWN'); '", "`touch PWN`", "]]><b>%h%%" };
    struct study study;
    struct chart_list charts;
    struct problem problem = { 0 };
    CU_ASSERT_FATAL(study_make_named(&study, mixes, aggregates));
    struct folder folder = folder_open();
    enum status status = write_charts(&study, &folder, CHART_SVG, &charts, &problem);
    if (status != STATUS_OK)
        fprintf(stderr, "%s\n", problem.text);
    CU_ASSERT(status == STATUS_OK && charts.n_items == N_CHARTS && folder_count(&folder) == 2 * N_CHARTS);
    CU_ASSERT(!folder_has(&folder, "PWN") && access("PWN", F_OK) != 0 && access("/tmp/PWN", F_OK) != 0);
    struct text picture = folder_load(&folder, "percent-lighter.svg");
    CU_ASSERT_PTR_NULL(strstr(picture.bytes, "]]>"));
    CU_ASSERT_PTR_NULL(strstr(picture.bytes, "<script"));
    CU_ASSERT_PTR_NULL(strstr(picture.bytes, "<img"));
    CU_ASSERT_PTR_NOT_NULL(strstr(picture.bytes, "x_{1}^2@{3}&amp;~"));
    text_release(&picture);
    chart_list_release(&charts);
    folder_close(&folder);
    study_release(&study);
}

/* Puts a stand-in for gnuplot, a shell script with this body, first in the path. */
static void with_stand_in(const struct folder *folder, const char *body, char old_path[4096])
{
    char path[512], value[4700];
    snprintf(old_path, 4096, "%s", getenv("PATH"));
    snprintf(path, sizeof path, "%s/gnuplot", folder->path);
    FILE *file = fopen(path, "w");
    CU_ASSERT_PTR_NOT_NULL_FATAL(file);
    fprintf(file, "#!/bin/sh\n%s\n", body);
    fclose(file);
    CU_ASSERT(chmod(path, 0700) == 0);
    snprintf(value, sizeof value, "%s:%s", folder->path, old_path);
    setenv("PATH", value, 1);
}

/* What comes of drawing with a broken gnuplot: scripts stay, no half picture, the words say why. */
static void check_broken(const char *body, const char *words)
{
    struct study study;
    struct chart_list charts;
    struct problem problem = { 0 };
    char old_path[4096];
    CU_ASSERT_FATAL(study_make(&study));
    struct folder folder = folder_open();
    with_stand_in(&folder, body, old_path);
    CU_ASSERT(write_charts(&study, &folder, CHART_SVG, &charts, &problem) == STATUS_TOOL);
    setenv("PATH", old_path, 1);
    if (!strstr(problem.text, words))
        fprintf(stderr, "got \"%s\"\n", problem.text);
    CU_ASSERT_PTR_NOT_NULL(strstr(problem.text, words));
    CU_ASSERT(folder_count(&folder) == N_CHARTS + 1);
    for (size_t i = 0; i < charts.n_items; i++)
        CU_ASSERT(!charts.items[i].drawn);
    chart_list_release(&charts);
    folder_close(&folder);
    study_release(&study);
}

static void a_broken_gnuplot_leaves_scripts_and_reasons(void)
{
    check_broken("exit 0", "did not draw 'strength-by-fraction.svg'");
    check_broken("echo '\"x.gp\" line 3: undefined variable' >&2; exit 1", "line 3: undefined variable");
    check_broken("d=${2%/*}; for n in $(sed -n \"s/^load '\\(.*\\)[.]gp'/\\1/p\" $2); do printf '<svg>' >$d/$n.svg; done; exit 0", "unfinished");
    check_broken("kill -9 $$", "stopped by signal 9");
}

/* Of two gnuplots that share the pictures one fails: those of the other stay. */
static void half_a_broken_gnuplot(void)
{
    struct study study;
    struct chart_list charts;
    struct problem problem = { 0 };
    char old_path[4096];
    size_t n_drawn = 0;
    CU_ASSERT_FATAL(study_make(&study));
    struct folder folder = folder_open();
    with_stand_in(&folder, "grep -q \"load 'strength-by-fraction.gp'\" $2 && { echo 'out of ink' >&2; exit 1; }\n"
                           "PATH=${PATH#*:} exec gnuplot \"$@\"", old_path);
    CU_ASSERT(write_charts(&study, &folder, CHART_SVG, &charts, &problem) == STATUS_TOOL);
    setenv("PATH", old_path, 1);
    CU_ASSERT_PTR_NOT_NULL(strstr(problem.text, "out of ink"));
    CU_ASSERT_FATAL(charts.n_items == N_CHARTS);
    for (size_t i = 0; i < charts.n_items; i++)
        n_drawn += charts.items[i].drawn;
    CU_ASSERT(!charts.items[0].drawn && n_drawn == N_CHARTS - N_CHARTS / 2);
    CU_ASSERT(folder_count(&folder) == N_CHARTS + n_drawn + 1);
    chart_list_release(&charts);
    folder_close(&folder);
    study_release(&study);
}

static void a_missing_gnuplot_says_what_to_install(void)
{
    struct study study;
    struct chart_list charts;
    struct problem problem = { 0 };
    char old_path[4096];
    CU_ASSERT_FATAL(study_make(&study));
    struct folder folder = folder_open();
    snprintf(old_path, sizeof old_path, "%s", getenv("PATH"));
    setenv("PATH", "/nowhere", 1);
    CU_ASSERT(write_charts(&study, &folder, CHART_SVG, &charts, &problem) == STATUS_TOOL);
    setenv("PATH", old_path, 1);
    CU_ASSERT_PTR_NOT_NULL(strstr(problem.text, "gnuplot-nox"));
    CU_ASSERT(charts.n_items == N_CHARTS && folder_count(&folder) == N_CHARTS);
    chart_list_release(&charts);
    folder_close(&folder);
    study_release(&study);
}

static void a_hanging_gnuplot_is_stopped(void)
{
    struct problem problem = { 0 };
    char old_path[4096];
    struct folder folder = folder_open();
    with_stand_in(&folder, "exec sleep 1000", old_path);
    CU_ASSERT(gnuplot_run(folder.path, "x.gp", 0.3, &problem) == STATUS_TOOL);
    setenv("PATH", old_path, 1);
    CU_ASSERT_PTR_NOT_NULL(strstr(problem.text, "took longer than 0.3 s"));
    folder_close(&folder);
}

int main(void)
{
    static const struct check_case cases[] = {
        { "scripts hold their data and no text in it", scripts_hold_their_data_and_no_text_in_it },
        { "the spread of the fraction is counted", the_spread_of_the_fraction_is_counted },
        { "what is known besides is drawn too", what_is_known_besides_is_drawn_too },
        { "a control chart names what lies beyond", a_control_chart_names_what_lies_beyond },
        { "pictures are drawn whole in every format", pictures_are_drawn_whole_in_every_format },
        { "a script runs by itself", a_script_runs_by_itself },
        { "hostile names are drawn and do nothing", hostile_names_are_drawn_and_do_nothing },
        { "a broken gnuplot leaves scripts and reasons", a_broken_gnuplot_leaves_scripts_and_reasons },
        { "half a broken gnuplot", half_a_broken_gnuplot },
        { "a missing gnuplot says what to install", a_missing_gnuplot_says_what_to_install },
        { "a hanging gnuplot is stopped", a_hanging_gnuplot_is_stopped },
    };
    return check_run("chart", cases, sizeof cases / sizeof cases[0]);
}
