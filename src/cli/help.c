#include "cli/page.h"

#include "cli/lookup.h"

#include <stdio.h>
#include <string.h>

enum { HELP_WIDTH = 80, HELP_INDENT = 28 };

/* Adds the words of string, breaking lines at HELP_WIDTH; the line stands at indent already. */
static void add_wrapped(struct text *out, const char *string, size_t indent)
{
    size_t column = indent;
    for (size_t word; *string; string += word + strspn(string + word, " ")) {
        word = strcspn(string, " ");
        bool first = column == indent;
        if (!first && column + 1 + word > HELP_WIDTH) {
            text_addf(out, "\n%*s", (int)indent, "");
            column = indent;
        } else if (!first) {
            text_add(out, " ");
            column++;
        }
        text_add_bytes(out, string, word);
        column += word;
    }
    text_add(out, "\n");
}

void help_paragraph(const char *string, struct text *out)
{
    add_wrapped(out, string, 0);
}

void help_entry(const char *name, const char *string, struct text *out)
{
    size_t width = 2 + strlen(name);
    text_addf(out, "  %s", name);
    if (width + 2 > HELP_INDENT)
        text_addf(out, "\n%*s", HELP_INDENT, "");
    else
        text_addf(out, "%*s", (int)(HELP_INDENT - width), "");
    add_wrapped(out, string, HELP_INDENT);
}

void help_option(const struct option_row *row, struct text *out)
{
    char argument[160];
    option_argument(row, argument, sizeof argument);
    char name[240];
    snprintf(name, sizeof name, "--%s%s%s", row->name, argument[0] ? " " : "", argument);
    help_entry(name, row->help, out);
}

void option_help(const struct option_group *groups, struct text *out)
{
    for (; groups->title; groups++) {
        text_addf(out, "\n%s\n", groups->title);
        for (size_t i = 0; i < groups->n_rows; i++)
            help_option(&groups->rows[i], out);
    }
}

void page_help(const char *program, const struct command_page *page, struct text *out)
{
    text_addf(out, "usage: %s %s [OPTIONS]%s%s\n\n", program, page->name, page->arguments[0] ? " " : "", page->arguments);
    add_wrapped(out, page->description, 0);
    option_help(page->groups, out);
    text_addf(out, "\nExample\n  %s\n", page->example);
}

void program_help(const struct program *program, struct text *out)
{
    text_addf(out, "%s %s: %s\n\nusage: %s COMMAND [OPTIONS] FILE...\n\nCommands\n",
              program->name, program->version, program->summary, program->name);
    for (size_t i = 0; i < program->n_pages; i++) {
        text_addf(out, "  %-12s", program->pages[i]->name);
        add_wrapped(out, program->pages[i]->summary, 14);
    }
    text_addf(out, "\n'%s help COMMAND' explains one of them, with an example that runs.\n", program->name);
    if (program->topics)
        text_addf(out, "'%s help TOPIC' explains %s or an option.\n", program->name, program->topics);
}
