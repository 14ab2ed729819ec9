"""Values that the census is compared with: Chao's lower bound and its interval by scikit-bio, intervals of shares by scipy.

    python3 -m venv venv && venv/bin/pip install scikit-bio==0.7.4
    venv/bin/python tests/reference/census.py > tests/reference/census.json

The interval of a share is 0 at the lower end where none was seen and 1 at the upper end where all were (Brown, Cai & DasGupta 2001).
"""

import json

from scipy.stats import beta
from skbio.diversity.alpha import chao1, chao1_ci, goods_coverage

COUNTS = [
    [0, 1, 1, 4, 2, 5, 2, 4, 1, 2],
    [1, 1, 1, 1, 1, 1, 2, 2, 3, 9, 14, 40],
    [12, 7, 5, 3, 3, 1, 1, 2],
    [1, 1, 1, 1, 5, 8, 3],
    [1] * 30 + [2] * 12 + [3] * 7 + [5, 9, 21, 60],
]
SHARES = [(0, 5), (5, 5), (1, 2), (3, 10), (0, 1000), (50, 1000), (99_000, 100_000), (1, 1)]


def richness(counts):
    low, high = chao1_ci(counts)
    return {"counts": counts, "chao1": float(chao1(counts)), "low": float(low), "high": float(high), "coverage": float(goods_coverage(counts))}


def share(of, whole):
    a, b = of + 0.5, whole - of + 0.5
    low = 0.0 if of == 0 else float(beta.ppf(0.025, a, b))
    high = 1.0 if of == whole else float(beta.ppf(0.975, a, b))
    return {"of": of, "all": whole, "low": low, "high": high}


print(json.dumps({"richness": [richness(c) for c in COUNTS], "shares": [share(*s) for s in SHARES]}, indent=1))
