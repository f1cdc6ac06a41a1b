/* Any bytes as a number, as a quantity of every kind, as a piece, a unit and a column map. */
#include "fuzz.h"

#include "base/number.h"
#include "ingest/columns.h"
#include "specimen/quantity.h"

#include <math.h>
#include <string.h>

enum { SHOWN = 400 }; /* the longest double, written plainly */

/* What is taken for a number must be the number that the C library reads there. */
static void parse(const char *bytes, size_t length, char mark)
{
    double value = NAN;
    if (number_parse(bytes, length, mark, &value) != NULL)
        return;
    char *plain = fuzz_text(bytes, length), *end, *comma = strchr(plain, ',');
    if (comma && mark == ',')
        *comma = '.';
    PROMISE(isfinite(value) && strtod(plain, &end) == value && *end == '\0');
    free(plain);
}

/* What is shown must be read again as the same value, to the digits shown. */
static void show(double value, int digits)
{
    char shown[SHOWN];
    double again, rounded = number_round(value, 0.05, false);
    number_show_significant(value, digits, shown, sizeof shown);
    if (value != 0 && !(fabs(value) > 1e-300 && fabs(value) < 1e300)) /* nearer to the ends no number is read */
        return;
    PROMISE(number_parse(shown, strlen(shown), '.', &again) == NULL);
    PROMISE(fabs(again - value) <= 0.51 * pow(10, 1 - digits) * fabs(value));
    if (fabs(value) < 1e12) /* above, doubles hardly tell twentieths apart */
        PROMISE(fabs(rounded - value) <= 0.0251 + 1e-9 * fabs(value) && number_round(rounded, 0.05, false) == rounded);
    number_show(value, 0.05, "-", shown, sizeof shown);
}

/* As a quantity of one kind, which the length of the input settles: all kinds at once would be ten times slower. */
static void read_quantity(const char *text, size_t size)
{
    struct problem problem;
    double value;
    size_t n_kinds = 0;
    while (unit_kinds[n_kinds].name)
        n_kinds++;
    const struct unit *units = unit_kinds[size % n_kinds].units;
    unit_match(units, text, strlen(text));
    if (quantity_parse(text, units, "amount", &value, &problem) == STATUS_OK)
        PROMISE(isfinite(value) && value >= 0);
    else
        PROMISE(problem.text[0]);
}

static void read_piece(const char *text)
{
    struct problem problem;
    struct piece piece;
    if (quantity_parse_piece(text, &piece, &problem) != STATUS_OK)
        return;
    bool block = !isnan(piece.length_mm[0]);
    PROMISE(piece.volume_l > 0 && isfinite(piece.volume_l));
    for (int i = 0; i < 3; i++)
        PROMISE(block ? piece.length_mm[i] > 0 && isfinite(piece.length_mm[i]) : isnan(piece.length_mm[i]));
}

static void read_map(const char *text)
{
    struct column_map map;
    struct problem problem;
    char sentence[1024];
    if (column_map_parse(text, &map, &problem) == STATUS_OK) {
        PROMISE(map.name[0] && map.heading[0]);
        column_map_release(&map);
        return;
    }
    problem_sentence(&problem, sentence, sizeof sentence);
    PROMISE(sentence[0]);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    double value = 0;
    char *bytes = malloc(size ? size : 1); /* not NUL-terminated: number_parse is told the length */
    PROMISE(bytes);
    memcpy(bytes, data, size);
    parse(bytes, size, '.');
    parse(bytes, size, ',');
    free(bytes);
    if (size >= sizeof value) {
        memcpy(&value, data, sizeof value);
        show(value, 1 + data[0] % 15);
    }
    char *text = fuzz_text(data, size);
    read_quantity(text, size);
    switch (size % 3) {
    case 0: read_piece(text); break;
    case 1: read_map(text); break;
    default: break;
    }
    free(text);
    return 0;
}
