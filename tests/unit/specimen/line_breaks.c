/* Line breaks belong into notes alone; anywhere else a quote has swallowed rows, and the message says where it opened. */
#include "set_reading.h"
#include "support/check.h"

static void refused_but_in_notes(void)
{
    static const char *const columns[] = {
        "mix", "batch", "aggregate", "aggregate_fraction", "shape", "length_mm", "width_mm", "height_mm", "diameter_mm", "span_mm",
        "loading", "break_load_kN", "fracture_from_support_mm", "mass_g", "mass_submerged_g", "mass_saturated_g", "mass_oven_dry_g",
        "mass_boiled_g", "sinker_submerged_g", "moisture", "age_days", "density_kg_m3", "compressive_strength_mpa",
        "flexural_strength_mpa", "splitting_strength_mpa", "absorption_pct", "voids_pct", "cast_on", "tested_on", "result",
    };
    for (size_t i = 0; i < sizeof columns / sizeof *columns; i++) {
        char text[200];
        const char *other = strcmp(columns[i], "density_kg_m3") == 0 ? "absorption_pct" : "density_kg_m3";
        snprintf(text, sizeof text, "specimen,%s,%s,note\na,\"3\n4\",15,\"fine\nhere\"\n", columns[i], other);
        struct reading reading = read_text(text);
        CU_ASSERT_EQUAL(reading.status, STATUS_INPUT);
        CU_ASSERT_FATAL(reading.problems.n_items > 0);
        check_text(reading.problems.items[0].column, columns[i]);
        CU_ASSERT_PTR_NOT_NULL(strstr(reading.problems.items[0].text, "a line break stands in the quoted cell that opens here"));
        CU_ASSERT_EQUAL(reading.problems.items[0].line, 2);
        end(&reading);
    }
}

int main(void)
{
    static const struct check_case cases[] = { { "refused but in notes", refused_but_in_notes } };
    if (!temporary_start())
        return 2;
    int result = check_run("line breaks", cases, sizeof cases / sizeof cases[0]);
    temporary_end();
    return result;
}
