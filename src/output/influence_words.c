#include "output/influence_words.h"

#include "base/number.h"
#include "output/words.h"

#include <math.h>
#include <stdio.h>

#define MUCH 1.0 /* Cook's distance from which a fit is said to hang on a unit: common practice, no source */

void influence_name_curve(const struct specimen_set *set, const struct curve_set *curves, const struct influence *influence,
                          struct influence_names *names)
{
    for (size_t i = 0; i < influence->n_units; i++) {
        const size_t row = curves->sample.row[influence->units[i].row];
        struct name_room room;
        const struct set_batch *batch = &set->batches[set->batch[row]];
        names->row[i] = row + 1;
        const char *name = specimen_set_batch_name(set, set->batch[row], &room);
        if (name[0])
            snprintf(names->of[i], sizeof names->of[i], "batch '%.60s' of mix '%.60s'", name, words_mix(set, batch->mix));
        else
            snprintf(names->of[i], sizeof names->of[i], "specimen '%.100s'", specimen_set_id(set, row, &room));
    }
}

void influence_name_rows(const struct influence *influence, const char *const *batches, struct influence_names *names)
{
    for (size_t i = 0; i < influence->n_units; i++) {
        names->row[i] = influence->units[i].row + 1;
        if (batches)
            snprintf(names->of[i], sizeof names->of[i], "batch '%.100s'", batches[influence->units[i].row]);
        else
            snprintf(names->of[i], sizeof names->of[i], "row %zu", names->row[i]);
    }
}

static void say_unit(const struct influence_unit *unit, const char *name, struct text *out)
{
    char distance[64], leverage[64];
    number_show_significant(unit->leverage, 2, leverage, sizeof leverage);
    text_add(out, "moves the fit most: ");
    text_add_printable(out, name);
    if (isinf(unit->cooks_distance)) {
        text_add(out, ", which alone carries a term\n");
        return;
    }
    number_show_significant(unit->cooks_distance, 2, distance, sizeof distance);
    text_addf(out, ", Cook's distance %s, leverage %s%s\n", distance, leverage, unit->cooks_distance > MUCH ? ": the fit hangs on it" : "");
}

void influence_say(const struct influence *influence, const struct influence_names *names, struct text *out)
{
    char w[64], p[64];
    if (influence->n_units > 0 && influence->units[0].cooks_distance > 0)
        say_unit(&influence->units[0], names->of[0], out);
    if (isnan(influence->residuals.w))
        return;
    number_show(influence->residuals.w, 0.001, "-", w, sizeof w);
    number_show_significant(influence->residuals.p, 2, p, sizeof p);
    text_addf(out, "residuals: Shapiro-Wilk W %s, p %s\n", w, p);
}

void influence_put(struct json_build *build, json_t *fit, const struct influence *influence, const struct influence_names *names)
{
    json_t *array = json_put_array(build, fit, "influence");
    for (size_t i = 0; influence && i < influence->n_units; i++) {
        json_t *unit = json_append_object(build, array);
        json_put_text(build, unit, "name", names->of[i]);
        json_put_count(build, unit, "row", names->row[i]);
        json_put_number(build, unit, "cooks_distance", influence->units[i].cooks_distance);
        json_put_number(build, unit, "leverage", influence->units[i].leverage);
    }
    json_t *normal = json_put_object(build, fit, "shapiro_wilk");
    json_put_number(build, normal, "w", influence ? influence->residuals.w : NAN);
    json_put_number(build, normal, "p", influence ? influence->residuals.p : NAN);
}
