#ifndef STATS_DISTRIBUTION_H
#define STATS_DISTRIBUTION_H

#include <stddef.h>

/*
 * Quantiles and tails through one door: arguments are checked, NaN comes back
 * for anything out of domain, nothing is printed, nothing hangs. df may be
 * fractional; INFINITY means the normal limit where one exists.
 */
double normal_quantile(double probability);
double normal_tail(double z);                         /* upper tail */
double t_quantile(double probability, double df);
double t_two_sided_p(double t, double df);
double chi_square_quantile(double probability, double df);
double chi_square_tail(double x, double df);
double f_quantile(double probability, double df1, double df2);
double f_tail(double f, double df1, double df2);
double beta_quantile(double probability, double a, double b);
double noncentral_t_probability(double t, double df, double noncentrality); /* lower tail, right also beyond |ncp| 37 */
/* The same to about 1e-13 of 1 in a fifth of the time: for searches that only ask whether a chance is enough. */
double noncentral_t_probability_near(double t, double df, double noncentrality);
double noncentral_t_quantile(double probability, double df, double noncentrality);
double studentized_range_quantile(double probability, double n_means, double df);
double studentized_range_tail(double q, double n_means, double df);
/* The same of many q (n) of one family, in much less time. */
void studentized_range_tails(const double *q, size_t n, double n_means, double df, double *tail);

#endif
