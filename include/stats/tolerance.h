#ifndef STATS_TOLERANCE_H
#define STATS_TOLERANCE_H

/*
 * One-sided tolerance factor k: with the given confidence at least `content`
 * of the population lies above mean - k*sd. n_effective = sigma^2/Var(mean)
 * (n for a plain sample), df of the sd (n-1 for a plain sample).
 * k = t'(confidence; df, z_content*sqrt(n_effective)) / sqrt(n_effective).
 * NaN for arguments out of domain. Source: ISO 16269-6.
 */
double tolerance_factor(double n_effective, double df, double content, double confidence);

#endif
