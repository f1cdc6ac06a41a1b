/*
 * Each command with its Nth allocation failing, once and from then on, and
 * with its Nth write, sync or rename failing: it must end with the status for
 * that, or be done, and never crash or leave half a file.
 */
#include "support/check.h"

#include "base/file.h"
#include "base/memory.h"
#include "commands/command.h"

#include <dirent.h>
#include <errno.h>
#include <stdlib.h>
#include <sys/stat.h>
#include <unistd.h>

static void write_specimens(void)
{
    struct text text = {0};
    struct problem problem;
    text_add(&text, "specimen,mix,batch,aggregate,aggregate_fraction,density_kg_m3,compressive_strength_mpa\n");
    for (int mix = 2; mix <= 6; mix += 2)
        for (int batch = 1; batch <= 3; batch++)
            for (int k = 0; k < 2; k++)
                text_addf(&text, "s%d%d%d,M%d,%d,pumice,0.%d,%d,%d.%d\n", mix, batch, k, mix, batch, mix,
                          2000 - 100 * mix + 7 * batch + 3 * k, 32 - 4 * mix, batch + k);
    CU_ASSERT_EQUAL_FATAL(file_replace("specimens.csv", text.bytes, text.length, &problem), STATUS_OK);
    text_release(&text);
}

static void write_file(const char *path, const char *bytes)
{
    struct problem problem;
    CU_ASSERT_EQUAL_FATAL(file_replace(path, bytes, strlen(bytes), &problem), STATUS_OK);
}

/* The recipes of the specimens, with all that a batch sheet is made from. */
static void write_recipes(void)
{
    write_file("mixes.csv", "mix,aggregate,binder_parts,light_parts,sand_parts,water_binder,fibre_kg_m3,pigment_pct,yield\n"
                            "M2,pumice,1,1,3,0.5,1,,0.7\nM4,pumice,1,2,2,0.55,1,2,0.7\nM6,pumice,1,3,1,0.6,1,2,\n");
    write_file("materials.csv", "material,bulk_density_kg_m3,absorption_pct,price,price_per,bag_l\n"
                                "cement,1250,,5,bag,20\npumice,560,22,8,bag,50\nsand,1550,1,0.04,kg,\nfibre,,,11,kg,\npigment,,,3,kg,\n");
}

/* Fresh concrete of a batch of the specimens, and specimens that were soaked, boiled and dried. */
static void write_tests(void)
{
    write_file("fresh.csv", "batch,mix,fresh_density_kg_m3,batch_mass_kg,cement_mass_kg,coarse_dry_mass_kg,air_free_volume_L\n1,M4,1700,51,9,28,29\n");
    write_file("soaked.csv", "specimen,mix,batch,shape,length_mm,mass_g,mass_oven_dry_g,mass_saturated_g,mass_boiled_g,mass_submerged_g,break_load_kN\n"
                             "a,M4,1,cube,100,1712,1640,1800,1830,830,210\nb,M4,1,cube,100,1702,,,,,205\n");
}

static void enter_folder(void)
{
    char folder[] = "/tmp/faults-XXXXXX";
    CU_ASSERT_PTR_NOT_NULL_FATAL(mkdtemp(folder));
    CU_ASSERT_EQUAL_FATAL(chdir(folder), 0);
    write_specimens();
    write_recipes();
    write_tests();
}

/* Removes what is in the folder that we are in, and comes out of it. */
static void leave_folder(void)
{
    char path[256];
    DIR *listing = opendir(".");
    CU_ASSERT_PTR_NOT_NULL_FATAL(getcwd(path, sizeof path));
    for (struct dirent *entry = readdir(listing); entry; entry = readdir(listing)) {
        if (strcmp(entry->d_name, ".") == 0 || strcmp(entry->d_name, "..") == 0 || unlink(entry->d_name) == 0)
            continue;
        CU_ASSERT_EQUAL_FATAL(chdir(entry->d_name), 0);
        leave_folder();
    }
    closedir(listing);
    CU_ASSERT_EQUAL_FATAL(chdir(".."), 0);
    rmdir(path);
}

/* Runs a command line (words end with NULL); the status as main would see it. What it prints goes to out, unless NULL. */
static enum status run_words(const char *const *words, struct text *out)
{
    char *argv[16];
    int argc = 0;
    struct problem problem;
    for (; words[argc]; argc++)
        argv[argc] = (char *)words[argc];
    struct run run = {.argc = argc - 1, .argv = argv + 1};
    enum status status = command_find(argv[0], &problem)->run(&run);
    if (run.out.failed || (memory_ran_out() && !run.acknowledges)) /* main's gate */
        status = STATUS_MEMORY;
    CU_ASSERT_TRUE(status == STATUS_OK || run.problems.n_errors > 0 || status == STATUS_MEMORY);
    if (out)
        *out = run.out;
    else
        text_release(&run.out);
    problem_list_release(&run.problems);
    return status;
}

/* Every number up to 200, then fewer and fewer, so that a long run is sampled to its end. */
static unsigned long next(unsigned long n)
{
    return n < 200 ? n + 1 : n + n / 13;
}

static bool same(const struct text *a, const struct text *b)
{
    return a->length == b->length && (a->length == 0 || memcmp(a->bytes, b->bytes, a->length) == 0);
}

/* Done is allowed when only one allocation failed, and only with the whole answer. */
static void fail_one(const char *const *words, unsigned long n, bool sticky, const struct text *whole)
{
    struct text out = {0};
    memory_fail_at(n, sticky);
    enum status status = run_words(words, &out);
    memory_fail_at(0, false);
    bool good = status == STATUS_MEMORY || (!sticky && status == STATUS_OK && same(&out, whole));
    if (!good)
        fprintf(stderr, "%s: allocation %lu failed%s: status %d\n", words[0], n, sticky ? " and all after it" : "", (int)status);
    CU_ASSERT_TRUE(good);
    text_release(&out);
}

static void fail_memory(const char *const *words)
{
    struct text whole = {0};
    memory_fail_at(0, false);
    CU_ASSERT_EQUAL_FATAL(run_words(words, &whole), STATUS_OK);
    unsigned long calls = memory_calls();
    for (unsigned long n = 1; n <= calls; n = next(n)) {
        fail_one(words, n, false, &whole);
        fail_one(words, n, true, &whole);
    }
    text_release(&whole);
}

static void memory_of_each_command(void)
{
    static const char *const lines[][16] = {
        {"check", "specimens.csv"},
        {"check", "--json", "specimens.csv"},
        {"results", "specimens.csv"},
        {"results", "--csv", "specimens.csv"},
        {"results", "--json", "specimens.csv"},
        {"results", "--fresh", "fresh.csv", "--mixes", "mixes.csv", "--materials", "materials.csv", "specimens.csv"},
        {"results", "--json", "--fresh", "fresh.csv", "soaked.csv"},
        {"results", "soaked.csv"},
        {"check", "--json", "--fresh", "fresh.csv", "specimens.csv"},
        {"fit", "specimens.csv"},
        {"fit", "--json", "specimens.csv"},
        {"fit", "--response", "density_kg_m3", "--on", "compressive_strength_mpa", "specimens.csv"},
        {"compare", "--target", "compressive_strength=15MPa", "specimens.csv"},
        {"compare", "--json", "specimens.csv"},
        {"results", "--aggregate", "pumice", "specimens.csv"},
        {"recommend", "--target", "compressive_strength=10MPa", "specimens.csv"},
        {"recommend", "--json", "--target", "compressive_strength=10MPa", "specimens.csv"},
        {"plan", "--target", "compressive_strength=10MPa", "--difference", "density=50kg/m3", "specimens.csv"},
        {"plan", "--json", "--target", "compressive_strength=10MPa", "specimens.csv"},
        {"batch", "--mix", "M4", "--pieces", "3", "--piece", "400x400x40mm", "--mixes", "mixes.csv", "--materials", "materials.csv"},
        {"batch", "--json", "--aggregate", "pumice", "--fraction", "0.47", "--trial", "20L", "--mixes", "mixes.csv", "--materials",
         "materials.csv", "specimens.csv"},
        {"batch", "--recommended", "--target", "compressive_strength=10MPa", "--trial", "20L", "--mixes", "mixes.csv", "--materials",
         "materials.csv", "specimens.csv"},
        {"help", "recommend"},
        {"help", "--man"},
        {"help", "--completion", "zsh"},
    };
    enter_folder();
    for (size_t i = 0; i < sizeof lines / sizeof lines[0]; i++)
        fail_memory(lines[i]);
    leave_folder();
}

/* Only these may be in a folder: no temporary file may be left. */
static void check_folder(const char *path, const char *const *allowed)
{
    DIR *listing = opendir(path);
    CU_ASSERT_PTR_NOT_NULL_FATAL(listing);
    for (struct dirent *entry = readdir(listing); entry; entry = readdir(listing)) {
        size_t i = 0;
        while (allowed[i] && strcmp(entry->d_name, allowed[i]) != 0)
            i++;
        if (!allowed[i])
            fprintf(stderr, "left behind: %s/%s\n", path, entry->d_name);
        CU_ASSERT_PTR_NOT_NULL(allowed[i]);
    }
    closedir(listing);
}

static void writing_of_an_answer(void)
{
    static const char *const words[] = {"results", "--output", "answer", "specimens.csv", NULL};
    static const char *const allowed[] = {".", "..", "specimens.csv", "mixes.csv", "materials.csv", "fresh.csv", "soaked.csv", "answer", NULL};
    enter_folder();
    file_fail_at(0, false, 0);
    CU_ASSERT_EQUAL_FATAL(run_words(words, NULL), STATUS_OK);
    unsigned long calls = file_calls();
    struct stat whole, now;
    CU_ASSERT_EQUAL_FATAL(stat("answer", &whole), 0);
    for (unsigned long n = 1; n <= calls; n++) {
        file_fail_at(n, true, ENOSPC);
        enum status status = run_words(words, NULL);
        file_fail_at(0, false, 0);
        CU_ASSERT_TRUE(status == STATUS_IO);
        CU_ASSERT_EQUAL(stat("answer", &now), 0);
        CU_ASSERT_EQUAL(now.st_size, whole.st_size);
        check_folder(".", allowed);
    }
    CU_ASSERT_TRUE(calls >= 3); /* write, sync, rename */
    leave_folder();
}

static void writing_of_a_report(void)
{
    static const char *const words[] = {"report", "--target", "compressive_strength=10MPa", "--output", "report", "specimens.csv", NULL};
    static const char *const allowed[] = {".", "..", "report.md", "report.html", "charts", "results.csv", "summary.json", NULL};
    enter_folder();
    setenv("PATH", "/nowhere", 1); /* the pictures are gnuplot's business */
    file_fail_at(0, false, 0);
    CU_ASSERT_EQUAL_FATAL(run_words(words, NULL), STATUS_OK);
    unsigned long calls = file_calls();
    for (unsigned long n = 1; n <= calls; n++) {
        file_fail_at(n, true, ENOSPC);
        enum status status = run_words(words, NULL);
        file_fail_at(0, false, 0);
        if (status != STATUS_IO)
            fprintf(stderr, "write %lu of %lu failed: status %d\n", n, calls, (int)status);
        CU_ASSERT_EQUAL(status, STATUS_IO);
        check_folder("report", allowed);
    }
    CU_ASSERT_TRUE(calls >= 12); /* four files and some charts, three calls each */
    leave_folder();
}

int main(void)
{
    static const struct check_case cases[] = {
        {"memory of each command", memory_of_each_command},
        {"writing of an answer", writing_of_an_answer},
        {"writing of a report", writing_of_a_report},
    };
    return check_run("faults", cases, sizeof cases / sizeof cases[0]);
}
