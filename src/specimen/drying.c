#include "specimen/drying.h"

#include <math.h>

const struct drying_rule drying_rule_oven = {24, 0.5};
const struct drying_rule drying_rule_equilibrium = {28 * 24, 0.5};

#define INTERVAL_FORGIVEN 0.01

double drying_change_pct(double earlier_kg, double later_kg)
{
    return 100 * (later_kg - earlier_kg) / fmin(earlier_kg, later_kg);
}

static enum status check_weighings(const struct weighing *weighings, size_t n, struct problem *problem)
{
    if (n < 2)
        return problem_set(problem, STATUS_TOO_FEW, NULL,
                           "%zu weighing is not enough to see whether the mass still changes: weigh again", n);
    for (size_t i = 0; i < n; i++) {
        if (!(weighings[i].mass_kg > 0))
            return problem_set(problem, STATUS_INPUT, NULL, "weighing %zu has no mass above zero", i + 1);
        if (i > 0 && !(weighings[i].hours > weighings[i - 1].hours))
            return problem_set(problem, STATUS_INPUT, NULL,
                               "weighing %zu is not later than the one before it: put them in order of time", i + 1);
    }
    return STATUS_OK;
}

/* The latest weighing old enough to be compared with weighing i; n when there is none. */
static size_t partner_of(const struct weighing *weighings, size_t i, size_t n, double interval_hours)
{
    const double wanted = interval_hours * (1 - INTERVAL_FORGIVEN);
    for (size_t j = i; j-- > 0;)
        if (weighings[i].hours - weighings[j].hours >= wanted)
            return j;
    return n;
}

enum status drying_judge(const struct weighing *weighings, size_t n, const struct drying_rule *rule,
                         struct drying_state *state, struct problem *problem)
{
    enum status status = check_weighings(weighings, n, problem);
    if (status != STATUS_OK)
        return status;
    *state = (struct drying_state){.change_pct = NAN, .hours_apart = NAN};
    state->total_change_pct = drying_change_pct(weighings[0].mass_kg, weighings[n - 1].mass_kg);
    for (size_t i = n; i-- > 0;) {
        size_t earlier = partner_of(weighings, i, n, rule->interval_hours);
        if (earlier == n)
            break;
        double change = drying_change_pct(weighings[earlier].mass_kg, weighings[i].mass_kg);
        if (i == n - 1) {
            state->comparable = true;
            state->change_pct = change;
            state->hours_apart = weighings[i].hours - weighings[earlier].hours;
        }
        if (!(fabs(change) <= rule->change_limit_pct * (1 + 1e-9)))
            break;
        state->constant = true;
        state->since = i;
    }
    return STATUS_OK;
}
