/*
 * A random study, and the same study told in another way that must not matter.
 *
 * random_study SEED WAY FOLDER, where WAY is
 *   base      one file, base.csv
 *   rows      rows in another order
 *   columns   columns in another order
 *   files     spread over three files; batches may lie in several
 *   units     inches, pounds, pounds of force
 *   names     every name with "N7-" in front
 *   loads     every load times 2.5
 *   bad       some masses cannot be read: bad.csv; good.csv holds the rest
 * Each file is FOLDER/WAY.csv, those of "files" are files-1.csv to files-3.csv.
 * Numbers are written with all their digits. The data are invented.
 */
#include <math.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define ROWS_MAX 600
#define LOAD_FACTOR 2.5
#define MM_PER_INCH 25.4
#define G_PER_LB 453.59237
#define N_PER_LBF 4.4482216152605

struct row {
    int aggregate, mix, batch, specimen, day;
    double fraction, length_mm, width_mm, height_mm, diameter_mm, mass_g, oven_dry_g, saturated_g, load_n;
    bool cylinder, bad;
};

enum column { SPECIMEN, MIX, BATCH, AGGREGATE, FRACTION, SHAPE, LENGTH, WIDTH, HEIGHT, DIAMETER, MASS, OVEN_DRY, SATURATED, LOAD,
              AGE, MOISTURE, CAST_ON, NOTE, N_COLUMNS };

static const char *const headings[2][N_COLUMNS] = {
    { "specimen", "mix", "batch", "aggregate", "aggregate_fraction", "shape", "length_mm", "width_mm", "height_mm", "diameter_mm",
      "mass_g", "mass_oven_dry_g", "mass_saturated_g", "break_load_kN", "age_days", "moisture", "cast_on", "note" },
    { "specimen", "mix", "batch", "aggregate", "aggregate_fraction_pct", "shape", "length_in", "width_in", "height_in", "diameter_in",
      "mass_lb", "mass_oven_dry_lb", "mass_saturated_lb", "break_load_lbf", "age_weeks", "moisture", "cast_on", "note" },
};

/* A way of telling the study. */
struct way { bool other_units, shuffle_columns; const char *prefix; double load_factor; };

/* splitmix64: the same numbers everywhere. */
static uint64_t next(uint64_t *state)
{
    uint64_t z = *state += 0x9E3779B97F4A7C15u;
    z = (z ^ z >> 30) * 0xBF58476D1CE4E5B9u;
    z = (z ^ z >> 27) * 0x94D049BB133111EBu;
    return z ^ z >> 31;
}

static double uniform(uint64_t *state)
{
    return (double)(next(state) >> 11) / 9007199254740992.0;
}

static int between(uint64_t *state, int low, int high)
{
    return low + (int)(next(state) % (uint64_t)(high - low + 1));
}

static double normal(uint64_t *state)
{
    double u = uniform(state), v = uniform(state);
    return sqrt(-2 * log(1 - u)) * cos(6.283185307179586 * v);
}

static void measure(struct row *row, double density_kg_m3, double strength_mpa, uint64_t *state)
{
    const double across_mm = 100 + 0.2 * normal(state), other_mm = 100 + 0.2 * normal(state);
    const double along_mm = row->cylinder ? 200 + 0.4 * normal(state) : 100 + 0.2 * normal(state);
    row->length_mm = along_mm;
    row->width_mm = row->cylinder ? NAN : across_mm;
    row->height_mm = row->cylinder ? NAN : other_mm;
    row->diameter_mm = row->cylinder ? across_mm : NAN;
    double area_mm2 = row->cylinder ? 0.7853981633974483 * across_mm * across_mm : along_mm * across_mm;
    double volume_mm3 = row->cylinder ? area_mm2 * along_mm : area_mm2 * other_mm;
    row->mass_g = volume_mm3 * density_kg_m3 * 1e-6;
    row->load_n = area_mm2 * strength_mpa;
    row->oven_dry_g = 0.95 * row->mass_g;
    row->saturated_g = (1.03 + 0.02 * uniform(state)) * row->mass_g;
}

static void cast_batch(struct row *rows, int *n, struct row like, double density, double strength, uint64_t *state)
{
    int n_specimens = between(state, 1, 4);
    density *= 1 + 0.01 * normal(state);
    strength *= exp(0.05 * normal(state));
    for (like.specimen = 0; like.specimen < n_specimens && *n < ROWS_MAX; like.specimen++) {
        rows[*n] = like;
        measure(&rows[*n], density * (1 + 0.004 * normal(state)), strength * exp(0.04 * normal(state)), state);
        ++*n;
    }
}

static int make_rows(struct row *rows, uint64_t *state)
{
    int n = 0, n_aggregates = between(state, 2, 4), day = 0;
    bool cylinder = between(state, 0, 3) == 0;
    for (int aggregate = 0; aggregate < n_aggregates; aggregate++) {
        int n_mixes = aggregate == 0 ? 1 : between(state, 3, 6);
        double loss = 700 + 600 * uniform(state), decay = 1 + 1.5 * uniform(state);
        for (int mix = 0; mix < n_mixes; mix++) {
            double fraction = aggregate == 0 ? 0 : floor(100 * (mix + 1 + 0.5 * uniform(state)) / (n_mixes + 2)) / 100;
            int n_batches = between(state, 2, 5);
            for (int batch = 0; batch < n_batches; batch++) {
                struct row like = { .aggregate = aggregate, .mix = mix, .batch = batch, .fraction = fraction, .day = day++, .cylinder = cylinder };
                cast_batch(rows, &n, like, 2300 - loss * fraction, 40 * exp(-decay * fraction), state);
            }
        }
    }
    return n;
}

static void put_size(FILE *file, double size)
{
    if (!isnan(size))
        fprintf(file, "%.17g", size);
}

static void put_cell(FILE *file, const struct row *row, enum column column, const struct way *way)
{
    double mm = way->other_units ? MM_PER_INCH : 1, g = way->other_units ? G_PER_LB : 1;
    double n = (way->other_units ? N_PER_LBF : 1000) / way->load_factor;
    const char *p = way->prefix;
    switch (column) {
    case SPECIMEN: fprintf(file, "%ss%d-%d-%d-%d", p, row->aggregate, row->mix, row->batch, row->specimen); break;
    case MIX: fprintf(file, "%sm%d-%d", p, row->aggregate, row->mix); break;
    case BATCH: fprintf(file, "%sb%d", p, row->batch); break;
    case AGGREGATE: fprintf(file, "%sa%d", p, row->aggregate); break;
    case FRACTION: fprintf(file, "%.17g", row->fraction * (way->other_units ? 100 : 1)); break;
    case SHAPE: fputs(row->cylinder ? "cylinder" : "cube", file); break;
    case LENGTH: put_size(file, row->length_mm / mm); break;
    case WIDTH: put_size(file, row->width_mm / mm); break;
    case HEIGHT: put_size(file, row->height_mm / mm); break;
    case DIAMETER: put_size(file, row->diameter_mm / mm); break;
    case MASS: fprintf(file, "%s%.17g", row->bad ? "BAD" : "", row->mass_g / g); break;
    case OVEN_DRY: if (row->specimen == 0) fprintf(file, "%.17g", row->oven_dry_g / g); break;
    case SATURATED: if (row->specimen == 0) fprintf(file, "%.17g", row->saturated_g / g); break;
    case LOAD: fprintf(file, "%.17g", row->load_n / n); break;
    case AGE: fputs(way->other_units ? "4" : "28", file); break;
    case MOISTURE: fputs("air-dry", file); break;
    case CAST_ON: fprintf(file, "2031-%02d-%02d", 1 + row->day / 28 % 12, 1 + row->day % 28); break;
    case NOTE: if (row->specimen == 1) fputs("\"a note, quoted\"", file); break;
    default: break;
    }
}

static void write_rows(const char *folder, const char *name, const struct row *rows, int n, const struct way *way, uint64_t *state)
{
    char path[4096];
    snprintf(path, sizeof path, "%s/%s.csv", folder, name);
    FILE *file = fopen(path, "wb");
    if (!file)
        exit(1);
    enum column order[N_COLUMNS];
    for (int i = 0; i < N_COLUMNS; i++) {
        int other = way->shuffle_columns ? between(state, 0, i) : i;
        order[i] = order[other];
        order[other] = (enum column)i;
    }
    for (int i = 0; i < N_COLUMNS; i++)
        fprintf(file, "%s%s", i ? "," : "", headings[way->other_units][order[i]]);
    for (int r = 0; r < n; r++)
        for (int i = 0; i < N_COLUMNS; i++) {
            fputs(i ? "," : "\n", file);
            put_cell(file, &rows[r], order[i], way);
        }
    fputs("\n", file);
    if (fclose(file) != 0)
        exit(1);
}

static void shuffle(struct row *rows, int n, uint64_t *state)
{
    for (int i = n - 1; i > 0; i--) {
        int other = between(state, 0, i);
        struct row kept = rows[i];
        rows[i] = rows[other];
        rows[other] = kept;
    }
}

static void write_bad(const char *folder, struct row *rows, int n, const struct way *way, uint64_t *state)
{
    struct row good[ROWS_MAX];
    int n_good = 0;
    for (int i = 0; i < n; i++) {
        rows[i].bad = between(state, 0, 9) == 0;
        if (!rows[i].bad)
            good[n_good++] = rows[i];
    }
    write_rows(folder, "bad", rows, n, way, state);
    write_rows(folder, "good", good, n_good, way, state);
}

int main(int argc, char **argv)
{
    if (argc != 4)
        return fputs("usage: random_study SEED WAY FOLDER\n", stderr), 2;
    static struct row rows[ROWS_MAX];
    uint64_t state = strtoull(argv[1], NULL, 10), other = ~state;
    int n = make_rows(rows, &state);
    const char *told = argv[2];
    struct way way = { .prefix = strcmp(told, "names") == 0 ? "N7-" : "", .load_factor = strcmp(told, "loads") == 0 ? LOAD_FACTOR : 1,
                       .other_units = strcmp(told, "units") == 0, .shuffle_columns = strcmp(told, "columns") == 0 };
    if (strcmp(told, "bad") == 0) {
        write_bad(argv[3], rows, n, &way, &other);
        return 0;
    }
    if (strcmp(told, "rows") == 0 || strcmp(told, "files") == 0)
        shuffle(rows, n, &other);
    if (strcmp(told, "files") != 0) {
        write_rows(argv[3], told, rows, n, &way, &other);
        return 0;
    }
    write_rows(argv[3], "files-1", rows, n / 5, &way, &other);
    write_rows(argv[3], "files-2", rows + n / 5, n / 2 - n / 5, &way, &other);
    write_rows(argv[3], "files-3", rows + n / 2, n - n / 2, &way, &other);
    return 0;
}
