#ifndef STATS_MIXED_H
#define STATS_MIXED_H

#include "base/problem.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* Batches of one size that share their row of the design: to any fit their means differ by luck alone. */
struct mixed_cell {
    size_t design;       /* that row */
    double n_rows;       /* in each of the batches */
    double n_batches;
    double mean;         /* of the batch means, less shift */
    double squares;      /* sum of squares of the batch means about it */
};

/*
 * What many batches say of a response when the design does not change within a batch: means, pooled in cells. Who fits several
 * designs to one response keeps it between the fits, so that only the first goes through the rows; another response, or another
 * batch_design, is pooled anew.
 * Batches that were summed up elsewhere, for fits without rows (struct mixed_data), are put in by mixed_pool_lend(), and must be
 * kept as long as the pool; the first fit finds their cells, and it stays with its batch_design, which must be kept likewise.
 * Zero-initialise; release with mixed_pool_release().
 */
struct mixed_pool {
    const double *response;       /* that was pooled; NULL: nothing yet, or batches that were summed up elsewhere */
    const uint32_t *batch_design; /* that its cells are of */
    const double *mean;          /* n_batches: of the rows of each; read by mixed_pool_mean() */
    const uint32_t *batch_rows;  /* n_batches: how many these are */
    uint32_t *batch_cell;        /* n_batches, of those that have rows */
    double *own_mean;            /* the same as the two above; NULL where they are lent */
    uint32_t *own_rows;
    double shift;
    double unshifted;            /* shift where the means are lent as they are; 0 where they are kept less shift */
    double squares;              /* of the rows about their batch means */
    struct mixed_cell *cells;
    size_t n_cells;
};
void mixed_pool_release(struct mixed_pool *pool);

/* Puts in batches that were summed up elsewhere: their means and numbers of rows, and the squares of the rows about the means. */
void mixed_pool_lend(struct mixed_pool *pool, const double *mean, const uint32_t *batch_rows, double squares);

/* Mean of the rows of a batch, less shift. */
static inline double mixed_pool_mean(const struct mixed_pool *pool, size_t batch)
{
    return pool->mean[batch] - pool->unshifted;
}

/* From here on batches are summed up rather than fitted row by row. */
enum { MIXED_BATCHES_MANY = 1000 };

/*
 * Model: response = design * coefficient + batch effect + specimen error,
 * batch ~ N(0, var_batch), specimen ~ N(0, var_specimen / weight).
 * The rows; or without them (response and batch NULL) a pool that sums them up, with batch_design: then there is neither
 * leverage nor a fit by least squares.
 */
struct mixed_data {
    size_t n_rows, n_terms;
    const double *design;           /* n_rows x n_terms, row-major, or fewer rows with batch_design; an intercept is a column of ones */
    const double *response;         /* n_rows */
    const uint32_t *batch;          /* n_rows, 0 .. n_batches-1, or NULL: no batch effect (least squares) */
    size_t n_batches;
    const double *weights;          /* n_rows, positive, or NULL */
    const char *const *term_names;  /* n_terms, for messages */
    const uint32_t *batch_design;   /* n_batches: the row of the design that all rows of a batch share, or NULL: each row has its own */
    bool no_leverage;               /* spares the work where nobody asks for it */
    struct mixed_pool *pool;        /* NULL, or kept for further fits of the same rows and batches: with batch_design, without weights */
};

/* Which row of the design a row has, and its n_terms values. */
static inline size_t mixed_design_index(const struct mixed_data *data, size_t row)
{
    /* NOLINTNEXTLINE(clang-analyzer-core.NullDereference): batch_design comes with batch */
    return data->batch_design ? data->batch_design[data->batch[row]] : row;
}
static inline const double *mixed_design_row(const struct mixed_data *data, size_t row)
{
    return data->design + mixed_design_index(data, row) * data->n_terms;
}

enum mixed_method { MIXED_REML, MIXED_ML, MIXED_LEAST_SQUARES };

/* Owns its arrays; release with mixed_fit_release(). */
struct mixed_fit {
    enum mixed_method method;
    size_t n_rows, n_terms, n_batches;
    double *coefficient;          /* n_terms */
    double *covariance;           /* n_terms^2, model-based */
    double *covariance_kr;        /* n_terms^2, Kenward-Roger adjusted; equals covariance for least squares */
    double var_batch, var_specimen;
    double variance_covariance[4];/* asymptotic covariance of (var_batch, var_specimen), 2x2; expected information, as Kenward-Roger use it */
    double *kr_derivatives;       /* private to the module: P and Q matrices for df */
    bool has_batch_effect;        /* false: least squares (one specimen a batch, or no batches) */
    bool at_boundary;             /* var_batch estimated as 0 */
    double criterion;             /* -2 log restricted likelihood, full constants (as R's lmer prints) */
    double log_likelihood;        /* of the ML fit: at ML estimates of the same model, full constants */
    double log_likelihood_reml;
    double residual_df;           /* n_rows - n_terms */
    double residual_sum_squares;  /* about the fixed part */
    double r_squared;             /* 1 - RSS/TSS about the fixed part (TSS about the mean, or about 0 without intercept) */
    double condition;             /* of the centred, scaled design */
    double *leverage;             /* n_rows: of the fixed part, least-squares hat diagonal; NULL with no_leverage or when n_rows is large */
};

/*
 * Fits by REML (default), ML or least squares. When every batch has one row
 * the batch effect cannot be told from the specimen's: least squares is used
 * and has_batch_effect is false. Profile over var_batch/var_specimen from
 * per-batch sums; the boundary at zero is handled, never skipped.
 *
 * STATUS_TOO_FEW  n_rows <= n_terms, or n_batches <= n_terms when a batch effect is asked
 * STATUS_NUMERIC  a term depends on the others (named), or a value is not finite
 * STATUS_MEMORY
 * Source: docs/methods/random-batch.md
 */
enum status mixed_fit_estimate(const struct mixed_data *data, enum mixed_method method,
                               struct mixed_fit *fit, struct problem *problem);
void mixed_fit_release(struct mixed_fit *fit);

/* Whether the results inside each batch are identical, so that the batch means alone were fitted. */
bool mixed_fit_means_only(const struct mixed_fit *fit);

/*
 * Small-sample AIC of the maximum likelihood fit. It counts the results that
 * the likelihood is of: rows, or batches where their means alone were fitted.
 * INFINITY with too few of them, -INFINITY for a fit that meets them all.
 * Source: docs/methods/choice-of-law.md
 */
double mixed_fit_aicc(const struct mixed_fit *fit);

/* A linear combination of the coefficients. */
struct contrast {
    double estimate, std_error, df; /* Kenward-Roger se and df; least squares: residual df */
    double variance_mean;           /* std_error^2 */
};
void mixed_fit_contrast(const struct mixed_fit *fit, const double *combination, struct contrast *contrast);

/* Satterthwaite df of the same combination. */
double mixed_fit_satterthwaite_df(const struct mixed_fit *fit, const double *combination);

/*
 * Variance of prediction at a combination for the mean of m specimens of one
 * new batch: se^2 + var_batch + var_specimen/m, and its Satterthwaite df.
 * With least squares the residual variance stands for the whole (m is then 1,
 * since one specimen a batch cannot separate the parts).
 */
void mixed_fit_prediction(const struct mixed_fit *fit, const double *combination, double m,
                          double *variance, double *df);

/*
 * How far below (or above, for a limit) the estimate of a combination a
 * one-sided bound lies. Exact in balanced studies, for any size of the batch
 * effect: the two mean squares behind the fit are kept apart, where the
 * variances above are cut off at 0 and pooled, which errs to the safe side for
 * means and new batches and to the unsafe side for tolerance bounds. Where
 * var_batch is estimated as 0, none is smaller than that of least squares.
 *
 * mean        of the estimate itself
 * next_batch  of the mean of m specimens of one new batch
 * tolerance   of the part `content` of all specimens of all batches
 *
 * With least squares they are t, t and noncentral t bounds. NaN for a
 * confidence or content outside (0, 1). Source: docs/methods/random-batch.md
 */
double mixed_fit_mean_margin(const struct mixed_fit *fit, const double *combination, double confidence);
double mixed_fit_next_batch_margin(const struct mixed_fit *fit, const double *combination, double m, double confidence);
double mixed_fit_tolerance_margin(const struct mixed_fit *fit, const double *combination, double content,
                                  double confidence);

/*
 * The confidence whose next-batch margin is `distance`: the chance that the
 * mean of m specimens of one new batch lies no further than this below (or
 * above, for a limit) the estimate; under 1/2 for a distance below 0.
 */
double mixed_fit_next_batch_chance(const struct mixed_fit *fit, const double *combination, double m, double distance);

/*
 * The tolerance margin about the mean of a balanced study still to be made, of
 * n_batches (2 or more) of per_batch specimens, should its mean squares come
 * out at what these variances make them.
 */
double mixed_balanced_tolerance_margin(double var_batch, double var_specimen, double n_batches, double per_batch,
                                       double content, double confidence);

/* Total variance of one specimen of a new batch, and its Satterthwaite df. */
void mixed_fit_total_variance(const struct mixed_fit *fit, double *variance, double *df);

/*
 * Lack of fit of the fixed part against free means of the groups (0..n_groups-1;
 * group: of each row of the design),
 * tested on batch means (on rows when data->batch is NULL), which carry the
 * batches' luck in full. Batches of unequal size are weighted by the variances
 * that the nested analysis of variance gives. available is false, and all else
 * NaN, when there are no more groups than terms, no group has a second batch,
 * a batch lies in two groups, or the design changes within a group.
 *
 * STATUS_NUMERIC  the terms depend on one another
 * STATUS_MEMORY
 */
struct lack_of_fit { double f, df1, df2, p; bool available; };
enum status mixed_lack_of_fit(const struct mixed_data *data, const uint32_t *group, size_t n_groups,
                              struct lack_of_fit *result);

/* What was measured where the response is a transform of it, such as its logarithm. */
struct mixed_measured {
    const double *value;      /* n_rows */
    double (*back)(double);   /* from the response's scale to that of value, such as exp */
    struct mixed_pool *pool;  /* over value, as mixed_data.pool is over the response; NULL or kept */
};

/*
 * Root mean square, over all rows, of the errors with which each batch (each
 * row, when data->batch is NULL) is predicted from the others: coefficients
 * refitted without it, variances kept. The errors are those of the response,
 * or of measured, if not NULL, about the prediction turned back.
 *
 * STATUS_TOO_FEW  some batch alone carries a term, so that it cannot be left out; *rmse is NaN
 * STATUS_MEMORY
 */
enum status mixed_leave_one_batch_out(const struct mixed_data *data, const struct mixed_fit *fit, const struct mixed_measured *measured,
                                      double *rmse);

/*
 * Cook's distance of each batch (each row, when data->batch is NULL): squared
 * move of all coefficients when it is left out, in units of their covariance,
 * a term; variances kept. distance: n_batches or n_rows values; 0 for a batch
 * without rows, INFINITY for one that alone carries a term.
 * It takes the rows.
 * STATUS_MEMORY
 * Source: Cook, Technometrics 19 (1977) 15-18
 */
enum status mixed_cooks_distance(const struct mixed_data *data, const struct mixed_fit *fit, double *distance);

#endif
