#include "base/memory.h"
#include "ingest/columns.h"

#include <string.h>

static char *trimmed_copy(const char *start, const char *end)
{
    while (start < end && (start[0] == ' ' || start[0] == '\t'))
        start++;
    while (end > start && (end[-1] == ' ' || end[-1] == '\t'))
        end--;
    return memory_text(start, (size_t)(end - start));
}

enum status column_map_parse(const char *text, struct column_map *map, struct problem *problem)
{
    *map = (struct column_map){ 0 };
    const char *equals = strchr(text, '='), *bracket = strchr(text, '[');
    if (!equals || equals == text || equals[1] == '\0')
        return problem_set(problem, STATUS_USAGE, NULL,
                           "'%.100s' is no column map: write it as in break_load=\"Load at failure (kN)\"", text);
    const char *name_end = equals;
    bool has_unit = bracket && bracket < equals;
    if (has_unit) {
        const char *close = memchr(bracket, ']', (size_t)(equals - bracket));
        if (!close || close == bracket + 1)
            return problem_set(problem, STATUS_USAGE, NULL, "'%.100s': the unit needs both brackets, as in break_load[kN]=F", text);
        map->unit = trimmed_copy(bracket + 1, close);
        name_end = bracket;
    }
    map->name = trimmed_copy(text, name_end);
    map->heading = trimmed_copy(equals + 1, text + strlen(text));
    if (!map->name || !map->heading || (has_unit && !map->unit)) {
        column_map_release(map);
        return problem_set(problem, STATUS_MEMORY, NULL, "no memory left for a column map");
    }
    if (map->name[0] && map->heading[0])
        return STATUS_OK;
    column_map_release(map);
    return problem_set(problem, STATUS_USAGE, NULL,
                       "'%.100s' is no column map: write it as in break_load=\"Load at failure (kN)\"", text);
}

/* A map owns its texts; that they read as const elsewhere is for its users. */
static void free_text(const char *text)
{
    union { const char *kept; void *block; } both = { .kept = text };
    memory_free(both.block);
}

void column_map_release(struct column_map *map)
{
    free_text(map->name);
    free_text(map->heading);
    free_text(map->unit);
    *map = (struct column_map){ 0 };
}
