#include "support/check.h"

#include "commands/command.h"
#include "commands/help_topics.h"

#include <stdio.h>

static size_t count_rows(const struct option_group *groups, const char *name)
{
    size_t n = 0;
    for (; groups->title; groups++)
        for (size_t i = 0; i < groups->n_rows; i++)
            n += strcmp(groups->rows[i].name, name) == 0;
    return n;
}

static void each_command_is_whole(void)
{
    for (size_t i = 0; i < n_commands; i++) {
        const struct command_page *page = &command_table[i].page;
        char start[64];
        snprintf(start, sizeof start, "plumestone %s ", page->name);
        CU_ASSERT_PTR_NOT_NULL(command_table[i].run);
        CU_ASSERT_EQUAL(strncmp(page->example, start, strlen(start)), 0);
        CU_ASSERT_TRUE(strlen(page->summary) > 0 && strlen(page->summary) <= 80);
        CU_ASSERT_EQUAL(count_rows(page->groups, "help"), 1);
        struct problem problem;
        CU_ASSERT_PTR_EQUAL(command_find(page->name, &problem), &command_table[i]);
    }
}

static void no_option_twice_in_a_command(void)
{
    for (size_t i = 0; i < n_commands; i++)
        for (const struct option_group *group = command_table[i].page.groups; group->title; group++)
            for (size_t j = 0; j < group->n_rows; j++)
                CU_ASSERT_EQUAL(count_rows(command_table[i].page.groups, group->rows[j].name), 1);
}

/* Lines longer than 80 columns; an example is one line whatever its length. */
static size_t long_lines(const char *bytes)
{
    size_t n = 0;
    while (*bytes) {
        size_t length = strcspn(bytes, "\n");
        n += length > 80 && strncmp(bytes, "  plumestone ", 13) != 0;
        bytes += length + (bytes[length] == '\n');
    }
    return n;
}

static void help_fits_eighty_columns(void)
{
    struct text out = {0};
    command_overview(&out);
    CU_ASSERT_EQUAL(long_lines(out.bytes), 0);
    for (size_t i = 0; i < n_commands; i++) {
        text_clear(&out);
        page_help("plumestone", &command_table[i].page, &out);
        CU_ASSERT_EQUAL(long_lines(out.bytes), 0);
    }
    text_release(&out);
}

static void topics_fit_too_and_tell_every_option(void)
{
    static const char *const topics[] = {"files", "columns", "units", "demands", "--target", "moisture"};
    struct text out = {0};
    for (size_t i = 0; i < sizeof topics / sizeof topics[0]; i++) {
        text_clear(&out);
        CU_ASSERT(help_topic(topics[i], &out) && out.length > 80);
        CU_ASSERT_EQUAL(long_lines(out.bytes), 0);
    }
    for (size_t i = 0; i < n_commands; i++)
        for (const struct option_group *group = command_table[i].page.groups; group->title; group++)
            for (size_t j = 0; j < group->n_rows; j++)
                CU_ASSERT(help_topic(group->rows[j].name, &out));
    CU_ASSERT(!help_topic("xyzzy", &out));
    text_release(&out);
}

static void misspelt_commands_find_their_neighbour(void)
{
    struct problem problem;
    CU_ASSERT_PTR_NULL(command_find("recomend", &problem));
    check_text(problem.text, "there is no command 'recomend'; did you mean 'recommend'?");
    CU_ASSERT_PTR_NULL(command_find("xyzzy", &problem));
    check_text(problem.text, "there is no command 'xyzzy'; 'plumestone help' lists them");
}

/* Reads a file of the project; tests run in its folder. */
static char *load(const char *path)
{
    static char bytes[1 << 16];
    FILE *file = fopen(path, "r");
    CU_ASSERT_PTR_NOT_NULL_FATAL(file);
    size_t length = fread(bytes, 1, sizeof bytes - 1, file);
    fclose(file);
    bytes[length] = '\0';
    return bytes;
}

static void exit_codes_page_agrees(void)
{
    const char *page = load("docs/exit-codes.md");
    for (int status = 0; status < STATUS_COUNT; status++) {
        char row[128];
        snprintf(row, sizeof row, "| %d | %s |\n", status_exit_code((enum status)status), status_text((enum status)status));
        if (!strstr(page, row))
            fprintf(stderr, "docs/exit-codes.md lacks: %s", row);
        CU_ASSERT_PTR_NOT_NULL(strstr(page, row));
    }
}

static void each_command_has_its_page(void)
{
    for (size_t i = 0; i < n_commands; i++) {
        char path[128], title[64], help[64];
        const char *name = command_table[i].page.name;
        snprintf(path, sizeof path, "docs/commands/%s.md", name);
        snprintf(title, sizeof title, "# %s\n", name);
        snprintf(help, sizeof help, "$ plumestone help %s\n", name);
        const char *page = load(path);
        CU_ASSERT_EQUAL(strncmp(page, title, strlen(title)), 0);
        CU_ASSERT_PTR_NOT_NULL(strstr(page, help));
    }
}

int main(void)
{
    static const struct check_case cases[] = {
        {"each command is whole", each_command_is_whole},
        {"no option twice in a command", no_option_twice_in_a_command},
        {"help fits eighty columns", help_fits_eighty_columns},
        {"topics fit too and tell every option", topics_fit_too_and_tell_every_option},
        {"misspelt commands find their neighbour", misspelt_commands_find_their_neighbour},
        {"exit codes page agrees", exit_codes_page_agrees},
        {"each command has its page", each_command_has_its_page},
    };
    return check_run("table", cases, sizeof cases / sizeof cases[0]);
}
