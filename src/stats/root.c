#include "stats/root.h"

#include "stats/gsl_guard.h"

#include <float.h>
#include <gsl/gsl_errno.h>
#include <gsl/gsl_min.h>
#include <gsl/gsl_roots.h>
#include <math.h>
#include <stdbool.h>

#define ITERATIONS_MAX 200
#define STRIDES_LEAST 50
#define STATE_ROOM 32      /* doubles: room for GSL's state on the stack, so that nothing is allocated inside */

static double finest(double x, double tolerance)
{
    return fmax(tolerance, 4 * DBL_EPSILON * fabs(x));
}

/* Brent's steps until the bracket is narrow enough; the solver has been set. */
static enum status close_in(gsl_root_fsolver *solver, double tolerance, double *root)
{
    for (int i = 0; i < ITERATIONS_MAX; i++) {
        if (gsl_root_fsolver_iterate(solver) != GSL_SUCCESS)
            return STATUS_NUMERIC;
        *root = gsl_root_fsolver_root(solver);
        double width = gsl_root_fsolver_x_upper(solver) - gsl_root_fsolver_x_lower(solver);
        if (width <= 2 * finest(*root, tolerance))
            return STATUS_OK;
    }
    return STATUS_NUMERIC;
}

/* A function between two points where its values are known: GSL would ask for them again. */
struct bracket {
    root_function *function;
    void *context;
    struct root_point low, high;
};

static double bracket_value(double x, void *context)
{
    const struct bracket *bracket = context;
    return x == bracket->low.x ? bracket->low.value : x == bracket->high.x ? bracket->high.value : bracket->function(x, bracket->context);
}

static enum status solve_between(struct bracket *bracket, double tolerance, double *root)
{
    double room[STATE_ROOM];
    gsl_root_fsolver solver = { .type = gsl_root_fsolver_brent, .state = room };
    gsl_function wrapped = { bracket_value, bracket };
    gsl_guard_begin();
    if (solver.type->size > sizeof room || gsl_root_fsolver_set(&solver, &wrapped, bracket->low.x, bracket->high.x) != GSL_SUCCESS)
        return STATUS_NUMERIC;
    return close_in(&solver, tolerance, root);
}

static bool signs_differ(double a, double b)
{
    return (a < 0 && b > 0) || (a > 0 && b < 0);
}

enum status root_within(root_function *function, void *context, struct root_point low, struct root_point high, double tolerance,
                        double *root)
{
    *root = NAN;
    if (!(low.x < high.x) || !isfinite(low.x) || !isfinite(high.x))
        return STATUS_NUMERIC;
    if (low.value == 0 || high.value == 0) {
        *root = low.value == 0 ? low.x : high.x;
        return STATUS_OK;
    }
    if (!signs_differ(low.value, high.value))
        return STATUS_NUMERIC;
    struct bracket bracket = { function, context, low, high };
    enum status status = solve_between(&bracket, tolerance, root);
    if (status != STATUS_OK)
        *root = NAN;
    return status;
}

enum status root_between(root_function *function, void *context, double low, double high, double tolerance, double *root)
{
    *root = NAN;
    if (!(low < high) || !isfinite(low) || !isfinite(high))
        return STATUS_NUMERIC;
    struct root_point at_low = { low, function(low, context) }, at_high = { high, function(high, context) };
    return root_within(function, context, at_low, at_high, tolerance, root);
}

/* The smallest value between low and high, where the middle is lower than both ends. */
static double minimum_inside(root_function *function, void *context, struct root_point low, struct root_point middle, struct root_point high, double tolerance)
{
    double room[STATE_ROOM], x = middle.x;
    gsl_min_fminimizer minimiser = { .type = gsl_min_fminimizer_brent, .state = room };
    gsl_function wrapped = { function, context };
    gsl_guard_begin();
    bool going = minimiser.type->size <= sizeof room &&
                 gsl_min_fminimizer_set_with_values(&minimiser, &wrapped, middle.x, middle.value, low.x, low.value, high.x, high.value) == GSL_SUCCESS;
    for (int i = 0; going && i < ITERATIONS_MAX; i++) {
        going = gsl_min_fminimizer_iterate(&minimiser) == GSL_SUCCESS;
        x = gsl_min_fminimizer_x_minimum(&minimiser);
        double width = gsl_min_fminimizer_x_upper(&minimiser) - gsl_min_fminimizer_x_lower(&minimiser);
        /* A minimum is known to half the digits at best: the curve is flat there. */
        going = going && width > 2 * fmax(finest(x, tolerance), sqrt(DBL_EPSILON) * fabs(x));
    }
    return x;
}

/* A walk of many steps takes strides first, and looks at every step only where they tell of an edge or a turn. */
static size_t stride_of(size_t n_steps)
{
    return n_steps >= 2 * STRIDES_LEAST ? n_steps / STRIDES_LEAST : 1;
}

static double grid_point(double low, double high, size_t step, size_t n_steps)
{
    return step == n_steps ? high : low + (high - low) * ((double)step / (double)n_steps);
}

static struct root_point node_at(root_function *function, void *context, double x)
{
    return (struct root_point){ x, function(x, context) };
}

/* The lowest grid point so far; the first of equals when steps rise. */
struct least { size_t step; double value; };

/* Round the lowest grid point, whose neighbours are not lower. */
static double refine_minimum(root_function *function, void *context, double low, double high, size_t n_steps,
                             const struct least *least, double tolerance)
{
    size_t best = least->step;
    struct root_point here = { grid_point(low, high, best, n_steps), least->value };
    if (best == n_steps)
        return here.x;
    struct root_point after = node_at(function, context, grid_point(low, high, best + 1, n_steps));
    if (after.value == here.value) { /* the bottom lies between the two, if anywhere */
        struct root_point middle = node_at(function, context, here.x + (after.x - here.x) / 2);
        return middle.value < here.value ? minimum_inside(function, context, here, middle, after, tolerance) : here.x;
    }
    if (best == 0)
        return here.x;
    struct root_point before = node_at(function, context, grid_point(low, high, best - 1, n_steps));
    if (before.value > here.value && after.value > here.value)
        return minimum_inside(function, context, before, here, after, tolerance);
    return here.x;
}

static void keep_least(root_function *function, void *context, double low, double high, size_t n_steps, size_t step, struct least *least)
{
    double value = function(grid_point(low, high, step, n_steps), context);
    if (value < least->value || (value == least->value && step < least->step))
        *least = (struct least){ step, value };
}

/* Lowest of all grid points, NaN passed over: strides first, then every step on both sides of the lowest. */
static struct least grid_least(root_function *function, void *context, double low, double high, size_t n_steps)
{
    struct least least = { 0, INFINITY };
    size_t stride = stride_of(n_steps);
    for (size_t step = 0; step < n_steps; step += stride)
        keep_least(function, context, low, high, n_steps, step, &least);
    keep_least(function, context, low, high, n_steps, n_steps, &least);
    size_t from = least.step > stride ? least.step - stride : 0;
    size_t to = least.step + stride < n_steps ? least.step + stride : n_steps;
    for (size_t step = from; stride > 1 && step <= to; step++)
        if (step % stride != 0 && step != n_steps)
            keep_least(function, context, low, high, n_steps, step, &least);
    return least;
}

enum status root_minimum(root_function *function, void *context, double low, double high, size_t n_steps,
                         double tolerance, double *x)
{
    *x = NAN;
    if (n_steps == 0 || !(low <= high))
        return STATUS_NUMERIC;
    struct least least = grid_least(function, context, low, high, n_steps);
    if (!isfinite(least.value))
        return STATUS_NUMERIC;
    double refined = refine_minimum(function, context, low, high, n_steps, &least, tolerance);
    *x = function(refined, context) <= least.value ? refined : grid_point(low, high, least.step, n_steps);
    return STATUS_OK;
}

/* ---- where a function is not negative ---- */

struct walk {
    root_function *function;
    void *context;
    double tolerance;
};

static bool is_met(const struct root_point *node)
{
    return node->value >= 0; /* false for NaN */
}

static double turned(double x, void *context)
{
    struct walk *walk = context;
    return -walk->function(x, walk->context);
}

static struct root_point turned_node(const struct root_point *node)
{
    return (struct root_point){ node->x, -node->value };
}

/* Whether the middle one of three points is a peak that is not met, or a dip that is. */
static bool turns(const struct root_point *a, const struct root_point *b, const struct root_point *c)
{
    return is_met(b) ? a->value > b->value && c->value > b->value : b->value > a->value && b->value > c->value;
}

/* Between three grid points of one sign: does the curve cross zero and come back? If so, the point of its turn. */
static bool hidden_turn(struct walk *walk, const struct root_point *a, const struct root_point *b, const struct root_point *c,
                        struct root_point *turn)
{
    if (!turns(a, b, c))
        return false;
    double x = is_met(b) ? minimum_inside(walk->function, walk->context, *a, *b, *c, walk->tolerance)
                         : minimum_inside(turned, walk, turned_node(a), turned_node(b), turned_node(c), walk->tolerance);
    *turn = node_at(walk->function, walk->context, x);
    return is_met(turn) != is_met(b);
}

/* A point that is met, at most a few tolerances from the root; NaN when the root cannot be trusted. */
static double pin_by_root(struct walk *walk, const struct root_point *met, const struct root_point *unmet)
{
    double inside = met->x, outside = unmet->x, root;
    bool rises = inside < outside;
    if (!isfinite(met->value) || !isfinite(unmet->value) ||
        root_within(walk->function, walk->context, rises ? *met : *unmet, rises ? *unmet : *met, walk->tolerance, &root) != STATUS_OK)
        return NAN;
    double step = finest(root, walk->tolerance) * (inside < outside ? -1 : 1);
    for (int i = 0; i < 4; i++, step *= 2) { /* the root itself may lie a hair on the wrong side */
        if (walk->function(root, walk->context) >= 0)
            return root;
        root = (root + step - inside) * (outside - inside) > 0 ? root + step : inside;
    }
    return NAN;
}

/* The edge between a point that is met and one that is not; the x given back is met. */
static double pin_edge(struct walk *walk, const struct root_point *met, const struct root_point *unmet)
{
    double inside = pin_by_root(walk, met, unmet), outside = unmet->x;
    if (!isnan(inside))
        return inside;
    inside = met->x;
    for (int i = 0; i < ITERATIONS_MAX && fabs(outside - inside) > finest(inside, walk->tolerance); i++) {
        double middle = inside + (outside - inside) / 2;
        if (walk->function(middle, walk->context) >= 0)
            inside = middle;
        else
            outside = middle;
    }
    return inside;
}

struct grid { double low, high; size_t n_steps; };

static struct root_point grid_node(const struct walk *walk, const struct grid *grid, size_t step)
{
    return node_at(walk->function, walk->context, grid_point(grid->low, grid->high, step, grid->n_steps));
}

/* Whether an edge or a turn may lie in the stride from i to i + 1. */
static bool worth_a_look(const struct root_point *strides, size_t n, size_t i)
{
    const struct root_point *a = &strides[i], *b = a + 1;
    return is_met(a) != is_met(b) || isnan(a->value) != isnan(b->value) || (i > 0 && turns(a - 1, a, b)) || (i + 2 < n && turns(a, b, b + 1));
}

/* Grid points in rising order, all of them where it matters; strides is room for as many as n_steps + 1. */
static size_t lay_grid(const struct walk *walk, const struct grid *grid, struct root_point *strides, struct root_point *points)
{
    size_t stride = stride_of(grid->n_steps), n_strides = 0, n = 0;
    for (size_t step = 0; step < grid->n_steps; step += stride)
        strides[n_strides++] = grid_node(walk, grid, step);
    strides[n_strides++] = grid_node(walk, grid, grid->n_steps);
    for (size_t i = 0; i < n_strides; i++) {
        points[n++] = strides[i];
        if (i + 1 < n_strides && worth_a_look(strides, n_strides, i))
            for (size_t step = i * stride + 1; step < (i + 1) * stride && step < grid->n_steps; step++)
                points[n++] = grid_node(walk, grid, step);
    }
    return n;
}

/* The grid points with the hidden turns put in between; nodes has room for twice as many. */
static size_t lay_nodes(struct walk *walk, const struct root_point *points, size_t n_points, struct root_point *nodes)
{
    struct root_point turn;
    size_t n = 0;
    for (size_t i = 0; i < n_points; i++) {
        const struct root_point *point = &points[i];
        if (i >= 2 && hidden_turn(walk, point - 2, point - 1, point, &turn)) {
            bool before = turn.x < point[-1].x; /* the middle point is down already: keep x in order */
            nodes[n] = before ? nodes[n - 1] : turn;
            if (before)
                nodes[n - 1] = turn;
            n++;
        }
        nodes[n++] = *point;
    }
    return n;
}

static size_t gather(struct walk *walk, const struct root_point *nodes, size_t n_nodes, struct root_interval *intervals,
                     size_t capacity)
{
    size_t found = 0;
    double start = NAN;
    for (size_t i = 0; i < n_nodes; i++) {
        if (!is_met(&nodes[i]))
            continue;
        if (i == 0 || !is_met(&nodes[i - 1]))
            start = i == 0 ? nodes[0].x : pin_edge(walk, &nodes[i], &nodes[i - 1]);
        bool last = i + 1 == n_nodes;
        if (!last && is_met(&nodes[i + 1]))
            continue;
        double end = last ? nodes[i].x : pin_edge(walk, &nodes[i], &nodes[i + 1]);
        if (found < capacity)
            intervals[found] = (struct root_interval){ start, end };
        found++;
    }
    return found;
}

enum status root_nonnegative(root_function *function, void *context, double low, double high, size_t n_steps,
                             double tolerance, struct root_interval *intervals, size_t capacity, size_t *found)
{
    *found = 0;
    struct root_point nodes[2 * (ROOT_STEPS_MAX + 1)], points[ROOT_STEPS_MAX + 1]; /* here, so that no search can fail for want of memory */
    if (n_steps == 0 || n_steps > ROOT_STEPS_MAX || !(low <= high))
        return STATUS_NUMERIC;
    struct walk walk = { function, context, tolerance };
    struct grid grid = { low, high, n_steps };
    size_t n_points = lay_grid(&walk, &grid, nodes, points), n_nodes = lay_nodes(&walk, points, n_points, nodes);
    *found = gather(&walk, nodes, n_nodes, intervals, capacity);
    return *found > capacity ? STATUS_NUMERIC : STATUS_OK;
}
