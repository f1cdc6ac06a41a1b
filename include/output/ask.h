#ifndef OUTPUT_ASK_H
#define OUTPUT_ASK_H

#include "base/problem.h"
#include "base/text.h"

/*
 * Questions and answers at a terminal. What is said goes to standard error:
 * standard output belongs to the answer of the command. Zero-initialise but
 * for the descriptors; release with ask_release().
 */
struct ask {
    int in, out;
    struct text waiting; /* read, but behind the line at hand */
    bool ended;          /* no further line will come */
};

/* Whether somebody sits at both ends. */
bool ask_is_terminal(const struct ask *ask);

/* Says a text, made printable; line ends stay. STATUS_IO. */
enum status ask_say(struct ask *ask, const char *string, struct problem *problem);

/*
 * Says a prompt and reads a line, without its line end and outer blanks, into
 * answer. *answered is false when the answers have ended. Answers that do not
 * come from a terminal are repeated behind the prompt.
 * STATUS_INPUT  a line of more than 64 KiB
 * STATUS_IO, STATUS_MEMORY
 */
enum status ask_line(struct ask *ask, const char *prompt, struct text *answer, bool *answered, struct problem *problem);

void ask_release(struct ask *ask);

#endif
