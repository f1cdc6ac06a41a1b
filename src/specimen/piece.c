#include "specimen/quantity.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* Bytes of a mark between lengths: 'x', '*' or the sign '×'; 0 for anything else. */
static size_t piece_mark(const char *at)
{
    if (*at == 'x' || *at == 'X' || *at == '*')
        return 1;
    return strncmp(at, "\xc3\x97", 2) == 0 ? 2 : 0;
}

/* Cuts one length off a piece text; *rest is after the mark, or NULL after the last. */
static bool cut_piece_part(const char **rest, char *part, size_t size)
{
    const char *at = *rest;
    size_t length = 0;
    while (at[length] != '\0' && piece_mark(at + length) == 0)
        length++;
    if (length >= size)
        return false;
    memcpy(part, at, length);
    part[length] = '\0';
    *rest = at[length] == '\0' ? NULL : at + length + piece_mark(at + length);
    return true;
}

/* The unit of the last length holds for those that have none: "400x400x40mm". */
static enum status parse_piece_part(const char *part, const char *last_unit, double *length_mm, struct problem *problem)
{
    char whole[128];
    const char *digits = part + strspn(part, " ");
    size_t used = quantity_number_length(digits);
    bool bare = digits[used + strspn(digits + used, " ")] == '\0';
    snprintf(whole, sizeof whole, "%s%s", part, bare ? last_unit : "");
    enum status status = quantity_parse(whole, units_length, "--piece", length_mm, problem);
    if (status == STATUS_OK && *length_mm <= 0)
        return problem_set(problem, STATUS_USAGE, NULL, "--piece: '%s' is no length: give more than zero", whole);
    return status;
}

struct piece piece_of_sizes(const double length_mm[3])
{
    return (struct piece){ { length_mm[0], length_mm[1], length_mm[2] }, length_mm[0] * length_mm[1] * length_mm[2] / MM3_PER_L };
}

/* False when the text is no volume: then nothing is told. */
static bool parse_piece_volume(const char *text, struct piece *piece)
{
    struct problem unheard;
    *piece = (struct piece)PIECE_NONE;
    return quantity_parse(text, units_volume, "--piece", &piece->volume_l, &unheard) == STATUS_OK && piece->volume_l > 0;
}

enum status quantity_parse_piece(const char *text, struct piece *piece, struct problem *problem)
{
    char part[3][40];
    double length_mm[3];
    const char *rest = text;
    size_t n = 0;
    if (parse_piece_volume(text, piece))
        return STATUS_OK;
    while (rest && n < 3 && cut_piece_part(&rest, part[n], sizeof part[n]))
        n++;
    if (n != 3 || rest)
        return problem_set(problem, STATUS_USAGE, NULL,
                           "--piece: '%s' is not three lengths, nor a volume: write it as 400x400x40mm or 6.4L", text);
    const char *last = part[2] + strspn(part[2], " ");
    const char *last_unit = last + quantity_number_length(last);
    if (*last_unit == '\0')
        return problem_set(problem, STATUS_USAGE, NULL, "--piece: '%s' has no unit: write it as 400x400x40mm", text);
    for (size_t i = 0; i < 3; i++) {
        enum status status = parse_piece_part(part[i], last_unit, &length_mm[i], problem);
        if (status != STATUS_OK)
            return status;
    }
    *piece = piece_of_sizes(length_mm);
    if (!(isfinite(piece->volume_l) && piece->volume_l > 0))
        return problem_set(problem, STATUS_USAGE, NULL, "--piece: '%s' is out of range", text);
    return STATUS_OK;
}
