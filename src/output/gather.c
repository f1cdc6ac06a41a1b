#include "output/gather.h"

#include <stdio.h>
#include <string.h>

#define RANGES_SHOWN 8

static bool is_digit(char c) { return c >= '0' && c <= '9'; }

/* Behind the number that begins here: "1,250.5" and "1e-05" are one. */
static const char *behind_number(const char *at)
{
    while (is_digit(*at) || ((*at == '.' || *at == ',') && is_digit(at[1])) || (*at == 'e' && at[1] == '-'))
        at += *at == 'e' ? 2 : 1;
    return at;
}

/* Behind the quoted name that begins here; an apostrophe within a word begins none. */
static const char *behind_quoted(const char *start, const char *at)
{
    const char *end = *at == '\'' && (at == start || at[-1] == ' ' || at[-1] == '(') ? strchr(at + 1, '\'') : NULL;
    return end ? end + 1 : at;
}

/* Whether two texts are one sentence about other values and names. */
static bool texts_alike(const char *a, const char *b)
{
    const char *start_a = a, *start_b = b;
    for (;;) {
        const char *next_a = behind_quoted(start_a, a), *next_b = behind_quoted(start_b, b);
        if (next_a == a && next_b == b) {
            next_a = behind_number(a);
            next_b = behind_number(b);
        }
        if ((next_a == a) != (next_b == b))
            return false;
        if (next_a == a && *a != *b)
            return false;
        if (*a == '\0')
            return true;
        a = next_a == a ? a + 1 : next_a;
        b = next_b == b ? b + 1 : next_b;
    }
}

static bool problems_alike(const struct problem *a, const struct problem *b)
{
    return a->severity == b->severity && strcmp(a->path, b->path) == 0 && strcmp(a->column, b->column) == 0 && texts_alike(a->text, b->text);
}

/* How many of the list are like the one at `index`, itself counted, and where the first of them is. */
static size_t count_alike(const struct problem_list *problems, size_t index, size_t *first)
{
    size_t n = 0;
    *first = index;
    for (size_t i = 0; i < problems->n_items; i++) {
        if (!problems_alike(&problems->items[i], &problems->items[index]))
            continue;
        *first = n == 0 ? i : *first;
        n++;
    }
    return n;
}

/* Lines as ranges: "lines 4 to 60, 72". */
struct ranges {
    char *out;
    size_t size, used, n, low, high;
};

static void ranges_close(struct ranges *ranges)
{
    if (ranges->low == 0 || ranges->used >= ranges->size)
        return;
    char *out = ranges->out + ranges->used;
    size_t left = ranges->size - ranges->used;
    int added = ranges->n > RANGES_SHOWN ? 0
        : ranges->n == RANGES_SHOWN ? snprintf(out, left, ", ...")
        : ranges->high > ranges->low ? snprintf(out, left, "%s%zu to %zu", ranges->n ? ", " : ": lines ", ranges->low, ranges->high)
        : snprintf(out, left, "%s%zu", ranges->n ? ", " : ": lines ", ranges->low);
    ranges->used += added > 0 ? (size_t)added : 0;
    ranges->n++;
}

static void ranges_add(struct ranges *ranges, size_t line)
{
    if (line == ranges->high)
        return;
    if (line != ranges->high + 1 || ranges->low == 0) {
        ranges_close(ranges);
        ranges->low = line;
    }
    ranges->high = line;
}

static void add_others(const struct problem_list *problems, size_t first, size_t n, char *sentence, size_t size)
{
    char lines[400] = "";
    struct ranges ranges = { .out = lines, .size = sizeof lines };
    for (size_t i = first + 1; i < problems->n_items; i++)
        if (problems_alike(&problems->items[i], &problems->items[first]))
            ranges_add(&ranges, problems->items[i].line);
    ranges_close(&ranges);
    size_t used = strlen(sentence);
    snprintf(sentence + used, size - used, " (and %zu more like it%s)", n - 1, lines);
}

bool gathering_next(struct gathering *gathering, const struct problem **first, size_t *n_told, char *sentence, size_t size)
{
    const struct problem_list *problems = gathering->problems;
    while (gathering->at < problems->n_items) {
        size_t index = gathering->at++, first_alike;
        const struct problem *problem = &problems->items[index];
        if (problem->severity != gathering->severity)
            continue;
        size_t n = problem->severity == SEVERITY_ERROR ? 1 : count_alike(problems, index, &first_alike);
        if (n > GATHER_FEW && first_alike != index)
            continue;
        *first = problem;
        *n_told = n > GATHER_FEW ? n : 1;
        problem_sentence(problem, sentence, size);
        if (n > GATHER_FEW)
            add_others(problems, index, n, sentence, size);
        return true;
    }
    return false;
}
