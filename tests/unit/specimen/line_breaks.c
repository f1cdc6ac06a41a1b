/* Line breaks belong into notes alone; anywhere else a quote has swallowed rows, and the message says where it opened. */
#include "set_reading.h"
#include "specimen/fresh_list.h"
#include "specimen/mixes.h"
#include "specimen/weighings.h"
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

static void read_mixes(const char *path, struct problem_list *problems)
{
    struct mix_list list;
    mix_list_read(path, NULL, 0, &list, problems);
    mix_list_release(&list);
}

static void read_materials(const char *path, struct problem_list *problems)
{
    struct material_list list;
    material_list_read(path, NULL, 0, &list, problems);
    material_list_release(&list);
}

static void read_weighings(const char *path, struct problem_list *problems)
{
    struct weighing_list list;
    weighing_list_read(path, &list, problems);
    weighing_list_release(&list);
}

static void read_fresh(const char *path, struct problem_list *problems)
{
    struct fresh_list list;
    fresh_list_read(path, &list, problems);
    fresh_list_release(&list);
}

static size_t breaks_told(const struct problem_list *problems, const char *column)
{
    size_t n = 0;
    for (size_t i = 0; i < problems->n_items; i++)
        n += strcmp(problems->items[i].column, column) == 0 && strstr(problems->items[i].text, "a line break stands") != NULL;
    return n;
}

/* The files beside the specimens: a row with a line break in every cell is told of each but the note. */
static void refused_in_other_files(void)
{
    static const struct { void (*read)(const char *path, struct problem_list *problems); const char *columns; } files[] = {
        { read_mixes, "mix,aggregate,binder,binder_parts,light_parts,sand_parts,gravel_parts,water_binder,fibre_kg/m3,pigment_%,"
                      "pigment_name,yield" },
        { read_materials, "material,bulk_density_kg_m3,particle_density_kg_m3,absorption_pct,moisture_pct,price,price_per,bag_kg,bag_L" },
        { read_weighings, "specimen,weighed_on,mass_g,dried_in" },
        { read_weighings, "specimen,hours,mass_g" },
        { read_weighings, "specimen,days,mass_g" },
        { read_fresh, "batch,mix,mass_measure_full_kg,mass_measure_empty_kg,measure_volume_L,batch_mass_kg,design_volume_m3,"
                      "air_free_volume_m3,cement_mass_kg,fine_dry_mass_kg,coarse_dry_mass_kg,fresh_density_kg_m3,air_pct" },
    };
    for (size_t i = 0; i < sizeof files / sizeof *files; i++) {
        struct problem_list problems = { 0 };
        char text[600], columns[300];
        size_t length = (size_t)snprintf(text, sizeof text, "%s,note\n", files[i].columns);
        snprintf(columns, sizeof columns, "%s", files[i].columns);
        for (const char *at = columns; at; at = strchr(at + 1, ','))
            length += (size_t)snprintf(text + length, sizeof text - length, "\"3\n4\",");
        snprintf(text + length, sizeof text - length, "\"fine\nhere\"\n");
        files[i].read(temporary_text("in.csv", text), &problems);
        for (char *rest = columns, *column; (column = strtok_r(rest, ",", &rest)) != NULL;)
            if (breaks_told(&problems, column) != 1)
                CU_FAIL(column);
        CU_ASSERT_EQUAL(breaks_told(&problems, "note"), 0);
        problem_list_release(&problems);
    }
}

int main(void)
{
    static const struct check_case cases[] = {
        { "refused but in notes", refused_but_in_notes }, { "refused in other files but in notes", refused_in_other_files },
    };
    if (!temporary_start())
        return 2;
    int result = check_run("line breaks", cases, sizeof cases / sizeof cases[0]);
    temporary_end();
    return result;
}
