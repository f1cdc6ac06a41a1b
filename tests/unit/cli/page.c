#include "support/check.h"

#include "cli/lookup.h"
#include "cli/page.h"

#include <stddef.h>

struct target { int seek; const char *file; bool loud; };

static const char *const seek_words[] = {"lightest", "strongest", NULL};
static const struct option_row rows[] = {
    {"seek", OPTION_CHOICE, NULL, "what is best", offsetof(struct target, seek), 0, 0, seek_words},
    {"file", OPTION_TEXT, "FILE",
     "a file whose help is so long that it does not fit on one line of eighty columns and goes on in the next",
     offsetof(struct target, file), 0, 0, NULL},
    {"loud", OPTION_FLAG, NULL, "it's [very] loud: yes", offsetof(struct target, loud), 0, 0, NULL},
};
static const struct option_group groups[] = {{"Options", rows, sizeof rows / sizeof rows[0]}, {NULL, NULL, 0}};
static const struct command_page page = {
    "weigh", "weighs what's given", "FILE...", ".A description that begins with a dot.", "tool weigh --loud a.csv", groups,
};
static const struct command_page *const pages[] = {&page};
static const struct program program = {"tool", "1.0", "weighs things", pages, 1, "scales and tares"};

static void contains(const struct text *text, const char *part)
{
    int found = text->bytes && strstr(text->bytes, part) != NULL;
    if (!found)
        fprintf(stderr, "not found: %s\nin: %s\n", part, text->bytes ? text->bytes : "(nothing)");
    CU_ASSERT_TRUE(found);
}

static size_t longest_line(const char *bytes)
{
    size_t longest = 0;
    for (; *bytes; bytes += strcspn(bytes, "\n"), bytes += *bytes == '\n') {
        size_t length = strcspn(bytes, "\n");
        longest = length > longest ? length : longest;
    }
    return longest;
}

static void help_shows_every_row_in_eighty_columns(void)
{
    struct text out = {0};
    page_help("tool", &page, &out);
    contains(&out, "usage: tool weigh [OPTIONS] FILE...\n");
    contains(&out, "  --seek lightest|strongest\n                            what is best\n");
    contains(&out, "  --loud                    it's [very] loud: yes\n");
    contains(&out, "Example\n  tool weigh --loud a.csv\n");
    CU_ASSERT_TRUE(longest_line(out.bytes) <= 80);
    text_release(&out);
}

static void overview_lists_commands(void)
{
    struct text out = {0};
    program_help(&program, &out);
    contains(&out, "tool 1.0: weighs things\n");
    contains(&out, "  weigh       weighs what's given\n");
    contains(&out, "'tool help TOPIC' explains scales and tares or an option.\n");
    text_release(&out);
}

static void man_page_is_literal(void)
{
    struct text out = {0};
    program_man(&program, &out);
    contains(&out, ".TH \"tool\" 1");
    contains(&out, "\n\\&.A description");
    contains(&out, "\\fB\\-\\-seek\\fR \\fIlightest|strongest\\fR\nwhat is best\n");
    text_release(&out);
}

static void completions_know_options_and_words(void)
{
    struct text out = {0};
    program_completion(&program, SHELL_BASH, &out);
    contains(&out, "weigh) options='--seek --file --loud '");
    contains(&out, "weigh,--seek) words='lightest strongest '");
    text_clear(&out);
    program_completion(&program, SHELL_ZSH, &out);
    contains(&out, "'--seek=[what is best]:word:(lightest strongest)'");
    contains(&out, "'--loud[it'\\''s ,very, loud, yes]'");
    text_clear(&out);
    program_completion(&program, SHELL_FISH, &out);
    contains(&out, "-l seek -x -a 'lightest strongest' -d 'what is best'\n");
    text_release(&out);
}

static void nearest_name_is_offered(void)
{
    check_text(option_nearest(groups, "fle"), "file");
    CU_ASSERT_PTR_NULL(option_nearest(groups, "completely-different"));
    CU_ASSERT_PTR_NULL(option_find(groups, "Seek"));
}

int main(void)
{
    static const struct check_case cases[] = {
        {"help shows every row in eighty columns", help_shows_every_row_in_eighty_columns},
        {"overview lists commands", overview_lists_commands},
        {"man page is literal", man_page_is_literal},
        {"completions know options and words", completions_know_options_and_words},
        {"nearest name is offered", nearest_name_is_offered},
    };
    return check_run("page", cases, sizeof cases / sizeof cases[0]);
}
