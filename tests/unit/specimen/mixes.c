#include "support/check.h"
#include "support/temporary.h"

#include "base/memory.h"
#include "specimen/mixes.h"

static enum status read_mixes(const char *text, struct mix_list *list, struct problem_list *problems)
{
    return mix_list_read(temporary_text("mixes.csv", text), NULL, 0, list, problems);
}

static enum status read_materials(const char *text, struct material_list *list, struct problem_list *problems)
{
    return material_list_read(temporary_text("materials.csv", text), NULL, 0, list, problems);
}

static void a_recipe(void)
{
    struct mix_list list;
    struct problem_list problems = { 0 };
    CU_ASSERT_EQUAL(read_mixes("mix,aggregate,binder,binder_parts,light_parts,sand_parts,gravel_parts,water_binder,fibre_lb_yd3,pigment_pct,yield\n"
                               "PL,perlite,cement,1,2,1,0,0.45,1.5,3,0.8\n", &list, &problems), STATUS_OK);
    CU_ASSERT_EQUAL(list.n_items, 1);
    const struct mix *mix = &list.items[0];
    check_text(mix->binder, "cement");
    check_close("fraction", mix_aggregate_fraction(mix), 0.5, 0);
    check_close("fibre, U4 of NIST SP 811", mix->fibre_kg_m3, 0.889915, 1e-6);
    check_close("pigment", mix->pigment_pct, 3, 0);
    check_close("yield", mix->yield, 0.8, 0);
    CU_ASSERT_EQUAL(mix->line, 2);
    mix_list_release(&list);
    CU_ASSERT_EQUAL(problems.n_items, 0);
}

static void fractions(void)
{
    struct mix mix = { .binder_parts = 1, .light_parts = 3, .sand_parts = NAN, .gravel_parts = NAN };
    check_close("no sand column", mix_aggregate_fraction(&mix), 0.75, 0);
    mix.sand_parts = 2;
    check_close("with sand", mix_aggregate_fraction(&mix), 0.5, 0);
    mix.light_parts = NAN;
    CU_ASSERT_TRUE(isnan(mix_aggregate_fraction(&mix)));
    mix = (struct mix){ 0 };
    CU_ASSERT_TRUE(isnan(mix_aggregate_fraction(&mix)));
}

static void finding(void)
{
    struct mix_list list;
    struct problem_list problems = { 0 };
    CU_ASSERT_EQUAL(read_mixes("mix,binder_parts,light_parts\nPL 30,1,1\nPL-40,1,2\n", &list, &problems), STATUS_OK);
    CU_ASSERT_PTR_EQUAL(mix_list_find(&list, "PL-40"), &list.items[1]);
    CU_ASSERT_PTR_EQUAL(mix_list_find(&list, "pl_30"), &list.items[0]);
    CU_ASSERT_PTR_NULL(mix_list_find(&list, "PL"));
    mix_list_release(&list);
    problem_list_release(&problems);
}

static void check_mixes_refused(const char *text, const char *place, const char *word)
{
    struct mix_list list;
    struct problem_list problems = { 0 };
    CU_ASSERT_EQUAL(read_mixes(text, &list, &problems), STATUS_INPUT);
    SAYS(&problems, SEVERITY_ERROR, place, word);
    CU_ASSERT_EQUAL(list.n_items, 0);
    mix_list_release(&list);
    problem_list_release(&problems);
}

static void refusals(void)
{
    check_mixes_refused("name,binder_parts\nA,1\n", "mixes.csv:1:", "no column is 'mix'");
    check_mixes_refused("mix,binder_parts\nA,1\nB,1\na,2\n", "mixes.csv:4: column 'mix'", "line 2");
    check_mixes_refused("mix,binder_parts\n,1\n", "mixes.csv:2: column 'mix'", "empty");
    check_mixes_refused("mix,binder_parts\nA,-1\n", "mixes.csv:2: column 'binder_parts'", "'-1' is not possible");
    check_mixes_refused("mix,water_binder\nA,45\n", "mixes.csv:2: column 'water_binder'", "0.05 to 5");
    check_mixes_refused("mix,binder_parts\nA,x\nB\n", "mixes.csv:3:", "has 1 cell");
    check_mixes_refused("mix,fibre\nA,1\n", "mixes.csv:1: column 'fibre'", "has no unit");
}

static void prices(void)
{
    struct material_list list;
    struct problem_list problems = { 0 };
    CU_ASSERT_EQUAL(read_materials("material,bulk_density_kg_m3,price,price_per,bag_kg,bag_l\n"
                                   "cement,1250,5,bag,25,\n"
                                   "perlite,100,20,bag,,100\n"
                                   "sand,1600,0.08,L,,\n"
                                   "pigment,,6,kg,,\n"
                                   "gravel,,40,t,,\n"
                                   "water,,,,,\n"
                                   "pumice,,9,bag,,50\n", &list, &problems), STATUS_OK);
    CU_ASSERT_EQUAL(list.n_items, 7);
    check_close("per bag by mass", list.items[0].price_per_kg, 0.2, 1e-15);
    check_close("per bag by volume", list.items[1].price_per_kg, 2, 1e-15);
    check_close("per litre", list.items[2].price_per_kg, 0.05, 1e-15);
    check_close("per kg", list.items[3].price_per_kg, 6, 0);
    check_close("per tonne", list.items[4].price_per_kg, 0.04, 1e-15);
    CU_ASSERT_TRUE(isnan(list.items[5].price_per_kg));
    CU_ASSERT_TRUE(isnan(list.items[6].price_per_kg));
    SAYS(&problems, SEVERITY_DOUBT, "materials.csv:8: column 'price_per'", "bulk_density");
    CU_ASSERT_PTR_EQUAL(material_list_find(&list, "Sand"), &list.items[2]);
    material_list_release(&list);
    problem_list_release(&problems);
}

static void prices_refused(void)
{
    struct material_list list;
    struct problem_list problems = { 0 };
    CU_ASSERT_EQUAL(read_materials("material,price,price_per\na,1,\nb,1,wheelbarrow\nc,-1,kg\n", &list, &problems), STATUS_INPUT);
    CU_ASSERT_EQUAL(problems.n_errors, 3);
    SAYS(&problems, SEVERITY_ERROR, "materials.csv:2: column 'price'", "price_per");
    SAYS(&problems, SEVERITY_ERROR, "materials.csv:3: column 'price_per'", "'wheelbarrow'");
    SAYS(&problems, SEVERITY_ERROR, "materials.csv:4: column 'price'", "'-1'");
    CU_ASSERT_EQUAL(list.n_items, 0);
    problem_list_release(&problems);
}

static void memory_failures(void)
{
    for (unsigned long n = 1; n < 60; n++) {
        struct mix_list mixes;
        struct material_list materials;
        struct problem_list problems = { 0 };
        memory_fail_at(n, true);
        enum status status = read_mixes("mix,aggregate,binder_parts\nA,p,1\nB,q,2\n", &mixes, &problems);
        bool reached = memory_calls() >= n;
        memory_fail_at(n, true);
        enum status other = read_materials("material,price,price_per\nA,1,kg\n", &materials, &problems);
        bool other_reached = memory_calls() >= n;
        memory_fail_at(0, false);
        CU_ASSERT_EQUAL(status, reached ? STATUS_MEMORY : STATUS_OK);
        CU_ASSERT_EQUAL(other, other_reached ? STATUS_MEMORY : STATUS_OK);
        mix_list_release(&mixes);
        material_list_release(&materials);
        problem_list_release(&problems);
    }
}

int main(void)
{
    static const struct check_case cases[] = {
        { "a recipe", a_recipe },       { "fractions", fractions }, { "finding", finding },
        { "refusals", refusals },       { "prices", prices },       { "prices refused", prices_refused },
        { "memory failures", memory_failures },
    };
    if (!temporary_start())
        return 2;
    int result = check_run("mixes", cases, sizeof cases / sizeof cases[0]);
    temporary_end();
    return result;
}
