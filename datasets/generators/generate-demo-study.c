/*
 * Writes the invented study of datasets/roof-terrace-pavers: mixes.csv,
 * materials.csv, specimens.csv and weighings.csv.
 *
 *   generate-demo-study FOLDER [SEED]
 *
 * How the numbers come about is told in datasets/roof-terrace-pavers/README.md.
 */
#include "demo-study.h"

enum { SEED = 20240304, FRACTIONS_MOST = 6, BATCHES_MOST = 5, CUBES = 3, AGED_BATCHES = 2, AGED_CUBES = 2, KEPT_MOST = 16 };

#define INVENTED "# invented data: made by datasets/generators/generate-demo-study.c, no concrete was ever cast for it\n"
#define DRY_PARTS 6.0          /* binder + light + sand + gravel, loose volumes */
#define CEMENT_KG_M3 1250.0    /* loose bulk densities */
#define SAND_KG_M3 1550.0
#define GRAVEL_KG_M3 1500.0
#define WATER_KEPT 0.28        /* bound or held air-dry, share of the cement's mass */
#define YIELD_WITHOUT_LIGHT 0.668
#define STRENGTH_WITHOUT_LIGHT_MPA 38.0

/* Scatter, coefficients of variation. */
#define BATCH_DENSITY_CV 0.012
#define BATCH_STRENGTH_CV 0.06
#define BATCH_CORRELATION 0.5  /* a denser batch is a stronger one */
#define CUBE_DENSITY_CV 0.007
#define CUBE_STRENGTH_CV 0.04
#define BEAM_CV 0.06

/* Strength with age, by the hyperbolic law; drying in the oven. */
#define HALF_STRENGTH_DAYS 4.5
#define WEIGHT_LOST_LATER 0.015  /* of a young cube, until it is air-dry */
#define OVEN_HOURS 17.0          /* time constant */

/* One aggregate: strength = 38 exp(-slope f - bend f^2) MPa, yield = 0.668 + spread f. */
struct family {
    const char *aggregate, *prefix;
    double bulk_kg_m3, slope, bend, spread;
    double water_binder, water_binder_rise; /* rise per unit of fraction */
    double absorption_pct, absorption_rise;
    double flexural_factor;                 /* flexural strength = factor * sqrt(compressive), MPa */
    double fractions[FRACTIONS_MOST];
    int n_fractions, n_beams;
};

static const struct family families[] = {
    { "gravel", "gravel", 0, 0, 0, 0, 0.50, 0, 4.6, 0, 0.62, { 0 }, 1, 3 },
    { "expanded clay", "clay", 520, 0, 3.45, 0.05, 0.50, 0.10, 6, 14, 0.51, { 0.15, 0.25, 0.35, 0.45, 0.60, 0.75 }, 6, 3 },
    { "pumice", "pumice", 560, 1.285, 1.918, 0.04, 0.52, 0.15, 6.5, 20, 0.50, { 0.15, 0.30, 0.45, 0.60, 0.75 }, 5, 2 },
    { "perlite", "perlite", 105, 4.70, -2.00, 0.15, 0.58, 0.50, 6, 42, 0.47, { 0.30, 0.40, 0.50, 0.60, 0.70 }, 5, 2 },
};
enum { N_FAMILIES = sizeof families / sizeof families[0] };

/* One mix with what it would be without scatter. */
struct recipe {
    const struct family *family;
    char name[32];
    double light, sand, gravel; /* parts to one part of cement */
    double water_binder, yield;
    double density_kg_m3, strength_mpa, absorption_pct;
    int n_batches;
};

/* Light aggregate takes the place of gravel first, then of sand. */
static struct recipe recipe_make(const struct family *family, double fraction)
{
    struct recipe recipe = { .family = family, .n_batches = 4 };
    if (family->bulk_kg_m3 > 0)
        snprintf(recipe.name, sizeof recipe.name, "%s-%.0f", family->prefix, fraction * 100);
    else
        snprintf(recipe.name, sizeof recipe.name, "%s", family->prefix);
    recipe.light = fraction * DRY_PARTS;
    recipe.gravel = fmax(0, 3 - recipe.light);
    recipe.sand = DRY_PARTS - 1 - recipe.light - recipe.gravel;
    recipe.water_binder = family->water_binder + family->water_binder_rise * fraction;
    recipe.yield = YIELD_WITHOUT_LIGHT + family->spread * fraction;
    double mass = CEMENT_KG_M3 * (1 + WATER_KEPT) + recipe.light * family->bulk_kg_m3 + recipe.sand * SAND_KG_M3
        + recipe.gravel * GRAVEL_KG_M3;
    recipe.density_kg_m3 = mass / (DRY_PARTS * recipe.yield);
    recipe.strength_mpa = STRENGTH_WITHOUT_LIGHT_MPA * exp(-family->slope * fraction - family->bend * fraction * fraction);
    recipe.absorption_pct = family->absorption_pct + family->absorption_rise * fraction;
    if (strcmp(recipe.name, "gravel") == 0 || strcmp(recipe.name, "clay-45") == 0 || strcmp(recipe.name, "clay-60") == 0)
        recipe.n_batches = 5;
    return recipe;
}

static void write_mixes(struct maker *maker)
{
    maker_open(maker, "mixes.csv");
    maker_write(maker, INVENTED "mix,aggregate,binder,binder_parts,light_parts,sand_parts,gravel_parts,water_binder,"
                "fibre_kg_m3,pigment_pct,yield\n");
    for (int i = 0; i < N_FAMILIES; i++)
        for (int j = 0; j < families[i].n_fractions; j++) {
            struct recipe recipe = recipe_make(&families[i], families[i].fractions[j]);
            maker_write(maker, "%s,%s,cement,1,%.4g,%.4g,%.4g,%.2f,%s,1.5,%.3f\n", recipe.name, families[i].aggregate,
                        recipe.light, recipe.sand, recipe.gravel, recipe.water_binder, recipe.light > 0 ? "0.9" : "0",
                        recipe.yield);
        }
    maker_close(maker, "mixes.csv");
}

static void write_materials(struct maker *maker)
{
    maker_open(maker, "materials.csv");
    maker_write(maker, INVENTED
                "material,bulk_density_kg_m3,particle_density_kg_m3,absorption_pct,price,price_per,bag_kg,bag_l\n"
                "cement,%.0f,3100,,4.60,bag,25,\n"
                "sand,%.0f,2640,1.0,0.035,kg,,\n"
                "gravel,%.0f,2650,0.8,0.032,kg,,\n"
                "expanded clay,%.0f,920,14,9.80,bag,,50\n"
                "pumice,%.0f,1050,22,8.40,bag,,50\n"
                "perlite,%.0f,240,150,15.50,bag,,100\n"
                "fibre,,910,,11.00,kg,,\n"
                "pigment,,4900,,3.20,kg,,\n",
                CEMENT_KG_M3, SAND_KG_M3, GRAVEL_KG_M3, families[1].bulk_kg_m3, families[2].bulk_kg_m3,
                families[3].bulk_kg_m3);
    maker_close(maker, "materials.csv");
}

/* A batch and its luck. */
struct batch {
    const struct recipe *recipe;
    int number, day;
    char name[48], cast_on[32], tested_on[32];
    double density_kg_m3, strength_mpa;
    double soaked_g[2]; /* its soaked cube: wet, oven-dry */
};

/* ISO date of a day counted from 4 March 2024, within the year. */
static void write_date(int day, char out[32])
{
    static const int month_days[] = { 31, 29, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31 };
    int month = 2, date = 4 + day;
    for (; date > month_days[month]; month++)
        date -= month_days[month];
    snprintf(out, 32, "2024-%02d-%02d", month + 1, date);
}

/* Three batches a day from Monday to Wednesday, so that 28 days later is a working day too. */
static struct batch batch_make(struct maker *maker, const struct recipe *recipe, int number, int turn)
{
    struct batch batch = { .recipe = recipe, .number = number, .day = turn / 3 / 3 * 7 + turn / 3 % 3 };
    double luck = maker_scatter(maker, 1), other = maker_scatter(maker, 1);
    double strength_luck = BATCH_CORRELATION * luck + sqrt(1 - BATCH_CORRELATION * BATCH_CORRELATION) * other;
    snprintf(batch.name, sizeof batch.name, "%s-%d", recipe->name, number);
    write_date(batch.day, batch.cast_on);
    write_date(batch.day + 28, batch.tested_on);
    batch.density_kg_m3 = recipe->density_kg_m3 * (1 + BATCH_DENSITY_CV * luck);
    batch.strength_mpa = recipe->strength_mpa * exp(BATCH_STRENGTH_CV * strength_luck);
    return batch;
}

/* A size as the rule shows it: to 0.1 mm. */
static double measured_mm(struct maker *maker, double nominal_mm)
{
    return round((nominal_mm + maker_scatter(maker, 0.3)) * 10) / 10;
}

/* In rounds one and two the dates give the age, later the age is written down. */
static void write_age(struct maker *maker, const struct batch *batch)
{
    if (batch->number <= 2)
        maker_write(maker, ",%s,%s", batch->cast_on, batch->tested_on);
    else
        maker_write(maker, "28,%s,", batch->cast_on);
}

/* The faults of the study, by specimen. */
struct fault {
    const char *specimen;
    double strength_factor;       /* 1: none */
    int no_mass, no_load;
    const char *note;
};
static const struct fault faults[] = {
    { "gravel-3-b", 1, 1, 0, "not weighed" },
    { "clay-25-4-c", 1, 0, 1, "dropped before the test" },
    { "pumice-30-2-b", 0.66, 0, 0, "one corner honeycombed" },
};
static const struct fault *fault_of(const char *specimen)
{
    static const struct fault none = { "", 1, 0, 0, "" };
    for (size_t i = 0; i < sizeof faults / sizeof faults[0]; i++)
        if (strcmp(faults[i].specimen, specimen) == 0)
            return &faults[i];
    return &none;
}

static void write_cube(struct maker *maker, const struct batch *batch, int letter)
{
    char name[64];
    snprintf(name, sizeof name, "%s-%c", batch->name, 'a' + letter);
    const struct fault *fault = fault_of(name);
    double length = measured_mm(maker, 100), width = measured_mm(maker, 100), height = measured_mm(maker, 100);
    double density = batch->density_kg_m3 * (1 + maker_scatter(maker, CUBE_DENSITY_CV));
    double strength = batch->strength_mpa * exp(maker_scatter(maker, CUBE_STRENGTH_CV)) * fault->strength_factor;
    double mass_g = density * length * width * height / 1e6, load_kn = strength * length * width / 1e3;
    maker_write(maker, "%s,%s,%s,%s,cube,,%.1f,%.1f,%.1f,,", name, batch->recipe->name, batch->name,
                batch->recipe->family->aggregate, length, width, height);
    if (!fault->no_load)
        maker_write(maker, "%.1f", load_kn);
    maker_write(maker, ",,");
    if (!fault->no_mass)
        maker_write(maker, "%.0f", mass_g);
    maker_write(maker, ",,,air-dry,");
    write_age(maker, batch);
    maker_write(maker, ",%s\n", fault->note);
}

/* One beam of the study breaks just outside the middle third. */
static void write_beam(struct maker *maker, const struct batch *batch)
{
    const char *outside = strcmp(batch->name, "clay-35-2") == 0 ? "broke outside the middle third" : "";
    double span = 300, width = measured_mm(maker, 100), height = measured_mm(maker, 100);
    double density = batch->density_kg_m3 * (1 + maker_scatter(maker, CUBE_DENSITY_CV));
    double strength = batch->recipe->family->flexural_factor * sqrt(batch->strength_mpa)
        * exp(maker_scatter(maker, BEAM_CV));
    double fracture = round(102 + 46 * gsl_rng_uniform(maker->random));
    double load_n = strength * width * height * height / span;
    if (*outside) {
        fracture = 91;
        load_n = strength * width * height * height / (3 * fracture);
    }
    maker_write(maker, "%s-beam,%s,%s,%s,beam,third-point,400,%.1f,%.1f,300,%.2f,%.0f,%.0f,,,air-dry,", batch->name,
                batch->recipe->name, batch->name, batch->recipe->family->aggregate, width, height, load_n / 1e3,
                fracture, density * 400 * width * height / 1e6);
    write_age(maker, batch);
    maker_write(maker, ",%s\n", outside);
}

/* A cube that is soaked and dried instead of broken. */
static void write_soaked_cube(struct maker *maker, struct batch *batch)
{
    double length = measured_mm(maker, 100), width = measured_mm(maker, 100), height = measured_mm(maker, 100);
    double density = batch->density_kg_m3 * (1 + maker_scatter(maker, CUBE_DENSITY_CV));
    double absorption_pct = batch->recipe->absorption_pct * (1 + maker_scatter(maker, 0.05));
    double mass_g = density * length * width * height / 1e6;
    double dry_g = mass_g / (1 + 0.006 * batch->recipe->absorption_pct * 0.4);
    maker_write(maker, "%s-soaked,%s,%s,%s,cube,,%.1f,%.1f,%.1f,,,,%.0f,%.0f,%.0f,air-dry,", batch->name,
                batch->recipe->name, batch->name, batch->recipe->family->aggregate, length, width, height, mass_g,
                dry_g * (1 + absorption_pct / 100), dry_g);
    write_age(maker, batch);
    maker_write(maker, ",soaked and dried\n");
    batch->soaked_g[0] = dry_g * (1 + absorption_pct / 100);
    batch->soaked_g[1] = dry_g;
}

/* What is tested at other ages and weighed while it dries comes after everything else. */
struct kept {
    struct recipe recipes[KEPT_MOST];
    struct batch batches[KEPT_MOST];
    int n;
};

static int is_followed(const struct recipe *recipe)
{
    static const char *const names[] = { "gravel", "clay-45", "pumice-45", "perlite-40" };
    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++)
        if (strcmp(names[i], recipe->name) == 0)
            return 1;
    return 0;
}

static void keep(struct kept *kept, const struct batch *batch)
{
    if (batch->number > AGED_BATCHES || !is_followed(batch->recipe))
        return;
    kept->recipes[kept->n] = *batch->recipe;
    kept->batches[kept->n] = *batch;
    kept->batches[kept->n].recipe = &kept->recipes[kept->n];
    kept->n++;
}

/* Cubes of a batch at another age than 28 days: weaker and wetter when young. */
static void write_aged_cubes(struct maker *maker, const struct batch *batch, int age)
{
    double share = age / (HALF_STRENGTH_DAYS + age) / (28 / (HALF_STRENGTH_DAYS + 28));
    double wetter = age < 28 ? 1 + WEIGHT_LOST_LATER : 1;
    char tested_on[32];
    write_date(batch->day + age, tested_on);
    for (int letter = 0; letter < AGED_CUBES; letter++) {
        double length = measured_mm(maker, 100), width = measured_mm(maker, 100), height = measured_mm(maker, 100);
        double density = batch->density_kg_m3 * wetter * (1 + maker_scatter(maker, CUBE_DENSITY_CV));
        double strength = share * batch->strength_mpa * exp(maker_scatter(maker, CUBE_STRENGTH_CV));
        maker_write(maker, "%s-%dd-%c,%s,%s,%s,cube,,%.1f,%.1f,%.1f,,%.1f,,%.0f,,,air-dry,,%s,%s,\n", batch->name, age, 'a' + letter,
                    batch->recipe->name, batch->name, batch->recipe->family->aggregate, length, width, height,
                    strength * length * width / 1e3, density * length * width * height / 1e6, batch->cast_on, tested_on);
    }
}

/* The first soaked cube of each followed mix on its way through the oven, from wet to dry. */
static void write_weighings(struct maker *maker, const struct kept *kept)
{
    static const int hours[] = { 0, 4, 8, 24, 48, 72, 96 };
    maker_open(maker, "weighings.csv");
    maker_write(maker, INVENTED "specimen,hours,mass_g,dried_in,note\n");
    for (int i = 0; i < kept->n; i++) {
        const struct batch *batch = &kept->batches[i];
        double wet_g = batch->soaked_g[0], dry_g = batch->soaked_g[1];
        for (size_t k = 0; batch->number == 1 && k < sizeof hours / sizeof hours[0]; k++) {
            double mass_g = dry_g + (wet_g - dry_g) * exp(-hours[k] / OVEN_HOURS) + maker_scatter(maker, 0.4);
            maker_write(maker, "%s-soaked,%d,%.0f,oven,%s\n", batch->name, hours[k], mass_g, k ? "" : "surface dry");
        }
    }
    maker_close(maker, "weighings.csv");
}

static void write_batch(struct maker *maker, const struct recipe *recipe, int number, int turn, struct kept *kept)
{
    struct batch batch = batch_make(maker, recipe, number, turn);
    for (int letter = 0; letter < CUBES; letter++)
        write_cube(maker, &batch, letter);
    if (number <= recipe->family->n_beams)
        write_beam(maker, &batch);
    if (number <= 2)
        write_soaked_cube(maker, &batch);
    keep(kept, &batch);
}

/* Batches are cast in rounds over all mixes, so that a drift in time does not look like an effect of the mix. */
static void write_specimens(struct maker *maker, struct kept *kept)
{
    static const int ages[] = { 7, 56 };
    int turn = 0;
    maker_open(maker, "specimens.csv");
    maker_write(maker, INVENTED "specimen,mix,batch,aggregate,shape,loading,length_mm,width_mm,height_mm,span_mm,"
                "break_load_kN,fracture_from_support_mm,mass_g,mass_saturated_g,mass_oven_dry_g,moisture,age_days,"
                "cast_on,tested_on,note\n");
    for (int number = 1; number <= BATCHES_MOST; number++)
        for (int i = 0; i < N_FAMILIES; i++)
            for (int j = 0; j < families[i].n_fractions; j++) {
                struct recipe recipe = recipe_make(&families[i], families[i].fractions[j]);
                if (number <= recipe.n_batches)
                    write_batch(maker, &recipe, number, turn++, kept);
            }
    for (size_t k = 0; k < sizeof ages / sizeof ages[0]; k++)
        for (int i = 0; i < kept->n; i++)
            write_aged_cubes(maker, &kept->batches[i], ages[k]);
    maker_close(maker, "specimens.csv");
}

int main(int argc, char **argv)
{
    struct maker maker;
    struct kept kept = { .n = 0 };
    int wrong = maker_arguments(argc, argv, &maker, SEED);
    if (wrong)
        return wrong;
    write_mixes(&maker);
    write_materials(&maker);
    write_specimens(&maker, &kept);
    write_weighings(&maker, &kept);
    gsl_rng_free(maker.random);
    return 0;
}
