/*
 * Writes an invented study of any size for `make bench`: specimens.csv with
 * twelve columns, in batches of three cubes, of a gravel reference and three
 * light aggregates at six fractions each.
 *
 *   generate-large-study FOLDER SPECIMENS [SEED]
 */
#include "demo-study.h"

enum { SEED = 4711, CUBES = 3, FRACTIONS = 6, AGGREGATES = 3 };

/* ln strength = ln 40 MPa - slope x fraction, density = 2300 kg/m3 - fall x fraction, and the luck of a batch. */
static const struct aggregate { const char *name; double slope, fall; } aggregates[AGGREGATES] = {
    { "clay", 1.9, 1500 }, { "pumice", 2.6, 1650 }, { "perlite", 3.8, 2050 },
};
static const double fractions[FRACTIONS] = { 0.15, 0.25, 0.35, 0.45, 0.55, 0.65 };
static const char *const months[] = { "2024-02", "2024-03", "2024-04", "2024-05" };

static void write_batch(struct maker *maker, long batch, long n)
{
    long mix = batch % (1 + AGGREGATES * FRACTIONS);
    const struct aggregate *aggregate = mix == 0 ? NULL : &aggregates[(mix - 1) % AGGREGATES];
    double fraction = aggregate ? fractions[(mix - 1) / AGGREGATES] : 0;
    double density = (2300 - (aggregate ? aggregate->fall * fraction : 0)) * (1 + maker_scatter(maker, 0.012));
    double strength = 40 * exp(-(aggregate ? aggregate->slope * fraction : 0) + maker_scatter(maker, 0.06));
    char name[32];
    if (aggregate)
        snprintf(name, sizeof name, "%s-%02.0f", aggregate->name, 100 * fraction);
    else
        snprintf(name, sizeof name, "gravel-00");
    for (long i = 0; i < n; i++) {
        double length = 100 + maker_scatter(maker, 0.3), grams = density * (1 + maker_scatter(maker, 0.007)) * pow(length / 1000, 3) * 1000;
        double kilonewtons = strength * exp(maker_scatter(maker, 0.04)) * length * length / 1000;
        maker_write(maker, "%ld,%s,%ld,%s,%.2f,cube,%.1f,%.0f,%.1f,28,air-dry,%s-%02ld\n", batch * CUBES + i + 1, name, batch + 1,
                    aggregate ? aggregate->name : "gravel", fraction, length, grams, kilonewtons,
                    months[batch / 28 % 4], batch % 28 + 1);
    }
}

int main(int argc, char **argv)
{
    struct maker maker = { 0 };
    long specimens = argc > 2 ? atol(argv[2]) : 0;
    if (argc < 3 || argc > 4 || specimens < 1) {
        fprintf(stderr, "usage: %s FOLDER SPECIMENS [SEED]\n", argv[0]);
        return 2;
    }
    maker_start(&maker, argv[1], argc > 3 ? strtoul(argv[3], NULL, 10) : SEED);
    maker_open(&maker, "specimens.csv");
    maker_write(&maker, "specimen,mix,batch,aggregate,aggregate_fraction,shape,length_mm,mass_g,break_load_kN,age_days,moisture,cast_on\n");
    for (long batch = 0; batch * CUBES < specimens; batch++)
        write_batch(&maker, batch, specimens - batch * CUBES < CUBES ? specimens - batch * CUBES : CUBES);
    maker_close(&maker, "specimens.csv");
    gsl_rng_free(maker.random);
    return 0;
}
