#include "commands/command.h"

#include "commands/comparing.h"
#include "commands/help_topics.h"
#include "commands/options.h"

#include <string.h>

#ifndef PLUMESTONE_VERSION
#error "the version comes from the Makefile"
#endif


const struct command_row command_table[] = {
    {{"check", "lists every problem and every doubtful value, and writes nothing", "SPECIMENS.csv...",
      "Reads everything that the other commands would read and lists what is wrong, with file, line and column. "
      "Ends with 1 when something is wrong.",
      "plumestone check datasets/roof-terrace-pavers/specimens.csv", check_groups}, command_check},
    {{"record", "appends checked specimens to a journal; never loses or tears a row", "JOURNAL.csv [NAME=VALUE...]",
      "Takes the measurements of a specimen as NAME=VALUE, with units, or those of a whole file with --from, or asks for them "
      "at the terminal and shows the results before anything is written. All or nothing is recorded. Columns: docs/files.md.",
      "plumestone record build/journal.csv specimen=A1 mix=clay-30 shape=cube length=100mm mass=1.71kg break_load=182kN",
      record_groups}, command_record},
    {{"results", "one row a specimen: density, strengths, absorption, flags", "SPECIMENS.csv...",
      "Computes each specimen's results from its measurements, in the rounding of the test standards. "
      "JSON and CSV are for further work and not rounded.",
      "plumestone results datasets/roof-terrace-pavers/specimens.csv", results_groups}, command_results},
    {{"compare", "mixes and aggregates with each other and with the reference", "SPECIMENS.csv...",
      "Says how much lighter each mix is than the reference, which mixes differ by more than the luck of batches explains, and, "
      "with --target, how dense each aggregate's concrete is where it reaches that strength.",
      "plumestone compare --study datasets/roof-terrace-pavers/study.ini", compare_groups}, command_compare},
    {{"fit", "how a property goes with the aggregate fraction, or any column with others", "SPECIMENS.csv...",
      "Fits density, strengths and absorption on the aggregate fraction for each aggregate, with the batch as a random effect, "
      "and chooses the law. With --response it fits any column of one CSV file on any others instead.",
      "plumestone fit --property compressive_strength --study datasets/roof-terrace-pavers/study.ini", fit_groups}, command_fit},
    {{"recommend", "the lightest recipe that meets the targets and limits", "SPECIMENS.csv...",
      "Searches the tested mixes and each aggregate's curve inside its tested range. What is held against a target is the "
      "assured value, never the mean alone. Ends with 1 when no recipe will do.",
      "plumestone recommend --target compressive_strength=15MPa datasets/roof-terrace-pavers/specimens.csv",
      recommend_groups}, command_recommend},
    {{"plan", "how many batches are needed, and which trial to cast next", "SPECIMENS.csv...",
      "Says how many batches and specimens it takes, if means and scatter stay as found, for an assured value to clear its demand or for a "
      "difference to be seen, and which trial narrows the recommended fraction most. Ends with 1 when no number of batches will do.",
      "plumestone plan --study datasets/roof-terrace-pavers/study.ini --difference compressive_strength=2MPa", plan_groups}, command_plan},
    {{"batch", "batch sheet for N pieces of a recipe: what to weigh, buy and expect", "[SPECIMENS.csv...]",
      "Works out masses, volumes, water, bags, cost and the mass of a piece, with the reason for every number, from --mixes and "
      "--materials. An --output that ends in .html or .md becomes one page to print.",
      "plumestone batch --study datasets/roof-terrace-pavers/study.ini --recommended --pieces 12 --mixer 60L", batch_groups}, command_batch},
    {{"chart", "gnuplot scripts with their data, and the pictures", "SPECIMENS.csv...",
      "Writes each chart as a script that runs by itself, and draws it. The folder is --output (charts).",
      "plumestone chart --study datasets/roof-terrace-pavers/study.ini --output build/charts", chart_groups}, command_chart},
    {{"report", "the whole answer in one folder: text, tables and charts", "SPECIMENS.csv...",
      "Writes report.md, report.html, charts, results.csv and summary.json for one study. The folder is --output (report).",
      "plumestone report --study datasets/roof-terrace-pavers/study.ini --output build/report", report_groups}, command_report},
    {{"help", "explains a command or topic; writes manual page and completions", "[COMMAND|TOPIC...]",
      "Without a command it lists them all. Topics are files, columns, units and demands, and every option by its name.",
      "plumestone help columns", help_groups}, command_help},
};
const size_t n_commands = sizeof command_table / sizeof command_table[0];

enum { COMMANDS = sizeof command_table / sizeof command_table[0] };

const struct command_row *command_find(const char *name, struct problem *problem)
{
    const char *names[COMMANDS];
    for (size_t i = 0; i < COMMANDS; i++) {
        names[i] = command_table[i].page.name;
        if (strcmp(names[i], name) == 0)
            return &command_table[i];
    }
    const char *near = text_nearest(name, names, COMMANDS);
    if (near)
        problem_set(problem, STATUS_USAGE, NULL, "there is no command '%s'; did you mean '%s'?", name, near);
    else
        problem_set(problem, STATUS_USAGE, NULL, "there is no command '%s'; 'plumestone help' lists them", name);
    return NULL;
}

/* The program as help, man page and completions see it; pages is filled with the table's. */
static struct program describe(const struct command_page *pages[COMMANDS])
{
    for (size_t i = 0; i < COMMANDS; i++)
        pages[i] = &command_table[i].page;
    return (struct program){"plumestone", PLUMESTONE_VERSION,
                            "picks the lightest concrete recipe that is still strong enough", pages, COMMANDS, help_topic_list};
}

void command_overview(struct text *out)
{
    const struct command_page *pages[COMMANDS];
    struct program program = describe(pages);
    program_help(&program, out);
}

void command_man(struct text *out)
{
    const struct command_page *pages[COMMANDS];
    struct program program = describe(pages);
    program_man(&program, out);
}

void command_completion(enum shell shell, struct text *out)
{
    const struct command_page *pages[COMMANDS];
    struct program program = describe(pages);
    program_completion(&program, shell, out);
}
