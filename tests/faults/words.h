#ifndef TESTS_FAULTS_WORDS_H
#define TESTS_FAULTS_WORDS_H

/* What the program under test says, and lists of words. Wants _GNU_SOURCE. */
#include <stdbool.h>
#include <string.h>

/* Whether some line is an error: not a note, not a doubtful value. */
static inline bool tells_error(const char *err)
{
    for (const char *line = err; *line; line += strcspn(line, "\n"), line += *line == '\n') {
        size_t length = strcspn(line, "\n");
        if (length > 0 && !memmem(line, length, "note: ", 6) && !memmem(line, length, "doubtful: ", 10) && line[0] != ' ')
            return true;
    }
    return false;
}

/* Whether a word is one of those in a list with blanks between. */
static inline bool is_among(const char *word, const char *words)
{
    const char *at = strstr(words, word);
    size_t length = strlen(word);
    return at && (at == words || at[-1] == ' ') && (at[length] == ' ' || at[length] == '\0');
}

#endif
