#ifndef COMMANDS_RECORD_H
#define COMMANDS_RECORD_H

#include "commands/command.h"
#include "specimen/recording.h"

/* `record` under way. */
struct record_job {
    struct run *run;
    const char *journal;
    struct text_list values; /* NAME=VALUE, as typed */
    const char *from;
    struct text_list columns;
    int units;               /* index into si, us; -1: not told */
    bool ask, doubtful, quiet, help;
    bool us;                 /* units of the journal */
};

/* The specimen that the typed values describe. False after problems were added. */
bool record_take_values(const struct text_list *values, struct specimen *specimen, struct text_list *owned,
                        struct problem_list *problems);

/*
 * Writes a checked recording to the journal, all or nothing. Problems of the
 * journal go to `problems`, among them what the writing mended.
 * STATUS_OK         it is on the disk, and only now may anybody be told
 * STATUS_ANSWER_NO  not recorded: the journal raises doubts, which were added, and `doubtful` is false
 * else              not recorded, or not known to be; problems say so
 */
enum status record_append(const struct record_job *job, const struct recording *recording, bool doubtful,
                          struct problem_list *problems);

/* Adds "recorded 3 specimens in journal.csv". */
void record_acknowledge(const struct record_job *job, size_t n, struct text *out);

/* Asks for specimens at the terminal until told to stop; record_job values are the first answers. */
enum status record_ask(const struct record_job *job);

#endif
