#!/usr/bin/env python3
"""Checks a sheet's PDF with tools that know nothing of the program: pdfinfo, pdffonts, pdftotext
and pdftoppm (poppler) and qpdf. Usage: pdf_check.py FILE.pdf PAGES [TEXT ...]. Prints what is
wrong, one finding a line, and exits with their number; silent and 0 if all is well."""
import re
import subprocess
import sys
import tempfile
from pathlib import Path


def run(*command):
    done = subprocess.run(command, capture_output=True, text=True)
    return done.returncode, done.stdout, done.stderr


def font_findings(pdf):
    _, out, _ = run("pdffonts", pdf)
    lines = out.splitlines()
    if len(lines) < 3:
        return ["no fonts at all"]
    columns = [m.span() for m in re.finditer(r"-+", lines[1])]
    findings = []
    for line in lines[2:]:
        cells = [line[a : b + 1].strip() for a, b in columns]
        name, embedded, unicode_map = cells[0], cells[3], cells[5]
        if embedded != "yes":
            findings.append(f"font not embedded: {name}")
        if unicode_map != "yes":
            findings.append(f"font without a Unicode table, text can't be copied: {name}")
    return findings


def ink_at_the_edge(pdf):
    """Renders every page in grey and looks for ink within 5 mm of the edge of the paper."""
    findings = []
    with tempfile.TemporaryDirectory() as folder:
        code, _, err = run("pdftoppm", "-r", "50", "-gray", pdf, f"{folder}/p")
        if code:
            return [f"can't be rendered: {err.strip()}"]
        for page in sorted(Path(folder).iterdir()):
            data = page.read_bytes()
            head = re.match(rb"P5\s(\d+)\s(\d+)\s255\s", data)
            width, height = int(head[1]), int(head[2])
            pixels = data[head.end() :]
            if min(pixels) > 100:
                findings.append(f"{page.name}: an empty page")
            rows = [pixels[y * width : (y + 1) * width] for y in range(height)]
            edge = rows[:10] + rows[-10:] + [r[:10] + r[-10:] for r in rows]
            if any(r and min(r) < 200 for r in edge):
                findings.append(f"{page.name}: ink at the edge of the paper")
    return findings


def main():
    pdf, pages, wanted = sys.argv[1], int(sys.argv[2]), sys.argv[3:]
    findings = []
    code, out, err = run("qpdf", "--check", pdf)
    if code:
        findings.append(f"qpdf --check: {(out + err).strip().splitlines()[-1]}")
    _, info, _ = run("pdfinfo", pdf)
    facts = dict(line.split(":", 1) for line in info.splitlines() if ":" in line)
    if int(facts.get("Pages", "0")) != pages:
        findings.append(f"{facts.get('Pages')} pages instead of {pages}")
    for date in ("CreationDate", "ModDate"):
        if date in facts:
            findings.append(f"carries a date: {date}")
    if facts.get("Creator", "").strip() != "Thumbwalk":
        findings.append(f"creator is {facts.get('Creator')}")
    findings += font_findings(pdf)
    code, images, _ = run("pdfimages", "-list", pdf)
    if len(images.splitlines()) > 2:
        findings.append("contains pictures; a sheet is drawn with lines")
    _, text, _ = run("pdftotext", pdf, "-")
    squeezed = " ".join(text.split())
    place = 0
    for words in wanted:
        found = squeezed.find(words, place)
        if found < 0:
            findings.append(f"text not found, or not in reading order: {words!r}")
        place = max(place, found)
    findings += ink_at_the_edge(pdf)
    print("\n".join(findings))
    return min(len(findings), 100)


if __name__ == "__main__":
    sys.exit(main())
