#include "output/print.h"

#include "base/file.h"
#include "output/gather.h"
#include "output/table.h"

#include <errno.h>
#include <string.h>

enum { SENTENCE_BYTES = 1024, PAGE_WIDTH = 96 };

static void add_kind(const struct problem_list *problems, const char *program, enum severity severity,
                     struct text *out)
{
    static const char *const marks[] = {"", "doubtful: ", "note: "};
    static const char *const words[] = {"error", "doubtful value", "note"};
    struct gathering gathering = {problems, severity, 0};
    const struct problem *first;
    char sentence[SENTENCE_BYTES];
    size_t count = problem_list_count(problems, severity), shown = 0, told = 0, n;
    for (; shown < PRINT_PROBLEMS && gathering_next(&gathering, &first, &n, sentence, sizeof sentence); shown++) {
        if (first->path[0] == '\0')
            text_addf(out, "%s: ", program);
        text_addf(out, "%s%s\n", marks[severity], sentence);
        told += n;
    }
    if (count > told)
        text_addf(out, "%s: and %zu more %s%s\n", program, count - told, words[severity], count - told == 1 ? "" : "s");
}

void print_problems(const struct problem_list *problems, const char *program, bool quiet, struct text *out)
{
    add_kind(problems, program, SEVERITY_ERROR, out);
    add_kind(problems, program, SEVERITY_DOUBT, out);
    if (!quiet)
        add_kind(problems, program, SEVERITY_NOTICE, out);
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
