/* Rule: a change of at most 0.5 % between weighings 24 h (oven) or 28 d (equilibrium) apart; ASTM C567, C642. Masses invented. */
#include "support/check.h"

#include "specimen/drying.h"

static struct drying_state judged(const struct weighing *weighings, size_t n, const struct drying_rule *rule)
{
    struct drying_state state = {0};
    struct problem problem = {0};
    CU_ASSERT_EQUAL(drying_judge(weighings, n, rule, &state, &problem), STATUS_OK);
    return state;
}

static void changes(void)
{
    check_close("lost", drying_change_pct(2.060, 2.000), -3, 1e-12);
    check_close("gained", drying_change_pct(2.000, 2.060), 3, 1e-12);
}

static void still_drying(void)
{
    const struct weighing w[] = {{0, 2.310}, {24, 2.080}, {48, 2.030}};
    struct drying_state state = judged(w, 3, &drying_rule_oven);
    CU_ASSERT(state.comparable && !state.constant);
    check_close("change", state.change_pct, -2.46305, 1e-5); /* 0.050 / 2.030 */
    check_close("apart", state.hours_apart, 24, 0);
    check_close("in all", state.total_change_pct, -13.7931, 1e-5); /* 0.280 / 2.030 */
}

static void reached(void)
{
    const struct weighing w[] = {{0, 2.310}, {24, 2.020}, {48, 2.011}, {72, 2.009}};
    struct drying_state state = judged(w, 4, &drying_rule_oven);
    CU_ASSERT(state.constant);
    CU_ASSERT_EQUAL(state.since, 2);
    check_close("change", state.change_pct, -0.0995520, 1e-5);
}

/* Weighed every six hours, each step is small; a day together is not. */
static void small_steps(void)
{
    const struct weighing w[] = {{0, 2.040}, {6, 2.032}, {12, 2.024}, {18, 2.016}, {24, 2.008}};
    struct drying_state state = judged(w, 5, &drying_rule_oven);
    CU_ASSERT(state.comparable && !state.constant);
    check_close("a day", state.change_pct, -1.59363, 1e-5);
}

/* A dip in between does not make the mass constant when the last step is large again. */
static void not_for_good(void)
{
    const struct weighing w[] = {{0, 2.0}, {24, 1.999}, {48, 1.95}};
    CU_ASSERT(!judged(w, 3, &drying_rule_oven).constant);
}

static void limits(void)
{
    const struct weighing at[] = {{0, 2.01}, {24, 2.0}};          /* exactly 0.5 % */
    const struct weighing over[] = {{0, 2.0101}, {24, 2.0}};
    const struct weighing soon[] = {{0, 2.0}, {12, 2.0}};
    const struct weighing nearly[] = {{0, 2.0}, {23.8, 2.0}};     /* 23 h 48 min is a day */
    const struct weighing gained[] = {{0, 2.0}, {24, 2.02}};      /* cooled in damp air */
    const struct weighing to_the_hour[] = {{0, 2.0}, {99, 2.0}};  /* 1 % less than the interval is forgiven, to the hour */
    const struct drying_rule hundred = {.interval_hours = 100, .change_limit_pct = 0.5};
    const struct weighing month[] = {{0, 2.004}, {24.0 * 28, 2.0}};
    CU_ASSERT(judged(at, 2, &drying_rule_oven).constant);
    CU_ASSERT(!judged(over, 2, &drying_rule_oven).constant);
    CU_ASSERT(!judged(soon, 2, &drying_rule_oven).comparable);
    CU_ASSERT(!judged(soon, 2, &drying_rule_oven).constant && isnan(judged(soon, 2, &drying_rule_oven).change_pct));
    CU_ASSERT(judged(nearly, 2, &drying_rule_oven).constant);
    CU_ASSERT(judged(to_the_hour, 2, &hundred).constant);
    CU_ASSERT(!judged(gained, 2, &drying_rule_oven).constant);
    CU_ASSERT(judged(month, 2, &drying_rule_equilibrium).constant);
    CU_ASSERT(!judged(at, 2, &drying_rule_equilibrium).comparable);
}

static void check_refused(const struct weighing *weighings, size_t n, enum status want, const char *word)
{
    struct drying_state state = {0};
    struct problem problem = {0};
    CU_ASSERT_EQUAL(drying_judge(weighings, n, &drying_rule_oven, &state, &problem), want);
    CU_ASSERT_PTR_NOT_NULL(strstr(problem.text, word));
}

static void rules(void)
{
    const struct weighing grams[] = {{0, 0.1234}, {24, 0.1233}}; /* 50 mm cubes of perlite weigh no more */
    check_close("oven", drying_rule_oven.interval_hours, 24, 0);
    check_close("oven", drying_rule_oven.change_limit_pct, 0.5, 0);
    check_close("equilibrium", drying_rule_equilibrium.interval_hours, 672, 0);
    check_close("equilibrium", drying_rule_equilibrium.change_limit_pct, 0.5, 0);
    CU_ASSERT(judged(grams, 2, &drying_rule_oven).constant);
}

static void refused(void)
{
    const struct weighing backward[] = {{0, 2}, {24, 2}, {24, 2}};
    const struct weighing nothing[] = {{0, 2}, {24, 0}};
    const struct weighing absent[] = {{0, NAN}, {24, 2}};
    const struct weighing at_once[] = {{3, 2}, {3, 2}};
    check_refused(at_once, 2, STATUS_INPUT, "weighing 2 is not later");
    check_refused(backward, 3, STATUS_INPUT, "weighing 3 is not later");
    check_refused(nothing, 2, STATUS_INPUT, "weighing 2 has no mass");
    check_refused(absent, 2, STATUS_INPUT, "weighing 1 has no mass");
    check_refused(backward, 1, STATUS_TOO_FEW, "weigh again");
    check_refused(NULL, 0, STATUS_TOO_FEW, "0 weighing");
}

int main(void)
{
    static const struct check_case cases[] = {
        {"changes", changes}, {"still drying", still_drying}, {"reached", reached}, {"small steps", small_steps},
        {"not for good", not_for_good}, {"limits", limits}, {"rules", rules}, {"refused", refused},
    };
    return check_run("drying", cases, sizeof cases / sizeof *cases);
}
