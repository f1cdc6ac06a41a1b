"""The reference job in Python, by least squares: read, compute, per-mix table, fits of log strength and density on the
fraction of each aggregate, assured values, lightest fraction that meets both demands.

    python3 reference.py SPECIMENS.csv [mixed]

"mixed" fits a random batch by REML with statsmodels instead.
"""
import sys

import numpy as np
import pandas as pd

TARGET, LIMIT = np.log(12), 1900.0


def fit(rows, y, mixed):
    """Coefficients, their covariance and the variance of a new result."""
    x = rows.aggregate_fraction.to_numpy()
    terms = np.column_stack([np.ones_like(x), x, x * x])
    if mixed:
        from statsmodels.regression.mixed_linear_model import MixedLM
        result = MixedLM(y, terms, groups=rows.batch.to_numpy()).fit(reml=True)
        return result.fe_params, result.cov_params()[:3, :3], float(result.cov_re[0, 0]) + result.scale / 3
    coefficients, rest, _, _ = np.linalg.lstsq(terms, y, rcond=None)
    variance = rest[0] / (len(y) - 3)
    return coefficients, variance * np.linalg.inv(terms.T @ terms), variance


def assured(rows, y, x, side, mixed):
    coefficients, covariance, variance = fit(rows, y, mixed)
    terms = np.column_stack([np.ones_like(x), x, x * x])
    spread = np.einsum("ij,jk,ik->i", terms, covariance, terms) + variance
    return terms @ coefficients + side * 1.645 * np.sqrt(spread)


def main():
    mixed = sys.argv[2:] == ["mixed"]
    d = pd.read_csv(sys.argv[1])
    d["density"] = d.mass_g / 1000 / (d.length_mm / 1000) ** 3
    d["strength"] = d.break_load_kN * 1000 / d.length_mm**2
    print(d.groupby("mix")[["density", "strength"]].agg(["count", "mean", "std"]))
    for name, rows in d[d["aggregate"] != "gravel"].groupby("aggregate"):
        x = np.linspace(rows.aggregate_fraction.min(), rows.aggregate_fraction.max(), 401)
        met = (assured(rows, np.log(rows.strength.to_numpy()), x, -1, mixed) >= TARGET) & (
            assured(rows, rows.density.to_numpy(), x, 1, mixed) <= LIMIT)
        if met.any():
            print(name, "at", x[met].max())


main()
