"""Holds the program against SciPy: usage checks.py PROGRAM LIST-FACTORS WORK-FOLDER."""
import csv
import json
import math
import random
import subprocess
import sys

import numpy
from scipy import optimize, stats

PROGRAM, FACTORS, WORK = sys.argv[1:4]


def tell(case, quantity, got, want, bar, absolute=False):
    """A line of the agreement: part, case, quantity, digits, bar."""
    error = math.nan if got is None else abs(got - want) / (1 if absolute or want == 0 else abs(want))
    digits = 0 if math.isnan(error) else 15 if error == 0 else min(15, max(0, -math.log10(error)))
    print("SciPy", case, quantity, f"{digits:.1f}", f"{bar:.1f}", sep="\t")
    if digits < bar - 0.05:
        print(f"{case}, {quantity}: the program says {got!r}, SciPy {want!r}", file=sys.stderr)


def answer(*arguments):
    """The object that the program answers with."""
    out = subprocess.run([PROGRAM, *arguments, "--json", "--quiet"], capture_output=True, check=True).stdout
    return json.loads(out)


def factors(requests):
    """Values of the libraries, one for each request."""
    out = subprocess.run([FACTORS], input="\n".join(requests) + "\n", capture_output=True, check=True, text=True).stdout
    return [[float(word) for word in line.split()] for line in out.splitlines()]


def write(name, heading, rows):
    path = f"{WORK}/{name}.csv"
    with open(path, "w", newline="") as file:
        writer = csv.writer(file)
        writer.writerow(heading)
        writer.writerows([[repr(cell) if isinstance(cell, float) else cell for cell in row] for row in rows])
    return path


def check_tolerance():
    cases = [(n, n - 1, p, c) for n in (2, 3, 5, 9, 20, 60) for p in (0.9, 0.95, 0.99) for c in (0.75, 0.95, 0.99)]
    cases += [(3.7, 2.4, 0.95, 0.95), (5.2, 8.9, 0.9, 0.95), (1.6, 4.3, 0.95, 0.9)]
    got = factors([f"tolerance {n!r} {df!r} {p!r} {c!r}" for n, df, p, c in cases])
    for (n, df, p, c), (k,) in zip(cases, got):
        want = stats.nct.ppf(c, df, stats.norm.ppf(p) * math.sqrt(n)) / math.sqrt(n)
        tell("tolerance factors", f"n {n} df {df} content {p} confidence {c}", k, want, 9)


def check_range():
    cases = [(q, k, df) for q in (1.5, 3.1, 4.4) for k in (3, 6, 10) for df in (4, 15, 60)]
    got = factors([f"range {q!r} {k} {df}" for q, k, df in cases])
    for (q, k, df), (tail,) in zip(cases, got):
        tell("studentised range", f"above {q} of {k} means, df {df}", tail, stats.studentized_range.sf(q, k, df), 8, True)
    cases = [(0.95, 4, 12), (0.99, 7, 20), (0.9, 3, 5)]
    for (p, k, df), (q,) in zip(cases, factors([f"range-quantile {p} {k} {df}" for p, k, df in cases])):
        tell("studentised range", f"quantile {p} of {k} means, df {df}", stats.studentized_range.cdf(q, k, df), p, 8, True)


def check_shapiro():
    source = random.Random(11)
    samples = [[round(source.gauss(30, 4), 2) for _ in range(n)] for n in (3, 4, 7, 11, 12, 25, 80)]
    samples += [[round(source.expovariate(0.1), 3) for _ in range(n)] for n in (6, 15, 40)]
    for sample, (w, p) in zip(samples, factors(["shapiro " + " ".join(map(repr, sample)) for sample in samples])):
        want = stats.shapiro(sample)  # in single precision
        tell("Shapiro-Wilk", f"W of {len(sample)}", w, want.statistic, 5)
        tell("Shapiro-Wilk", f"p of {len(sample)}", p, want.pvalue, 3.5, True)


def check_groups():
    source = random.Random(5)
    for study in range(6):
        sizes = [source.randint(3, 7) for _ in range(source.randint(3, 6))]
        groups = [[source.gauss(1900 - 90 * m, 15) for _ in range(n)] for m, n in enumerate(sizes)]
        rows = [[f"S{m}-{i}", f"M{m}", value] for m, group in enumerate(groups) for i, value in enumerate(group)]
        got = answer("compare", write(f"groups-{study}", ["specimen", "mix", "density_kg_m3"], rows))
        method = got["methods"][0]
        f = stats.f_oneway(*groups)
        tell("one-way analysis", f"F {study}", method["equal_means"]["f"], f.statistic, 9)
        tell("one-way analysis", f"p {study}", method["equal_means"]["p"], f.pvalue, 9, True)
        tell("Bartlett", f"p {study}", method["equal_spread"]["bartlett_p"], stats.bartlett(*groups).pvalue, 9, True)
        levene = stats.levene(*groups, center="median")
        tell("Brown-Forsythe", f"F {study}", method["equal_spread"]["f"], levene.statistic, 9)
        tell("Brown-Forsythe", f"p {study}", method["equal_spread"]["p"], levene.pvalue, 9, True)
        if method["pairs"] == "Tukey-Kramer" and not method["log_scale"]:
            tukey = stats.tukey_hsd(*groups)
            for pair in got["pairs"]:
                a, b = int(pair["a"][1:]), int(pair["b"][1:])
                tell("Tukey-Kramer", f"p {study} {a} {b}", pair["p_adjusted"], tukey.pvalue[a, b], 7, True)


def check_games_howell():
    source = random.Random(21)
    groups = [[source.gauss(1900 - 60 * m, spread) for _ in range(n)] for m, (n, spread) in enumerate([(4, 3), (6, 90), (5, 8), (4, 200)])]
    rows = [[f"S{m}-{i}", f"M{m}", value] for m, group in enumerate(groups) for i, value in enumerate(group)]
    got = answer("compare", write("unlike", ["specimen", "mix", "density_kg_m3"], rows))
    if got["methods"][0]["pairs"] != "Games-Howell":
        raise SystemExit("these mixes scatter so unlike that Games-Howell should be taken")
    for pair in got["pairs"]:
        a, b = (groups[int(pair[key][1:])] for key in "ab")
        va, vb = (numpy.var(group, ddof=1) / len(group) for group in (a, b))
        df = (va + vb) ** 2 / (va**2 / (len(a) - 1) + vb**2 / (len(b) - 1))
        error = math.sqrt((va + vb) / 2)
        q, reach = abs(numpy.mean(a) - numpy.mean(b)) / error, (pair["upper"] - pair["lower"]) / 2 / error
        tell("Games-Howell", f"p {pair['a']} {pair['b']}", pair["p_adjusted"], stats.studentized_range.sf(q, len(groups), df), 7, True)
        tell("Games-Howell", f"confidence of the limits {pair['a']} {pair['b']}", got["confidence"],
             stats.studentized_range.cdf(reach, len(groups), df), 7, True)


def check_line():
    source = random.Random(3)
    rows = [[x, 41.7 - 23.9 * x + source.gauss(0, 1)] for x in [source.uniform(0.1, 0.8) for _ in range(25)]]
    fit = answer("fit", write("line", ["x", "y"], rows), "--response", "y", "--on", "x")["fits"][0]
    want = stats.linregress([row[0] for row in rows], [row[1] for row in rows])
    intercept, slope = fit["coefficients"]
    tell("line", "slope", slope["estimate"], want.slope, 11)
    tell("line", "slope's error", slope["std_error"], want.stderr, 11)
    tell("line", "intercept", intercept["estimate"], want.intercept, 11)
    tell("line", "intercept's error", intercept["std_error"], want.intercept_stderr, 11)
    tell("line", "p of the slope", slope["p"], want.pvalue, 9, True)
    tell("line", "R squared", fit["r_squared"], want.rvalue**2, 11)


def check_trials():
    cases = [(12, 12), (11, 12), (1, 9), (38, 40), (0, 5), (200, 207)]
    rows = [[f"{m}-{i}", f"M{m}", "pass" if i < passed else "fail"] for m, (passed, n) in enumerate(cases) for i in range(n)]
    for trials in answer("results", write("passes", ["specimen", "mix", "result"], rows))["trials"]:
        want = stats.binomtest(trials["n_passed"], trials["n_specimens"], alternative="greater").proportion_ci(0.95, "exact").low
        tell("pass or fail", f"{trials['n_passed']} of {trials['n_specimens']}", trials["at_least"], want, 9)


LAWS = {
    "hyperbolic": lambda t, limit, half: limit * t / (half + t),
    "root-exponential": lambda t, limit, tau: limit * numpy.exp(-numpy.sqrt(tau / t)),
    "exponential": lambda t, limit, tau, shape: limit * numpy.exp(-((tau / t) ** shape)),
}


def check_growth():
    source = random.Random(9)
    rows = []
    for m, (limit, half) in enumerate([(42, 3.6), (23, 5.2), (9, 2.1)]):
        for i, age in enumerate([1, 3, 7, 14, 28, 56, 90] * 2):
            rows.append([f"G{m}-{i}", f"M{m}", float(age), limit * age / (half + age) * (1 + source.gauss(0, 0.03))])
    path = write("growth", ["specimen", "mix", "age_days", "compressive_strength_MPa"], rows)
    for fit in answer("fit", "--on", "age", path)["fits"]:
        t, y = (numpy.array([row[k] for row in rows if row[1] == fit["mix"]]) for k in (2, 3))
        start = [term["estimate"] * 1.1 for term in fit["coefficients"]]
        best, covariance = optimize.curve_fit(LAWS[fit["law"]], t, y, start, xtol=1e-14, ftol=1e-14, gtol=1e-14)
        for term, value, variance in zip(fit["coefficients"], best, numpy.diag(covariance)):
            tell("growth with age", f"{fit['mix']} {fit['law']} {term['name']}", term["estimate"], value, 5)
            tell("growth with age", f"{fit['mix']} {fit['law']} {term['name']} error", term["std_error"], math.sqrt(variance), 4)


for check in (check_tolerance, check_range, check_shapiro, check_groups, check_games_howell, check_line, check_trials, check_growth):
    check()
