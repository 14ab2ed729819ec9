#!/usr/bin/env python3
"""Reference values for homographies and ellipse fits, by OpenCV, scikit-image and SciPy.

    python3 -m venv venv && venv/bin/pip install opencv-python-headless scikit-image scipy
    venv/bin/python tests/reference/outline_fits.py > tests/reference/outline_fits.json

Read by the unit tests of src/photo/camera/placed.rs and src/photo/outline/fit.rs.
"""

import json
import math
import sys
import warnings

import cv2
import numpy as np
import scipy
import skimage
from scipy.optimize import least_squares
from skimage.measure import EllipseModel

warnings.simplefilter("ignore")
random = np.random.default_rng(20261126)


def rounded(values, digits=6):
    return [round(float(v), digits) for v in values]


def homographies():
    cases = []
    while len(cases) < 20:
        card = np.array([[-42.8, -26.99], [42.8, -26.99], [42.8, 26.99], [-42.8, 26.99]])
        seen = card * random.uniform(3, 8) + random.normal(0, 25, (4, 2)) + random.uniform(300, 900, 2)
        h = cv2.getPerspectiveTransform(card.astype(np.float32), seen.astype(np.float32))
        # OpenCV takes 32-bit points; the same equations in 64 bits.
        rows, right = [], []
        for (x, y), (u, v) in zip(card, seen):
            rows += [[x, y, 1, 0, 0, 0, -u * x, -u * y], [0, 0, 0, x, y, 1, -v * x, -v * y]]
            right += [u, v]
        exact = np.append(np.linalg.solve(np.array(rows), np.array(right)), 1.0).reshape(3, 3)
        assert np.allclose(h, exact, rtol=1e-2, atol=1e-3)
        probes = random.uniform(-60, 60, (4, 2))
        image = cv2.perspectiveTransform(probes.reshape(-1, 1, 2), exact).reshape(-1, 2)
        cases.append({"from": card.tolist(), "to": [rounded(p) for p in seen], "probes": [rounded(p) for p in probes]})
        # From the rounded numbers that the test reads.
        exact = solve(card, np.array(cases[-1]["to"]))
        image = cv2.perspectiveTransform(np.array(cases[-1]["probes"]).reshape(-1, 1, 2), exact).reshape(-1, 2)
        cases[-1]["image"] = [rounded(p) for p in image]
    return cases


def solve(card, seen):
    rows, right = [], []
    for (x, y), (u, v) in zip(card, seen):
        rows += [[x, y, 1, 0, 0, 0, -u * x, -u * y], [0, 0, 0, x, y, 1, -v * x, -v * y]]
        right += [u, v]
    return np.append(np.linalg.solve(np.array(rows), np.array(right)), 1.0).reshape(3, 3)


def on_ellipse(centre, a, b, turn, angle):
    c, s = math.cos(turn), math.sin(turn)
    x, y = a * math.cos(angle), b * math.sin(angle)
    return [centre[0] + c * x - s * y, centre[1] + s * x + c * y]


def distance(p, centre, a, b, turn):
    """Orthogonal distance of a point from an ellipse, by Newton's steps on the angle from many starts."""
    c, s = math.cos(turn), math.sin(turn)
    x, y = p[0] - centre[0], p[1] - centre[1]
    u, v = c * x + s * y, -s * x + c * y
    best = None
    for start in np.linspace(0, 2 * math.pi, 12, endpoint=False):
        t = start
        for _ in range(60):
            f = (u - a * math.cos(t)) * a * math.sin(t) - (v - b * math.sin(t)) * b * math.cos(t)
            df = a * a * math.sin(t) ** 2 + (u - a * math.cos(t)) * a * math.cos(t) + b * b * math.cos(t) ** 2 + (v - b * math.sin(t)) * b * math.sin(t)
            if abs(df) < 1e-12:
                break
            step = f / df
            t -= max(-0.5, min(0.5, step))
            if abs(step) < 1e-14:
                break
        d = math.hypot(u - a * math.cos(t), v - b * math.sin(t))
        if best is None or d < best:
            best = d
    inside = (u / a) ** 2 + (v / b) ** 2 < 1
    return -best if inside else best


def ordered(cx, cy, a, b, turn):
    if a < b:
        a, b, turn = b, a, turn + math.pi / 2
    return rounded([cx, cy, a, b, turn % math.pi])


def ellipses():
    cases = []
    for _ in range(12):
        centre = random.uniform(-200, 200, 2)
        a = random.uniform(60, 150)
        b = a / random.uniform(1.03, 1.6)
        turn = random.uniform(0, math.pi)
        noise = random.uniform(0.05, 0.6)
        angles = np.linspace(0, 2 * math.pi, 60, endpoint=False)
        points = [rounded(np.array(on_ellipse(centre, a, b, turn, t)) + random.normal(0, noise, 2)) for t in angles]
        xy = np.array(points)
        (cx, cy), (d1, d2), degrees = cv2.fitEllipseDirect(xy.astype(np.float32))
        opencv = ordered(cx, cy, d1 / 2, d2 / 2, math.radians(degrees))
        model = EllipseModel()
        assert model.estimate(xy)
        direct = ordered(*model.params)
        start = np.array([*centre, a, b, turn])
        found = least_squares(lambda p: [distance(q, p[:2], p[2], p[3], p[4]) for q in xy], start, xtol=1e-14, ftol=1e-14, gtol=1e-12)
        cases.append({"points": points, "opencv_direct": opencv, "skimage_direct": direct, "scipy_orthogonal": ordered(*found.x), "rms": round(float(np.sqrt(np.mean(found.fun**2))), 6)})
    return cases


json.dump(
    {
        "made_by": f"tests/reference/outline_fits.py with OpenCV {cv2.__version__}, scikit-image {skimage.__version__}, SciPy {scipy.__version__}",
        "homographies": homographies(),
        "ellipses": ellipses(),
    },
    sys.stdout,
)
