#include "cli/page.h"

#include "cli/lookup.h"

#include <string.h>

/* Text inside single quotes of a shell. */
static void add_quoted(struct text *out, const char *string)
{
    text_add(out, "'");
    for (; *string; string++) {
        if (*string == '\'')
            text_add(out, "'\\''");
        else
            text_add_bytes(out, string, 1);
    }
    text_add(out, "'");
}

static void add_names(const struct program *program, struct text *out)
{
    for (size_t i = 0; i < program->n_pages; i++)
        text_addf(out, "%s%s", i ? " " : "", program->pages[i]->name);
}

static void bash_options(const struct command_page *page, struct text *out)
{
    text_addf(out, "    %s) options='", page->name);
    for (const struct option_group *group = page->groups; group->title; group++)
        for (size_t i = 0; i < group->n_rows; i++)
            text_addf(out, "--%s ", group->rows[i].name);
    text_add(out, "' ;;\n");
}

/* "command,option) words" for each choice, so that equal option names of two commands may differ. */
static void bash_choices(const struct command_page *page, struct text *out)
{
    for (const struct option_group *group = page->groups; group->title; group++)
        for (size_t i = 0; i < group->n_rows; i++) {
            const struct option_row *row = &group->rows[i];
            if (row->choices == NULL)
                continue;
            text_addf(out, "    %s,--%s) words='", page->name, row->name);
            for (size_t j = 0; row->choices[j]; j++)
                text_addf(out, "%s ", row->choices[j]);
            text_add(out, "' ;;\n");
        }
}

static void complete_bash(const struct program *program, struct text *out)
{
    text_addf(out, "# bash completion for %s\n_%s() {\n", program->name, program->name);
    text_add(out, "    local word=${COMP_WORDS[COMP_CWORD]} before=${COMP_WORDS[COMP_CWORD-1]} options='' words=''\n"
                  "    [ \"$before\" = = ] && before=${COMP_WORDS[COMP_CWORD-2]}\n"
                  "    if [ \"$COMP_CWORD\" -eq 1 ]; then\n        COMPREPLY=($(compgen -W '");
    add_names(program, out);
    text_add(out, "' -- \"$word\"))\n        return\n    fi\n    case ${COMP_WORDS[1]},$before in\n");
    for (size_t i = 0; i < program->n_pages; i++)
        bash_choices(program->pages[i], out);
    text_add(out, "    help,help) words='");
    add_names(program, out);
    text_add(out, "' ;;\n    esac\n    if [ -n \"$words\" ] && [ \"${word#-}\" = \"$word\" ]; then\n"
                  "        COMPREPLY=($(compgen -W \"$words\" -- \"$word\"))\n        return\n    fi\n"
                  "    case ${COMP_WORDS[1]} in\n");
    for (size_t i = 0; i < program->n_pages; i++)
        bash_options(program->pages[i], out);
    text_addf(out, "    esac\n    case $word in\n    -*) COMPREPLY=($(compgen -W \"$options\" -- \"$word\")) ;;\n"
                   "    *) COMPREPLY=($(compgen -f -- \"$word\")) ;;\n    esac\n}\n"
                   "complete -o filenames -F _%s %s\n", program->name, program->name);
}

/* A zsh _arguments entry: '--name=[help]:argument:action'. ':' and brackets would end the help. */
static void zsh_option(const struct option_row *row, struct text *out)
{
    struct text spec = {0};
    bool repeatable = row->kind == OPTION_TEXT_LIST;
    text_addf(&spec, "%s--%s%s[", repeatable ? "*" : "", row->name, row->kind == OPTION_FLAG ? "" : "=");
    for (const char *at = row->help; *at; at++)
        text_add_bytes(&spec, strchr("[]:", *at) ? "," : at, 1);
    text_add(&spec, "]");
    if (row->choices) {
        text_add(&spec, ":word:(");
        for (size_t j = 0; row->choices[j]; j++)
            text_addf(&spec, "%s%s", j ? " " : "", row->choices[j]);
        text_add(&spec, ")");
    } else if (row->kind != OPTION_FLAG) {
        text_addf(&spec, ":%s:_files", row->argument ? row->argument : "value");
    }
    text_add(out, " \\\n        ");
    add_quoted(out, spec.bytes ? spec.bytes : "");
    out->failed = out->failed || spec.failed;
    text_release(&spec);
}

static void complete_zsh(const struct program *program, struct text *out)
{
    text_addf(out, "#compdef %s\n_%s() {\n    if (( CURRENT == 2 )); then\n        local -a commands=(",
              program->name, program->name);
    for (size_t i = 0; i < program->n_pages; i++) {
        text_addf(out, "\n            '%s:", program->pages[i]->name);
        for (const char *at = program->pages[i]->summary; *at; at++)
            text_add_bytes(out, *at == '\'' || *at == ':' ? "," : at, 1);
        text_add(out, "'");
    }
    text_add(out, ")\n        _describe command commands\n        return\n    fi\n    case ${words[2]} in\n");
    for (size_t i = 0; i < program->n_pages; i++) {
        text_addf(out, "    %s) shift words; (( CURRENT-- )); _arguments", program->pages[i]->name);
        for (const struct option_group *group = program->pages[i]->groups; group->title; group++)
            for (size_t j = 0; j < group->n_rows; j++)
                zsh_option(&group->rows[j], out);
        text_add(out, " \\\n        '*:file:_files' ;;\n");
    }
    text_addf(out, "    esac\n}\n_%s \"$@\"\n", program->name);
}

static void fish_option(const struct program *program, const struct command_page *page,
                        const struct option_row *row, struct text *out)
{
    text_addf(out, "complete -c %s -n '__fish_seen_subcommand_from %s' -l %s", program->name, page->name, row->name);
    if (row->choices) {
        text_add(out, " -x -a '");
        for (size_t j = 0; row->choices[j]; j++)
            text_addf(out, "%s%s", j ? " " : "", row->choices[j]);
        text_add(out, "'");
    } else if (row->kind != OPTION_FLAG) {
        text_add(out, " -r");
    }
    text_add(out, " -d ");
    add_quoted(out, row->help);
    text_add(out, "\n");
}

static void complete_fish(const struct program *program, struct text *out)
{
    text_addf(out, "# fish completion for %s\n", program->name);
    for (size_t i = 0; i < program->n_pages; i++) {
        text_addf(out, "complete -c %s -n __fish_use_subcommand -f -a %s -d ", program->name, program->pages[i]->name);
        add_quoted(out, program->pages[i]->summary);
        text_add(out, "\n");
    }
    for (size_t i = 0; i < program->n_pages; i++)
        for (const struct option_group *group = program->pages[i]->groups; group->title; group++)
            for (size_t j = 0; j < group->n_rows; j++)
                fish_option(program, program->pages[i], &group->rows[j], out);
}

void program_completion(const struct program *program, enum shell shell, struct text *out)
{
    switch (shell) {
    case SHELL_BASH:
        complete_bash(program, out);
        break;
    case SHELL_ZSH:
        complete_zsh(program, out);
        break;
    case SHELL_FISH:
        complete_fish(program, out);
        break;
    }
}
