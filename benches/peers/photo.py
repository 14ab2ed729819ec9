#!/usr/bin/env python3
"""Does the stages of `cargo bench --bench photo` with OpenCV on the demo's photographs: how long each takes, and how many come out right.

    python3 benches/peers/photo.py [--times 5]

It makes a virtual environment beside itself (`.venv-photo`) with what `requirements-photo.txt` names. What is done is what a person who knows the library would write first:
the card as the best four-cornered contour of an edge picture, the piece by a graph cut that starts from the middle of what is not card, the largest contour, an
ellipse through it, laid flat by the card's homography. Threads as OpenCV has them. Right is what is within 2 % of the truth.
"""
import json, math, pathlib, statistics, subprocess, sys, time, venv

HERE = pathlib.Path(__file__).resolve().parent
PHOTOGRAPHS = HERE.parent.parent / "demo" / "photographs"


def in_own_environment():
    home = HERE / ".venv-photo"
    python = home / "bin" / "python"
    if pathlib.Path(sys.prefix).resolve() == home.resolve():
        return
    if not python.exists():
        venv.create(home, with_pip=True)
    subprocess.run([python, "-m", "pip", "install", "--quiet", "--requirement", HERE / "requirements-photo.txt"], check=True)
    sys.exit(subprocess.run([python, __file__, *sys.argv[1:]]).returncode)


if "--here" not in sys.argv:
    in_own_environment()
import cv2  # noqa: E402
import numpy as np  # noqa: E402

CARD = np.array([[-42.8, 26.99], [42.8, 26.99], [42.8, -26.99], [-42.8, -26.99]], dtype=np.float32)
TIMES = int(sys.argv[sys.argv.index("--times") + 1]) if "--times" in sys.argv else 5


def read(path):
    return cv2.imread(str(path), cv2.IMREAD_COLOR)


def small(picture):
    by = max(1, math.ceil(max(picture.shape[:2]) / 1000))
    return cv2.resize(picture, None, fx=1 / by, fy=1 / by, interpolation=cv2.INTER_AREA), by


def find_card(picture, full, by):
    """The four-cornered contour whose sides are most nearly a card's, its corners refined in the full picture."""
    grey = cv2.GaussianBlur(cv2.cvtColor(picture, cv2.COLOR_BGR2GRAY), (5, 5), 0)
    edges = cv2.dilate(cv2.Canny(grey, 40, 120), np.ones((3, 3), np.uint8))
    contours, _ = cv2.findContours(edges, cv2.RETR_LIST, cv2.CHAIN_APPROX_SIMPLE)
    best, score = None, 0.35
    for contour in contours:
        area = cv2.contourArea(contour)
        if area < 0.005 * picture.shape[0] * picture.shape[1]:
            continue
        four = cv2.approxPolyDP(contour, 0.03 * cv2.arcLength(contour, True), True)
        if len(four) != 4 or not cv2.isContourConvex(four):
            continue
        four = four.reshape(4, 2).astype(np.float32)
        sides = [np.linalg.norm(four[(i + 1) % 4] - four[i]) for i in range(4)]
        aspect = (sides[0] + sides[2]) / (sides[1] + sides[3])
        if aspect < 1:
            four, aspect = np.roll(four, -1, axis=0), 1 / aspect
        off = abs(math.log(aspect / (85.6 / 53.98)))
        if off < score:
            best, score = four, off
    if best is None:
        return None
    grey = cv2.cvtColor(full, cv2.COLOR_BGR2GRAY)
    corners = (best * by).reshape(-1, 1, 2)
    until = (cv2.TERM_CRITERIA_EPS + cv2.TERM_CRITERIA_MAX_ITER, 20, 0.05)
    corners = cv2.cornerSubPix(grey, corners, (5, 5), (-1, -1), until).reshape(4, 2)
    # Round the same way as the card's own corners, whose second axis points up.
    area = sum(corners[i][0] * corners[(i + 1) % 4][1] - corners[(i + 1) % 4][0] * corners[i][1] for i in range(4))
    if area < 0:
        corners = corners[[1, 0, 3, 2]]
    return corners.astype(np.float32)


def segment(picture, corners):
    """A graph cut: what lies along the border and on the card is cloth, the rest may be the piece."""
    mask = np.full(picture.shape[:2], cv2.GC_PR_FGD, np.uint8)
    edge = int(0.05 * min(mask.shape))
    mask[:edge], mask[-edge:], mask[:, :edge], mask[:, -edge:] = (cv2.GC_BGD,) * 4
    cv2.fillConvexPoly(mask, corners.astype(np.int32), cv2.GC_BGD)
    cv2.grabCut(picture, mask, None, np.zeros((1, 65)), np.zeros((1, 65)), 3, cv2.GC_INIT_WITH_MASK)
    return ((mask == cv2.GC_FGD) | (mask == cv2.GC_PR_FGD)).astype(np.uint8)


def contour(mask):
    found, _ = cv2.findContours(mask, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    return max(found, key=cv2.contourArea) if found else None


def ellipse(outline, corners, by):
    to_mm = cv2.getPerspectiveTransform(corners, CARD)
    flat = cv2.perspectiveTransform((outline.astype(np.float32) + 0.5) * by, to_mm)
    _, axes, _ = cv2.fitEllipse(flat)
    return max(axes), min(axes)


def stages(path, spent):
    def timed(name, job, *args):
        began = time.perf_counter()
        out = job(*args)
        spent.setdefault(name, []).append(1e3 * (time.perf_counter() - began))
        return out

    full = timed("open", read, path)
    picture, by = timed("lay out", small, full)
    corners = timed("find card", find_card, picture, full, by)
    if corners is None:
        return None
    mask = timed("segment", segment, picture, corners / by)
    outline = timed("contour", contour, mask)
    if outline is None or len(outline) < 20:
        return None
    return timed("ellipse", ellipse, outline, corners, by)


def main():
    truth = [row for row in json.loads((PHOTOGRAPHS / "truth.json").read_text()) if row["view"] == "above"]
    right = told = 0
    for row in truth:
        got = stages(PHOTOGRAPHS / row["file"], {})
        want = row["outline"]["major_mm"], row["outline"]["minor_mm"]
        near = got is not None and all(abs(g / w - 1) < 0.02 for g, w in zip(got, want))
        told, right = told + (got is not None), right + near
        print(row["file"], "nothing" if got is None else f"{got[0]:.1f} {got[1]:.1f}", f"({want[0]} {want[1]})", "" if near else "WRONG")
    print(f"{told} of {len(truth)} told, {right} right to 2 %")
    lid = PHOTOGRAPHS / "lid-02-quoin-casserole-one-linen.jpg"
    large = pathlib.Path(HERE / ".twelve.jpg")
    cv2.imwrite(str(large), cv2.resize(read(lid), (4000, 3000), interpolation=cv2.INTER_CUBIC), [cv2.IMWRITE_JPEG_QUALITY, 92])
    for path in (lid, large):
        spent = {}
        for _ in range(TIMES):
            stages(path, spent)
        print(path.name, {name: round(statistics.median(all), 1) for name, all in spent.items()},
              "whole", round(sum(statistics.median(all) for all in spent.values())), "ms")
    large.unlink()


main()
