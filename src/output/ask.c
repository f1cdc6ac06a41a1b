#include "output/ask.h"

#include "output/print.h"

#include <errno.h>
#include <string.h>
#include <unistd.h>

enum { LINE_MOST = 1 << 16 };

bool ask_is_terminal(const struct ask *ask)
{
    return isatty(ask->in) && isatty(ask->out);
}

enum status ask_say(struct ask *ask, const char *string, struct problem *problem)
{
    struct text shown = { 0 };
    while (*string) {
        size_t length = strcspn(string, "\n");
        struct text line = { 0 };
        text_add_bytes(&line, string, length);
        text_add_printable(&shown, line.bytes ? line.bytes : "");
        text_add(&shown, string[length] ? "\n" : "");
        shown.failed |= line.failed;
        text_release(&line);
        string += length + (string[length] != '\0');
    }
    enum status status = shown.failed ? problem_set(problem, STATUS_MEMORY, NULL, "no memory left for the questions")
                                      : print_bytes(ask->out, "the terminal", &shown, problem);
    text_release(&shown);
    return status;
}

/* Reads until a line is there or nothing more comes. */
static enum status read_line(struct ask *ask, struct problem *problem)
{
    char block[4096];
    while (!ask->ended && !(ask->waiting.bytes && memchr(ask->waiting.bytes, '\n', ask->waiting.length))) {
        if (ask->waiting.length > LINE_MOST)
            return problem_set(problem, STATUS_INPUT, NULL, "the answer is longer than 64 KiB");
        ssize_t got = read(ask->in, block, sizeof block);
        if (got < 0 && errno == EINTR)
            continue;
        if (got < 0)
            return problem_set(problem, STATUS_IO, NULL, "the answers cannot be read: %s", strerror(errno));
        ask->ended = got == 0;
        text_add_bytes(&ask->waiting, block, (size_t)got);
        if (ask->waiting.failed)
            return problem_set(problem, STATUS_MEMORY, NULL, "no memory left for the answers");
    }
    return STATUS_OK;
}

/* Moves the first line from what waits into answer. */
static void take_line(struct ask *ask, struct text *answer)
{
    struct text rest = { 0 };
    const char *start = ask->waiting.bytes, *end = memchr(start, '\n', ask->waiting.length);
    size_t length = end ? (size_t)(end - start) : ask->waiting.length;
    size_t used = length + (end != NULL), first = strspn(start, " \t");
    text_add_bytes(&rest, start + used, ask->waiting.length - used);
    while (length > first && strchr(" \t\r", start[length - 1]))
        length--;
    text_add_bytes(answer, start + (first < length ? first : length), first < length ? length - first : 0);
    text_release(&ask->waiting);
    ask->waiting = rest;
}

/* A terminal shows what is typed; answers out of a pipe are shown here, so that the talk can be read afterwards. */
static enum status echo(struct ask *ask, const struct text *answer, struct problem *problem)
{
    if (isatty(ask->in))
        return STATUS_OK;
    enum status status = answer->bytes ? ask_say(ask, answer->bytes, problem) : STATUS_OK;
    return status == STATUS_OK ? ask_say(ask, "\n", problem) : status;
}

enum status ask_line(struct ask *ask, const char *prompt, struct text *answer, bool *answered, struct problem *problem)
{
    text_clear(answer);
    *answered = false;
    enum status status = ask_say(ask, prompt, problem);
    if (status == STATUS_OK)
        status = read_line(ask, problem);
    if (status != STATUS_OK || ask->waiting.length == 0)
        return status;
    take_line(ask, answer);
    *answered = true;
    if (answer->failed || ask->waiting.failed)
        return problem_set(problem, STATUS_MEMORY, NULL, "no memory left for the answers");
    if (answer->bytes && strlen(answer->bytes) != answer->length)
        return problem_set(problem, STATUS_INPUT, NULL, "an answer holds a NUL byte");
    return echo(ask, answer, problem);
}

void ask_release(struct ask *ask)
{
    text_release(&ask->waiting);
}
