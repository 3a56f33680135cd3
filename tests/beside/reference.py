"""What SciPy, statsmodels, geographiclib and shapely say about random fields.

Usage: python reference.py SEED > answers.json

Every case holds plain inputs and the answers of a library that Standbook did not make. The
Rust side (main.rs) gives its own answers to the same inputs. `cargo xtask beside` makes a
fresh file from a seed it prints; answers.json beside this file is that of seed 20260714, kept
so that the test also runs where Python is missing.
"""

import json
import platform
import sys
import warnings

import geographiclib
import numpy as np
import scipy
import shapely
import statsmodels
from geographiclib.geodesic import Geodesic
from scipy import optimize, stats
from shapely.geometry import Point, Polygon
from statsmodels.discrete.discrete_model import NegativeBinomial
from statsmodels.regression.linear_model import WLS
from statsmodels.stats.inter_rater import cohens_kappa, fleiss_kappa
from statsmodels.stats.proportion import proportion_confint

LEVELS = (0.90, 0.95, 0.99)


def proportions(rng):
    """Wilson and Clopper-Pearson limits: statsmodels proportion_confint."""
    for _ in range(60):
        cells = int(rng.integers(1, 2000))
        occupied = int(rng.integers(0, cells + 1))
        level = float(rng.choice(LEVELS))
        for method, name in (("wilson", "wilson"), ("beta", "clopper_pearson")):
            low, high = proportion_confint(occupied, cells, 1 - level, method=method)
            # statsmodels leaves a not-a-number where the exact limit is 0 or 1.
            low = 0.0 if occupied == 0 and method == "beta" else low
            high = 1.0 if occupied == cells and method == "beta" else high
            yield {"kind": name, "occupied": occupied, "cells": cells, "level": level,
                   "low": float(low), "high": float(high)}


def counts(rng):
    """Garwood's limits of a Poisson count: chi-square quantiles of SciPy."""
    for _ in range(40):
        plants = int(rng.integers(0, 500))
        level = float(rng.choice(LEVELS))
        tail = (1 - level) / 2
        low = 0.0 if plants == 0 else stats.chi2.ppf(tail, 2 * plants) / 2
        yield {"kind": "garwood", "plants": plants, "level": level, "low": float(low),
               "high": float(stats.chi2.ppf(1 - tail, 2 * plants + 2) / 2)}


def clusters(rng):
    """Ratio over spots of unequal size, its standard error and t limits.

    statsmodels: weighted least squares through the origin with weights 1/size; its HC1
    covariance is the linearised variance of a ratio (n / (n - 1) * sum of squared residuals
    / (sum of sizes) squared).
    """
    for _ in range(40):
        spots = int(rng.integers(2, 30))
        size = 25.0 * rng.integers(1, 5, spots)
        found = np.array([rng.binomial(int(m), rng.beta(2, 3)) for m in size], dtype=float)
        level = float(rng.choice(LEVELS))
        fit = WLS(found, size[:, None], weights=1 / size).fit(cov_type="HC1", use_t=True)
        low, high = fit.conf_int(1 - level)[0]
        yield {"kind": "ratio", "found": found.tolist(), "size": size.tolist(), "level": level,
               "ratio": float(fit.params[0]), "se": float(fit.bse[0]),
               "low": float(low), "high": float(high)}


def negative_binomials(rng):
    """k by maximum likelihood: statsmodels NegativeBinomial (alpha = 1 / k)."""
    made = 0
    while made < 25:
        k = float(rng.choice([0.4, 0.8, 1.5, 3.0]))
        mean = float(rng.uniform(0.8, 12))
        plants = rng.negative_binomial(k, k / (k + mean), int(rng.integers(30, 200)))
        if plants.var(ddof=1) <= 1.3 * plants.mean():
            continue
        start = [np.log(plants.mean()), (plants.var(ddof=1) - plants.mean()) / plants.mean() ** 2]
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            fit = NegativeBinomial(plants, np.ones(len(plants))).fit(
                start_params=start, disp=0, maxiter=500, method="bfgs", gtol=1e-9)
            fit = NegativeBinomial(plants, np.ones(len(plants))).fit(
                start_params=fit.params, disp=0, maxiter=500, method="newton", tol=1e-12)
        if not (fit.mle_retvals["converged"] and fit.params[1] > 0):
            continue
        made += 1
        yield {"kind": "negative_binomial", "plants": plants.tolist(),
               "mean": float(np.exp(fit.params[0])), "k": float(1 / fit.params[1]),
               "log_likelihood": float(fit.llf)}


def dispersions(rng):
    """Index of dispersion and its chi-square tail: SciPy."""
    for _ in range(25):
        plants = rng.negative_binomial(1.0, 0.3, int(rng.integers(8, 60)))
        if plants.sum() == 0:
            continue
        index = plants.var(ddof=1) / plants.mean()
        free = len(plants) - 1
        yield {"kind": "dispersion", "plants": plants.tolist(), "index": float(index),
               "p": float(stats.chi2.sf(index * free, free))}


def agreements(rng):
    """Cohen's and Fleiss' kappa: statsmodels inter_rater."""
    for _ in range(30):
        states = int(rng.integers(2, 5))
        table = rng.integers(1, 30, (states, states)) + np.diag(rng.integers(0, 60, states))
        found = cohens_kappa(table)
        yield {"kind": "cohen", "table": table.tolist(), "kappa": float(found.kappa),
               "se": float(np.sqrt(found.var_kappa)),
               "low": float(found.kappa_low), "high": float(found.kappa_upp)}
    for _ in range(15):
        raters, states = int(rng.integers(3, 9)), int(rng.integers(2, 5))
        shares = rng.dirichlet(np.ones(states), int(rng.integers(5, 20)))
        table = np.array([rng.multinomial(raters, share) for share in shares])
        if (table.sum(axis=0) == table.sum()).any():
            continue
        yield {"kind": "fleiss", "table": table.tolist(), "kappa": float(fleiss_kappa(table))}


def misnamings(rng):
    """What was called, back to what is there: numpy linear algebra."""
    for _ in range(25):
        kinds = int(rng.integers(2, 6))
        called_if = np.column_stack([
            rng.dirichlet(np.where(np.arange(kinds) == true, 12.0, 0.6)) for true in range(kinds)])
        there = rng.dirichlet(np.full(kinds, 3.0))
        called = called_if @ there
        yield {"kind": "misnamed", "called_if": called_if.tolist(), "called": called.tolist(),
               "there": np.linalg.solve(called_if, called).tolist()}


def sample_sizes(rng):
    """Fewest spots n with n >= (t(n - 1) s / d)^2: SciPy's t and a bracketed root."""
    made = 0
    while made < 30:
        spots, half_width = int(rng.integers(4, 20)), float(rng.uniform(0.03, 0.12))
        level = float(rng.choice(LEVELS))
        found = rng.binomial(25, rng.beta(2, 3, spots))
        deviation = (found / 25).std(ddof=1)
        share = found.mean() / 25
        if deviation < 1.2 * np.sqrt(share * (1 - share) / 25) or found.sum() == 0:
            continue  # less spread than independent cells: Standbook then asks for more

        def short(n):
            return n - (stats.t.ppf(1 - (1 - level) / 2, n - 1) * deviation / half_width) ** 2

        made += 1
        yield {"kind": "sample_size", "occupied": found.tolist(), "half_width": half_width,
               "level": level, "n": float(optimize.brentq(short, 1.0001, 1e7, xtol=1e-10))}


def looks(rng):
    """Log-ratio of two beta-binomials for the occupied cells of one spot: SciPy betabinom."""
    for _ in range(40):
        low = float(rng.uniform(0.05, 0.5))
        high = float(rng.uniform(low + 0.05, 0.95))
        rho = float(rng.uniform(0.01, 0.5))
        both = (1 - rho) / rho
        cells = int(rng.choice([25, 100]))
        occupied = int(rng.integers(0, cells + 1))
        log_p = [stats.betabinom.logpmf(occupied, cells, share * both, (1 - share) * both)
                 for share in (low, high)]
        yield {"kind": "look", "p_low": low, "p_high": high, "rho": rho, "cells": cells,
               "occupied": occupied, "log_ratio": float(log_p[1] - log_p[0])}


def fields(rng):
    """Area and perimeter on the ellipsoid (geographiclib); inside or outside (shapely)."""
    for _ in range(30):
        lat, lon = float(rng.uniform(-60, 60)), float(rng.uniform(-179, 179))
        corners = int(rng.integers(3, 40))
        turn = np.sort(rng.uniform(0, 2 * np.pi, corners))
        if np.diff(np.append(turn, turn[0] + 2 * np.pi)).max() >= np.pi:
            continue  # the middle must lie inside, or the ring may cross itself
        far = rng.uniform(0.0005, 0.004, corners)
        ring = np.column_stack([lat + far * np.sin(turn), lon + far * np.cos(turn)])
        outline = Geodesic.WGS84.Polygon()
        for corner in ring:
            outline.AddPoint(*corner)
        _, perimeter, area = outline.Compute(False, True)
        shape = Polygon(ring[:, ::-1])
        tries = np.column_stack([lat + rng.uniform(-0.004, 0.004, 40),
                                 lon + rng.uniform(-0.004, 0.004, 40)])
        yield {"kind": "field", "ring": ring.tolist(), "area_m2": float(abs(area)),
               "perimeter_m": float(perimeter), "tries": tries.tolist(),
               "inside": [bool(shape.contains(Point(*t[::-1]))) for t in tries]}


def main():
    seed = int(sys.argv[1])
    cases = []
    for number, family in enumerate((proportions, counts, clusters, negative_binomials, dispersions,
                                     agreements, misnamings, sample_sizes, looks,
                                     fields)):
        cases.extend(family(np.random.default_rng([seed, number])))
    versions = {"python": platform.python_version(), "numpy": np.__version__,
                "scipy": scipy.__version__, "statsmodels": statsmodels.__version__,
                "shapely": shapely.__version__, "geographiclib": geographiclib.__version__}
    print('{"seed": %d,\n"versions": %s,\n"cases": [' % (seed, json.dumps(versions)))
    print(",\n".join(json.dumps(case) for case in cases))
    print("]}")


if __name__ == "__main__":
    main()
