#include "advise/search.h"

#include "advise/batch_parts.h"
#include "base/memory.h"
#include "specimen/batching.h"

#include <math.h>
#include <stdio.h>

/* A cost being added up; reason is set by the first thing missing. */
struct bill {
    const struct mix *mix;
    const struct material_list *materials;
    double part_l;      /* loose volume of one part in a m3 of concrete */
    double sum;
    char *reason;
    size_t reason_size;
};

static void bill_miss(struct bill *bill, const char *what, const char *material)
{
    if (isnan(bill->sum))
        return;
    bill->sum = NAN;
    snprintf(bill->reason, bill->reason_size, "%s of '%.60s' is not given in the materials file", what, material);
}

static void bill_add_mass(struct bill *bill, const char *name, double mass_kg)
{
    const struct material *material = material_list_find(bill->materials, name);
    if (!material || isnan(material->price_per_kg))
        bill_miss(bill, "the price", name);
    else
        bill->sum += mass_kg * material->price_per_kg;
}

/* Returns the mass added, kg. */
static double bill_add_parts(struct bill *bill, const char *name, double parts)
{
    if (isnan(parts) || parts == 0)
        return 0;
    const struct material *material = material_list_find(bill->materials, name);
    if (!material || isnan(material->bulk_density_kg_m3)) {
        bill_miss(bill, "the bulk density", name);
        return NAN;
    }
    double mass_kg = batching_mass_kg(parts * bill->part_l, material->bulk_density_kg_m3);
    bill_add_mass(bill, name, mass_kg);
    return mass_kg;
}

static double parts_total(const struct mix *mix)
{
    const double parts[] = { mix->binder_parts, mix->light_parts, mix->sand_parts, mix->gravel_parts };
    double total = 0;
    for (size_t i = 0; i < sizeof parts / sizeof parts[0]; i++)
        total += isnan(parts[i]) ? 0 : parts[i];
    return total;
}

static const char *name_or(const char *name, const char *otherwise)
{
    return name && name[0] ? name : otherwise;
}

static double mix_cost(const struct mix *mix, const struct material_list *materials, char *reason, size_t size)
{
    double total = parts_total(mix);
    struct bill bill = { .mix = mix, .materials = materials, .reason = reason, .reason_size = size };
    if (!(total > 0) || !(mix->yield > 0)) {
        snprintf(reason, size, "mix '%.60s' has no %s in the mixes file", mix->name ? mix->name : "", total > 0 ? "yield" : "parts");
        return NAN;
    }
    bill.part_l = batching_part_volume_l(L_PER_M3, total, mix->yield);
    double binder_kg = bill_add_parts(&bill, name_or(mix->binder, "cement"), mix->binder_parts);
    bill_add_parts(&bill, name_or(mix->aggregate, "light aggregate"), mix->light_parts);
    bill_add_parts(&bill, "sand", mix->sand_parts);
    bill_add_parts(&bill, "gravel", mix->gravel_parts);
    if (mix->fibre_kg_m3 > 0)
        bill_add_mass(&bill, "fibre", mix->fibre_kg_m3);
    if (mix->pigment_pct > 0)
        bill_add_mass(&bill, name_or(mix->pigment_name, "pigment"), binder_kg * mix->pigment_pct / 100);
    return bill.sum;
}

enum status cost_book_make(struct search *search, struct problem *problem)
{
    const struct recommend_request *request = search->request;
    struct cost_book *costs = &search->costs;
    costs->per_m3 = memory_new(search->set->n_mixes, sizeof *costs->per_m3);
    if (!costs->per_m3)
        return problem_set(problem, STATUS_MEMORY, NULL, "no memory left for the costs");
    if (!request->mixes || !request->materials)
        snprintf(costs->reason, sizeof costs->reason, "a cost needs --mixes and --materials");
    for (size_t i = 0; i < search->set->n_mixes; i++) {
        char reason[200] = "";
        const struct mix *mix = request->mixes ? mix_list_find(request->mixes, search->set->mixes[i].name) : NULL;
        costs->per_m3[i] = mix && request->materials ? mix_cost(mix, request->materials, reason, sizeof reason) : NAN;
        if (request->mixes && !mix)
            snprintf(reason, sizeof reason, "mix '%.60s' is not in the mixes file", search->set->mixes[i].name);
        if (!costs->reason[0])
            snprintf(costs->reason, sizeof costs->reason, "%s", reason);
    }
    return STATUS_OK;
}

/* The recipe that a batch sheet would be made for, so that both tell one cost. */
double cost_at_fraction(const struct search *search, uint32_t aggregate, double x)
{
    const struct recommend_request *request = search->request;
    struct batch_recipe recipe;
    char unheard[200]; /* a mix that lacks something has told it already */
    if (!request->mixes || !request->materials
        || !batch_recipe_between(request->mixes, search->set, search->set->aggregates[aggregate], x, &recipe))
        return NAN;
    return mix_cost(&recipe.mix, request->materials, unheard, sizeof unheard);
}
