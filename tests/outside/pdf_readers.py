"""Reads exported PDFs with three programs that did not write them: qpdf checks the structure,
pdffonts (poppler) that every font is embedded, pypdf in strict mode the pages, title and text.

usage: pdf_readers.py PROGRAM FOLDER PROJECT…"""

import pathlib
import re
import subprocess
import sys

import pypdf


def said(*command):
    return subprocess.run(command, check=True, capture_output=True, text=True).stdout


def judge(program, folder, project):
    pdf = pathlib.Path(folder) / pathlib.Path(project).with_suffix(".pdf").name
    said(program, "export", project, "-o", str(pdf))
    said("qpdf", "--check", str(pdf))
    fonts = said("pdffonts", str(pdf)).splitlines()[2:]
    assert fonts, "no fonts"
    for font in fonts:
        embedded = font.split()[-5]
        assert embedded == "yes", f"not embedded: {font}"
    reader = pypdf.PdfReader(pdf, strict=True)
    title = re.search(r'title: "(.*)"', pathlib.Path(project).read_text(encoding="utf-8")).group(1)
    assert reader.metadata.title == title, reader.metadata.title
    first = reader.pages[0].extract_text()
    assert title in first, "the title is not on the first page"
    for page in reader.pages:
        width, height = (float(side) for side in page.mediabox[2:])
        # ISO 216 A4 is 210 by 297 mm; a point is 1/72 inch of 25.4 mm.
        assert abs(width - 210 / 25.4 * 72) < 0.5 and abs(height - 297 / 25.4 * 72) < 0.5, (width, height)
    print(f"pdf      {project}: {len(reader.pages)} pages, {len(fonts)} fonts embedded: fine by qpdf, poppler and pypdf")


if __name__ == "__main__":
    for project in sys.argv[3:]:
        judge(sys.argv[1], sys.argv[2], project)
