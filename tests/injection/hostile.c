/*
 * Writes hostile names: studies that carry them everywhere a name can stand, and
 * the scripts, pages and tables that a naive writer would make of them.
 *
 * hostile count             how many payloads, and how many of them are names (no line break)
 * hostile text N            payload N as it is
 * hostile effect N          what payload N does to a naive writer: runs marks computes steers climbs
 * hostile naive N FOLDER    the naive writer's files for payload N, or for a plain name
 * hostile study N FOLDER    study.csv, mixes.csv, materials.csv; the names are payloads from number N on
 * hostile study plain FOLDER  the same study with plain names
 */
#include "payloads.h"

#include <math.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define N_AGGREGATES 3
#define N_FRACTIONS 4
#define N_BATCHES 2
#define N_SPECIMENS 3

static int name_count(void)
{
    int n = 0;
    while (n < N_PAYLOADS && !strpbrk(payloads[n].text, "\r\n"))
        n++;
    return n;
}

static FILE *open_in(const char *folder, const char *name)
{
    char path[4096];
    snprintf(path, sizeof path, "%s/%s", folder, name);
    FILE *file = fopen(path, "wb");
    if (!file) {
        perror(path);
        exit(1);
    }
    return file;
}

/* A way of writing a name into a file, %s being the name. */
struct naive { const char *file, *before, *after; };

static const struct naive naive_ways[] = {
    {"title.gp", "set terminal dumb\nset output '/dev/null'\nset title \"", "\"\nplot x\n"},
    {"label.gp", "set terminal dumb\nset output '/dev/null'\nset label '", "' at 0,0\nplot x\n"},
    {"block.gp", "set terminal dumb\nset output '/dev/null'\n$d << EOD\n1 2 ", "\n3 4\nEOD\nplot $d using 1:2\n"},
    {"inline.gp", "set terminal dumb\nset output '/dev/null'\nplot '-' using 1:2\n1 2\n3 4 ", "\ne\n"},
    {"data.gp", "set terminal dumb\nset output '/dev/null'\nplot '", "' using 1:2\n"},
    {"output.gp", "set terminal dumb\nset output '", "'\nplot x\nset output\n"},
    {"echo.sh", "echo \"", "\"\n"},
    {"here.sh", "cat << EOF\n", "\nEOF\n"},
    {"page.html", "<table><tr><td>", "</td></tr></table>\n"},
    {"page.md", "| mix | density | note | more |\n| --- | --- | --- | --- |\n| ", " | 1500 |\n"},
    {"table.csv", "specimen,density\n", ",1500\n"},
    {"screen.txt", "", "  1500\n"},
};

static void write_naive(const char *name, const char *folder)
{
    for (size_t i = 0; i < sizeof naive_ways / sizeof *naive_ways; i++) {
        FILE *file = open_in(folder, naive_ways[i].file);
        fprintf(file, "%s%s%s", naive_ways[i].before, name, naive_ways[i].after);
        fclose(file);
    }
}

/* Names in the order in which a study asks for them; kinds never share one. */
struct names { int first; /* payload; below 0: plain */ };

static void put_cell(FILE *file, const char *text, int round)
{
    fputc('"', file);
    for (; *text; text++) {
        if (*text == '"')
            fputc('"', file);
        fputc(*text, file);
    }
    if (round > 0)
        fprintf(file, " %d", round);
    fputs("\",", file);
}

/* Slot k of the study, always the same name for the same slot. */
static void put_name(FILE *file, const struct names *names, int k)
{
    if (names->first < 0)
        fprintf(file, "n%d,", k);
    else
        put_cell(file, payloads[(names->first + k) % name_count()].text, k / name_count());
}

enum { SLOT_AGGREGATE = 0, SLOT_BINDER = N_AGGREGATES, SLOT_MIX = SLOT_BINDER + 1,
       SLOT_BATCH = SLOT_MIX + N_AGGREGATES * N_FRACTIONS,
       SLOT_SPECIMEN = SLOT_BATCH + N_AGGREGATES * N_FRACTIONS * N_BATCHES };

static void write_specimens(FILE *file, const struct names *names)
{
    fputs("specimen,mix,batch,aggregate,aggregate_fraction,compressive_strength_mpa,density_kg_m3,age_days,moisture,note,more\n", file);
    for (int i = 0; i < N_AGGREGATES * N_FRACTIONS * N_BATCHES * N_SPECIMENS; i++) {
        int batch = i / N_SPECIMENS, mix = batch / N_BATCHES, aggregate = mix / N_FRACTIONS;
        double fraction = 0.15 * (1 + mix % N_FRACTIONS), bump = 0.4 * ((batch * 7) % 5 - 2) + 0.3 * ((i * 11) % 7 - 3);
        put_name(file, names, SLOT_SPECIMEN + i);
        put_name(file, names, SLOT_MIX + mix);
        put_name(file, names, SLOT_BATCH + batch);
        put_name(file, names, SLOT_AGGREGATE + aggregate);
        fprintf(file, "%.2f,%.2f,%.0f,28,air-dry,", fraction, (38 - 3 * aggregate) * exp(-1.6 * fraction) + bump,
                2250 - (1100 + 90 * aggregate) * fraction + 6 * bump);
        put_cell(file, names->first < 0 ? "plain" : payloads[(names->first + i) % N_PAYLOADS].text, 0);
        fputs("\n", file);
    }
}

static void write_study(const struct names *names, const char *folder)
{
    FILE *file = open_in(folder, "study.csv");
    write_specimens(file, names);
    fclose(file);
    file = open_in(folder, "mixes.csv");
    fputs("mix,aggregate,binder,binder_parts,light_parts,sand_parts,gravel_parts,water_binder\n", file);
    for (int mix = 0; mix < N_AGGREGATES * N_FRACTIONS; mix++) {
        double fraction = 0.15 * (1 + mix % N_FRACTIONS);
        put_name(file, names, SLOT_MIX + mix);
        put_name(file, names, SLOT_AGGREGATE + mix / N_FRACTIONS);
        put_name(file, names, SLOT_BINDER);
        fprintf(file, "1,%.2f,2,%.2f,0.5\n", 10 * fraction, 7 - 10 * fraction);
    }
    fclose(file);
    file = open_in(folder, "materials.csv");
    fputs("material,bulk_density_kg_m3,particle_density_kg_m3,price,price_per\nsand,1550,2640,0.04,kg\ngravel,1500,2650,0.03,kg\n", file);
    for (int k = SLOT_AGGREGATE; k <= SLOT_BINDER; k++) {
        put_name(file, names, k);
        fputs(k == SLOT_BINDER ? "1250,3100,0.2,kg\n" : "500,1000,0.3,kg\n", file);
    }
    fclose(file);
}

static void tell_effect(int effect)
{
    static const char *const words[] = {"runs", "marks", "computes", "steers", "climbs"};
    for (int i = 0; i < 5; i++)
        if (effect & (1 << i))
            printf("%s ", words[i]);
    putchar('\n');
}

/* 0 done, 2 no such question */
static int answer(const char *what, int n, bool plain, const char *folder)
{
    if (strcmp(what, "count") == 0)
        printf("%d %d\n", (int)N_PAYLOADS, name_count());
    else if (strcmp(what, "text") == 0)
        fputs(payloads[n].text, stdout);
    else if (strcmp(what, "effect") == 0)
        tell_effect(payloads[n].effect);
    else if (strcmp(what, "naive") == 0 && folder)
        write_naive(plain ? "n1" : payloads[n].text, folder);
    else if (strcmp(what, "study") == 0 && folder)
        write_study(&(struct names){.first = plain ? -1 : n}, folder);
    else
        return 2;
    return 0;
}

int main(int argc, char **argv)
{
    int n = argc > 2 ? atoi(argv[2]) : 0;
    bool plain = argc > 2 && strcmp(argv[2], "plain") == 0;
    if (argc < 2 || n < 0 || n >= N_PAYLOADS || answer(argv[1], n, plain, argc > 3 ? argv[3] : NULL) != 0)
        return fputs("usage: see hostile.c\n", stderr), 2;
    return fflush(stdout) == 0 ? 0 : 1;
}
