#ifndef COMMANDS_STUDY_FILE_H
#define COMMANDS_STUDY_FILE_H

#include "commands/options.h"

/*
 * Reads a study file, one `name = value` a line, into options. Paths in it are
 * taken from the study file's own folder. Texts go to owned (each one to be
 * freed by owned_texts_release()). Unknown names, a name given twice (but for
 * repeatable ones), sections and lines that are no `name = value` are problems
 * with their line.
 *
 * STATUS_USAGE  a problem was added
 * STATUS_INPUT  the file cannot be read
 */
enum status study_file_read(const char *path, struct study_options *options,
                            struct text_list *owned, struct problem_list *problems);

void owned_texts_release(struct text_list *owned);

#endif
