#include "ingest/dialect.h"

#include "ingest/lines.h"

/* Separators of one kind outside quotes, and outside brackets when they count. */
static size_t count_outside(const char *bytes, size_t length, char separator, bool brackets_count)
{
    size_t n = 0;
    bool quoted = false;
    int brackets = 0;
    for (size_t i = 0; i < length; i++) {
        if (bytes[i] == '"')
            quoted = !quoted;
        else if (quoted)
            continue;
        else if (bytes[i] == '(' || bytes[i] == '[')
            brackets++;
        else if ((bytes[i] == ')' || bytes[i] == ']') && brackets > 0)
            brackets--;
        else if (bytes[i] == separator && (brackets == 0 || !brackets_count))
            n++;
    }
    return n;
}

static char most_frequent(const char *bytes, size_t length, bool brackets_count)
{
    static const char separators[] = { '\t', ';', ',' };
    char best = 0;
    size_t most = 0;
    for (size_t i = 0; i < sizeof separators; i++) {
        size_t n = count_outside(bytes, length, separators[i], brackets_count);
        if (n > most) {
            most = n;
            best = separators[i];
        }
    }
    return best;
}

char dialect_separator(const char *bytes, size_t length)
{
    char best = most_frequent(bytes, length, true);
    if (!best) /* a bracket that never closes hides the rest */
        best = most_frequent(bytes, length, false);
    return best ? best : ',';
}

/* Without outer blanks, CR and one pair of quotes. */
static const char *bare_cell(const char *bytes, size_t *length)
{
    while (*length > 0 && (bytes[*length - 1] == ' ' || bytes[*length - 1] == '\r'))
        --*length;
    while (*length > 0 && bytes[0] == ' ') {
        bytes++;
        --*length;
    }
    if (*length >= 2 && bytes[0] == '"' && bytes[*length - 1] == '"') {
        bytes++;
        *length -= 2;
    }
    return bytes;
}

/* The one mark in a cell that reads digits, mark, digits; 0 for any other cell. */
static char cell_mark(const char *bytes, size_t length)
{
    char mark = 0;
    bytes = bare_cell(bytes, &length);
    for (size_t i = length > 0 && (bytes[0] == '+' || bytes[0] == '-'); i < length; i++) {
        if (bytes[i] >= '0' && bytes[i] <= '9')
            continue;
        if (mark || (bytes[i] != '.' && bytes[i] != ','))
            return 0;
        mark = bytes[i];
    }
    return length > 1 ? mark : 0;
}

/* Columns vote, each with the mark that most of its cells have: an id like 3.1 is one vote, however many rows. */
static int count_votes(const char *bytes, size_t length, char separator)
{
    int lead[COLUMNS_MOST] = { 0 }, votes = 0; /* above 0: more commas */
    size_t start = 0, column = 0;
    for (size_t i = 0; i < length; i++) {
        if (bytes[i] != separator && bytes[i] != '\n')
            continue;
        char mark = column < COLUMNS_MOST ? cell_mark(bytes + start, i - start) : 0;
        if (mark)
            lead[column] += mark == ',' ? 1 : -1;
        column = bytes[i] == '\n' ? 0 : column + 1;
        start = i + 1;
    }
    char mark = column < COLUMNS_MOST ? cell_mark(bytes + start, length - start) : 0;
    if (mark)
        lead[column] += mark == ',' ? 1 : -1;
    bool any = false;
    for (size_t i = 0; i < COLUMNS_MOST; i++) {
        votes += (lead[i] > 0) - (lead[i] < 0);
        any |= lead[i] > 0;
    }
    return any ? votes : -1;
}

char dialect_decimal_mark(const char *bytes, size_t length, char separator)
{
    return separator != ',' && count_votes(bytes, length, separator) >= 0 ? ',' : '.';
}
