/*
 * Writes the invented school notebook of datasets/kitchen-scale-notebook:
 * specimens.csv in inches, pounds and pounds-force.
 *
 *   generate-notebook FOLDER [SEED]
 *
 * How the numbers come about is told in datasets/kitchen-scale-notebook/README.md.
 */
#include "demo-study.h"

enum { SEED = 1957, BATCHES = 3, CUBES = 3, N_MIXES = 6 };

#define BATCH_DENSITY_CV 0.02
#define BATCH_STRENGTH_CV 0.08
#define CUBE_DENSITY_CV 0.012
#define CUBE_STRENGTH_CV 0.06
#define IN3_PER_FT3 1728.0
#define PI 3.14159265358979323846

/* A mix of 1 cup of cement, the rest sand and perlite, 4 cups in all. */
struct mix {
    const char *name, *aggregate;
    double perlite_pct;         /* of all dry cups */
    double density_lb_ft3, strength_psi;
};

static const struct mix mixes[N_MIXES] = {
    { "plain", "sand", 0, 132, 4300 },
    { "one cup", "perlite", 25, 99, 1900 },
    { "a cup and a half", "perlite", 37.5, 83, 1250 },
    { "two cups", "perlite", 50, 68, 820 },
    { "two and a half cups", "perlite", 62.5, 53, 530 },
    { "three cups", "perlite", 75, 39, 330 },
};

struct batch {
    const struct mix *mix;
    char name[64];
    double density_lb_in3, strength_psi;
};

static struct batch batch_make(struct maker *maker, int number, int m)
{
    struct batch batch = { .mix = &mixes[m] };
    snprintf(batch.name, sizeof batch.name, "%c%d", 'A' + m, number);
    double density_luck = maker_scatter(maker, BATCH_DENSITY_CV);
    batch.density_lb_in3 = mixes[m].density_lb_ft3 * (1 + density_luck) / IN3_PER_FT3;
    batch.strength_psi = mixes[m].strength_psi * exp(maker_scatter(maker, BATCH_STRENGTH_CV) + density_luck);
    return batch;
}

/* To 0.01 in, as a school's calliper shows. */
static double measured_in(struct maker *maker, double nominal_in)
{
    return round((nominal_in + maker_scatter(maker, 0.012)) * 100) / 100;
}

static void write_start(struct maker *maker, const struct batch *batch, const char *which, const char *shape)
{
    maker_write(maker, "%s%s,%s,%s,%s,%g,%s,", batch->name, which, batch->mix->name, batch->name, batch->mix->aggregate,
                batch->mix->perlite_pct, shape);
}

/* The kitchen scale shows 0.002 lb, the press 10 lbf. */
static void write_end(struct maker *maker, double mass_lb, double load_lbf, const char *note)
{
    maker_write(maker, "%.3f,%.0f,air-dry,28,%s\n", round(mass_lb * 500) / 500, round(load_lbf / 10) * 10, note);
}

static void write_cube(struct maker *maker, const struct batch *batch, int letter)
{
    char which[] = { (char)('a' + letter), '\0' };
    double length = measured_in(maker, 2), width = measured_in(maker, 2), height = measured_in(maker, 2);
    double density = batch->density_lb_in3 * (1 + maker_scatter(maker, CUBE_DENSITY_CV));
    double strength = batch->strength_psi * exp(maker_scatter(maker, CUBE_STRENGTH_CV));
    write_start(maker, batch, which, "cube");
    maker_write(maker, "axial,%.2f,%.2f,%.2f,,", length, width, height);
    write_end(maker, density * length * width * height, strength * length * width, "");
}

/* One cylinder a batch lies on its side and is split. */
static void write_cylinder(struct maker *maker, const struct batch *batch)
{
    double diameter = measured_in(maker, 3), length = measured_in(maker, 6);
    double density = batch->density_lb_in3 * (1 + maker_scatter(maker, CUBE_DENSITY_CV));
    double strength = 5.2 * sqrt(batch->strength_psi) * exp(maker_scatter(maker, CUBE_STRENGTH_CV));
    int crooked = strcmp(batch->name, "D2") == 0;
    write_start(maker, batch, "-split", "cylinder");
    maker_write(maker, "splitting,%.2f,,,%.2f,", length, diameter);
    write_end(maker, density * PI / 4 * diameter * diameter * length, strength * PI * length * diameter / 2,
              crooked ? "\"a little crooked, tested all the same\"" : "");
}

static void write_specimens(struct maker *maker)
{
    maker_open(maker, "specimens.csv");
    maker_write(maker, "# invented data: made by datasets/generators/generate-notebook.c, no concrete was ever cast for it\n"
                "specimen,mix,batch,aggregate,aggregate fraction [%%],shape,loading,length (in),width (in),height (in),"
                "diameter (in),mass (lb),break load (lbf),moisture,age (days),note\n");
    for (int number = 1; number <= BATCHES; number++)
        for (int m = 0; m < N_MIXES; m++) {
            struct batch batch = batch_make(maker, number, m);
            for (int letter = 0; letter < CUBES; letter++)
                write_cube(maker, &batch, letter);
            write_cylinder(maker, &batch);
        }
    maker_close(maker, "specimens.csv");
}

int main(int argc, char **argv)
{
    struct maker maker;
    int wrong = maker_arguments(argc, argv, &maker, SEED);
    if (wrong)
        return wrong;
    write_specimens(&maker);
    gsl_rng_free(maker.random);
    return 0;
}
