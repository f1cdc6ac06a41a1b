/*
 * Whole studies, made from the input's bytes: mixes of up to four aggregates
 * with batches and specimens, recipes, prices and a study file, sound for the
 * most part, with odd cells strewn in. A command answers each; mostly `report`,
 * which finds no gnuplot and so writes its scripts without drawing.
 */
#define _GNU_SOURCE
#include "fuzz.h"

#include "base/file.h"
#include "commands/command.h"

#include <math.h>
#include <string.h>
#include <unistd.h>

/* The input as a row of decisions; zeros when it has run out. */
struct source {
    const uint8_t *at;
    size_t left;
};

static unsigned pick(struct source *source, unsigned n)
{
    if (source->left == 0)
        return 0;
    source->left--;
    return *source->at++ % n;
}

#define PICK_WORD(source, words) ((words)[pick((source), sizeof(words) / sizeof((words)[0]))])

/* One time in 64 another text takes the cell's place. */
static void add_cell(struct source *source, struct text *text, const char *cell)
{
    static const char *const odd[] = {"", "0", "NA", "-1", "1e300", "1e-300", "nan", "0.1", "1e9", "\"a, \"\"b\"\"\"", "=1+1", "`x`$(x)'",
                                      "x\ty", "\xc3\xa4\xe2\x82\xac", "\xff", "\"two\nlines\"", "100", "1"};
    text_add(text, pick(source, 64) == 63 ? PICK_WORD(source, odd) : cell);
}

static void add_number(struct source *source, struct text *text, double value)
{
    char cell[32];
    snprintf(cell, sizeof cell, "%.5g", value);
    text_add(text, ",");
    add_cell(source, text, cell);
}

/* How the study as a whole is: drawn first, the same for all its rows. */
struct shape {
    unsigned aggregates, mixes, batches, specimens;
    bool raw, us, beams, soaked, has_batch, flat;
    unsigned scatter;
};

static struct shape draw_shape(struct source *source)
{
    return (struct shape){
        .aggregates = 1 + pick(source, 4), .mixes = 1 + pick(source, 6), .batches = 1 + pick(source, 4), .specimens = 1 + pick(source, 4),
        .raw = pick(source, 2), .us = pick(source, 4) == 3, .beams = pick(source, 2), .soaked = pick(source, 2),
        .has_batch = pick(source, 8) != 7, .flat = pick(source, 8) == 7, .scatter = pick(source, 16),
    };
}

static void add_heading(const struct shape *shape, struct text *text)
{
    text_add(text, "specimen,mix,aggregate,aggregate_fraction,age_days,moisture");
    text_add(text, shape->has_batch ? ",batch" : ",note");
    if (shape->raw)
        text_add(text, shape->us ? ",shape,length_in,mass_lb,break_load_lbf" : ",shape,length_mm,mass_g,break_load_kN");
    else
        text_add(text, shape->us ? ",density_pcf,compressive_strength_psi" : ",density_kg_m3,compressive_strength_mpa");
    if (shape->beams)
        text_add(text, ",flexural_strength_mpa");
    if (shape->soaked)
        text_add(text, ",absorption_pct");
    text_add(text, "\n");
}

static void add_results(struct source *source, const struct shape *shape, double fraction, struct text *text)
{
    double luck = shape->scatter == 0 ? 0 : shape->scatter * (pick(source, 256) / 128.0 - 1) / 100;
    double x = shape->flat ? 0.2 : fraction;
    double density = 2300 * (1 - 0.6 * x) * (1 + luck / 4), strength = 40 * exp(-2.5 * x) * (1 + luck);
    if (shape->raw) {
        text_add(text, ",");
        add_cell(source, text, "cube");
        add_number(source, text, shape->us ? 4 : 100);
        add_number(source, text, shape->us ? density * 0.001048772 / 0.45359237 : density);
        add_number(source, text, shape->us ? strength * 10322.56 / 4.4482216 : strength * 10);
    } else {
        add_number(source, text, shape->us ? density / 16.018463 : density);
        add_number(source, text, shape->us ? strength * 145.03774 : strength);
    }
    if (shape->beams)
        add_number(source, text, 0.12 * strength);
    if (shape->soaked)
        add_number(source, text, 4 + 20 * x);
    text_add(text, "\n");
}

static void add_specimen(struct source *source, const struct shape *shape, unsigned aggregate, unsigned mix, unsigned batch, unsigned k,
                         struct text *text)
{
    static const char *const aggregates[] = {"pumice", "perlite", "expanded clay", "gravel"};
    static const char *const states[] = {"air-dry", "air-dry", "air-dry", "oven-dry"};
    char cell[64];
    double fraction = aggregate == 3 ? 0 : 0.15 * (mix + 1);
    snprintf(cell, sizeof cell, "s%u-%u-%u-%u", aggregate, mix, batch, k);
    add_cell(source, text, cell);
    text_addf(text, ",m%u-%u,%s", aggregate, mix, aggregates[aggregate]);
    add_number(source, text, fraction);
    add_number(source, text, pick(source, 32) == 31 ? 7 : 28);
    text_addf(text, ",%s,b%u", pick(source, 32) == 31 ? PICK_WORD(source, states) : states[0], batch);
    add_results(source, shape, fraction, text);
}

static void add_specimens(struct source *source, const struct shape *shape, struct text *text)
{
    add_heading(shape, text);
    for (unsigned aggregate = 0; aggregate < shape->aggregates; aggregate++)
        for (unsigned mix = 0; mix < shape->mixes; mix++)
            for (unsigned batch = 0; batch < shape->batches; batch++)
                for (unsigned k = 0; k < shape->specimens; k++)
                    add_specimen(source, shape, aggregate, mix, batch, k, text);
}

static void add_mixes(struct source *source, const struct shape *shape, struct text *text)
{
    text_add(text, "mix,aggregate,binder_parts,light_parts,sand_parts,gravel_parts,water_binder,fibre_kg_m3,pigment_pct,yield\n");
    static const char *const aggregates[] = {"pumice", "perlite", "expanded clay", "gravel"};
    for (unsigned aggregate = 0; aggregate < shape->aggregates; aggregate++) {
        for (unsigned mix = 0; mix < shape->mixes; mix++) {
            double light = aggregate == 3 ? 0 : 0.15 * (mix + 1) * 5;
            text_addf(text, "m%u-%u,%s", aggregate, mix, aggregates[aggregate]);
            add_number(source, text, 1);
            add_number(source, text, light);
            add_number(source, text, light < 4 ? 4 - light : 0);
            add_number(source, text, aggregate == 3 ? 2 : 0);
            add_number(source, text, 0.5);
            add_number(source, text, 0.9);
            add_number(source, text, 2);
            add_number(source, text, 0.7);
            text_add(text, "\n");
        }
    }
}

static void add_materials(struct source *source, struct text *text)
{
    static const char *const names[] = {"cement", "sand", "gravel", "pumice", "perlite", "expanded clay", "fibre", "pigment"};
    static const char *const units[] = {"kg", "L", "bag", ""};
    text_add(text, "material,bulk_density_kg_m3,particle_density_kg_m3,absorption_pct,price,price_per,bag_kg\n");
    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++) {
        text_add(text, names[i]);
        add_number(source, text, 100 + 200 * (double)i);
        add_number(source, text, 600 + 400 * (double)i);
        add_number(source, text, 2 * (double)i);
        add_number(source, text, 0.1 + 0.3 * (double)i);
        text_add(text, ",");
        add_cell(source, text, PICK_WORD(source, units));
        add_number(source, text, 25);
        text_add(text, "\n");
    }
}

static void add_study(struct source *source, struct text *text)
{
    static const char *const targets[] = {"compressive_strength=10MPa", "compressive_strength=25MPa", "flexural_strength=2MPa", "compressive_strength=1MPa",
                                          "splitting_strength=2MPa", "compressive_strength=900MPa"};
    static const char *const limits[] = {"density=1500kg/m3", "piece_mass=12kg", "absorption=15%", "cost=90", "density=1kg/m3"};
    static const char *const further[] = {"seek = strongest", "seek = cheapest", "assurance = mean", "assurance = fractile", "law = linear",
                                          "law = power", "law = quadratic", "law = exponential-quadratic", "units = us", "units = si",
                                          "reference = m3-0", "reference = m0-0", "age = 28", "moisture = air-dry", "confidence = 0.99",
                                          "fractile = 0.1", "specimens-per-batch = 1", "aggregate = pumice", "title = T`$'<b>", "seed = 9"};
    text_add(text, "specimens = specimens.csv\npiece = 400x400x40mm\n");
    if (pick(source, 4))
        text_add(text, "mixes = mixes.csv\nmaterials = materials.csv\n");
    if (pick(source, 16) == 15)
        text_add(text, "set-aside = aside.csv\n");
    text_addf(text, "target = %s\n", PICK_WORD(source, targets));
    if (pick(source, 2))
        text_addf(text, "limit = %s\n", PICK_WORD(source, limits));
    for (unsigned n = pick(source, 4); n > 0; n--)
        text_addf(text, "%s\n", PICK_WORD(source, further));
}

static void write_text(const char *path, struct text *text)
{
    struct problem problem;
    PROMISE(!text->failed && file_replace(path, text->bytes, text->length, &problem) == STATUS_OK);
    text_clear(text);
}

static void write_study(struct source *source)
{
    struct text text = {0};
    struct shape shape = draw_shape(source);
    add_study(source, &text);
    write_text("study.ini", &text);
    add_specimens(source, &shape, &text);
    write_text("specimens.csv", &text);
    add_mixes(source, &shape, &text);
    write_text("mixes.csv", &text);
    add_materials(source, &text);
    write_text("materials.csv", &text);
    text_release(&text);
}

static void answer(char **argv)
{
    struct run run = {0};
    char sentence[1024];
    while (argv[1 + run.argc])
        run.argc++;
    run.argv = argv + 1;
    enum status status = command_find(argv[0], NULL)->run(&run);
    PROMISE(!run.out.failed && status != STATUS_IO && status != STATUS_MEMORY);
    PROMISE(status <= STATUS_ANSWER_NO || status == STATUS_TOOL || run.problems.n_errors > 0);
    for (size_t i = 0; i < run.problems.n_items; i++) {
        problem_sentence(&run.problems.items[i], sentence, sizeof sentence);
        PROMISE(sentence[0]);
    }
    text_release(&run.out);
    problem_list_release(&run.problems);
}

/* A folder of its own, in memory where there is such a place, and no way to gnuplot. */
static void enter_folder(void)
{
    char folder[] = "/dev/shm/plumestone-fuzz-XXXXXX", other[] = "/tmp/plumestone-fuzz-XXXXXX";
    PROMISE(chdir(mkdtemp(folder) ? folder : mkdtemp(other)) == 0);
    setenv("PATH", "/nonexistent", 1);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static bool entered;
    struct source source = {data, size};
    if (!entered)
        enter_folder();
    entered = true;
    unsigned command = pick(&source, 16);
    write_study(&source);
    switch (command) {
    case 0: answer((char *[]){"check", "--study", "study.ini", NULL}); break;
    case 1: answer((char *[]){"results", "--study", "study.ini", "--json", NULL}); break;
    case 2: answer((char *[]){"compare", "--study", "study.ini", NULL}); break;
    case 3: answer((char *[]){"compare", "--study", "study.ini", "--json", NULL}); break;
    case 4: answer((char *[]){"fit", "--study", "study.ini", NULL}); break;
    case 5: answer((char *[]){"plan", "--study", "study.ini", "--difference", "compressive_strength=2MPa", NULL}); break;
    case 6: answer((char *[]){"batch", "--study", "study.ini", "--recommended", "--pieces", "12", NULL}); break;
    case 7: answer((char *[]){"recommend", "--study", "study.ini", "--json", NULL}); break;
    case 8: answer((char *[]){"chart", "--study", "study.ini", NULL}); break;
    default: answer((char *[]){"report", "--study", "study.ini", NULL}); break;
    }
    return 0;
}
