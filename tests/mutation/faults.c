/*
 * Small faults to seed into C sources: a sign, a bound, a constant, a unit
 * factor, an off-by-one.
 *
 * faults list FILE...                     one fault a line, tab-separated:
 *     rank FILE OFFSET LENGTH LINE REPLACEMENT, then the line as it is and as it becomes
 * faults apply FILE OFFSET LENGTH TEXT    the file with that fault, on standard output
 *
 * The rank is a hash of the changed line, so that a sample (the lowest ranks)
 * stays the same while other lines of the file change. Left alone: comments,
 * strings, preprocessor lines, lengths of arrays and numbers in calls for
 * memory (more room is no fault), and numbers below 1e-6, which are the
 * margins of convergence.
 */
#include <ctype.h>
#include <math.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

struct source {
    const char *path;
    char *text;
    size_t length, at, line;
    int depth; /* of braces */
};

struct swap { const char *from, *to; };

/* Binary operators, as the house writes them: with a space on both sides. */
static const struct swap operators[] = {
    {"<", "<="}, {"<=", "<"}, {">", ">="}, {">=", ">"}, {"==", "!="}, {"!=", "=="},
    {"+", "-"}, {"-", "+"}, {"*", "/"}, {"/", "*"}, {"&&", "||"}, {"||", "&&"}, {"+=", "-="}, {"-=", "+="},
};
static const struct swap calls[] = {
    {"fmin", "fmax"}, {"fmax", "fmin"}, {"floor", "ceil"}, {"ceil", "floor"}, {"fabs", ""}, {"sqrt", ""},
    {"true", "false"}, {"false", "true"},
};

static bool read_all(const char *path, struct source *source)
{
    FILE *file = fopen(path, "rb");
    if (!file || fseek(file, 0, SEEK_END) != 0)
        return false;
    long length = ftell(file);
    rewind(file);
    *source = (struct source){.path = path, .length = (size_t)length, .line = 1};
    source->text = calloc((size_t)length + 2, 1);
    bool good = length >= 0 && source->text && fread(source->text, 1, source->length, file) == source->length;
    fclose(file);
    return good;
}

static void line_bounds(const struct source *source, size_t at, size_t *from, size_t *to)
{
    for (*from = at; *from > 0 && source->text[*from - 1] != '\n';)
        --*from;
    for (*to = at; *to < source->length && source->text[*to] != '\n';)
        ++*to;
    while (*from < *to && source->text[*from] == ' ')
        ++*from;
}

static uint64_t hashed(uint64_t hash, const char *bytes, size_t n)
{
    for (size_t i = 0; i < n; i++)
        hash = (hash ^ (unsigned char)bytes[i]) * 1099511628211u;
    return hash;
}

static void tell(const struct source *source, size_t at, size_t length, const char *replacement)
{
    size_t from, to;
    line_bounds(source, at, &from, &to);
    uint64_t rank = hashed(14695981039346656037u, source->path, strlen(source->path));
    rank = hashed(rank, source->text + from, to - from);
    size_t column = at - from;
    rank = hashed(rank, (const char *)&column, sizeof column);
    rank = hashed(rank, replacement, strlen(replacement));
    rank ^= rank >> 32; /* FNV's last bytes move its high bits little */
    rank *= 0x9E3779B97F4A7C15u;
    printf("%016llx\t%s\t%zu\t%zu\t%zu\t%s\t%.*s\t%.*s%s%.*s\n", (unsigned long long)rank, source->path, at, length,
           source->line, replacement, (int)(to - from), source->text + from, (int)(at - from), source->text + from,
           replacement, (int)(to - at - length), source->text + at + length);
}

static bool asks_for_memory(const struct source *source, size_t at)
{
    size_t from, to;
    line_bounds(source, at, &from, &to);
    const char *call = strstr(source->text + from, "memory_");
    return call && call < source->text + to;
}

static bool word_character(char c)
{
    return isalnum((unsigned char)c) || c == '_' || c == '.';
}

/* The end of a comment, a string or a preprocessor line that starts here; NULL when none does. */
static const char *inert_end(const char *here, bool line_begins)
{
    const char *end = here + 1;
    if (strncmp(here, "/*", 2) == 0) {
        end = strstr(here + 2, "*/");
        return end ? end + 2 : here + strlen(here);
    }
    if (*here == '"' || *here == '\'') {
        while (*end && *end != *here)
            end += *end == '\\' ? 2 : 1;
        return end + 1;
    }
    if (strncmp(here, "//", 2) != 0 && !(*here == '#' && line_begins))
        return NULL;
    while (*end && (*end != '\n' || end[-1] == '\\'))
        end++;
    return end;
}

static bool skip_inert(struct source *source)
{
    const char *here = source->text + source->at;
    const char *end = inert_end(here, source->at == 0 || here[-1] == '\n');
    for (; end && source->text + source->at < end; source->at++)
        source->line += source->text[source->at] == '\n';
    return end != NULL;
}

/* What a number becomes: a whole number one more, from 100 on and for powers of ten a tenth; others a tenth more. */
static void number_fault(const struct source *source, size_t at, size_t length)
{
    char written[64], replacement[64];
    if (length >= sizeof written - 8)
        return;
    memcpy(written, source->text + at, length);
    written[length] = '\0';
    char *rest;
    double value = strtod(written, &rest);
    if ((value != 0 && fabs(value) < 1e-6) || tolower((unsigned char)written[1]) == 'x')
        return;
    bool whole = strpbrk(written, ".eE") == NULL, array = at > 0 && source->text[at - 1] == '[';
    if ((array && value >= 8) || asks_for_memory(source, at))
        return;
    double power = value > 1 ? log10(value) : 0.5;
    if (whole && value < 100)
        snprintf(replacement, sizeof replacement, "%.0f%s", value + 1, rest);
    else if (whole)
        snprintf(replacement, sizeof replacement, "%.0f%s", floor(value / 10), rest);
    else if (fabs(power - round(power)) < 1e-12)
        snprintf(replacement, sizeof replacement, "%.17g", value / 10);
    else
        snprintf(replacement, sizeof replacement, "%.17g", value == 0 ? 1 : value * 1.1);
    tell(source, at, length, replacement);
}

static size_t word_length(const char *here)
{
    size_t length = 0;
    bool number = isdigit((unsigned char)*here) != 0;
    while (word_character(here[length]) || (number && length > 0 && (here[length] == '-' || here[length] == '+') &&
                                            tolower((unsigned char)here[length - 1]) == 'e'))
        length++;
    return length;
}

static void word_fault(struct source *source)
{
    const char *here = source->text + source->at;
    size_t length = word_length(here);
    if (isdigit((unsigned char)*here))
        number_fault(source, source->at, length);
    for (size_t i = 0; i < sizeof calls / sizeof *calls; i++)
        if (strlen(calls[i].from) == length && strncmp(here, calls[i].from, length) == 0)
            tell(source, source->at, length, calls[i].to);
    source->at += length;
}

static void operator_fault(struct source *source)
{
    const char *here = source->text + source->at;
    size_t length = strcspn(here, " \n");
    for (size_t i = 0; i < sizeof operators / sizeof *operators; i++)
        if (here[-1] == ' ' && strlen(operators[i].from) == length && strncmp(here, operators[i].from, length) == 0)
            tell(source, source->at, length, operators[i].to);
    if (*here == '-' && strchr(" (", here[-1]) && isalnum((unsigned char)here[1]))
        tell(source, source->at, 1, "+"); /* a sign */
}

static void list(struct source *source)
{
    while (source->at < source->length) {
        if (skip_inert(source))
            continue;
        char c = source->text[source->at];
        source->line += c == '\n';
        source->depth += (c == '{') - (c == '}');
        if (word_character(c) && c != '.' && source->depth > 0) {
            word_fault(source);
            continue;
        }
        if (source->depth > 0 && strchr("<>=!+-*/&|", c))
            operator_fault(source);
        source->at++;
    }
}

static bool apply(const struct source *source, size_t offset, size_t length, const char *text)
{
    if (offset + length > source->length)
        return false;
    return fwrite(source->text, 1, offset, stdout) == offset && fputs(text, stdout) >= 0 &&
           fputs(source->text + offset + length, stdout) >= 0 && fflush(stdout) == 0;
}

int main(int argc, char **argv)
{
    struct source source;
    if (argc == 6 && strcmp(argv[1], "apply") == 0) {
        size_t offset = strtoul(argv[3], NULL, 10), length = strtoul(argv[4], NULL, 10);
        return read_all(argv[2], &source) && apply(&source, offset, length, argv[5]) ? 0 : 1;
    }
    if (argc < 3 || strcmp(argv[1], "list") != 0)
        return fputs("usage: faults list FILE... | faults apply FILE OFFSET LENGTH TEXT\n", stderr), 2;
    for (int i = 2; i < argc; i++) {
        if (!read_all(argv[i], &source))
            return fprintf(stderr, "%s: cannot read\n", argv[i]), 1;
        list(&source);
        free(source.text);
    }
    return fflush(stdout) == 0 ? 0 : 1;
}
