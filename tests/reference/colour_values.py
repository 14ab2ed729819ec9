"""Lab, adapted XYZ and Munsell of random colours, by colour-science 0.4.7: python tests/reference/colour_values.py > tests/reference/colour_values.json

The matrix (7 places, from the primaries) and the white D65 (95.047, 100, 108.883) are the program's own and given explicitly: colour-science's
defaults are rounded otherwise and move Lab by up to 0.01.
"""

import json

import colour
import numpy as np

M = np.array([[0.4124564, 0.3575761, 0.1804375], [0.2126729, 0.7151522, 0.0721750], [0.0193339, 0.1191920, 0.9503041]])
D65 = np.array([0.95047, 1.0, 1.08883])
C = colour.xy_to_XYZ([0.31006, 0.31616])
rng = np.random.default_rng(1)
rows = []
for _ in range(60):
    srgb = rng.uniform(0, 1, 3)
    linear = colour.models.eotf_sRGB(srgb)
    xyz = M @ linear
    white = M @ rng.uniform(0.3, 1, 3)
    adapted = colour.adaptation.matrix_chromatic_adaptation_VonKries(white, D65, transform="Bradford") @ xyz
    under_c = colour.adaptation.matrix_chromatic_adaptation_VonKries(D65, C, transform="Bradford") @ xyz
    try:
        munsell = [float(x) for x in colour.notation.munsell.xyY_to_munsell_specification(colour.XYZ_to_xyY(under_c))]
    except Exception:
        munsell = None
    lab = colour.XYZ_to_Lab(xyz, colour.XYZ_to_xy(D65))
    rows.append({"srgb": list(srgb), "lab": list(lab), "white": list(white * 100), "adapted": list(adapted * 100), "munsell": munsell})
print(json.dumps(rows, indent=0))
