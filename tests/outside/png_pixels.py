"""Compares exported pictures with the PDF of the same pages as poppler draws it on cairo: same size, same ink. Pillow
reads the pictures and checks their sums; poppler knows nothing of how they were drawn.

usage: png_pixels.py PROGRAM FOLDER PROJECT…"""

import pathlib
import subprocess
import sys

import numpy as np
from PIL import Image


def shades(path):
    with Image.open(path) as picture:
        picture.verify()
    with Image.open(path) as picture:
        return np.asarray(picture.convert("L"), dtype=float), picture.info.get("dpi"), picture.mode


def blurred(page):
    """Means over 4 by 4 pixels: what the eye sees, whatever each side makes of edges."""
    height, width = (side // 4 * 4 for side in page.shape)
    return page[:height, :width].reshape(height // 4, 4, width // 4, 4).mean(axis=(1, 3))


def judge(program, folder, project, dpi):
    stem = pathlib.Path(folder) / f"{pathlib.Path(project).stem}-{dpi}dpi"
    said = subprocess.run([program, "export", project, "--dpi", str(dpi), "-o", f"{stem}.png", "-o", f"{stem}.pdf"], check=True, capture_output=True, text=True).stderr
    ours = [line.split(": ", 1)[1] for line in said.splitlines() if line.endswith(".png")]
    subprocess.run(["pdftocairo", "-gray", "-png", "-r", str(dpi), f"{stem}.pdf", f"{stem}-pdf"], check=True)
    theirs = sorted(pathlib.Path(folder).glob(f"{stem.name}-pdf-*.png"))
    assert len(ours) == len(theirs), (ours, theirs)
    worst = 0
    for a, b in zip(ours, theirs):
        (page, density, mode), (wanted, _, _) = shades(a), shades(b)
        assert mode == "L" and all(abs(d - dpi) < 0.1 for d in density), (mode, density)
        assert max(abs(x - y) for x, y in zip(page.shape, wanted.shape)) <= 1, (page.shape, wanted.shape)
        height, width = (min(x, y) for x, y in zip(page.shape, wanted.shape))
        page, wanted = page[:height, :width], wanted[:height, :width]
        assert wanted.min() < 10, "nothing on the page"
        off = np.abs(page - wanted).mean()
        coarse = np.abs(blurred(page) - blurred(wanted)).max()
        ink = (255 - page).sum() / (255 - wanted).sum()
        assert off < 4 and coarse < 90 and 0.97 < ink < 1.03, (a, off, coarse, ink)
        worst = max(worst, off)
    print(f"png      {project}: {len(ours)} pages at {dpi} dpi, {worst:.2f} of 255 shades from poppler's picture of the PDF")


if __name__ == "__main__":
    for project in sys.argv[3:]:
        # Five and ten dots per millimetre: whole pixels, wherever a program begins to count them.
        for dpi in (127, 254):
            judge(sys.argv[1], sys.argv[2], project, dpi)
