/* Prints every unit that can be typed: kind, symbol, factor to the base unit of its kind, base unit. */
#include "specimen/quantity.h"

#include <stdio.h>

int main(void)
{
    static const struct { const char *kind; const struct unit *units; } tables[] = {
        { "length", units_length }, { "force", units_force }, { "mass", units_mass }, { "density", units_density },
        { "stress", units_stress }, { "percent", units_percent }, { "fraction", units_fraction }, { "age", units_age },
        { "volume", units_volume }, { "dose", units_dose },
    };
    for (size_t i = 0; i < sizeof tables / sizeof tables[0]; i++)
        for (const struct unit *unit = tables[i].units; unit->symbol; unit++)
            printf("%s %s %.17g %s\n", tables[i].kind, unit->symbol, unit->factor, tables[i].units[0].symbol);
    return 0;
}
