"""Makes the pictures of tests/data/photo that the image library used by the program cannot write itself.

Run with Python 3 and Pillow 10 or later, in the folder of this script. All pictures are invented: four coloured corners.
"""

from pathlib import Path

from PIL import Image

OUT = Path(__file__).parent.parent / "data" / "photo"
OUT.mkdir(parents=True, exist_ok=True)


def corners(shift=0):
    colours = [(250, 10, 10), (10, 250, 10), (10, 10, 250), (245, 245, 245)]
    colours = colours[shift:] + colours[:shift]
    picture = Image.new("RGB", (48, 32))
    for place, colour in zip([(0, 0), (24, 0), (0, 16), (24, 16)], colours):
        picture.paste(colour, (*place, place[0] + 24, place[1] + 16))
    return picture


four_inks = Image.new("CMYK", (32, 24))
four_inks.paste((255, 0, 0, 0), (0, 0, 16, 24))
four_inks.paste((0, 0, 0, 128), (16, 0, 32, 24))
four_inks.save(OUT / "cmyk.jpg", quality=95)

corners().save(OUT / "progressive.jpg", quality=95, progressive=True)
more = [corners(1), corners(2)]
corners().save(OUT / "animated.webp", save_all=True, append_images=more, lossless=True, duration=200)
corners().save(OUT / "animated.png", save_all=True, append_images=more, duration=200)
