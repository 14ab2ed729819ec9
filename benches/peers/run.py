#!/usr/bin/env python3
"""Times numpy, polars, DuckDB and SQLite on the tables of `cargo bench --bench identify_table`, with the same answers checked.

    python3 benches/peers/run.py [SIZE ...]        sizes as 10000x60 (the default), 100000x100, 1000000x60

It makes a virtual environment beside itself (`.venv`), runs the bench, which writes its tables, its answers and its own times into a temporary folder, and
then does the same jobs with each peer. A peer whose answer is not the bench's (1e-9 bits) ends the run. All work on the same forms, one after the other.
"""
import json, os, pathlib, sqlite3, subprocess, sys, tempfile, time, venv

HERE = pathlib.Path(__file__).resolve().parent
NARROW, RANK, WEIGHTED = "narrow by 5, rank the rest", "rank with no observation, from scratch", "rank with a weight a form"


def in_own_environment():
    """Starts this script again in a virtual environment that has the peers, made where there is none."""
    home = HERE / ".venv"
    python = home / ("Scripts/python.exe" if os.name == "nt" else "bin/python")
    if pathlib.Path(sys.prefix).resolve() == home.resolve():
        return
    if not python.exists():
        venv.create(home, with_pip=True)
    subprocess.run([python, "-m", "pip", "install", "--quiet", "--requirement", HERE / "requirements.txt"], check=True)
    sys.exit(subprocess.run([python, __file__, *sys.argv[1:]]).returncode)


in_own_environment()
import duckdb  # noqa: E402
import numpy as np  # noqa: E402
import polars as pl  # noqa: E402

ONES = np.array([bin(m).count("1") for m in range(256)], dtype=np.float64)


MASKS = np.arange(256)
# What the weight on each of 256 masks (0: not recorded) counts for: its share of each of eight values, 'has two values', 'not recorded'.
PARTS = np.column_stack(
    [(MASKS >> v & 1) / np.maximum(ONES, 1.0) for v in range(8)] + [(ONES == 2).astype(float), (MASKS == 0).astype(float)]
)


def bits_of_masks(sums):
    """Expected bits of every feature from the weight that stands on each of its masks (features × 256)."""
    return bits_of_parts(sums @ PARTS)


def bits_of_parts(parts):
    """The same from the weight on each value, on forms with two values, and on those without a record (features × 10)."""
    p, two, silent = parts[:, :8], parts[:, 8], parts[:, 9]
    said = p.sum(axis=1)
    some = np.where(said > 0.0, said, 1.0)
    q = p / some[:, None]
    entropy = -(q * np.log2(np.where(q > 0.0, q, 1.0))).sum(axis=1)
    return np.where(said > 0.0, (entropy - two / some) * said / np.maximum(said + silent, 1e-300), 0.0)


class Case:
    def __init__(self, folder, size):
        self.about = json.loads((folder / f"{size}.json").read_text())
        self.values, self.forms = self.about["values"], self.about["forms"]
        self.masks = np.fromfile(folder / f"{size}.masks", dtype=np.uint8).reshape(len(self.values), self.forms)
        self.weights = np.fromfile(folder / f"{size}.weights", dtype="<f8")
        self.ours = {job["name"]: job for job in self.about["jobs"]}
        self.names = [f"f{n}" for n in range(len(self.values))]


def numpy_masks(case):
    """Packed bit masks to narrow, one count over what is left to rank; a weighted count a feature for everything else. Nothing loops over forms."""
    packed = [np.packbits((case.masks[n] == 0) | (case.masks[n] & 1 == 1)) for n in case.about["answered"]]
    by_form = np.ascontiguousarray(case.masks.T)
    features = len(case.values)
    shift = 256 * np.arange(features)
    codes = case.masks.astype(np.intp)
    even = np.full(case.forms, 1.0 / case.forms)

    def narrow():
        left = packed[0]
        for other in packed[1:]:
            left = left & other
        rows = np.flatnonzero(np.unpackbits(left, count=case.forms))
        counts = np.bincount((by_form[rows] + shift).ravel(), minlength=256 * features)
        return len(rows), bits_of_masks(counts.reshape(features, 256).astype(float))

    def ranked(weights):
        return lambda: (None, bits_of_masks(np.stack([np.bincount(codes[n], weights, 256) for n in range(features)])))

    return {NARROW: narrow, RANK: ranked(even), WEIGHTED: ranked(case.weights)}


def numpy_matrix(case):
    """Shares of each value as a matrix of doubles, and one product with the weights. Left out where it would not fit in 4 GB."""
    columns = sum(k + 2 for k in case.values)
    if columns * case.forms * 8 > 4e9:
        return {}
    shares = np.zeros((columns, case.forms))
    at, places = 0, []
    for n, k in enumerate(case.values):
        kept = [*range(k), 8, 9]
        shares[at : at + k + 2] = PARTS[case.masks[n]][:, kept].T
        places += [10 * n + part for part in kept]
        at += k + 2
    even = np.full(case.forms, 1.0 / case.forms)

    def ranked(weights):
        def job():
            parts = np.zeros(10 * len(case.values))
            parts[places] = shares @ weights
            return None, bits_of_parts(parts.reshape(-1, 10))

        return job

    return {RANK: ranked(even), WEIGHTED: ranked(case.weights)}


def from_groups(case, groups):
    """Bits from (feature, mask, weight) rows."""
    sums = np.zeros((len(case.values), 256))
    n, mask, weight = np.array(groups).T
    sums[n.astype(int), mask.astype(int)] = weight
    return bits_of_masks(sums)


def polars_groups(case):
    frame = pl.DataFrame({name: case.masks[n] for n, name in enumerate(case.names)} | {"w": case.weights, "e": np.full(case.forms, 1.0 / case.forms)})
    fits = pl.all_horizontal([(pl.col(f"f{n}") == 0) | (pl.col(f"f{n}") & 1 == 1) for n in case.about["answered"]])

    def grouped(lazy, weight):
        frames = pl.collect_all([lazy.group_by(name).agg(weight.alias("s")) for name in case.names])
        sums = np.zeros((len(case.values), 256))
        for n, (name, groups) in enumerate(zip(case.names, frames)):
            sums[n, groups[name].to_numpy()] = groups["s"].to_numpy()
        return bits_of_masks(sums)

    def narrow():
        left = frame.filter(fits)
        return left.height, grouped(left.lazy(), pl.len().cast(pl.Float64))

    return {
        NARROW: narrow,
        RANK: lambda: (None, grouped(frame.lazy(), pl.col("e").sum())),
        WEIGHTED: lambda: (None, grouped(frame.lazy(), pl.col("w").sum())),
    }


def sql(case, run):
    """The same by any SQL: one statement that groups by each feature in turn."""
    fits = " AND ".join(f"(f{n} = 0 OR (f{n} & 1) = 1)" for n in case.about["answered"])

    def grouped(source, weight):
        return run(" UNION ALL ".join(f"SELECT {n}, {name}, {weight} FROM {source} GROUP BY {name}" for n, name in enumerate(case.names)))

    def narrow():
        run("DROP TABLE IF EXISTS left_over")
        run(f"CREATE TEMP TABLE left_over AS SELECT * FROM forms WHERE {fits}")
        groups = grouped("left_over", "count(*)")
        return sum(weight for n, _, weight in groups if n == 0), from_groups(case, groups)

    return {
        NARROW: narrow,
        RANK: lambda: (None, from_groups(case, grouped("forms", "sum(e)"))),
        WEIGHTED: lambda: (None, from_groups(case, grouped("forms", "sum(w)"))),
    }


def duck(case):
    db = duckdb.connect()
    columns = {name: case.masks[n] for n, name in enumerate(case.names)} | {"w": case.weights, "e": np.full(case.forms, 1.0 / case.forms)}
    db.register("given", pl.DataFrame(columns))
    db.execute("CREATE TABLE forms AS SELECT * FROM given")
    return sql(case, lambda text: db.execute(text).fetchall() if text.startswith("SELECT") else db.execute(text))


def sqlite(case):
    if case.forms > 20_000:  # minutes a run
        return {}
    db = sqlite3.connect(":memory:")
    db.execute(f"CREATE TABLE forms ({', '.join(n + ' INTEGER' for n in case.names)}, w REAL, e REAL)")
    rows = zip(*(case.masks[n].tolist() for n in range(len(case.names))), case.weights.tolist(), [1.0 / case.forms] * case.forms)
    db.executemany(f"INSERT INTO forms VALUES ({', '.join('?' * (len(case.names) + 2))})", rows)
    return sql(case, lambda text: db.execute(text).fetchall())


def best_of(job, most_seconds=6.0):
    """Least and median time in ms of up to 21 runs, with the last answer."""
    took, start = [], time.perf_counter()
    while len(took) < 21 and (len(took) < 3 or time.perf_counter() - start < most_seconds):
        begin = time.perf_counter()
        answer = job()
        took.append((time.perf_counter() - begin) * 1e3)
    took.sort()
    return took[0], took[len(took) // 2], answer


def check(case, name, job, answer):
    left, bits = answer
    if left is not None and left != case.about["left"]:
        sys.exit(f"{name}, {job}: {left} forms left where the bench has {case.about['left']}")
    wrong = max(abs(a - b) for a, b in zip(bits, case.ours[job]["bits"], strict=True))
    if wrong > 1e-9:
        sys.exit(f"{name}, {job}: {wrong:.2g} bits from the bench's answer")


def main():
    sizes = sys.argv[1:] or ["10000x60"]
    with tempfile.TemporaryDirectory() as folder:
        command = ["cargo", "bench", "--no-default-features", "--bench", "identify_table", "--", "--write", folder]
        ready = os.environ.get("IDENTIFY_TABLE_BENCH")
        subprocess.run([ready, "--write", folder, *sizes] if ready else [*command, *sizes], cwd=HERE.parent.parent, check=True)
        for size in sizes:
            case = Case(pathlib.Path(folder), size)
            print(f"\n{size}: least / median ms, and how many times the bench's median")
            for job in (NARROW, RANK, WEIGHTED):
                print(f"  {job:<40} footring      {case.ours[job]['least_ms']:>9.3f} {case.ours[job]['median_ms']:>9.3f}")
            for name, peer in [("numpy masks", numpy_masks), ("numpy matrix", numpy_matrix), ("polars", polars_groups), ("DuckDB", duck), ("SQLite", sqlite)]:
                jobs = peer(case)
                for job in (NARROW, RANK, WEIGHTED):
                    if job not in jobs:
                        continue
                    least, median, answer = best_of(jobs[job])
                    check(case, name, job, answer)
                    print(f"  {job:<40} {name:<13} {least:>9.3f} {median:>9.3f} {median / case.ours[job]['median_ms']:>7.1f} x")


main()
