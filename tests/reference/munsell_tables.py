"""Writes assets/munsell: the renotation as chromaticities, and the blocks of the ISCC-NBS colour names.

    python tests/reference/munsell_tables.py FOLDER_OF_MUNSELLSPACE

Needs colour-science 0.4.7 (BSD-3-Clause) and the unpacked sources of the crate munsellspace 1.2.4 (Apache-2.0).

Renotation: Newhall, Nickerson & Judd, J. Opt. Soc. Am. 33, 1943, 385-418, with the chips extrapolated beyond it, as colour-science keeps them
(MUNSELL_COLOURS_ALL). The value 0.2 is left out: one hue is missing there and the rest lies outside of all colours.

Names: Kelly & Judd, NBS Circular 553, 1955 (a work of the United States' government). The crate keeps its blocks as polygons of value and chroma
between two hues. They are cut into boxes here, and it is checked that these fill the whole space once. Its names are wrong in places (18, 45, 60, 79,
109, 254, 255, 261) and set right here; the whole of 267 then agrees with the list that Debian's libcolor-library-perl has.
"""

import re
import sys
from pathlib import Path

from colour.notation.datasets.munsell import MUNSELL_COLOURS_ALL

FAMILIES = ["R", "YR", "Y", "GY", "G", "BG", "B", "PB", "P", "RP"]
NAMES_SET_RIGHT = {
    18: "light grayish red", 45: "light grayish reddish brown", 60: "light grayish brown", 79: "light grayish yellowish brown",
    109: "light grayish olive", 254: "vivid purplish red", 255: "strong purplish red", 261: "light grayish purplish red",
}
NEAR_NEUTRALS = [
    (range(9, 11), "pinkish"), (range(22, 25), "reddish"), (range(63, 66), "brownish"), (range(92, 94), "yellowish"),
    (range(112, 115), "olive"), (range(153, 158), "greenish"), (range(189, 194), "bluish"), (range(231, 236), "purplish"),
]


def hue_number(text):
    """5R is 5, 5YR 15, 10RP 100."""
    step, family = re.fullmatch(r"([\d.]+)([A-Z]+)", text).groups()
    return float(step) + 10 * FAMILIES.index(family)


def renotation():
    chips = {}
    for (hue, value, chroma), (x, y, _) in MUNSELL_COLOURS_ALL:
        if value != 0.2:
            chips.setdefault((value, hue_number(hue)), {})[chroma] = (x, y)
    lines = [
        "# Munsell renotation: value, hue number (5 is 5R, 100 is 10RP), then x and y of the chips of chroma 2, 4, 6 …, in ten-thousandths, illuminant C.",
        "# Figures as the Python package colour-science 0.4.7 keeps them (BSD-3-Clause). Written by tests/reference/munsell_tables.py, which says where the figures come from.",
    ]
    for (value, hue), row in sorted(chips.items()):
        assert sorted(row) == [2.0 * (i + 1) for i in range(len(row))]
        figures = " ".join(f"{round(x * 1e4)} {round(y * 1e4)}" for _, (x, y) in sorted(row.items()))
        lines.append(f"{value:g} {hue:g} {figures}")
    assert len(chips) == 13 * 40
    return "\n".join(lines) + "\n"


def inside(points, chroma, value):
    within = False
    for (c1, v1), (c2, v2) in zip(points, points[1:] + points[:1]):
        if (v1 > value) != (v2 > value) and chroma < (c2 - c1) * (value - v1) / (v2 - v1) + c1:
            within = not within
    return within


def boxes_of(points):
    """A polygon of right angles, cut into boxes (value from, to, chroma from, to)."""
    chromas, values = sorted({c for c, _ in points}), sorted({v for _, v in points})
    boxes = []
    for v0, v1 in zip(values, values[1:]):
        run = None
        for c0, c1 in zip(chromas, chromas[1:]):
            if not inside(points, (c0 + c1) / 2, (v0 + v1) / 2):
                continue
            if run and run[3] == c0:
                run[3] = c1
            else:
                run = [v0, v1, c0, c1]
                boxes.append(run)
    merged = []
    for box in boxes:
        if merged and merged[-1][1] == box[0] and merged[-1][2:] == box[2:]:
            merged[-1][1] = box[1]
        else:
            merged.append(box)
    return merged


def names(crate):
    constants = crate / "src" / "constants"
    polygons = re.findall(
        r'color_number: (\d+),\s*polygon_group: \d+,\s*hue1: "(\w+)",\s*hue2: "(\w+)",\s*points: &\[(.*?)\],\s*\}',
        (constants / "iscc_nbs_polygons.rs").read_text(), re.S,
    )
    named = {}
    entries = re.findall(
        r'color_number: (\d+), iscc_nbs_color_name: "([^"]+)", iscc_nbs_formatter: (?:None|Some\("([^"]+)"\))',
        (constants / "iscc_nbs_colors.rs").read_text(),
    )
    ish = {n: word for numbers, word in NEAR_NEUTRALS for n in numbers}
    for n, name, pattern in entries:
        n = int(n)
        named[n] = NAMES_SET_RIGHT.get(n, (pattern or "{0}").replace("{0}", name).replace("{1}", ish.get(n, "")))
    assert sorted(named) == list(range(1, 268)) and len(set(named.values())) == 267
    blocks = {n: [] for n in named}
    for n, hue1, hue2, points in polygons:
        points = [(float(c), float(v)) for c, v in re.findall(r"chroma: ([\d.]+), value: ([\d.]+)", points)]
        blocks[int(n)] += [(hue_number(hue1), hue_number(hue2), *box) for box in boxes_of(points)]
    lines = [
        "# ISCC-NBS colour names, level 3: a line 'number name' and under it its boxes: hue number from, to (5 is 5R, 100 is 10RP; round the circle),",
        "# value from, to, chroma from, to; the lower bound is within, the upper is not. A chroma of 50 stands for any.",
        "# Blocks cut from the polygons of the crate munsellspace 1.2.4 (Apache-2.0), names put right. Written by tests/reference/munsell_tables.py, which says where the figures come from.",
    ]
    for n in sorted(named):
        lines.append(f"{n} {named[n]}")
        lines += ["  " + " ".join(f"{x:g}" for x in box) for box in blocks[n]]
    return "\n".join(lines) + "\n"


if __name__ == "__main__":
    folder = Path("assets/munsell")
    folder.mkdir(exist_ok=True)
    (folder / "renotation.txt").write_text(renotation())
    (folder / "names.txt").write_text(names(Path(sys.argv[1])))
