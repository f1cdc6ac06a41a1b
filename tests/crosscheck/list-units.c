/* Prints every unit that can be typed: kind, symbol, factor to the base unit of its kind, base unit. */
#include "specimen/quantity.h"

#include <stdio.h>

int main(void)
{
    for (const struct unit_kind *kind = unit_kinds; kind->name; kind++)
        for (const struct unit *unit = kind->units; unit->symbol; unit++)
            printf("%s %s %.17g %s\n", kind->name, unit->symbol, unit->factor, kind->units[0].symbol);
    return 0;
}
