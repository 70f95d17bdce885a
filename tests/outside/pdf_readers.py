"""Reads exported PDFs with three programs that did not write them: qpdf checks the structure,
pdffonts (poppler) that every font is embedded, pdftotext that words come in reading order, pypdf in
strict mode pages, title, author, language, text and bookmarks. Then poppler and cairosvg draw PDF and SVG of the same pages, which must show the same, and the same as small stored pictures;
UPDATE_PICTURES=1 in the environment stores them anew.

usage: pdf_readers.py PROGRAM FOLDER PROJECT…"""

import os
import pathlib
import re
import subprocess
import sys

import cairosvg
import numpy as np
import pypdf
from PIL import Image

STORED = pathlib.Path(__file__).parent / "pages"


def said(*command):
    return subprocess.run(command, check=True, capture_output=True, text=True).stdout


def value(text, name):
    found = re.search(rf'{name}: "(.*)"', text)
    return found.group(1) if found else ""


def said_about(reader, text):
    about = reader.metadata
    assert about.title == value(text, "title"), about.title
    assert about.author == value(text, "credits"), about.author
    assert reader.trailer["/Root"]["/Lang"] == "en", "no language"
    marks = [(mark.title, reader.get_destination_page_number(mark)) for mark in reader.outline]
    sections = re.findall(r'^      name: "(.+)"', text, re.MULTILINE)
    wanted = (["Lesson text"] if value(text, "lesson") else []) + sections
    assert [title for title, _ in marks] == wanted, (marks, wanted)
    assert [page for _, page in marks] == sorted(page for _, page in marks), marks


def in_reading_order(pdf, words):
    """pdftotext without -layout follows the order in which the file draws."""
    text = " ".join(said("pdftotext", str(pdf), "-").split())
    place = 0
    for word in words:
        found = text.find(word, place)
        assert found >= 0, f"not found, or out of order: {word!r}"
        place = found


def shades(path, size=None):
    with Image.open(path) as picture:
        picture = picture.convert("L")
        return np.asarray(picture.resize(size, Image.Resampling.BOX) if size else picture, dtype=float)


def same_pictures(program, folder, pdf, project, options):
    """Poppler's picture of the PDF beside cairosvg's of the SVG, and beside what is stored."""
    svg = pdf.with_suffix(".svg")
    said(program, "export", project, *options, "-o", str(svg))
    stem = str(pdf.with_suffix(""))
    # Fine enough that both draw thin lines as thin as they are; then compared as the eye sees them.
    said("pdftocairo", "-r", "216", "-gray", "-png", str(pdf), stem)
    pages = sorted(pdf.parent.glob(f"{pdf.stem}-[0-9]*.png"))
    for number, page in enumerate(pages, 1):
        ours = svg if number == 1 else svg.with_name(f"{svg.stem}-{number}.svg")
        drawn = svg.with_name(f"{svg.stem}-svg-{number}.png")
        theirs = shades(page)
        height, width = theirs.shape
        cairosvg.svg2png(url=str(ours), write_to=str(drawn), output_width=width, output_height=height)
        apart = np.abs(shades(drawn, (width // 8, height // 8)) - shades(page, (width // 8, height // 8)))
        assert apart.mean() < 3 and apart.max() < 70, (ours, apart.mean(), apart.max())
    # One small picture of the first page of each: what changes the look is seen in a review.
    stored = STORED / f"{pdf.stem}.png"
    height, width = shades(pages[0]).shape
    small = shades(pages[0], (width // 9, height // 9))
    if os.environ.get("UPDATE_PICTURES"):
        STORED.mkdir(exist_ok=True)
        Image.fromarray(small.round().astype("uint8")).save(stored, optimize=True)
    apart = np.abs(small - shades(stored))
    assert apart.mean() < 1.5, f"{stored} differs by {apart.mean():.2f} shades: look at both, then UPDATE_PICTURES=1"
    return len(pages)


def judge(program, folder, project):
    text = pathlib.Path(project).read_text(encoding="utf-8")
    for name, options in (("", []), ("-staff", ["--staff", "on"])):
        stem = pathlib.Path(project).stem + name
        pdf = pathlib.Path(folder) / f"{stem}.pdf"
        said(program, "export", project, *options, "-o", str(pdf))
        said("qpdf", "--check", str(pdf))
        fonts = said("pdffonts", str(pdf)).splitlines()[2:]
        assert fonts, "no fonts"
        for font in fonts:
            embedded = font.split()[-5]
            assert embedded == "yes", f"not embedded: {font}"
        reader = pypdf.PdfReader(pdf, strict=True)
        said_about(reader, text)
        sections = re.findall(r'^      name: "(.+)"', text, re.MULTILINE)
        lesson = value(text, "lesson").split("\\n")
        in_reading_order(pdf, [value(text, "title"), value(text, "credits"), "Key:", *lesson, *sections, "Thumb"])
        for page in reader.pages:
            width, height = (float(side) for side in page.mediabox[2:])
            # ISO 216 A4 is 210 by 297 mm; a point is 1/72 inch of 25.4 mm.
            assert abs(width - 210 / 25.4 * 72) < 0.5 and abs(height - 297 / 25.4 * 72) < 0.5, (width, height)
        n_pages = same_pictures(program, folder, pdf, project, options)
        assert n_pages == len(reader.pages)
        print(f"pdf      {stem}: {n_pages} pages, {len(fonts)} fonts embedded, {len(reader.outline)} bookmarks: fine by qpdf, poppler and pypdf; cairosvg draws the SVG alike")


if __name__ == "__main__":
    for project in sys.argv[3:]:
        judge(sys.argv[1], sys.argv[2], project)
