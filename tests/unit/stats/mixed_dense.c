#include "stats/mixed.h"
#include "support/check.h"

#include <stdbool.h>

/*
 * The fit against a second implementation that shares nothing with it: whole
 * n x n matrices from the definitions, V = var_batch Z Z' + var_specimen D^-1,
 * inverted by Gauss and Jordan. Formulas: Kenward and Roger, Biometrics 53
 * (1997) 983-997; Searle, Casella and McCulloch, Variance Components, 1992.
 * The data are unequal in every way: batches, weights, a predictor that varies
 * within batches.
 */
enum { N = 17, TERMS = 3, BATCHES = 6 };

static const uint32_t batch_of[N] = { 0, 0, 0, 1, 1, 2, 2, 2, 2, 3, 3, 4, 5, 5, 5, 3, 1 };

struct dense {
    double x[N * TERMS], y[N], weight[N];
    double inverse[N * N], projection[N * N], fixed[TERMS * TERMS]; /* V^-1, P, (X'V^-1X)^-1 */
    double part[2][N * N];                                          /* dV by each variance */
    double log_determinants, beta[TERMS], quadratic;
};

static void fill_data(struct dense *d)
{
    for (size_t i = 0; i < N; i++) {
        double t = (double)i;
        d->x[i * TERMS] = 1;
        d->x[i * TERMS + 1] = batch_of[i] * 0.17 + 0.2;
        d->x[i * TERMS + 2] = 3 + sin(2.1 * t);
        d->weight[i] = 1 + 0.5 * (double)(i % 3);
        d->y[i] = 30 - 8 * d->x[i * TERMS + 1] + 0.7 * d->x[i * TERMS + 2] + 1.4 * sin(5.0 * batch_of[i] + 1) + cos(3.7 * t * t);
    }
}

/* Inverse in place by pivots on the diagonal (positive definite); returns ln of the determinant. */
static double invert(double *a, size_t n)
{
    double log_determinant = 0;
    for (size_t k = 0; k < n; k++) {
        double pivot = a[k * n + k];
        log_determinant += log(pivot);
        a[k * n + k] = 1;
        for (size_t j = 0; j < n; j++)
            a[k * n + j] /= pivot;
        for (size_t i = 0; i < n; i++) {
            double factor = a[i * n + k];
            if (i == k)
                continue;
            a[i * n + k] = 0;
            for (size_t j = 0; j < n; j++)
                a[i * n + j] -= factor * a[k * n + j];
        }
    }
    return log_determinant;
}

/* c = op(a) b with a l x m (transposed: m x l) and b m x n */
static void multiply(const double *a, bool transposed, const double *b, size_t l, size_t m, size_t n, double *c)
{
    for (size_t i = 0; i < l; i++)
        for (size_t j = 0; j < n; j++) {
            c[i * n + j] = 0;
            for (size_t k = 0; k < m; k++)
                c[i * n + j] += (transposed ? a[k * l + i] : a[i * m + k]) * b[k * n + j];
        }
}

static void solve_at(struct dense *d, double var_batch, double var_specimen)
{
    double vx[N * TERMS], xvx[TERMS * TERMS], left[N * TERMS];
    for (size_t i = 0; i < N; i++)
        for (size_t j = 0; j < N; j++) {
            d->part[0][i * N + j] = batch_of[i] == batch_of[j];
            d->part[1][i * N + j] = i == j ? 1 / d->weight[i] : 0;
            d->inverse[i * N + j] = var_batch * d->part[0][i * N + j] + var_specimen * d->part[1][i * N + j];
        }
    d->log_determinants = invert(d->inverse, N);
    multiply(d->inverse, false, d->x, N, N, TERMS, vx);
    multiply(d->x, true, vx, TERMS, N, TERMS, xvx);
    memcpy(d->fixed, xvx, sizeof xvx);
    d->log_determinants += invert(d->fixed, TERMS);
    multiply(vx, false, d->fixed, N, TERMS, TERMS, left);
    for (size_t i = 0; i < N; i++)
        for (size_t j = 0; j < N; j++) {
            d->projection[i * N + j] = d->inverse[i * N + j];
            for (size_t k = 0; k < TERMS; k++)
                d->projection[i * N + j] -= left[i * TERMS + k] * vx[j * TERMS + k];
        }
    d->quadratic = 0;
    memset(d->beta, 0, sizeof d->beta);
    for (size_t i = 0; i < N; i++) {
        for (size_t k = 0; k < TERMS; k++)
            d->beta[k] += left[i * TERMS + k] * d->y[i];
        for (size_t j = 0; j < N; j++)
            d->quadratic += d->y[i] * d->projection[i * N + j] * d->y[j];
    }
}

static double dense_criterion(struct dense *d, double var_batch, double var_specimen)
{
    solve_at(d, var_batch, var_specimen);
    return d->log_determinants + d->quadratic + (N - TERMS) * log(2 * acos(-1));
}

static struct mixed_data as_data(const struct dense *d)
{
    return (struct mixed_data){ .n_rows = N, .n_terms = TERMS, .design = d->x, .response = d->y, .batch = batch_of,
                                .n_batches = BATCHES, .weights = d->weight };
}

static struct mixed_fit fit_of(const struct dense *d)
{
    struct mixed_data data = as_data(d);
    struct mixed_fit fit;
    struct problem problem;
    CU_ASSERT_EQUAL_FATAL(mixed_fit_estimate(&data, MIXED_REML, &fit, &problem), STATUS_OK);
    CU_ASSERT_TRUE(fit.var_batch > 0);
    return fit;
}

static void test_optimum(void)
{
    struct dense d;
    fill_data(&d);
    struct mixed_fit fit = fit_of(&d);
    double best = dense_criterion(&d, fit.var_batch, fit.var_specimen);
    check_close("criterion", fit.criterion, best, 1e-12);
    for (size_t k = 0; k < TERMS; k++)
        check_close("coefficient", fit.coefficient[k], d.beta[k], 1e-10);
    for (size_t k = 0; k < TERMS * TERMS; k++)
        check_close("covariance", fit.covariance[k], d.fixed[k], 1e-9);
    /* no neighbour is better, and the slope is 0: tr(P V_i) = y'P V_i P y */
    solve_at(&d, fit.var_batch, fit.var_specimen);
    double residual[N];
    multiply(d.projection, false, d.y, N, N, 1, residual);
    for (size_t part = 0; part < 2; part++) {
        double trace = 0, square = 0;
        for (size_t i = 0; i < N; i++)
            for (size_t j = 0; j < N; j++) {
                trace += d.projection[i * N + j] * d.part[part][j * N + i];
                square += residual[i] * d.part[part][i * N + j] * residual[j];
            }
        check_close("score", square, trace, 1e-9);
    }
    CU_ASSERT_TRUE(dense_criterion(&d, fit.var_batch * 1.01, fit.var_specimen) > best);
    CU_ASSERT_TRUE(dense_criterion(&d, fit.var_batch * 0.99, fit.var_specimen) > best);
    CU_ASSERT_TRUE(dense_criterion(&d, 0, fit.var_specimen) > best);
    mixed_fit_release(&fit);
}

static double trace_product(const double *a, const double *b, size_t n)
{
    double sum = 0;
    for (size_t i = 0; i < n; i++)
        for (size_t j = 0; j < n; j++)
            sum += a[i * n + j] * b[j * n + i];
    return sum;
}

/* P_i = -X'V^-1 V_i V^-1 X, Q_ij = X'V^-1 V_i V^-1 V_j V^-1 X, both expected and observed information. */
struct kenward_roger { double p[2][TERMS * TERMS], q[2][2][TERMS * TERMS], expected[4], observed[4]; };

static void fill_kenward_roger(const struct dense *d, struct kenward_roger *k)
{
    double vx[N * TERMS], residual[N];
    multiply(d->inverse, false, d->x, N, N, TERMS, vx);
    multiply(d->projection, false, d->y, N, N, 1, residual);
    for (size_t i = 0; i < 2; i++) {
        double side[N * TERMS], solved[N * TERMS], pv[N * N], pr[N], vr[N];
        multiply(d->part[i], false, vx, N, N, TERMS, side);
        multiply(vx, true, side, TERMS, N, TERMS, k->p[i]);
        for (size_t e = 0; e < TERMS * TERMS; e++)
            k->p[i][e] = -k->p[i][e];
        multiply(d->inverse, false, side, N, N, TERMS, solved);
        multiply(d->projection, false, d->part[i], N, N, N, pv);
        multiply(d->part[i], false, residual, N, N, 1, vr);
        multiply(d->projection, false, vr, N, N, 1, pr);
        for (size_t j = 0; j < 2; j++) {
            double other[N * TERMS], pw[N * N], wr[N], square = 0;
            multiply(d->part[j], false, vx, N, N, TERMS, other);
            multiply(solved, true, other, TERMS, N, TERMS, k->q[i][j]);
            multiply(d->projection, false, d->part[j], N, N, N, pw);
            multiply(d->part[j], false, residual, N, N, 1, wr);
            for (size_t e = 0; e < N; e++)
                square += wr[e] * pr[e];
            k->expected[i * 2 + j] = trace_product(pv, pw, N) / 2;
            k->observed[i * 2 + j] = square - k->expected[i * 2 + j];
        }
    }
    invert(k->expected, 2);
    invert(k->observed, 2);
}

static double sandwich(const double *l, const double *m)
{
    double sum = 0;
    for (size_t i = 0; i < TERMS; i++)
        for (size_t j = 0; j < TERMS; j++)
            sum += l[i] * m[i * TERMS + j] * l[j];
    return sum;
}

/* Phi m Phi */
static void between(const double *phi, const double *m, double *out)
{
    double half[TERMS * TERMS];
    multiply(phi, false, m, TERMS, TERMS, TERMS, half);
    multiply(half, false, phi, TERMS, TERMS, TERMS, out);
}

/* Adjusted covariance Phi + 2 Phi [sum W_ij (Q_ij - P_i Phi P_j)] Phi */
static void adjusted_covariance(const struct dense *d, const struct kenward_roger *k, double *adjusted)
{
    memcpy(adjusted, d->fixed, TERMS * TERMS * sizeof *adjusted);
    for (size_t i = 0; i < 2; i++)
        for (size_t j = 0; j < 2; j++) {
            double half[TERMS * TERMS], product[TERMS * TERMS], out[TERMS * TERMS];
            multiply(k->p[i], false, d->fixed, TERMS, TERMS, TERMS, half);
            multiply(half, false, k->p[j], TERMS, TERMS, TERMS, product);
            for (size_t e = 0; e < TERMS * TERMS; e++)
                product[e] = k->q[i][j][e] - product[e];
            between(d->fixed, product, out);
            for (size_t e = 0; e < TERMS * TERMS; e++)
                adjusted[e] += 2 * k->expected[i * 2 + j] * out[e];
        }
}

static double df_of(const double *gradient, const double *covariance, double variance)
{
    double spread = gradient[0] * gradient[0] * covariance[0] + 2 * gradient[0] * gradient[1] * covariance[1] +
                    gradient[1] * gradient[1] * covariance[3];
    return 2 * variance * variance / spread;
}

static void test_degrees_of_freedom(void)
{
    static const double combinations[][TERMS] = { { 1, 0, 0 }, { 0, 1, 0 }, { 0, 0, 1 }, { 1, 0.4, 2.5 } };
    struct dense d;
    struct kenward_roger k;
    fill_data(&d);
    struct mixed_fit fit = fit_of(&d);
    solve_at(&d, fit.var_batch, fit.var_specimen);
    fill_kenward_roger(&d, &k);
    double adjusted[TERMS * TERMS];
    adjusted_covariance(&d, &k, adjusted);
    for (size_t e = 0; e < TERMS * TERMS; e++)
        check_close("adjusted covariance", fit.covariance_kr[e], adjusted[e], 1e-8);
    for (size_t e = 0; e < 4; e++)
        check_close("covariance of the variances", fit.variance_covariance[e], k.expected[e], 1e-8);
    for (size_t c = 0; c < 4; c++) {
        double gradient[2], moved[TERMS * TERMS];
        for (size_t i = 0; i < 2; i++) {
            between(d.fixed, k.p[i], moved);
            gradient[i] = -sandwich(combinations[c], moved);
        }
        double variance = sandwich(combinations[c], d.fixed);
        struct contrast contrast;
        mixed_fit_contrast(&fit, combinations[c], &contrast);
        check_close("Kenward-Roger se", contrast.std_error, sqrt(sandwich(combinations[c], adjusted)), 1e-9);
        check_close("Kenward-Roger df", contrast.df, df_of(gradient, k.expected, variance), 1e-8);
        check_close("Satterthwaite df", mixed_fit_satterthwaite_df(&fit, combinations[c]),
                    df_of(gradient, k.observed, variance), 1e-8);
        double predicted, df, m = 2;
        double forward[2] = { gradient[0] + 1, gradient[1] + 1 / m };
        double total = variance + fit.var_batch + fit.var_specimen / m;
        mixed_fit_prediction(&fit, combinations[c], m, &predicted, &df);
        check_close("prediction variance", predicted,
                    sandwich(combinations[c], adjusted) + fit.var_batch + fit.var_specimen / m, 1e-9);
        check_close("prediction df", df, df_of(forward, k.expected, total), 1e-8);
    }
    mixed_fit_release(&fit);
}

/* Leaving a batch out at fixed variances, by fitting what is left with whole matrices. */
static void test_leave_one_batch_out(void)
{
    struct dense d;
    fill_data(&d);
    struct mixed_fit fit = fit_of(&d);
    struct mixed_data data = as_data(&d);
    double rmse, distance[BATCHES], squares = 0;
    CU_ASSERT_EQUAL_FATAL(mixed_leave_one_batch_out(&data, &fit, NULL, &rmse), STATUS_OK);
    CU_ASSERT_EQUAL_FATAL(mixed_cooks_distance(&data, &fit, distance), STATUS_OK);
    for (uint32_t out = 0; out < BATCHES; out++) {
        /* a weight near 0 and a batch effect of its own leave the others as they are */
        struct dense rest = d;
        for (size_t i = 0; i < N; i++)
            rest.weight[i] = batch_of[i] == out ? 1e-9 : d.weight[i];
        solve_at(&rest, fit.var_batch, fit.var_specimen);
        double shift[TERMS], information[TERMS * TERMS];
        for (size_t k = 0; k < TERMS; k++)
            shift[k] = rest.beta[k] - fit.coefficient[k];
        memcpy(information, fit.covariance, sizeof information);
        invert(information, TERMS);
        check_close("Cook's distance", distance[out], sandwich(shift, information) / TERMS, 1e-5);
        for (size_t i = 0; i < N; i++) {
            double error = batch_of[i] == out ? d.y[i] : 0;
            for (size_t k = 0; batch_of[i] == out && k < TERMS; k++)
                error -= d.x[i * TERMS + k] * rest.beta[k];
            squares += error * error;
        }
    }
    check_close("root mean square error", rmse, sqrt(squares / N), 1e-6);
    mixed_fit_release(&fit);
}

int main(void)
{
    static const struct check_case cases[] = {
        { "optimum", test_optimum },
        { "degrees of freedom", test_degrees_of_freedom },
        { "leave one batch out", test_leave_one_batch_out },
    };
    return check_run("mixed_dense", cases, sizeof cases / sizeof *cases);
}
