#include "output/chart_draw.h"

#include "base/file.h"
#include "base/memory.h"
#include "base/tasks.h"
#include "output/gnuplot.h"
#include "output/load.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

struct picture_format { unsigned bit; const char *word, *extension, *tail; size_t tail_length, slack; const char *setting; };

/* How a whole file ends: gnuplot's exit code is 0 also for a picture cut short by a full disk. */
static const struct picture_format picture_formats[] = {
    { CHART_SVG, "svg", ".svg", "</svg>", 6, 8, "" },
    { CHART_PNG, "png", ".png", "IEND\xAE\x42\x60\x82", 8, 0, "" },
    { CHART_PDF, "pdf", ".pdf", "%%EOF", 5, 8, "" },
    { CHART_TEXT, "txt", CHART_TEXT_EXTENSION, " ", 1, 0, "" }, /* the blank foot; a missing end would be seen on the screen */
    { CHART_COLOURED_TEXT, "txt", CHART_TEXT_EXTENSION, "\x1B[0;39;49m", 10, 0, "COLOURS = 'ansi256'\n" },
};

const struct chart_file chart_files[CHART_FILES] = { { CHART_SVG, "svg" }, { CHART_PNG, "png" }, { CHART_PDF, "pdf" } };

#define RUNS_MAX 3
#define EASELS 2              /* as many as most computers have processors to spare */
#define PICTURES_WORTH_TWO 4
#define TIME_LIMIT_S 120.0 /* only against one that hangs: a small or busy computer takes a minute */
#define N_FORMATS (sizeof picture_formats / sizeof picture_formats[0])

/* One picture to draw. */
struct picture { struct chart *chart; const struct picture_format *format; enum { PENDING, DONE, FAILED } state; };

/* A gnuplot with the pictures that it draws. */
struct easel {
    const char *folder;
    char place[64];            /* private folder inside it, with its slash */
    struct picture *pictures;
    size_t n_pictures;
    enum status status;
    struct problem problem;
};

static bool is_whole(const struct text *picture, const struct picture_format *format)
{
    if (picture->length < format->tail_length)
        return false;
    for (size_t slack = 0; slack <= format->slack && slack + format->tail_length <= picture->length; slack++)
        if (memcmp(picture->bytes + picture->length - slack - format->tail_length, format->tail, format->tail_length) == 0)
            return true;
    return false;
}

static enum status write_driver(const struct easel *easel, struct problem *problem)
{
    char path[LOAD_PATH];
    struct text script = { 0 };
    text_addf(&script, "FOLDER = '%s'\n", easel->place);
    for (size_t i = 0; i < easel->n_pictures; i++)
        if (easel->pictures[i].state == PENDING)
            text_addf(&script, "FORMAT = '%s'\n%sload '%s.gp'\n", easel->pictures[i].format->word,
                      easel->pictures[i].format->setting, easel->pictures[i].chart->name);
    enum status status = script.failed ? problem_set(problem, STATUS_MEMORY, NULL, "no memory left to draw the charts")
                                       : load_path(easel->folder, easel->place, "draw.gp", path, problem);
    if (status == STATUS_OK)
        status = file_write_passing(path, script.bytes, script.length, problem);
    text_release(&script);
    return status;
}

/* Moves a picture to its place when it is whole. STATUS_TOOL when it is not. */
static enum status collect(const struct easel *easel, const struct picture *picture, struct problem *problem)
{
    char drawn[LOAD_PATH], name[256], final[LOAD_PATH];
    struct text bytes = { 0 };
    snprintf(name, sizeof name, "%s%s", easel->place, picture->chart->name);
    enum status status = load_path(easel->folder, name, picture->format->extension, drawn, problem);
    if (status == STATUS_OK)
        status = load_path(easel->folder, picture->chart->name, picture->format->extension, final, problem);
    if (status != STATUS_OK)
        return status;
    if (access(drawn, F_OK) != 0)
        return problem_set(problem, STATUS_TOOL, NULL, "gnuplot did not draw '%s%s'", picture->chart->name, picture->format->extension);
    status = load_file(drawn, &bytes, problem);
    if (status == STATUS_OK && !is_whole(&bytes, picture->format))
        status = problem_set(problem, STATUS_TOOL, NULL, "gnuplot left '%s%s' unfinished: is the disk full?", picture->chart->name, picture->format->extension);
    if (status == STATUS_OK)
        status = file_replace(final, bytes.bytes, bytes.length, problem);
    unlink(drawn);
    text_release(&bytes);
    return status;
}

/* Collects in order; the first that is missing is where gnuplot stopped. Returns how many are still pending. */
static size_t collect_all(struct easel *easel, bool run_failed, enum status *worst, struct problem *problem)
{
    size_t pending = 0;
    bool stopped = false;
    for (size_t i = 0; i < easel->n_pictures; i++) {
        struct picture *picture = &easel->pictures[i];
        struct problem reason;
        if (picture->state != PENDING)
            continue;
        if (stopped) {
            pending++;
            continue;
        }
        enum status status = collect(easel, picture, &reason);
        picture->state = status == STATUS_OK ? DONE : FAILED;
        stopped = status != STATUS_OK && run_failed;
        if (status != STATUS_OK && *worst == STATUS_OK) {
            *worst = status;
            *problem = reason;
        }
    }
    return pending;
}

static enum status draw_pictures(struct easel *easel, struct problem *problem)
{
    enum status worst = STATUS_OK;
    size_t pending = easel->n_pictures;
    for (size_t run = 0; run < RUNS_MAX && pending > 0; run++) {
        struct problem reason;
        enum status status = write_driver(easel, problem);
        if (status != STATUS_OK)
            return status;
        char script[96];
        snprintf(script, sizeof script, "%sdraw.gp", easel->place);
        status = gnuplot_run(easel->folder, script, TIME_LIMIT_S, &reason);
        if (status != STATUS_OK && worst == STATUS_OK) {
            worst = status;
            *problem = reason;
        }
        pending = collect_all(easel, status != STATUS_OK, &worst, problem);
        if (easel->pictures[0].state == FAILED)
            break; /* not even the first came: no use in trying the others */
    }
    return worst;
}

static enum status open_easel(struct easel *easel, struct problem *problem)
{
    char path[LOAD_PATH];
    enum status status = load_path(easel->folder, ".drawing-XXXXXX", "", path, problem);
    if (status != STATUS_OK)
        return status;
    const struct place place = { .path = easel->folder };
    if (!mkdtemp(path))
        return problem_set(problem, STATUS_IO, &place, "no folder can be made in it: %s", strerror(errno));
    snprintf(easel->place, sizeof easel->place, "%.40s/", strrchr(path, '/') + 1);
    return STATUS_OK;
}

static void close_easel(const struct easel *easel)
{
    char path[LOAD_PATH];
    struct problem ignored;
    if (load_path(easel->folder, easel->place, "draw.gp", path, &ignored) == STATUS_OK)
        unlink(path);
    for (size_t i = 0; i < easel->n_pictures; i++) {
        char name[256];
        snprintf(name, sizeof name, "%s%s", easel->place, easel->pictures[i].chart->name);
        if (load_path(easel->folder, name, easel->pictures[i].format->extension, path, &ignored) == STATUS_OK)
            unlink(path);
    }
    if (load_path(easel->folder, easel->place, "", path, &ignored) == STATUS_OK)
        rmdir(path);
}

static void run_easel(void *context, size_t i)
{
    struct easel *easel = (struct easel *)context + i;
    easel->status = open_easel(easel, &easel->problem);
    if (easel->status != STATUS_OK)
        return;
    easel->status = draw_pictures(easel, &easel->problem);
    close_easel(easel);
}

static size_t list_pictures(struct chart_list *charts, unsigned formats, struct picture *pictures)
{
    size_t n = 0;
    for (size_t i = 0; i < charts->n_items; i++)
        for (size_t j = 0; j < N_FORMATS; j++)
            if (formats & picture_formats[j].bit)
                pictures[n++] = (struct picture){ &charts->items[i], &picture_formats[j], PENDING };
    return n;
}

enum status chart_draw_all(struct chart_list *charts, unsigned formats, const char *folder, struct problem *problem)
{
    struct easel easels[EASELS] = { 0 };
    struct picture *pictures = memory_new(charts->n_items * N_FORMATS + 1, sizeof *pictures);
    if (!pictures)
        return problem_set(problem, STATUS_MEMORY, NULL, "no memory left to draw the charts");
    size_t n = list_pictures(charts, formats, pictures), n_easels = n >= PICTURES_WORTH_TWO ? EASELS : n > 0;
    for (size_t i = 0; i < n_easels; i++) {
        size_t first = n * i / n_easels, end = n * (i + 1) / n_easels;
        easels[i] = (struct easel){ .folder = folder, .pictures = pictures + first, .n_pictures = end - first };
    }
    tasks_run(n_easels, true, run_easel, easels);
    enum status status = STATUS_OK;
    for (size_t i = 0; status == STATUS_OK && i < n_easels; i++) {
        status = easels[i].status;
        *problem = easels[i].problem;
    }
    for (size_t i = 0; i < charts->n_items; i++)
        charts->items[i].drawn = n > 0;
    for (size_t i = 0; i < n; i++)
        if (pictures[i].state != DONE)
            pictures[i].chart->drawn = false;
    memory_free(pictures);
    return status;
}
