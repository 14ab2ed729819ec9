"""Best sortings of loose lids and lidless bases, by scipy's linear_sum_assignment (numpy 2.4.6, scipy 1.17.1).

Weights are natural logarithms against leaving both alone, so 'alone' weighs 0: each lid gets a column of its own for it. Most pairs of a matrix are
left out, as most lids fit few bases. Writes assignment.json beside itself; tests/daybook_lids.rs compares.
"""

import json
import pathlib

import numpy as np
from scipy.optimize import linear_sum_assignment

IMPOSSIBLE = -1e6


def case(seed: int, lids: int, bases: int, share: float) -> dict:
    dice = np.random.default_rng(seed)
    weights = np.round(dice.normal(0.5, 3.0, (lids, bases)), 3)
    known = dice.random((lids, bases)) < share
    whole = np.full((lids, bases + lids), IMPOSSIBLE)
    whole[:, :bases] = np.where(known, weights, IMPOSSIBLE)
    whole[np.arange(lids), bases + np.arange(lids)] = 0.0
    rows, columns = linear_sum_assignment(whole, maximize=True)
    pairs = [[int(r), int(c)] for r, c in zip(rows, columns) if c < bases]
    edges = [[int(r), int(c), float(weights[r, c])] for r, c in zip(*np.nonzero(known))]
    return {"lids": lids, "bases": bases, "edges": edges, "pairs": sorted(pairs), "sum": round(float(sum(weights[r, c] for r, c in pairs)), 6)}


CASES = [(1, 4, 4, 0.8), (2, 5, 9, 0.5), (3, 9, 5, 0.5), (4, 12, 12, 0.3), (5, 12, 12, 1.0), (6, 30, 25, 0.12), (7, 25, 30, 0.12), (8, 40, 40, 0.06), (9, 1, 6, 1.0), (10, 6, 1, 1.0)]

if __name__ == "__main__":
    path = pathlib.Path(__file__).with_suffix(".json")
    path.write_text("[\n" + ",\n".join(json.dumps(case(*c)) for c in CASES) + "\n]\n", encoding="utf-8")
