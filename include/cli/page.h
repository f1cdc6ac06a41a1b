#ifndef CLI_PAGE_H
#define CLI_PAGE_H

#include "cli/option.h"

/* All that help, the man page and completions say about one command. */
struct command_page {
    const char *name;
    const char *summary;      /* one line, lower case, no full stop */
    const char *arguments;    /* "SPECIMENS.csv...", "" for none */
    const char *description;  /* a short paragraph */
    const char *example;      /* a full command line that runs in the project's folder */
    const struct option_group *groups;
};

struct program {
    const char *name, *version, *summary;
    const struct command_page *const *pages;
    size_t n_pages;
    const char *topics;       /* what else `help` explains: "files, columns"; NULL: nothing */
};

/* Each appends to out; out->failed tells when memory ran out. */
void page_help(const char *program, const struct command_page *page, struct text *out);
void program_help(const struct program *program, struct text *out);

/* A paragraph of 80 columns, and an entry of a list: a name, and what is said of it beside. */
void help_paragraph(const char *string, struct text *out);
void help_entry(const char *name, const char *string, struct text *out);

/* One option as help shows it. */
void help_option(const struct option_row *row, struct text *out);

/* A man page in troff (section 1), from the same rows. */
void program_man(const struct program *program, struct text *out);

/* Completion scripts, from the same rows: commands, options, words of a choice, else files. */
enum shell { SHELL_BASH, SHELL_ZSH, SHELL_FISH };
void program_completion(const struct program *program, enum shell shell, struct text *out);

#endif
