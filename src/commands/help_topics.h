#ifndef COMMANDS_HELP_TOPICS_H
#define COMMANDS_HELP_TOPICS_H

#include "base/text.h"

/* The topics in words, for the overview: "files, columns, units, demands". */
extern const char help_topic_list[];

/*
 * Explains a topic of that name, or the option of that name with the commands that take it. Everything is told from the tables
 * that read the files and the command line. False when there is neither.
 */
bool help_topic(const char *name, struct text *out);

/* The nearest topic for "did you mean", or NULL. */
const char *help_topic_nearest(const char *name);

#endif
