"""Turns two tables of Debian's package r-cran-mlbench (2.1-3) into CSV, unchanged but for the names of missing cells (left empty).

    apt-get download r-cran-mlbench && dpkg -x r-cran-mlbench_*.deb unpacked
    python3 -m venv venv && venv/bin/pip install rdata==1.1.0
    venv/bin/python tests/reference/mlbench_tables.py unpacked/usr/lib/R/site-library/mlbench/data
"""

import csv
import sys
from pathlib import Path

import rdata

for name, file in (("HouseVotes84", "votes.csv"), ("Soybean", "soybean.csv")):
    parsed = rdata.parser.parse_file(Path(sys.argv[1]) / f"{name}.rda")
    table = rdata.conversion.convert(parsed)[name]
    cells = table.astype(object).map(lambda cell: "" if cell is None or cell != cell else str(cell))
    with Path("tests/data", file).open("w", newline="") as out:
        writer = csv.writer(out, lineterminator="\n")
        writer.writerow(cells.columns)
        writer.writerows(cells.itertuples(index=False))
