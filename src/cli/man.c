#include "cli/page.h"

#include "cli/lookup.h"

/* Text as troff takes it literally: dashes as minus signs, backslashes doubled, no line begins as a request. */
static void add_troff(struct text *out, const char *string)
{
    for (bool line_start = true; *string; line_start = *string == '\n', string++) {
        if (line_start && (*string == '.' || *string == '\''))
            text_add(out, "\\&");
        if (*string == '-')
            text_add(out, "\\-");
        else if (*string == '\\')
            text_add(out, "\\e");
        else
            text_add_bytes(out, string, 1);
    }
}

static void add_option(struct text *out, const struct option_row *row)
{
    char argument[160];
    option_argument(row, argument, sizeof argument);
    text_add(out, ".TP\n\\fB\\-\\-");
    add_troff(out, row->name);
    text_add(out, "\\fR");
    if (argument[0]) {
        text_add(out, " \\fI");
        add_troff(out, argument);
        text_add(out, "\\fR");
    }
    text_add(out, "\n");
    add_troff(out, row->help);
    text_add(out, "\n");
}

static void add_command(const char *program, const struct command_page *page, struct text *out)
{
    text_add(out, ".SH ");
    add_troff(out, page->name);
    text_add(out, "\n.B ");
    add_troff(out, program);
    text_add(out, " ");
    add_troff(out, page->name);
    text_add(out, "\n[OPTIONS] ");
    add_troff(out, page->arguments);
    text_add(out, "\n.PP\n");
    add_troff(out, page->description);
    text_add(out, "\n");
    for (const struct option_group *group = page->groups; group->title; group++) {
        text_add(out, ".SS ");
        add_troff(out, group->title);
        text_add(out, "\n");
        for (size_t i = 0; i < group->n_rows; i++)
            add_option(out, &group->rows[i]);
    }
    text_add(out, ".SS Example\n.nf\n");
    add_troff(out, page->example);
    text_add(out, "\n.fi\n");
}

static void add_commands_list(const struct program *program, struct text *out)
{
    text_add(out, ".SH COMMANDS\n");
    for (size_t i = 0; i < program->n_pages; i++) {
        text_addf(out, ".TP\n\\fB");
        add_troff(out, program->pages[i]->name);
        text_add(out, "\\fR\n");
        add_troff(out, program->pages[i]->summary);
        text_add(out, "\n");
    }
}

void program_man(const struct program *program, struct text *out)
{
    text_add(out, ".TH \"");
    add_troff(out, program->name);
    text_add(out, "\" 1 \"\" \"");
    add_troff(out, program->name);
    text_addf(out, " %s\" \"User commands\"\n.SH NAME\n", program->version);
    add_troff(out, program->name);
    text_add(out, " \\- ");
    add_troff(out, program->summary);
    text_add(out, "\n.SH SYNOPSIS\n.B ");
    add_troff(out, program->name);
    text_add(out, "\nCOMMAND [OPTIONS] FILE...\n");
    add_commands_list(program, out);
    for (size_t i = 0; i < program->n_pages; i++)
        add_command(program->name, program->pages[i], out);
    text_add(out, ".SH EXIT STATUS\n0 done; 1 done, and the answer is no; 2 wrong usage; "
                  "3 input cannot be used; 4 the system failed.\n");
}
