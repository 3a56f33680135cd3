"""Makes intervals.csv beside this file: limits that Rust must reproduce.

    python3 -m venv /somewhere/outside/the/repository
    /somewhere/outside/the/repository/bin/pip install scipy statsmodels
    /somewhere/outside/the/repository/bin/python crates/stand/tests/reference/make.py

Random inputs with a fixed seed. The ratio estimator is written out here on its own, and for
units of one size SciPy's own interval of a mean is used instead, so that the Rust code is not
merely compared with a copy of itself.
"""
import math
import pathlib
import platform
import random

import numpy
import scipy
import statsmodels
from scipy import stats
from statsmodels.stats.proportion import proportion_confint
from statsmodels.stats.rates import confint_poisson

random.seed(20260714)
LEVELS = (0.90, 0.95, 0.99)
rows = []


def add(kind, level, what, lower, upper):
    rows.append(f"{kind},{level:.2f},{what},{float(lower)!r},{float(upper)!r}")


def share():
    n = round(10 ** random.uniform(0, 5))
    return random.choice([0, n, random.randint(0, n), min(n, random.randint(0, 5))]), n


for kind, method in (("wilson", "wilson"), ("clopper_pearson", "beta")):
    for i in range(60):
        x, n = share()
        level = LEVELS[i % 3]
        lower, upper = proportion_confint(x, n, alpha=1 - level, method=method)
        add(kind, level, f"{x}/{n}", 0.0 if x == 0 else lower, 1.0 if x == n else upper)

for i in range(60):
    x = 0 if i < 3 else round(10 ** random.uniform(0, 6.5 if i % 5 == 0 else 4))
    level = LEVELS[i % 3]
    lower, upper = confint_poisson(x, 1, method="exact-c", alpha=1 - level)
    add("garwood", level, str(x), 0.0 if x == 0 else lower, upper)

for i in range(60):
    n, level = random.randint(2, 40), LEVELS[i % 3]
    if i % 2:
        size = random.choice([16, 25, 100])
        sizes = [size] * n
    else:
        sizes = [random.choice([25, 50, 75, 100]) for _ in range(n)]
    centre = random.random()
    found = [min(m, max(0, round(m * random.gauss(centre, 0.2)))) for m in sizes]
    found[0] = sizes[0] // 2  # at least one unit that is neither empty nor full
    found[1] = sizes[1] // 3
    if i % 2:
        shares = numpy.array(found) / size
        lower, upper = stats.t.interval(level, n - 1, loc=shares.mean(), scale=stats.sem(shares))
    else:
        y, m = numpy.array(found, float), numpy.array(sizes, float)
        r = y.sum() / m.sum()
        se = math.sqrt(((y - r * m) ** 2).sum() / (n * (n - 1))) / m.mean()
        half = stats.t.ppf(0.5 + level / 2, n - 1) * se
        lower, upper = r - half, r + half
    add("cluster_t", level, " ".join(f"{a}/{b}" for a, b in zip(found, sizes)), lower, upper)

head = f"""# Limits made by tests/reference/make.py with Python {platform.python_version()}, SciPy {scipy.__version__}, statsmodels {statsmodels.__version__}, NumPy {numpy.__version__}.
# wilson, clopper_pearson: statsmodels proportion_confint (wilson, beta); garwood: confint_poisson (exact-c);
# cluster_t: scipy.stats.t.interval for units of one size, else the ratio estimator in NumPy; not clipped.
kind,level,input,lower,upper
"""
pathlib.Path(__file__).with_name("intervals.csv").write_text(head + "\n".join(rows) + "\n")
