#include "base/problem.h"

#include "base/memory.h"
#include "base/utf8.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>

/* Copies what fits; a cut text ends in "..." and never inside a character. */
static void copy_cut(char *out, size_t size, const char *text)
{
    size_t length = strlen(text);
    if (length < size) {
        memcpy(out, text, length + 1);
        return;
    }
    size_t kept = utf8_cut(text, size - 4);
    memcpy(out, text, kept);
    memcpy(out + kept, "...", 4);
}

static void problem_fill(struct problem *problem, enum severity severity, enum status status,
                         const struct place *place, const char *format, va_list arguments)
{
    *problem = (struct problem){ .status = status, .severity = severity };
    if (place) {
        problem->line = place->line;
        copy_cut(problem->path, sizeof problem->path, place->path ? place->path : "");
        copy_cut(problem->column, sizeof problem->column, place->column ? place->column : "");
    }
    int length = vsnprintf(problem->text, sizeof problem->text, format, arguments);
    if (length >= (int)sizeof problem->text) {
        size_t kept = utf8_cut(problem->text, sizeof problem->text - 5);
        memcpy(problem->text + kept, "...", 4);
    }
}

#undef problem_set
enum status problem_set(struct problem *problem, enum status status,
                        const struct place *place, const char *format, ...)
{
    va_list arguments;
    va_start(arguments, format);
    if (problem)
        problem_fill(problem, SEVERITY_ERROR, status, place, format, arguments);
    va_end(arguments);
    return status;
}

/* A line of output that stops at its end and masks what a terminal must not get. */
struct sentence {
    char *out;
    size_t size, length;
};

static void sentence_add(struct sentence *sentence, const char *text)
{
    size_t left = strlen(text);
    while (left > 0) {
        size_t length, shown_length;
        const char *shown = utf8_printable(text, left, &length, &shown_length);
        if (sentence->length + shown_length >= sentence->size)
            return;
        memcpy(sentence->out + sentence->length, shown, shown_length);
        sentence->length += shown_length;
        text += length;
        left -= length;
    }
}

void problem_sentence(const struct problem *problem, char *out, size_t size)
{
    if (size == 0)
        return;
    struct sentence sentence = { out, size, 0 };
    if (problem->path[0])
        sentence_add(&sentence, strcmp(problem->path, "-") == 0 ? "standard input" : problem->path);
    if (problem->line) {
        char number[32];
        snprintf(number, sizeof number, problem->path[0] ? ":%zu" : "line %zu", problem->line);
        sentence_add(&sentence, number);
    }
    if (sentence.length)
        sentence_add(&sentence, ": ");
    if (problem->column[0]) {
        sentence_add(&sentence, "column '");
        sentence_add(&sentence, problem->column);
        sentence_add(&sentence, "': ");
    }
    sentence_add(&sentence, problem->text);
    out[sentence.length] = '\0';
}

static size_t *severity_count(struct problem_list *list, enum severity severity)
{
    if (severity == SEVERITY_ERROR)
        return &list->n_errors;
    return severity == SEVERITY_DOUBT ? &list->n_doubts : &list->n_notices;
}

size_t problem_list_count(const struct problem_list *list, enum severity severity)
{
    return severity == SEVERITY_ERROR ? list->n_errors : severity == SEVERITY_DOUBT ? list->n_doubts : list->n_notices;
}

/* Where to write the next problem of this severity; NULL when it is only counted. */
static struct problem *problem_list_slot(struct problem_list *list, enum severity severity, enum status status)
{
    size_t *count = severity_count(list, severity);
    (*count)++;
    if (severity == SEVERITY_ERROR && (list->worst == STATUS_OK || status == STATUS_MEMORY))
        list->worst = status == STATUS_OK ? STATUS_INPUT : status;
    if (*count > PROBLEM_LIST_KEPT)
        return NULL;
    void *items = list->items;
    if (!memory_reserve(&items, &list->capacity, list->n_items + 1, sizeof *list->items)) {
        list->worst = STATUS_MEMORY;
        return NULL;
    }
    list->items = items;
    return &list->items[list->n_items++];
}

void problem_list_add(struct problem_list *list, enum severity severity, enum status status,
                      const struct place *place, const char *format, ...)
{
    if (!list)
        return;
    struct problem *slot = problem_list_slot(list, severity, status);
    if (!slot)
        return;
    va_list arguments;
    va_start(arguments, format);
    problem_fill(slot, severity, status, place, format, arguments);
    va_end(arguments);
}

void problem_list_take(struct problem_list *list, const struct problem *problem)
{
    if (!list)
        return;
    struct problem *slot = problem_list_slot(list, problem->severity, problem->status);
    if (slot)
        *slot = *problem;
}

void problem_list_pass(const struct problem_list *from, struct problem_list *to)
{
    size_t n_kept[] = { 0, 0, 0 };
    for (size_t i = 0; i < from->n_items; i++) {
        n_kept[from->items[i].severity]++;
        problem_list_take(to, &from->items[i]);
    }
    to->n_errors += from->n_errors - n_kept[SEVERITY_ERROR];
    to->n_doubts += from->n_doubts - n_kept[SEVERITY_DOUBT];
    to->n_notices += from->n_notices - n_kept[SEVERITY_NOTICE];
    if (from->worst == STATUS_MEMORY)
        to->worst = STATUS_MEMORY;
}

void problem_list_release(struct problem_list *list)
{
    memory_free(list->items);
    *list = (struct problem_list){ 0 };
}
