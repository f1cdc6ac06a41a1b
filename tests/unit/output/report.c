#include "output/report.h"

#include "base/file.h"
#include "folder.h"
#include "study.h"
#include "support/check.h"

#include <errno.h>

static enum status write_report(struct study *study, const struct folder *folder, bool draw, struct problem *problem)
{
    struct fit_list fits = { study->curves, study->answer.n_curves, NULL };
    const struct report_settings settings = { .folder = folder->path, .draw = draw, .confidence = 0.95, .problems = &study->problems, .quality = &study->qualities };
    return report_write(&study->set, &study->request, &study->answer, &fits, &settings, problem);
}

static size_t count(const char *text, const char *word)
{
    size_t n = 0;
    while ((text = strstr(text, word)) != NULL) {
        n++;
        text += strlen(word);
    }
    return n;
}

static void the_first_sentence_is_the_recommendation(void)
{
    struct study study;
    struct problem problem = { 0 };
    CU_ASSERT_FATAL(study_make(&study));
    struct folder folder = folder_open();
    CU_ASSERT(write_report(&study, &folder, true, &problem) == STATUS_OK);
    CU_ASSERT(folder_count(&folder) == 5); /* report.md, report.html, results.csv, summary.json, charts */
    struct text markdown = folder_load(&folder, "report.md");
    CU_ASSERT(strncmp(markdown.bytes, "# Trial batches: report\n\n**Cast pumice at 0.412", 46) == 0);
    CU_ASSERT_PTR_NOT_NULL(strstr(markdown.bytes, "![compressive strength against aggregate fraction"));
    CU_ASSERT_PTR_NOT_NULL(strstr(markdown.bytes, "(charts/strength-by-fraction.svg)"));
    CU_ASSERT_PTR_NOT_NULL(strstr(markdown.bytes, "Seed of the random numbers: 20240229"));
    CU_ASSERT_PTR_NOT_NULL(strstr(markdown.bytes, "licensed engineer"));
    CU_ASSERT_PTR_NULL(strstr(markdown.bytes, "kg/m3"));
    CU_ASSERT_PTR_NULL(strstr(markdown.bytes, "\n\n\n"));
    text_release(&markdown);
    folder_close(&folder);
    study_release(&study);
}

static void the_page_is_self_contained(void)
{
    struct study study;
    struct problem problem = { 0 };
    CU_ASSERT_FATAL(study_make(&study));
    struct folder folder = folder_open();
    CU_ASSERT(write_report(&study, &folder, true, &problem) == STATUS_OK);
    struct text html = folder_load(&folder, "report.html");
    CU_ASSERT(count(html.bytes, "<img src=\"data:image/svg+xml;base64,") == 10 && count(html.bytes, "<img ") == 10);
    CU_ASSERT(count(html.bytes, " alt=\"\"") == 0);
    CU_ASSERT(count(html.bytes, "http") - count(html.bytes, "http-equiv") == 0);
    CU_ASSERT(count(html.bytes, "<table>") == count(html.bytes, "<div class=\"scroll\""));
    CU_ASSERT(count(html.bytes, "<th") - count(html.bytes, "<thead") == count(html.bytes, "<th scope=\"col\""));
    /* Every link inside the page has its target. */
    for (const char *link = html.bytes; (link = strstr(link, "href=\"#")) != NULL; link++) {
        char target[96];
        snprintf(target, sizeof target, "<h2 id=\"%.*s\"", (int)strcspn(link + 7, "\""), link + 7);
        CU_ASSERT_PTR_NOT_NULL(strstr(html.bytes, target));
    }
    text_release(&html);
    folder_close(&folder);
    study_release(&study);
}

static void the_same_data_give_the_same_bytes(void)
{
    static const char *const names[] = { "report.md", "report.html", "results.csv", "summary.json", "charts/residuals.svg", "charts/residuals.gp" };
    struct study study;
    struct problem problem = { 0 };
    CU_ASSERT_FATAL(study_make(&study));
    struct folder first = folder_open(), second = folder_open();
    CU_ASSERT(write_report(&study, &first, true, &problem) == STATUS_OK && write_report(&study, &second, true, &problem) == STATUS_OK);
    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++) {
        struct text a = folder_load(&first, names[i]), b = folder_load(&second, names[i]);
        CU_ASSERT(a.length > 0 && a.length == b.length && memcmp(a.bytes, b.bytes, a.length) == 0);
        text_release(&a);
        text_release(&b);
    }
    folder_close(&first);
    folder_close(&second);
    study_release(&study);
}

static void hostile_names_stay_text(void)
{
    static const char *const mixes[STUDY_MIXES] = {
        "`touch PWN`", "a|b", "a\\|b", "a\\", "[x](javascript:alert(1))", "![x](y)", "<b>bold</b>", "&lt;", "<script>alert(1)</script>",
        "\"><img src=x onerror=alert(1)>", "]]>", "-->", "**x**", "# heading", "=cmd|'/c calc'!A1", "<table>"
    };
    static const char *const aggregates[STUDY_AGGREGATES] = { "</style>", "<h2>x</h2>", "`x`", "charts/strength-by-fraction.svg" };
    struct study study;
    struct problem problem = { 0 };
    CU_ASSERT_FATAL(study_make_named(&study, mixes, aggregates));
    struct folder folder = folder_open();
    CU_ASSERT(write_report(&study, &folder, true, &problem) == STATUS_OK);
    struct text html = folder_load(&folder, "report.html");
    static const char *const never[] = { "<script", "<img src=x", "<b>", "javascript:alert(1)\"", "<h2>x", "src=\"y\"", "<strong>x" };
    for (size_t i = 0; i < sizeof never / sizeof never[0]; i++)
        CU_ASSERT_PTR_NULL(strstr(html.bytes, never[i]));
    static const char *const shown[] = { "<td>a|b</td>", "<td>a\\|b</td>", "<td>a\\</td>", "<td>&amp;lt;</td>", "<td>**x**</td>",
                                         "<td>[x](javascript:alert(1))</td>", "<td>&lt;table&gt;</td>", "<td>`touch PWN`</td>" };
    for (size_t i = 0; i < sizeof shown / sizeof shown[0]; i++) {
        if (!strstr(html.bytes, shown[i]))
            fprintf(stderr, "not shown: %s\n", shown[i]);
        CU_ASSERT_PTR_NOT_NULL(strstr(html.bytes, shown[i]));
    }
    CU_ASSERT(count(html.bytes, "</style>") == 1);
    struct text csv = folder_load(&folder, "results.csv");
    CU_ASSERT_PTR_NOT_NULL(strstr(csv.bytes, ",\"'=cmd|'/c calc'!A1\","));
    text_release(&csv);
    text_release(&html);
    folder_close(&folder);
    study_release(&study);
}

static void without_pictures_the_report_says_how_to_draw_them(void)
{
    struct study study;
    struct problem problem = { 0 };
    char old_path[4096];
    CU_ASSERT_FATAL(study_make(&study));
    struct folder folder = folder_open();
    snprintf(old_path, sizeof old_path, "%s", getenv("PATH"));
    setenv("PATH", "/nowhere", 1);
    CU_ASSERT(write_report(&study, &folder, true, &problem) == STATUS_TOOL);
    setenv("PATH", old_path, 1);
    CU_ASSERT_PTR_NOT_NULL(strstr(problem.text, "gnuplot-nox"));
    struct text markdown = folder_load(&folder, "report.md");
    CU_ASSERT_PTR_NOT_NULL(strstr(markdown.bytes, "run `gnuplot charts/strength-by-fraction.gp`"));
    CU_ASSERT_PTR_NULL(strstr(markdown.bytes, ".svg)"));
    CU_ASSERT(folder_has(&folder, "report.html"));
    text_release(&markdown);
    folder_close(&folder);
    study_release(&study);
}

static void rows_set_aside_are_counted_and_copied(void)
{
    struct study study;
    struct problem problem = { 0 };
    CU_ASSERT_FATAL(study_make(&study));
    struct folder folder = folder_open();
    char path[128];
    snprintf(path, sizeof path, "%s/bad.csv", folder.path);
    FILE *file = fopen(path, "w");
    CU_ASSERT_PTR_NOT_NULL_FATAL(file);
    fputs("reason,specimen\nno mass,s9\n", file);
    fclose(file);
    study.set.n_set_aside = 1;
    struct fit_list fits = { study.curves, study.answer.n_curves, NULL };
    struct report_settings settings = { .folder = folder.path, .draw = false, .confidence = 0.95, .problems = &study.problems, .set_aside_path = path };
    CU_ASSERT(report_write(&study.set, &study.request, &study.answer, &fits, &settings, &problem) == STATUS_OK);
    struct text copy = folder_load(&folder, "set-aside.csv"), markdown = folder_load(&folder, "report.md");
    check_text(copy.bytes, "reason,specimen\nno mass,s9\n");
    CU_ASSERT_PTR_NOT_NULL(strstr(markdown.bytes, "**1 row was set aside**"));
    text_release(&copy);
    text_release(&markdown);
    folder_close(&folder);
    study_release(&study);
}

/* With every third write, sync or rename failing, and all after it: a status and a reason, and every file that stands is whole. */
static void a_failing_disk_leaves_whole_files_only(void)
{
    struct study study;
    struct problem problem = { 0 };
    CU_ASSERT_FATAL(study_make(&study));
    struct folder sound = folder_open();
    file_fail_at(0, false, 0);
    CU_ASSERT(write_report(&study, &sound, false, &problem) == STATUS_OK);
    unsigned long n_calls = file_calls();
    CU_ASSERT(n_calls > 30);
    struct text whole = folder_load(&sound, "report.md");
    for (unsigned long n = 1; n <= n_calls; n += 3) {
        struct folder folder = folder_open();
        problem = (struct problem){ 0 };
        file_fail_at(n, true, ENOSPC);
        enum status status = write_report(&study, &folder, false, &problem);
        file_fail_at(0, false, 0);
        CU_ASSERT(status == STATUS_IO && problem.text[0]);
        CU_ASSERT(folder_count(&folder) <= 5);
        if (folder_has(&folder, "report.md")) {
            struct text markdown = folder_load(&folder, "report.md");
            check_text(markdown.bytes, whole.bytes);
            text_release(&markdown);
        }
        folder_close(&folder);
    }
    text_release(&whole);
    folder_close(&sound);
    study_release(&study);
}

/* A sample of all allocations, since each is a whole report. */
static void memory_may_fail_anywhere(void)
{
    struct study study;
    struct problem problem = { 0 };
    size_t n_failures = 0;
    CU_ASSERT_FATAL(study_make(&study));
    struct folder folder = folder_open();
    memory_fail_at(0, false);
    CU_ASSERT(write_report(&study, &folder, false, &problem) == STATUS_OK);
    unsigned long n_calls = memory_calls();
    for (unsigned long n = 1; n <= n_calls; n += 1 + n_calls / 60) {
        problem = (struct problem){ 0 };
        memory_fail_at(n, n % 2 == 0);
        enum status status = write_report(&study, &folder, false, &problem);
        memory_fail_at(0, false);
        if (status == STATUS_OK)
            continue;
        n_failures++;
        if (!problem.text[0])
            fprintf(stderr, "allocation %lu of %lu: status %d without a reason\n", n, n_calls, (int)status);
        CU_ASSERT((status == STATUS_MEMORY || status == STATUS_IO) && problem.text[0]);
    }
    CU_ASSERT(n_failures > 40);
    folder_close(&folder);
    study_release(&study);
}

int main(void)
{
    static const struct check_case cases[] = {
        { "the first sentence is the recommendation", the_first_sentence_is_the_recommendation },
        { "the page is self-contained", the_page_is_self_contained },
        { "the same data give the same bytes", the_same_data_give_the_same_bytes },
        { "hostile names stay text", hostile_names_stay_text },
        { "without pictures the report says how to draw them", without_pictures_the_report_says_how_to_draw_them },
        { "a failing disk leaves whole files only", a_failing_disk_leaves_whole_files_only },
        { "memory may fail anywhere", memory_may_fail_anywhere },
        { "rows set aside are counted and copied", rows_set_aside_are_counted_and_copied },
    };
    return check_run("report", cases, sizeof cases / sizeof cases[0]);
}
