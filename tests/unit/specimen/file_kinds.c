#include "specimen/file_kinds.h"

#include "base/memory.h"
#include "support/check.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static char *load(const char *path)
{
    FILE *file = fopen(path, "r");
    char *bytes = calloc(1, 1 << 16);
    CU_ASSERT_FATAL(file != NULL && bytes != NULL);
    CU_ASSERT(fread(bytes, 1, (1 << 16) - 1, file) > 0);
    fclose(file);
    return bytes;
}

/* The section "## NAME...", up to the next one, as a string of its own. */
static char *section(const char *document, const char *name)
{
    char heading[64];
    snprintf(heading, sizeof heading, "\n## %s", name);
    const char *start = strstr(document, heading);
    CU_ASSERT_PTR_NOT_NULL_FATAL(start);
    const char *end = strstr(start + 1, "\n## ");
    size_t length = end ? (size_t)(end - start) : strlen(start);
    char *copy = calloc(1, length + 1);
    memcpy(copy, start, length);
    return copy;
}

/* Named as `mass` or, where two columns of one name differ by their unit, as `bag_kg`. */
static bool is_named(const struct file_kind *kind, size_t rule, const char *text)
{
    char wanted[96];
    bool twice = false;
    for (size_t i = 0; i < kind->n_rules; i++)
        twice = twice || (i != rule && strcmp(kind->rules[i].name, kind->rules[rule].name) == 0);
    snprintf(wanted, sizeof wanted, "`%s%s", kind->rules[rule].name, twice ? "_" : "`");
    const char *at = strstr(text, wanted);
    for (const struct unit *unit = kind->rules[rule].units; twice && unit->symbol; unit++) {
        snprintf(wanted, sizeof wanted, "`%s_%s`", kind->rules[rule].name, unit->symbol);
        for (char *c = wanted; *c; c++)
            *c = *c == 'L' ? 'l' : *c;
        if (strstr(text, wanted))
            return true;
    }
    return at && !twice;
}

static void every_column_is_named_in_the_docs(void)
{
    char *document = load("docs/files.md");
    for (int which = 0; which < FILE_KINDS; which++) {
        struct file_kind kind = file_kind(which);
        char *text = section(document, kind.name);
        CU_ASSERT(kind.n_rules > 0);
        for (size_t i = 0; i < kind.n_rules; i++) {
            bool named = is_named(&kind, i, text);
            if (!named)
                fprintf(stderr, "docs/files.md, %s: no word of '%s'\n", kind.name, kind.rules[i].name);
            CU_ASSERT(named);
        }
        free(text);
    }
    free(document);
}

static void columns_of_words_say_which(void)
{
    struct file_kind specimens = file_kind(FILE_SPECIMENS);
    size_t n_words = 0, n_own = 0;
    for (size_t i = 0; i < specimens.n_rules; i++) {
        n_words += file_kind_words(FILE_SPECIMENS, i) != NULL;
        n_own += file_kind_own(FILE_SPECIMENS, i);
        if (strcmp(specimens.rules[i].name, "shape") == 0)
            check_text(file_kind_words(FILE_SPECIMENS, i), "cube, cylinder, beam, slab or core");
    }
    CU_ASSERT(n_words == 4 && n_own == 3);
    CU_ASSERT_PTR_NULL(file_kind_words(FILE_MIXES, 0));
}

int main(void)
{
    static const struct check_case cases[] = {
        { "every column is named in the docs", every_column_is_named_in_the_docs },
        { "columns of words say which", columns_of_words_say_which },
    };
    return check_run("file kinds", cases, sizeof cases / sizeof cases[0]);
}
