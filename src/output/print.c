#include "output/print.h"

#include "base/file.h"
#include "output/table.h"

#include <errno.h>
#include <string.h>

enum { SENTENCE_BYTES = 1024, PAGE_WIDTH = 96 };

static void add_problem(const struct problem *problem, const char *program, const char *mark, struct text *out)
{
    char sentence[SENTENCE_BYTES];
    problem_sentence(problem, sentence, sizeof sentence);
    if (problem->path[0] == '\0')
        text_addf(out, "%s: ", program);
    text_addf(out, "%s%s\n", mark, sentence);
}

static void add_kind(const struct problem_list *problems, const char *program, enum severity severity,
                     size_t count, struct text *out)
{
    static const char *const marks[] = {"", "doubtful: ", "note: "};
    static const char *const words[] = {"error", "doubtful value", "note"};
    size_t shown = 0;
    for (size_t i = 0; i < problems->n_items && shown < PRINT_PROBLEMS; i++) {
        if (problems->items[i].severity != severity)
            continue;
        add_problem(&problems->items[i], program, marks[severity], out);
        shown++;
    }
    if (count > shown)
        text_addf(out, "%s: and %zu more %s%s\n", program, count - shown, words[severity], count - shown == 1 ? "" : "s");
}

void print_problems(const struct problem_list *problems, const char *program, bool quiet, struct text *out)
{
    add_kind(problems, program, SEVERITY_ERROR, problems->n_errors, out);
    add_kind(problems, program, SEVERITY_DOUBT, problems->n_doubts, out);
    if (!quiet)
        add_kind(problems, program, SEVERITY_NOTICE, problems->n_notices, out);
}

void print_sentence(const char *sentence, struct text *out)
{
    table_wrap(out, sentence, 0, PAGE_WIDTH);
}

enum status print_bytes(int descriptor, const char *name, const struct text *text, struct problem *problem)
{
    if (text->length == 0 || file_write_all(descriptor, text->bytes, text->length))
        return STATUS_OK;
    int reason = errno;
    if (descriptor < 0)
        return problem_set(problem, STATUS_IO, NULL, "%s is closed", name);
    enum status status = problem_set(problem, STATUS_IO, NULL, "%s: %s", name, strerror(reason));
    if (reason == EPIPE)
        problem->text[0] = '\0';
    return status;
}
