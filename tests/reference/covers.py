"""The smallest and the cheapest test covers of random tables, by an integer programme of a library that shares nothing with the program.

Run from the repository's root, in a fresh environment:

    python3 -m venv venv && venv/bin/pip install scipy==1.17.1
    venv/bin/python tests/reference/covers.py > tests/reference/covers.json

Written with Python 3.11, SciPy 1.17.1 (`scipy.optimize.milp`, which runs HiGHS; gap 0). Each table has one row a form and one number a
feature: the value, or -1 where nothing is recorded. Features have slip 0, so two forms are told apart by a feature exactly where both
numbers are recorded and differ. The programme has a 0/1 variable for each feature and a row 'at least one of these' for each pair of
forms that some feature tells apart. `fewest` is the least number of features, `effort` the least sum of efforts, `untold` the number of
pairs no feature tells apart; `every` asks for each form from each other, `first` for form 0 from all others.
"""

import json
import random
from itertools import combinations

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp


def table(seed, forms, features, values, recorded):
    rng = random.Random(seed)
    kinds = [rng.randint(2, values) for _ in range(features)]
    rows = [[rng.randrange(k) if rng.random() < recorded else -1 for k in kinds] for _ in range(forms)]
    return {"values": kinds, "efforts": [rng.choice([0.5, 1.0, 1.5, 2.0, 3.0]) for _ in range(features)], "rows": rows}


def least(costs, rows):
    if not rows:
        return 0.0
    found = milp(
        c=np.array(costs),
        integrality=np.ones(len(costs)),
        bounds=Bounds(0, 1),
        constraints=LinearConstraint(np.array(rows), lb=1),
        options={"mip_rel_gap": 0},
    )
    assert found.status == 0, found.message
    chosen = [i for i, x in enumerate(found.x) if x > 0.5]
    return sum(costs[i] for i in chosen)


def solved(one, pairs):
    differ = []
    for a, b in pairs:
        differ.append([int(x >= 0 and y >= 0 and x != y) for x, y in zip(one["rows"][a], one["rows"][b])])
    told = sorted({tuple(row) for row in differ if any(row)})
    return {
        "fewest": round(least([1.0] * len(one["values"]), told)),
        "effort": least(one["efforts"], told),
        "untold": sum(not any(row) for row in differ),
    }


found = []
for seed, (forms, features, values, recorded) in enumerate(
    [(8, 6, 3, 0.9), (12, 8, 2, 0.95), (16, 10, 3, 0.8), (20, 12, 4, 0.9), (24, 14, 2, 1.0), (30, 16, 5, 0.7), (40, 20, 3, 0.9)] * 4
    + [(60, 30, 4, 0.9), (80, 24, 2, 0.95), (120, 40, 6, 0.9)]
):
    one = table(seed, forms, features, values, recorded)
    one["every"] = solved(one, combinations(range(forms), 2))
    one["first"] = solved(one, [(0, other) for other in range(1, forms)])
    found.append(one)
print("[\n" + ",\n".join(json.dumps(one) for one in found) + "\n]")
