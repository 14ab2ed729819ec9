"""Accuracy and log loss of scikit-learn's CategoricalNB on two open tables, and its posteriors where no cell is missing.

Run from the repository's root, in a fresh environment:

    python3 -m venv venv && venv/bin/pip install scikit-learn==1.9.1 numpy
    venv/bin/python tests/reference/naive_bayes.py > tests/reference/naive_bayes.json

Ten-fold: the rows whose number (from 0) ends in the same digit are held out together, so that every row is held out once. CategoricalNB takes no missing cells, so a missing cell is a value of its own, which is
the usual way; alpha is its own default, 1, and for `posteriors` 0.5. `posteriors` are of the rows of votes.csv without a missing cell, both in
training and held out: there, rows whose number ends in 2, 5 or 8 are held out.
"""

import csv
import json
from pathlib import Path

import numpy as np
import sklearn
from sklearn.metrics import accuracy_score, log_loss
from sklearn.naive_bayes import CategoricalNB


def table(file):
    rows = list(csv.reader(Path("tests/data", file).open(newline="")))
    at = rows[0].index("Class")
    kinds = np.array([row[at] for row in rows[1:]])
    cells = np.array([[cell for i, cell in enumerate(row) if i != at] for row in rows[1:]], dtype=object)
    return kinds, cells


def coded(cells):
    columns = [{value: i for i, value in enumerate(sorted(set(column)))} for column in cells.T]
    codes = np.array([[columns[j][cell] for j, cell in enumerate(row)] for row in cells])
    return codes, [len(column) for column in columns]


def split(n):
    held = np.isin(np.arange(n) % 10, (2, 5, 8))
    return ~held, held


out = {"scikit_learn": sklearn.__version__, "tables": {}}
for file in ("votes.csv", "soybean.csv"):
    kinds, cells = table(file)
    codes, sizes = coded(cells)
    classes = np.array(sorted(set(kinds)))
    p = np.zeros((len(kinds), len(classes)))
    for fold in range(10):
        held = np.arange(len(kinds)) % 10 == fold
        model = CategoricalNB(alpha=1.0, min_categories=sizes).fit(codes[~held], kinds[~held])
        assert list(model.classes_) == list(classes)
        p[held] = model.predict_proba(codes[held])
    out["tables"][file] = {
        "held_out": len(kinds),
        "accuracy": accuracy_score(kinds, classes[p.argmax(axis=1)]),
        "log_loss": log_loss(kinds, p, labels=classes),
    }

kinds, cells = table("votes.csv")
whole = np.array([all(row) for row in cells])
kinds, cells = kinds[whole], cells[whole]
codes, sizes = coded(cells)
train, held = split(len(kinds))
model = CategoricalNB(alpha=0.5, min_categories=sizes).fit(codes[train], kinds[train])
p = model.predict_proba(codes[held])
out["posteriors"] = {"classes": list(model.classes_), "rows": [[float(x) for x in row] for row in p]}
print(json.dumps(out, indent=1))
