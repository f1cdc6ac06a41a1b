#include "batch_study.h"

#include "stats/random.h"

/*
 * B1: four mixes of perlite and cement of a producers' handbook, a sack of 94 lb
 * being a cubic foot, 27 ft3 of perlite (8 lb/ft3, assumed) a cubic yard: water
 * 61, 59.5, 54, 54 gal/yd3. Wet densities are printed there as 50.5, 45.5, 40.5,
 * 36.5 lb/ft3, dry ones as 36, 30.5, 27, 22. Formula of the dry ones: ASTM C567.
 */
static void published_perlite_mixes(void)
{
    static const struct { double parts, water_gal, wet, dry, printed_wet, printed_dry; } published[] = {
        { 4, 61, 50.3544, 36.2, 50.5, 36 }, { 5, 59.5, 45.1908, 30.56, 45.5, 30.5 },
        { 6, 54, 40.3575, 26.8, 40.5, 27 }, { 8, 54, 36.4408, 22.1, 36.5, 22 },
    };
    struct material materials[] = { plain_material("cement", 94 * LB_PER_FT3), plain_material("perlite", 8 * LB_PER_FT3) };
    struct material_list material_list = { materials, 2, (char *)"materials.csv" };
    for (size_t i = 0; i < sizeof published / sizeof published[0]; i++) {
        double n = published[i].parts, cement_kg_m3 = 94 * LB_PER_FT3 / n, water_kg_m3 = published[i].water_gal * GAL_PER_YD3;
        struct mix mix = plain_mix("1:n", 1, n, water_kg_m3 / cement_kg_m3, n / (n + 1));
        struct mix_list mix_list = { &mix, 1, (char *)"mixes.csv" };
        struct batch_request request = plain_request(&mix_list, &material_list);
        request.mix = "1:n";
        request.trial_l = 27 * 28.316846592;
        struct batch_sheet sheet = make_sheet(&request);
        check_close("wet", sheet.fresh_kg_m3 / LB_PER_FT3, published[i].wet, 2e-6);
        check_close("dry", sheet.oven_dry_kg_m3 / LB_PER_FT3, published[i].dry, 1e-9);
        check_close("wet as printed", sheet.fresh_kg_m3 / LB_PER_FT3, published[i].printed_wet, 0.007);
        check_close("dry as printed", sheet.oven_dry_kg_m3 / LB_PER_FT3, published[i].printed_dry, 0.0075);
        check_close("perlite fills it", sheet.ingredient[BATCH_LIGHT].amount[BATCH_TRIAL].loose_l, request.trial_l, 1e-12);
    }
}

/* B2: 20 L of 1 : 6 with 267.361 L/m3 of water, by hand. */
static void trial_batch(void)
{
    struct material materials[] = { plain_material("Cement", 94 * LB_PER_FT3), plain_material("perlite", 8 * LB_PER_FT3) };
    struct material_list material_list = { materials, 2, NULL };
    struct mix mix = plain_mix("1:6", 1, 6, 267.361 / (94 * LB_PER_FT3 / 6), 6.0 / 7);
    struct mix_list mix_list = { &mix, 1, NULL };
    struct batch_request request = plain_request(&mix_list, &material_list);
    request.mix = "1:6";
    request.trial_l = 20;
    struct batch_sheet sheet = make_sheet(&request);
    check_close("cement", sheet.ingredient[BATCH_BINDER].amount[BATCH_TRIAL].weigh_kg, 5.01912, 1e-6);
    check_close("perlite", sheet.ingredient[BATCH_LIGHT].amount[BATCH_TRIAL].weigh_kg, 2.56295, 2e-6);
    check_close("water", sheet.water.start_kg[BATCH_TRIAL] + sheet.water.hold_back_kg[BATCH_TRIAL], 5.34722, 1e-6);
    check_close("a fifth held back", sheet.water.hold_back_kg[BATCH_TRIAL], 5.34722 / 5, 1e-6);
    CU_ASSERT(isnan(sheet.concrete_l[BATCH_ALL]) && isnan(sheet.ingredient[BATCH_LIGHT].amount[BATCH_ALL].dry_kg));
    CU_ASSERT_EQUAL(batch_sheet_main(&sheet), BATCH_TRIAL);
    CU_ASSERT_EQUAL(sheet.recipe.yield_source, YIELD_MEASURED);
}

/*
 * B4 and B5: parts of a cubic metre each, so that masses are bulk densities. Sand
 * 494.071 dry (500 kg surface-dry at 1.2 %), 4.5 % wet: 516.304 to weigh, 16.3043
 * brought. Light aggregate 350 dry, 18 %, 5 % wet: 367.5 to weigh, 45.5 drunk.
 */
static void moisture(void)
{
    struct material materials[] = { plain_material("cement", 1000), plain_material("perlite", 350), plain_material("sand", 494.07114624505928) };
    struct material_list material_list = { materials, 3, NULL };
    struct mix mix = plain_mix("wet", 1, 1, 0.5, 1.0 / 3);
    struct mix_list mix_list = { &mix, 1, NULL };
    struct batch_request request = plain_request(&mix_list, &material_list);
    mix.sand_parts = 1;
    materials[1].absorption_pct = 18;
    materials[2].absorption_pct = 1.2;
    materials[2].moisture_pct = 4.5;
    request.mix = "wet";
    request.trial_l = 1000;
    request.moisture_pct[BATCH_LIGHT] = 5;
    request.hold_back_pct = 10;
    struct batch_sheet sheet = make_sheet(&request);
    const struct batch_ingredient *light = &sheet.ingredient[BATCH_LIGHT], *sand = &sheet.ingredient[BATCH_SAND];
    check_close("B4 to weigh", sand->amount[BATCH_TRIAL].weigh_kg, 516.304, 1e-6);
    check_close("B4 brought", sand->free_water_kg_m3, 16.3043, 3e-6);
    check_close("B5 to weigh", light->amount[BATCH_TRIAL].weigh_kg, 367.5, 1e-12);
    check_close("B5 drunk", light->free_water_kg_m3, -45.5, 1e-12);
    check_close("from the tap", sheet.water.measured_out_kg_m3, 500 + 45.5 - 16.3043478, 1e-9);
    check_close("held back", sheet.water.hold_back_kg[BATCH_TRIAL], 52.91956522, 1e-9);
    check_close("net", sheet.water.net_kg_m3, 500, 1e-12);
    check_close("all", sheet.water.total_kg_m3, 500 + 63 + 0.012 * 494.07114624505928, 1e-12);
    request.water_count = WATER_TOTAL;
    sheet = make_sheet(&request);
    check_close("all water told", sheet.water.total_kg_m3, 500, 1e-12);
    check_close("less what is brought", sheet.water.measured_out_kg_m3, 500 - 17.5 - 0.045 * 494.07114624505928, 1e-12);
    request.moisture_pct[BATCH_SAND] = 150;
    refuse_sheet(&request, STATUS_INPUT, "the aggregates bring 759 kg of water a m3, more than the 500 kg that the recipe takes: "
                                         "let them drain, or look at their moisture");
}

/* Common practice, no source: 1 lb/yd3 of fibre is a third of an ounce in a piece of 0.5625 ft3. */
static void fibre_of_a_piece(void)
{
    struct material materials[] = { plain_material("cement", 1200), plain_material("perlite", 120) };
    struct material_list material_list = { materials, 2, NULL };
    struct mix mix = plain_mix("fibres", 1, 3, 0.6, 0.75);
    struct mix_list mix_list = { &mix, 1, NULL };
    struct batch_request request = plain_request(&mix_list, &material_list);
    char words[64];
    mix.fibre_kg_m3 = 0.5932764212577828;
    mix.pigment_pct = 2;
    request.mix = "fibres";
    request.pieces = 1;
    request.piece = piece_of_sizes((const double[3]){ 18 * 25.4, 18 * 25.4, 3 * 25.4 });
    request.waste_pct = 0;
    struct batch_sheet sheet = make_sheet(&request);
    double fibre_kg = sheet.ingredient[BATCH_FIBRE].amount[BATCH_ALL].dry_kg;
    check_close("volume", sheet.concrete_l[BATCH_ALL], 0.5625 * 28.316846592, 1e-12);
    check_close("ounces", fibre_kg / 0.028349523125, 1.0 / 3, 1e-9);
    batch_mass_words(fibre_kg, true, words, sizeof words);
    check_text(words, "0.333 oz");
    check_close("pigment", sheet.ingredient[BATCH_PIGMENT].amount[BATCH_ALL].dry_kg,
                0.02 * sheet.ingredient[BATCH_BINDER].amount[BATCH_ALL].dry_kg, 1e-12);
}

/*
 * Common practice, no source: 1 : 2 : 1 of cement, sand and perlite is about a
 * third lighter than gravel concrete. Yield as of the producers' mix nearest to
 * it (1 : 2.1 : 1.1 makes 3.5 of 4.2), gravel concrete 1 : 2 : 3 with 0.668.
 */
static void third_lighter(void)
{
    struct material materials[] = {
        plain_material("cement", 94 * LB_PER_FT3), plain_material("perlite", 8 * LB_PER_FT3), plain_material("sand", 1600), plain_material("gravel", 1500),
    };
    struct material_list material_list = { materials, 4, NULL };
    struct mix mixes[] = { plain_mix("light", 1, 1, 0.6, 3.5 / 4.2), plain_mix("gravel", 1, 0, 0.5, 0.668) };
    struct mix_list mix_list = { mixes, 2, NULL };
    struct batch_request request = plain_request(&mix_list, &material_list);
    mixes[0].sand_parts = mixes[1].sand_parts = 2;
    mixes[1].gravel_parts = 3;
    request.trial_l = 10;
    request.mix = "light";
    struct batch_sheet light = make_sheet(&request);
    request.mix = "gravel";
    struct batch_sheet gravel = make_sheet(&request);
    CU_ASSERT(gravel.ingredient[BATCH_LIGHT].name == NULL);
    double fresh = 1 - light.fresh_kg_m3 / gravel.fresh_kg_m3, dry = 1 - light.oven_dry_kg_m3 / gravel.oven_dry_kg_m3;
    CU_ASSERT(fresh > 0.28 && fresh < 0.38);
    CU_ASSERT(dry > 0.28 && dry < 0.38);
}

/* Waste, loads and bags by hand: 12 pieces of 6.4 L and 10 % are 84.48 L, two loads of a mixer of 60 L. */
static void loads_and_bags(void)
{
    struct material materials[] = { plain_material("cement", 1250), plain_material("perlite", 100) };
    struct material_list material_list = { materials, 2, NULL };
    struct mix mix = plain_mix("bags", 1, 3, 0.5, 0.8);
    struct mix_list mix_list = { &mix, 1, NULL };
    struct batch_request request = plain_request(&mix_list, &material_list);
    materials[0].bag_kg = 33;      /* 84.48 / 3.2 = 26.4 L of cement are 33 kg, one bag to the gram */
    materials[0].price_per_kg = 0.2;
    materials[1].bag_l = 50;       /* 79.2 L of perlite */
    materials[1].price_per_kg = 1.5;
    request.mix = "bags";
    request.pieces = 12;
    request.piece = piece_of_sizes((const double[3]){ 400, 400, 40 });
    request.mixer_l = 60;
    struct batch_sheet sheet = make_sheet(&request);
    check_close("all", sheet.concrete_l[BATCH_ALL], 84.48, 1e-12);
    CU_ASSERT(!sheet.waste_told && sheet.n_loads == 2);
    check_close("a load", sheet.concrete_l[BATCH_LOAD], 42.24, 1e-12);
    check_close("of it", sheet.ingredient[BATCH_BINDER].amount[BATCH_LOAD].dry_kg, 16.5, 1e-12);
    check_close("no bag for a rounding error", sheet.ingredient[BATCH_BINDER].bags_to_buy, 1, 0);
    check_close("by volume", sheet.ingredient[BATCH_LIGHT].bags, 1.584, 1e-12);
    check_close("whole", sheet.ingredient[BATCH_LIGHT].bags_to_buy, 2, 0);
    check_close("used", sheet.cost, 33 * 0.2 + 7.92 * 1.5, 1e-12);
    check_close("bought", sheet.cost_to_buy, 33 * 0.2 + 10 * 1.5, 1e-12);
    check_close("a piece", sheet.cost_per_piece, (6.6 + 11.88) / 12, 1e-12);
    check_close("a m3", sheet.cost_per_m3, 18.48 / 0.08448, 1e-12);
    request.trial_l = 8.448;
    request.mixer_l = 84.48;
    sheet = make_sheet(&request);
    CU_ASSERT(sheet.n_loads == 1 && isnan(sheet.concrete_l[BATCH_LOAD]));
    check_close("the trial is bought too", sheet.ingredient[BATCH_BINDER].bags, 1.1, 1e-12);
    check_close("and a bag for it", sheet.ingredient[BATCH_BINDER].bags_to_buy, 2, 0);
    check_close("but not costed with the pieces", sheet.cost, 18.48, 1e-12);
    materials[1].price_per_kg = NAN;
    sheet = make_sheet(&request);
    CU_ASSERT(isnan(sheet.cost) && isnan(sheet.cost_to_buy));
    check_text(sheet.unpriced, "perlite");
}

/* Told, measured, from particles, assumed. By hand: 1 : 1 at 1000 and 100 kg/m3, particles 2500 and 500, water 0.4: 0.4 + 0.2 + 0.4 of 2. */
static void yields(void)
{
    struct material materials[] = { plain_material("cement", 1000), plain_material("perlite", 100) };
    struct material_list material_list = { materials, 2, NULL };
    struct mix mix = plain_mix("y", 1, 1, 0.4, NAN);
    struct mix_list mix_list = { &mix, 1, NULL };
    struct batch_request request = plain_request(&mix_list, &material_list);
    request.mix = "y";
    request.trial_l = 1;
    struct batch_sheet sheet = make_sheet(&request);
    CU_ASSERT_EQUAL(sheet.recipe.yield_source, YIELD_ASSUMED);
    check_close("two thirds", sheet.recipe.yield, 2.0 / 3, 1e-15);
    mix.light_parts = 4;
    sheet = make_sheet(&request);
    check_close("the grains' share", sheet.recipe.yield, 0.8, 1e-15);
    mix.light_parts = 1;
    materials[0].particle_density_kg_m3 = 2500;
    materials[1].particle_density_kg_m3 = 500;
    sheet = make_sheet(&request);
    CU_ASSERT_EQUAL(sheet.recipe.yield_source, YIELD_ABSOLUTE);
    check_close("particles, 2 % of air", sheet.recipe.yield, 0.5 / 0.98, 1e-14);
    materials[1].absorption_pct = 50; /* 0.05 of the 0.4 is drunk when all water is told */
    request.water_count = WATER_TOTAL;
    sheet = make_sheet(&request);
    check_close("net water only", sheet.recipe.yield, 0.475 / 0.98, 1e-14);
    mix.yield = 0.7;
    sheet = make_sheet(&request);
    CU_ASSERT_EQUAL(sheet.recipe.yield_source, YIELD_MEASURED);
    request.yield = 0.75;
    sheet = make_sheet(&request);
    CU_ASSERT_EQUAL(sheet.recipe.yield_source, YIELD_TOLD);
    check_close("told", sheet.recipe.yield, 0.75, 0);
}

/* Whatever the recipe: what goes into the mixer is what comes out, and a part is a part. */
static void mass_is_kept(void)
{
    struct random_stream *random = random_stream_new(20240304, 0);
    for (int i = 0; i < 500; i++) {
        struct material materials[] = { plain_material("cement", 900 + 600 * random_uniform(random)), plain_material("perlite", 80 + 800 * random_uniform(random)),
                                        plain_material("sand", 1400 + 300 * random_uniform(random)) };
        struct material_list material_list = { materials, 3, NULL };
        struct mix mix = plain_mix("m", 1 + random_uniform(random), 5 * random_uniform(random), 0.5 + random_uniform(random), 0.6 + 0.3 * random_uniform(random));
        struct mix_list mix_list = { &mix, 1, NULL };
        struct batch_request request = plain_request(&mix_list, &material_list);
        mix.sand_parts = 2 * random_uniform(random);
        mix.fibre_kg_m3 = random_uniform(random);
        mix.pigment_pct = 3 * random_uniform(random);
        materials[1].absorption_pct = 30 * random_uniform(random);
        request.moisture_pct[BATCH_LIGHT] = 15 * random_uniform(random);
        request.moisture_pct[BATCH_SAND] = 8 * random_uniform(random);
        request.water_count = random_below(random, 2) ? WATER_NET : WATER_TOTAL;
        request.mix = "m";
        request.trial_l = 1000 * random_uniform(random);
        struct batch_sheet sheet = make_sheet(&request);
        double mass_kg = sheet.water.start_kg[BATCH_TRIAL] + sheet.water.hold_back_kg[BATCH_TRIAL], loose_l = 0;
        for (enum batch_role role = 0; role < BATCH_ROLES; role++) {
            mass_kg += sheet.ingredient[role].name ? sheet.ingredient[role].amount[BATCH_TRIAL].weigh_kg : 0;
            loose_l += role <= BATCH_SAND ? sheet.ingredient[role].amount[BATCH_TRIAL].loose_l : 0;
        }
        check_close("mass", mass_kg, sheet.fresh_kg_m3 * request.trial_l / 1000, 1e-12);
        check_close("yield", request.trial_l / loose_l, mix.yield, 1e-12);
        check_close("net", sheet.water.net_kg_m3 + sheet.water.drunk_kg_m3, sheet.water.total_kg_m3, 1e-12);
    }
    random_stream_free(random);
}

int main(void)
{
    static const struct check_case cases[] = {
        { "published perlite mixes", published_perlite_mixes }, { "trial batch", trial_batch }, { "moisture", moisture },
        { "fibre of a piece", fibre_of_a_piece }, { "a third lighter", third_lighter }, { "loads and bags", loads_and_bags },
        { "yields", yields }, { "mass is kept", mass_is_kept },
    };
    return check_run("batch_sheet", cases, sizeof cases / sizeof cases[0]);
}
