#include "commands/record_talk.h"

#include "base/memory.h"
#include "output/print.h"

#include <stdio.h>
#include <string.h>

const char *talk_text(const struct text *text)
{
    return text->bytes ? text->bytes : "";
}

enum status talk_say(struct talk *talk, const char *string)
{
    return ask_say(&talk->ask, string, &talk->problem);
}

enum status talk_say_problems(struct talk *talk, const struct problem_list *problems)
{
    struct text lines = {0};
    print_problems(problems, "plumestone", talk->job->quiet, &lines);
    enum status status = lines.failed ? problem_set(&talk->problem, STATUS_MEMORY, NULL, "no memory left") : talk_say(talk, talk_text(&lines));
    text_release(&lines);
    return status;
}

/* Asks; over is set when the answers have ended. */
static enum status ask_for(struct talk *talk, const char *prompt)
{
    bool answered;
    enum status status = ask_line(&talk->ask, prompt, &talk->line, &answered, &talk->problem);
    if (status == STATUS_OK && !answered)
        talk->over = true;
    return status;
}

enum status talk_ask_choice(struct talk *talk, const char *prompt, const char *choices, char *choice)
{
    enum status status = STATUS_OK;
    *choice = '\0';
    do {
        status = ask_for(talk, prompt);
        const char *line = talk_text(&talk->line);
        char letter = line[0] >= 'A' && line[0] <= 'Z' ? (char)(line[0] - 'A' + 'a') : line[0];
        if (status == STATUS_OK && !talk->over && letter && strchr(choices, letter))
            *choice = letter;
    } while (status == STATUS_OK && !talk->over && *choice == '\0');
    return status;
}

/* ---- units ---- */

static char *unit_of_kind(struct talk *talk, const struct unit *units)
{
    size_t i = 0;
    while (i + 1 < UNIT_KINDS_MOST && talk->remembered[i].units && talk->remembered[i].units != units)
        i++;
    talk->remembered[i].units = units;
    return talk->remembered[i].symbol;
}

/* A bare number takes the unit of the last answer of its kind; another unit is remembered from now on. */
static void settle_unit(struct talk *talk, const char *column)
{
    const struct unit *units = question_units(column);
    const char *answer = talk_text(&talk->line);
    if (units == NULL)
        return;
    char *unit = unit_of_kind(talk, units);
    size_t length = question_number_length(answer);
    const char *typed = answer + length + strspn(answer + length, " ");
    if (length > 0 && *typed == '\0' && unit[0])
        text_addf(&talk->line, " %s", unit);
    else if (length > 0 && unit_find(units, typed))
        snprintf(unit, UNIT_LENGTH, "%s", typed);
}

/* ---- one question ---- */

static void build_prompt(struct talk *talk, const char *column, const char *hint, const char *present)
{
    const struct unit *units = question_units(column);
    const char *unit = units ? unit_of_kind(talk, units) : "";
    text_clear(&talk->prompt);
    if (present[0])
        text_addf(&talk->prompt, "%s [%s]: ", column, present);
    else
        text_addf(&talk->prompt, "%s (%s): ", column, unit[0] ? unit : hint);
}

/* Whether an answer will do for its column; says what is wrong with it. */
static enum status judge(struct talk *talk, const char *column, const char *answer, bool *good)
{
    struct specimen scratch;
    struct problem_list problems = {0};
    enum status status = STATUS_OK;
    specimen_clear(&scratch);
    *good = recording_set_column(&scratch, column, answer, &problems);
    if (*good && strcmp(column, "specimen") == 0) {
        size_t line = recording_line_of(talk->job->journal, answer);
        struct place place = {talk->job->journal, line, NULL};
        if (line)
            problem_list_add(&problems, SEVERITY_ERROR, STATUS_INPUT, &place, "this row is specimen '%.60s': give another name", answer);
        *good = line == 0;
    }
    if (problems.worst == STATUS_MEMORY)
        status = problem_set(&talk->problem, STATUS_MEMORY, NULL, "no memory left for the answers");
    else if (!*good)
        status = talk_say_problems(talk, &problems);
    problem_list_release(&problems);
    return status;
}

/* Puts what was typed in the answer's place; "-" takes it away. */
static void take_answer(struct talk *talk, struct text *answer)
{
    const char *typed = talk_text(&talk->line);
    text_clear(answer);
    if (strcmp(typed, "-") != 0)
        text_add(answer, typed);
    talk->half_way = true;
}

static enum status ask_question(struct talk *talk, enum question_id id)
{
    const struct question *question = &record_questions[id];
    struct text *answer = &talk->answers[id];
    for (;;) {
        bool good = true;
        build_prompt(talk, question->column, talk->job->us && question->us_hint ? question->us_hint : question->hint, talk_text(answer));
        enum status status = ask_for(talk, talk_text(&talk->prompt));
        if (status != STATUS_OK || talk->over)
            return status;
        bool keeps = talk->line.length == 0;
        if (keeps && (id != QUESTION_SPECIMEN || answer->length > 0))
            return STATUS_OK;
        settle_unit(talk, question->column);
        if (strcmp(talk_text(&talk->line), "-") != 0 || id == QUESTION_SPECIMEN)
            status = keeps ? talk_say(talk, "a specimen needs a name of its own\n") : judge(talk, question->column, talk_text(&talk->line), &good);
        if (status != STATUS_OK)
            return status;
        if (good && !keeps) {
            take_answer(talk, answer);
            return STATUS_OK;
        }
    }
}

/* ---- columns without a question ---- */

/* The place for a NAME=VALUE: that of the name, or the next. */
static struct text *place_for(struct talk *talk, const char *name)
{
    for (size_t i = 0; i < talk->n_others; i++) {
        const char *other = talk_text(&talk->others[i]);
        size_t length = strcspn(other, "=");
        char known[64];
        snprintf(known, sizeof known, "%.*s", (int)length, other);
        if (length < sizeof known && heading_same(known, name))
            return &talk->others[i];
    }
    return talk->n_others < OTHERS_MOST ? &talk->others[talk->n_others++] : NULL;
}

static struct text *answer_named(struct talk *talk, const char *name)
{
    for (size_t i = 0; i < QUESTION_COUNT; i++)
        if (heading_same(record_questions[i].column, name))
            return &talk->answers[i];
    return NULL;
}

static enum status put_value(struct talk *talk, const char *name, const char *value, const char *typed)
{
    struct text *answer = answer_named(talk, name), *place = answer ? answer : place_for(talk, name);
    if (place == NULL)
        return talk_say(talk, "no more columns than that\n");
    text_clear(place);
    if (strcmp(value, "-") != 0)
        text_add(place, answer ? value : typed);
    return STATUS_OK;
}

enum status talk_take_value(struct talk *talk, const char *typed, bool *good)
{
    const char *equals = strchr(typed, '=');
    char name[64];
    *good = false;
    if (equals == NULL || equals == typed || equals[1] == '\0' || (size_t)(equals - typed) >= sizeof name)
        return talk_say(talk, "write it as NAME=VALUE, such as mass_oven_dry=1.52kg\n");
    snprintf(name, sizeof name, "%.*s", (int)(equals - typed), typed);
    if (strcmp(equals, "=-") == 0) {
        *good = true;
        return put_value(talk, name, "-", typed);
    }
    enum status status = judge(talk, name, equals + 1, good);
    return status == STATUS_OK && *good ? put_value(talk, name, equals + 1, typed) : status;
}

static enum status ask_others(struct talk *talk)
{
    for (;;) {
        bool good;
        text_clear(&talk->prompt);
        text_add(&talk->prompt, "another column as NAME=VALUE (Enter: none)");
        for (size_t i = 0, n = 0; i < talk->n_others; i++)
            if (talk->others[i].length > 0)
                text_addf(&talk->prompt, "%s%s", n++ ? ", " : " [", talk_text(&talk->others[i]));
        text_add(&talk->prompt, talk->prompt.length && strchr(talk_text(&talk->prompt), '[') ? "]: " : ": ");
        enum status status = ask_for(talk, talk_text(&talk->prompt));
        if (status != STATUS_OK || talk->over || talk->line.length == 0)
            return status;
        char *typed = memory_text(talk_text(&talk->line), talk->line.length);
        if (typed == NULL)
            return problem_set(&talk->problem, STATUS_MEMORY, NULL, "no memory left for the answers");
        status = talk_take_value(talk, typed, &good);
        memory_free(typed);
        if (status != STATUS_OK)
            return status;
    }
}

static bool answers_lost(const struct talk *talk)
{
    bool lost = talk->prompt.failed || talk->line.failed;
    for (size_t i = 0; i < QUESTION_COUNT; i++)
        lost = lost || talk->answers[i].failed;
    for (size_t i = 0; i < talk->n_others; i++)
        lost = lost || talk->others[i].failed;
    return lost;
}

enum status talk_ask_all(struct talk *talk)
{
    enum status status = STATUS_OK;
    for (enum question_id id = 0; id < QUESTION_COUNT && status == STATUS_OK && !talk->over; id++) {
        const char *answers[QUESTION_COUNT];
        for (size_t i = 0; i < QUESTION_COUNT; i++)
            answers[i] = talk_text(&talk->answers[i]);
        if (question_applies(id, answers))
            status = ask_question(talk, id);
        else
            text_clear(&talk->answers[id]);
    }
    if (status == STATUS_OK && !talk->over)
        status = ask_others(talk);
    return status == STATUS_OK && answers_lost(talk)
               ? problem_set(&talk->problem, STATUS_MEMORY, NULL, "no memory left for the answers") : status;
}

void talk_forget_specimen(struct talk *talk)
{
    for (size_t i = 0; i < QUESTION_COUNT; i++)
        if (!record_questions[i].kept)
            text_clear(&talk->answers[i]);
    for (size_t i = 0; i < talk->n_others; i++)
        text_clear(&talk->others[i]);
    talk->n_others = 0;
}

void talk_release(struct talk *talk)
{
    for (size_t i = 0; i < QUESTION_COUNT; i++)
        text_release(&talk->answers[i]);
    for (size_t i = 0; i < OTHERS_MOST; i++)
        text_release(&talk->others[i]);
    text_release(&talk->line);
    text_release(&talk->prompt);
    ask_release(&talk->ask);
}
