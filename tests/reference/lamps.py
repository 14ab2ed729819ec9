"""Glazes of the demo key as cameras would see them under lamps: writes lamps.json beside itself.

python3 -m pip install numpy scipy colour-science && python3 lamps.py > lamps.json   (colour-science 0.4.7)

A simple model, not a measurement. Reflectances: the smoothest between 0 and 1 (in the sense of S. A. Burns, Color Research & Application 45, 2020) that
have a glaze's Lab under D65. Lights: CIE 15 illuminants, from colour-science. Cameras: three sets of Gaussian sensitivities, invented. A picture is

    linear sRGB = matrix . (gains * raw)

with gains that take the lamp's white a share of the way to neutral ("corrected": 0.5, 0.8, 1), as automatic white balance does, and a matrix fitted by
least squares, white kept white, to other reflectances: under D65 only ("daylight"), or between that and one fitted under illuminant A ("two"). A white of
0.88 has G = 0.6. Each row: camera, matrix, light, corrected, linear sRGB of the white, linear sRGB of each glaze.
"""
import json
import warnings

warnings.filterwarnings("ignore")
import colour
import numpy as np
from scipy.optimize import minimize

GLAZES = [
    [87.5, 1.4, 14.2], [61.0, -15.5, 21.0], [47.5, -7.5, -24.5], [59.0, 43.5, 56.0], [85.5, 0.2, 4.8], [42.0, -1.5, -5.5],
    [51.5, -13.0, 24.0], [43.5, 49.0, 36.5], [77.5, 3.2, 16.5], [31.5, 9.0, 13.5], [54.5, -6.0, -13.0], [72.0, 13.5, 57.0],
]
LIGHTS = {"D65": 0.0, "D50": 0.3, "A": 1.0, "FL2": 0.7, "FL11": 0.7, "LED-B1": 1.0, "LED-B3": 0.5, "LED-V1": 1.0}
CAMERAS = [[(600, 35), (535, 42), (455, 28)], [(595, 28), (525, 35), (465, 25)], [(610, 45), (545, 48), (450, 32)]]
# IEC 61966-2-1, and D65 as the program has it.
XYZ_FROM_RGB = np.array([[0.4124564, 0.3575761, 0.1804375], [0.2126729, 0.7151522, 0.0721750], [0.0193339, 0.1191920, 0.9503041]])
WHITE = np.array([95.047, 100.0, 108.883])

shape = colour.SpectralShape(400, 700, 10)
wavelength = shape.range()
n = len(wavelength)
observer = colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"].copy().align(shape).values
spectrum = {name: colour.SDS_ILLUMINANTS[name].copy().align(shape).values for name in LIGHTS}
d65 = spectrum["D65"]
xyz_from_reflectance = observer * d65[:, None] * (100 / (observer[:, 1] @ d65))
# The sum over 400 to 700 nm has a white of its own, a little off: scaled to the program's.
xyz_from_reflectance *= WHITE / xyz_from_reflectance.sum(0)


def xyz(lab):
    return colour.Lab_to_XYZ(lab, colour.XYZ_to_xy(WHITE)) * 100


def reflectance(lab):
    step = np.diff(np.eye(n), axis=0)
    away = {
        "type": "eq",
        "fun": lambda z: ((np.tanh(z) + 1) / 2) @ xyz_from_reflectance - xyz(lab),
        "jac": lambda z: xyz_from_reflectance.T * ((1 - np.tanh(z) ** 2) / 2),
    }
    found = minimize(lambda z: np.sum((step @ z) ** 2), np.zeros(n), jac=lambda z: 2 * step.T @ (step @ z), constraints=[away],
                     method="SLSQP", options={"maxiter": 800, "ftol": 1e-9})
    curve = (np.tanh(found.x) + 1) / 2
    return curve if np.abs(curve @ xyz_from_reflectance - xyz(lab)).max() < 0.05 else None


rng = np.random.default_rng(5)
others = []
while len(others) < 48:
    light, chroma, hue = rng.uniform(25, 90), rng.uniform(0, 55), rng.uniform(0, 2 * np.pi)
    lab = [light, chroma * np.cos(hue), chroma * np.sin(hue)]
    rgb = np.linalg.inv(XYZ_FROM_RGB) @ xyz(lab) / 100
    if rgb.min() > 0.005 and rgb.max() < 0.95:
        curve = reflectance(lab)
        if curve is not None:
            others.append(curve)
others = np.array(others)
glazes = np.array([reflectance(lab) for lab in GLAZES])
wanted = others @ xyz_from_reflectance / 100 @ np.linalg.inv(XYZ_FROM_RGB).T

rows = []
for number, camera in enumerate(CAMERAS):
    sensitivity = np.stack([np.exp(-0.5 * ((wavelength - middle) / sd) ** 2) for middle, sd in camera], 1)

    def raw(curves, light):
        return (np.atleast_2d(curves) * spectrum[light]) @ sensitivity

    def gains(light):
        return 1 / raw(np.ones(n), light)[0]

    def matrix(light):
        seen = raw(others, light) * gains(light)
        out = []
        for j in range(3):
            a, b = np.linalg.lstsq(seen[:, :2] - seen[:, 2:], wanted[:, j] - seen[:, 2], rcond=None)[0]
            out.append([a, b, 1 - a - b])
        return np.array(out)

    daylight, tungsten = matrix("D65"), matrix("A")
    for kind in ["daylight", "two"]:
        for light, warm in LIGHTS.items():
            own = daylight if kind == "daylight" else daylight * (1 - warm) + tungsten * warm
            for corrected in [0.5, 0.8, 1.0]:
                gain = gains("D65") * (gains(light) / gains("D65")) ** corrected
                white = ((raw(np.full(n, 0.88), light) * gain) @ own.T)[0]
                scale = 0.6 / white[1]
                seen = np.clip((raw(glazes, light) * gain) @ own.T * scale, 0, 1)
                rows.append({"camera": number, "matrix": kind, "light": light, "corrected": corrected,
                             "white": np.round(white * scale, 5).tolist(), "glazes": np.round(seen, 5).tolist()})
print(json.dumps({"lab": GLAZES, "rows": rows}, separators=(",", ":")).replace('{"camera"', '\n{"camera"'))
