/* Classes by the means; specimens invented, limits as in tests/unit/specimen/density.c. */
#include "analysis/mix_class.h"
#include "base/memory.h"
#include "support/check.h"
#include "support/temporary.h"

#define HEADING "specimen,mix,batch,shape,diameter_mm,length_mm,density_kg_m3,compressive_strength_MPa,mass_kg,mass_oven_dry_kg,moisture,age_days\n"

static struct specimen_set set;
static struct problem_list problems;
static struct mix_class_list classes;

static enum status classify(const struct calculated_density *calculated)
{
    struct selection selection = selection_all();
    selection.kinds_together = true;
    struct mix_summary_list means;
    struct problem problem;
    CU_ASSERT_EQUAL_FATAL(selection_settle(&set, &selection, &problems), STATUS_OK);
    CU_ASSERT_EQUAL_FATAL(mix_summary_list_make(&set, &selection, NULL, 0.95, &means, &problem), STATUS_OK);
    enum status status = mix_class_list_make(&set, &selection, &means, calculated, &classes, &problem);
    mix_summary_list_release(&means);
    return status;
}

static void read_rows(const char *rows)
{
    static const struct specimen_set_settings strict = { 0 };
    const char *path = temporary_text("in.csv", rows);
    CU_ASSERT_EQUAL_FATAL(specimen_set_read(&path, 1, &strict, &set, &problems), STATUS_OK);
}

static void end(void)
{
    mix_class_list_release(&classes);
    specimen_set_release(&set);
    problem_list_release(&problems);
}

static const struct mix_class *class_of(const char *mix)
{
    for (size_t i = 0; i < classes.n_items; i++)
        if (strcmp(set.mixes[classes.items[i].mix].name, mix) == 0)
            return &classes.items[i];
    CU_FAIL_FATAL("no such mix");
    return NULL;
}

static const char *density_name(const char *mix)
{
    return class_of(mix)->density_class ? class_of(mix)->density_class->name : "none";
}

static const char *strength_name(const char *mix)
{
    return class_of(mix)->strength_class ? class_of(mix)->strength_class->name : "none";
}

/* Mean 1600 of 1580 and 1620, by sizes; the air-dry rows of 28 days alone make the air-dry mean. */
static void densities(void)
{
    read_rows(HEADING "1,m,1,cube,,100,,,1.660,1.580,air-dry,28\n2,m,1,cube,,100,,,1.680,1.620,air-dry,28\n"
                      "3,m,1,cube,,100,,,1.800,,air-dry,7\n4,n,1,cube,,100,,,1.100,,air-dry,28\n");
    const struct calculated_density calculated[] = { { 1640, CALCULATED_FROM_RECIPE }, { 1010, CALCULATED_FROM_BATCHES } };
    CU_ASSERT_EQUAL_FATAL(classify(calculated), STATUS_OK);
    const struct mix_class *m = class_of("m"), *n = class_of("n");
    check_close("oven-dry", m->oven_dry_kg_m3, 1600, 1e-12);
    CU_ASSERT(m->n_oven_dry == 2 && m->n_air_dry == 2 && n->n_oven_dry == 0);
    check_close("air-dry", m->air_dry_kg_m3, 1670, 1e-12);
    check_close("from the calculated one", m->equilibrium_kg_m3, 1690, 1e-12); /* ASTM C567: 50 kg/m3 above */
    check_text(density_name("m"), "D1.6"); /* by the measured one */
    check_text(m->why_no_density_class, "");
    check_close("D10", m->conductivity_w_mk, 0.532012, 1e-6);
    check_close("D12", m->tension_factor, 0.836364, 1e-6);
    check_close("D12", m->modulus_factor, 0.528926, 1e-6);
    check_text(density_name("n"), "D1.2"); /* by the calculated one */
    CU_ASSERT(isnan(n->oven_dry_kg_m3) && isnan(n->strength_mpa));
    check_close("estimate", n->equilibrium_kg_m3, 1060, 1e-12);
    CU_ASSERT_TRUE(mix_class_list_tells(&classes));
    end();
}

static void without_recipe(void)
{
    read_rows(HEADING "1,m,1,cube,,100,,,1.660,1.580,air-dry,28\n2,k,1,cube,,100,,,1.660,,air-dry,28\n");
    CU_ASSERT_EQUAL_FATAL(classify(NULL), STATUS_OK);
    check_close("from the measured one", class_of("m")->equilibrium_kg_m3, 1630, 1e-12);
    CU_ASSERT(class_of("m")->calculated.from == CALCULATED_NOT && isnan(class_of("m")->calculated.kg_m3));
    check_text(density_name("k"), "none");
    check_text(class_of("k")->why_no_density_class, "the oven-dry density is not known");
    CU_ASSERT(isnan(class_of("k")->equilibrium_kg_m3) && isnan(class_of("k")->conductivity_w_mk));
    end();
    read_rows(HEADING "1,m,1,cube,,100,,,1.660,,air-dry,28\n");
    CU_ASSERT_EQUAL_FATAL(classify(NULL), STATUS_OK);
    CU_ASSERT_FALSE(mix_class_list_tells(&classes));
    end();
}

/* Cubes are held against the cube strengths; limits count unrounded. */
static void strengths(void)
{
    read_rows(HEADING "1,cubes,1,cube,,100,1600,17.9,,,oven-dry,28\n2,cubes,1,cube,,100,1600,18.1,,,oven-dry,28\n"
                      "3,short,1,cube,,100,1600,17.99,,,oven-dry,28\n"
                      "4,round,1,cylinder,100,200,1600,16.0,,,oven-dry,28\n5,weak,1,cube,,100,1600,8.9,,,oven-dry,28\n"
                      "6,diameter,1,,100,200,1600,16.0,,,oven-dry,28\n7,aged,1,cube,,100,1600,18.0,,,oven-dry,28.4\n");
    CU_ASSERT_EQUAL_FATAL(classify(NULL), STATUS_OK);
    check_text(strength_name("cubes"), "LC16/18");
    CU_ASSERT(class_of("cubes")->n_strength == 2 && class_of("cubes")->shape == SHAPE_CUBE);
    check_close("mean", class_of("cubes")->strength_mpa, 18.0, 1e-12);
    check_text(strength_name("short"), "LC12/13");
    check_text(strength_name("round"), "LC16/18");
    check_text(strength_name("diameter"), "LC16/18");
    check_text(strength_name("aged"), "LC16/18");
    check_text(strength_name("weak"), "none");
    check_text(class_of("weak")->why_no_strength_class, "below LC8/9, the lowest class");
    end();
}

static void no_strength_class(void)
{
    read_rows(HEADING "1,mixed,1,cube,,100,1600,20,,,oven-dry,28\n2,mixed,1,cylinder,100,200,1600,20,,,oven-dry,28\n"
                      "3,untold,1,,,,1600,20,,,oven-dry,28\n4,core,1,core,100,200,1600,20,,,oven-dry,28\n"
                      "5,heavy,1,cube,,100,2001,40,,,oven-dry,28\n6,fluffy,1,cube,,100,799,10,,,oven-dry,28\n"
                      "7,nothing,1,cube,,100,1600,,,,oven-dry,28\n");
    CU_ASSERT_EQUAL_FATAL(classify(NULL), STATUS_OK);
    check_text(class_of("mixed")->why_no_strength_class, "specimens of several shapes are averaged");
    CU_ASSERT_EQUAL(class_of("mixed")->shape, SHAPE_UNKNOWN);
    check_text(class_of("untold")->why_no_strength_class, "the shape of the specimens is not told");
    check_text(class_of("core")->why_no_strength_class, "classes are of cubes and cylinders");
    check_text(class_of("heavy")->why_no_strength_class, "oven-dry above 2000 kg/m3, which is not lightweight");
    check_text(class_of("fluffy")->why_no_strength_class, "oven-dry below 800 kg/m3, where EN 206 has no class");
    check_text(class_of("nothing")->why_no_strength_class, "");
    CU_ASSERT(isnan(class_of("nothing")->strength_mpa) && class_of("nothing")->n_strength == 0);
    end();
    read_rows(HEADING "1,unknown,1,cube,,100,2050,40,,,air-dry,28\n2,light,1,cube,,100,1990,40,,,air-dry,28\n"
                      "3,wet,1,cube,,100,790,40,,,air-dry,28\n");
    CU_ASSERT_EQUAL_FATAL(classify(NULL), STATUS_OK);
    check_text(class_of("unknown")->why_no_strength_class, "the oven-dry density is not known, so the concrete may not be lightweight");
    check_text(strength_name("light"), "LC35/38"); /* what weighs 1990 air-dry weighs less oven-dry */
    check_text(class_of("wet")->why_no_strength_class, "below 800 kg/m3, where EN 206 has no class");
    end();
    read_rows(HEADING "1,young,1,cube,,100,1600,20,,,oven-dry,7\n");
    CU_ASSERT_EQUAL_FATAL(classify(NULL), STATUS_OK);
    check_text(class_of("young")->why_no_strength_class, "classes are of 28 days");
    check_close("age", class_of("young")->age_days, 7, 0);
    end();
    read_rows(HEADING "1,ageless,1,cube,,100,1600,20,,,oven-dry,\n");
    CU_ASSERT_EQUAL_FATAL(classify(NULL), STATUS_OK);
    check_text(class_of("ageless")->why_no_strength_class, "the age is not told, and classes are of 28 days");
    end();
}

/* ACI 213R: 17 MPa, 1120 to 1920 kg/m3 at equilibrium; 523.3R: under 17.24 MPa; 523.1R: 800 kg/m3 or less. */
static void kinds(void)
{
    read_rows(HEADING "1,structural,1,cylinder,100,200,1600,17,,,oven-dry,28\n2,moderate,1,cylinder,100,200,1600,16.9,,,oven-dry,28\n"
                      "3,insulating,1,,,,800,,,,oven-dry,28\n4,cube,1,cube,,100,1600,30,,,oven-dry,28\n"
                      "5,young,1,cylinder,100,200,1600,17,,,oven-dry,7\n6,heavy,1,cylinder,100,200,1921,30,,,oven-dry,28\n");
    CU_ASSERT_EQUAL_FATAL(classify(NULL), STATUS_OK);
    CU_ASSERT_EQUAL(class_of("structural")->kind, CONCRETE_STRUCTURAL);
    CU_ASSERT_EQUAL(class_of("moderate")->kind, CONCRETE_MODERATE);
    CU_ASSERT_EQUAL(class_of("insulating")->kind, CONCRETE_INSULATING);
    CU_ASSERT_EQUAL(class_of("cube")->kind, CONCRETE_NO_KIND);
    CU_ASSERT_EQUAL(class_of("young")->kind, CONCRETE_NO_KIND);
    CU_ASSERT_EQUAL(class_of("heavy")->kind, CONCRETE_NO_KIND);
    end();
}

static void only_what_is_kept(void)
{
    const bool wanted[] = { false, true };
    read_rows(HEADING "1,m,1,cube,,100,,,1.660,1.580,air-dry,28\n2,k,1,cube,,100,1600,20,,,air-dry,28\n");
    CU_ASSERT_TRUE(specimen_set_keep(&set, wanted));
    CU_ASSERT_EQUAL(set.n, 1);
    CU_ASSERT_PTR_NULL(set.further[FURTHER_OVEN_DRY_DENSITY]);
    CU_ASSERT_EQUAL_FATAL(classify(NULL), STATUS_OK);
    CU_ASSERT_EQUAL(classes.n_items, 1);
    check_text(set.mixes[classes.items[0].mix].name, "k");
    end();
}

static void memory(void)
{
    struct selection selection = selection_all();
    struct mix_summary_list means;
    struct problem problem = { 0 };
    enum status status = STATUS_MEMORY;
    read_rows(HEADING "1,m,1,cube,,100,1600,20,,,air-dry,28\n2,k,1,cube,,100,1600,20,,,air-dry,28\n");
    CU_ASSERT_EQUAL_FATAL(mix_summary_list_make(&set, &selection, NULL, 0.95, &means, &problem), STATUS_OK);
    unsigned long n = 0;
    while (status != STATUS_OK && ++n < 100) {
        memory_fail_at(n, false);
        status = mix_class_list_make(&set, &selection, &means, NULL, &classes, &problem);
        memory_fail_at(0, false);
        CU_ASSERT(status == STATUS_OK || (status == STATUS_MEMORY && problem.status == STATUS_MEMORY && classes.items == NULL));
    }
    CU_ASSERT(n > 5 && n < 100);
    mix_summary_list_release(&means);
    end();
}

int main(void)
{
    static const struct check_case cases[] = {
        { "densities", densities }, { "without recipe", without_recipe }, { "strengths", strengths },
        { "no strength class", no_strength_class }, { "kinds", kinds }, { "only what is kept", only_what_is_kept }, { "memory", memory },
    };
    if (!temporary_start())
        return 1;
    int failed = check_run("mix_class", cases, sizeof cases / sizeof *cases);
    temporary_end();
    return failed;
}
