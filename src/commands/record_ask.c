#include "commands/record_talk.h"

#include "commands/options.h"
#include "output/answer.h"

#include <stdio.h>
#include <string.h>
#include <unistd.h>

static enum status gather(struct talk *talk, struct recording *recording, struct problem_list *problems)
{
    struct specimen specimen;
    bool good = true;
    specimen_clear(&specimen);
    for (size_t i = 0; i < QUESTION_COUNT; i++)
        if (talk->answers[i].length > 0)
            good = recording_set_column(&specimen, record_questions[i].column, talk_text(&talk->answers[i]), problems) && good;
    for (size_t i = 0; i < talk->n_others; i++) {
        const char *other = talk_text(&talk->others[i]);
        char name[64];
        snprintf(name, sizeof name, "%.*s", (int)strcspn(other, "="), other);
        if (talk->others[i].length > 0)
            good = recording_set_column(&specimen, name, strchr(other, '=') + 1, problems) && good;
    }
    return good ? recording_add(recording, &specimen, problems) : problems->worst;
}

/* Results and doubts before anything is written. */
static enum status show(struct talk *talk, const struct recording *recording, struct problem_list *problems)
{
    struct specimen_set set = {0};
    struct text table = {0};
    bool us = talk->job->units < 0 ? talk->job->us : talk->job->units == SHOWN_US;
    enum status status = recording_check(recording, NULL, &set, problems);
    if (status == STATUS_OK)
        status = answer_results_table(&set, us, &table);
    if (status == STATUS_OK)
        status = talk_say(talk, talk_text(&table));
    if (status == STATUS_OK)
        status = talk_say_problems(talk, problems);
    text_release(&table);
    specimen_set_release(&set);
    return status;
}

/* Writes; a doubt that only the journal raises is asked about. */
static enum status append_or_ask(struct talk *talk, const struct recording *recording, bool doubtful, enum status *said)
{
    struct problem_list problems = {0};
    char choice = 'n';
    enum status status = record_append(talk->job, recording, doubtful, &problems);
    *said = talk_say_problems(talk, &problems);
    if (status == STATUS_ANSWER_NO && *said == STATUS_OK)
        *said = talk_ask_choice(talk, "record it as it stands? (y, n to correct): ", "yn", &choice);
    problem_list_release(&problems);
    if (*said == STATUS_OK && choice == 'y') {
        status = record_append(talk->job, recording, true, &problems);
        if (status != STATUS_OK)
            *said = talk_say_problems(talk, &problems); /* its doubts were seen */
        problem_list_release(&problems);
    }
    return status;
}

/* *done: recorded. The acknowledgement is ready before the row is written. */
static enum status write_down(struct talk *talk, const struct recording *recording, bool doubtful, bool *done)
{
    struct text told = {0};
    enum status said = STATUS_OK, status = STATUS_MEMORY;
    record_acknowledge(talk->job, 1, &told);
    if (!told.failed)
        status = append_or_ask(talk, recording, doubtful, &said);
    if (status == STATUS_OK) {
        *done = true;
        talk->n_recorded++;
        said = talk_say(talk, talk_text(&told));
    } else if (status != STATUS_INPUT && status != STATUS_ANSWER_NO) {
        said = problem_set(&talk->problem, status, NULL, "%sthe specimen was not recorded", status == STATUS_MEMORY ? "no memory left: " : "");
    }
    text_release(&told);
    return said;
}

/* Shows what the answers give and records it when told to. *done: recorded or left. */
static enum status conclude(struct talk *talk, bool *done)
{
    struct recording recording = {.us = talk->job->us};
    struct problem_list problems = {0};
    char choice = 'n';
    enum status status = gather(talk, &recording, &problems);
    if (status == STATUS_INPUT || status == STATUS_USAGE) {
        status = talk_say_problems(talk, &problems);
        if (status == STATUS_OK)
            status = talk_say(talk, "correct the answers; Enter keeps what stands in brackets\n");
    } else if (status == STATUS_OK) {
        status = show(talk, &recording, &problems);
        if (status == STATUS_OK)
            status = talk_ask_choice(talk, "record it? (y, n to correct, q to leave): ", "ynq", &choice);
    }
    bool doubtful = problems.n_doubts > 0 || talk->job->doubtful; /* seen and said yes to */
    problem_list_release(&problems);
    if (status == STATUS_OK && choice == 'y')
        status = write_down(talk, &recording, doubtful, done);
    if (choice == 'q') {
        talk->over = *done = true;
        talk->half_way = false;
    }
    recording_release(&recording);
    return status;
}

static enum status record_one(struct talk *talk)
{
    bool done = false;
    enum status status = STATUS_OK;
    talk->half_way = false;
    while (status == STATUS_OK && !talk->over && !done) {
        status = talk_ask_all(talk);
        if (status == STATUS_OK && !talk->over)
            status = conclude(talk, &done);
    }
    talk->half_way = talk->half_way && !done;
    return status;
}

static enum status converse(struct talk *talk)
{
    char choice = 'y';
    bool good = true;
    enum status status = talk_say(talk, "Enter keeps what stands in brackets or leaves out, '-' takes it away, Ctrl-D ends.\n");
    for (size_t i = 0; i < talk->job->values.n_items && status == STATUS_OK && good; i++)
        status = talk_take_value(talk, talk->job->values.items[i], &good);
    if (!good)
        return status == STATUS_OK ? problem_set(&talk->problem, STATUS_USAGE, NULL, "a value on the command line cannot be used") : status;
    while (status == STATUS_OK && !talk->over && choice == 'y') {
        status = record_one(talk);
        if (status != STATUS_OK || talk->over)
            break;
        talk_forget_specimen(talk);
        status = talk_ask_choice(talk, "another specimen? (y, n): ", "yn", &choice);
    }
    return status;
}

enum status record_ask(const struct record_job *job)
{
    struct talk talk = {.job = job, .ask = {.in = STDIN_FILENO, .out = STDERR_FILENO}};
    struct run *run = job->run;
    enum status status = converse(&talk);
    if (status == STATUS_OK && talk.half_way)
        status = problem_set(&talk.problem, STATUS_INPUT, NULL, "the answers ended before the specimen was recorded");
    if (status != STATUS_OK)
        problem_list_take(&run->problems, &talk.problem);
    run->acknowledges = talk.n_recorded > 0;
    if (talk.n_recorded)
        record_acknowledge(job, talk.n_recorded, &run->out);
    else if (status == STATUS_OK)
        text_add(&run->out, "nothing recorded\n");
    talk_release(&talk);
    return status;
}
