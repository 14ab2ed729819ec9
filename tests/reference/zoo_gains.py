"""Entropy and information gain of every column of the Zoo table, in bits, by libraries that share nothing with the program.

Run from the repository's root, in a fresh environment:

    python3 -m venv venv && venv/bin/pip install scikit-learn==1.9.1 scipy==1.17.1
    venv/bin/python tests/reference/zoo_gains.py > tests/reference/zoo_gains.json

Written with Python 3.11.7, scikit-learn 1.9.1, SciPy 1.17.1. `entropy` is scipy.stats.entropy of the column's values (base 2),
`about_identity` and `about_type` are sklearn.metrics.mutual_info_score (natural logarithm, divided by ln 2) of the column with the row's
number and with `type`. Two animals are both called "frog", so the row's number is the identity, not the name.
"""

import csv
import json
import math
from collections import Counter
from pathlib import Path

from scipy.stats import entropy
from sklearn.metrics import mutual_info_score

ROWS = list(csv.DictReader(Path("tests/data/zoo.csv").open(newline="")))
FEATURES = [name for name in ROWS[0] if name not in ("name", "type")]


def bits_shared(one, other):
    return mutual_info_score(one, other) / math.log(2)


kinds = [row["type"] for row in ROWS]
number = list(range(len(ROWS)))
found = {}
for feature in FEATURES:
    column = [row[feature] for row in ROWS]
    found[feature] = {
        "entropy": float(entropy(list(Counter(column).values()), base=2)),
        "about_identity": float(bits_shared(column, number)),
        "about_type": float(bits_shared(column, kinds)),
    }
print(json.dumps({"animals": len(ROWS), "type_entropy": float(entropy(list(Counter(kinds).values()), base=2)), "features": found}, indent=1))
