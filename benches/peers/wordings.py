#!/usr/bin/env python3
"""How often general string matchers find the wordings of `cargo bench --bench marks`, from the same wordings and readings.

    cargo bench --bench marks -- --write DIR
    pip install 'rapidfuzz>=3'
    python3 benches/peers/wordings.py DIR [QUERIES]        200 readings of each sort, if not said otherwise
"""
import pathlib, statistics, sys, time
from rapidfuzz import fuzz, process
from rapidfuzz.distance import Levenshtein

folder = pathlib.Path(sys.argv[1])
queries = int(sys.argv[2]) if len(sys.argv) > 2 else 200
wordings = (folder / "wordings.txt").read_text(encoding="utf-8").split("\n")
SCORERS = {
    "ratio": fuzz.ratio,
    "Levenshtein": Levenshtein.normalized_similarity,
    "partial": fuzz.partial_ratio,
    "weighted": fuzz.WRatio,
    "token set": fuzz.token_set_ratio,
}
for sort in ("unsaid", "each", "run"):
    lines = (folder / f"{sort}.txt").read_text(encoding="utf-8").split("\n")[:queries]
    readings = [(int(of), typed.replace("?", "").replace("…", " ")) for of, typed in (line.split("\t") for line in lines)]
    for name, scorer in SCORERS.items():
        first = ten = 0
        took = []
        for of, typed in readings:
            begin = time.perf_counter()
            found = [number for _, _, number in process.extract(typed, wordings, scorer=scorer, limit=10)]
            took.append((time.perf_counter() - begin) * 1e3)
            first += found[:1] == [of]
            ten += of in found
        n = len(readings)
        print(f"{sort}, {name}: first {100 * first / n:.1f} %, top ten {100 * ten / n:.1f} %; {statistics.median(took):.1f} ms")
