#ifndef SPECIMEN_MIXES_H
#define SPECIMEN_MIXES_H

#include "ingest/columns.h"

/* A recipe. Parts are loose volumes; NaN = not given. */
struct mix {
    char *name, *aggregate;
    char *binder, *pigment_name;
    double binder_parts, light_parts, sand_parts, gravel_parts;
    double water_binder;      /* by mass */
    double fibre_kg_m3, pigment_pct; /* pigment in % of binder mass */
    double yield;             /* concrete volume / sum of loose dry volumes */
    size_t line;
};

struct mix_list {
    struct mix *items;
    size_t n_items;
    char *path;
};

/*
 * Light parts over all dry parts. Empty sand and gravel parts are none; NaN
 * when binder or light parts are missing or all are zero.
 */
double mix_aggregate_fraction(const struct mix *mix);
/* By name: exactly if it is there, else without regard to case, blanks, '_' and '-'; NULL when there is none. */
const struct mix *mix_list_find(const struct mix_list *list, const char *name);
/* The nearest name for "did you mean"; NULL without one or without memory. */
const char *mix_list_nearest(const struct mix_list *list, const char *name);
/*
 * Reads mixes.csv: one row a recipe, each name once. On failure the list is empty.
 * STATUS_INPUT  problems say where; STATUS_IO; STATUS_MEMORY
 */
enum status mix_list_read(const char *path, const struct column_map *maps, size_t n_maps,
                          struct mix_list *list, struct problem_list *problems);
void mix_list_release(struct mix_list *list);

/* An ingredient. */
struct material {
    char *name;
    double bulk_density_kg_m3, particle_density_kg_m3, absorption_pct;
    double moisture_pct;      /* water it holds as it lies in store, % of its dry mass */
    double price;             /* in the user's money */
    double price_per_kg;      /* derived when the price is by mass, by volume with bulk density, or by bag with bag size */
    double bag_kg, bag_l;
    char *price_per;          /* "kg", "L", "bag" */
    bool us_units;            /* told in US units: by the first density, else by the bag */
    size_t line;
};
struct material_list {
    struct material *items;
    size_t n_items;
    char *path;
};
/* Like mix_list_find. */
const struct material *material_list_find(const struct material_list *list, const char *name);
/* Reads materials.csv: one row an ingredient, each name once. Failures as mix_list_read. */
enum status material_list_read(const char *path, const struct column_map *maps, size_t n_maps,
                               struct material_list *list, struct problem_list *problems);
void material_list_release(struct material_list *list);

#endif
