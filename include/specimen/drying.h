#ifndef SPECIMEN_DRYING_H
#define SPECIMEN_DRYING_H

#include "base/problem.h"

#include <stdbool.h>
#include <stddef.h>

/* Has a specimen reached constant mass? docs/methods/drying.md. */
struct weighing {
    double hours; /* since any common start */
    double mass_kg;
};

/* When a mass counts as constant. */
struct drying_rule {
    double interval_hours;   /* least time between the two weighings compared */
    double change_limit_pct; /* largest change that still counts as none */
};
extern const struct drying_rule drying_rule_oven;        /* 0.5 % in 24 h; ASTM C567, C642 */
extern const struct drying_rule drying_rule_equilibrium; /* 0.5 % in 28 d at 23 C, 50 % RH; ASTM C567 */

/* Change from earlier to later in per cent of the lesser of the two, negative when mass was lost. */
double drying_change_pct(double earlier_kg, double later_kg);

struct drying_state {
    bool comparable;   /* two weighings lie far enough apart to judge at all */
    bool constant;     /* the last weighing is constant under the rule */
    size_t since;      /* first weighing from which on every one is; only when constant */
    double change_pct; /* of the last weighing against the one it is compared with; NaN when not comparable */
    double hours_apart;
    double total_change_pct; /* last against first */
};

/*
 * Judges weighings in order of time. Each is compared with the latest one at
 * least rule->interval_hours older (a hundredth of the interval is forgiven,
 * so that 23 h 50 min counts as a day).
 *
 * STATUS_TOO_FEW  fewer than two weighings
 * STATUS_INPUT    times that do not grow, or a mass that is not above zero
 */
enum status drying_judge(const struct weighing *weighings, size_t n, const struct drying_rule *rule,
                         struct drying_state *state, struct problem *problem);

#endif
