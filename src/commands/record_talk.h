#ifndef COMMANDS_RECORD_TALK_H
#define COMMANDS_RECORD_TALK_H

#include "commands/record.h"
#include "commands/record_questions.h"
#include "output/ask.h"

enum { OTHERS_MOST = 24, UNIT_KINDS_MOST = 12, UNIT_LENGTH = 16 };

/* A conversation. Texts are "" when there is no answer. */
struct talk {
    const struct record_job *job;
    struct ask ask;
    struct text answers[QUESTION_COUNT];
    struct text others[OTHERS_MOST]; /* "NAME=VALUE" of columns without a question */
    size_t n_others;
    struct { const struct unit *units; char symbol[UNIT_LENGTH]; } remembered[UNIT_KINDS_MOST];
    struct text line, prompt;
    struct problem problem;          /* what ended the talk */
    size_t n_recorded;
    bool over;                       /* no more answers, or told to stop */
    bool half_way;                   /* answers to the specimen at hand were given */
};

/* The text, "" when it is empty. */
const char *talk_text(const struct text *text);

/* Each returns STATUS_OK, or a failure with its problem in the talk. */
enum status talk_say(struct talk *talk, const char *string);
enum status talk_say_problems(struct talk *talk, const struct problem_list *problems);

/* Asks until one of the letters in `choices` comes; '\0' when the answers have ended. */
enum status talk_ask_choice(struct talk *talk, const char *prompt, const char *choices, char *choice);

/* Asks every question that applies, with the answers that stand offered again. */
enum status talk_ask_all(struct talk *talk);

/* Takes "NAME=VALUE" as an answer; *good is false when it was refused, and said why. */
enum status talk_take_value(struct talk *talk, const char *typed, bool *good);

/* Drops what belongs to one specimen and keeps what the next may share. */
void talk_forget_specimen(struct talk *talk);
void talk_release(struct talk *talk);

#endif
