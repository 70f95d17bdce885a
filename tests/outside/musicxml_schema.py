"""Holds exported MusicXML against the official 4.0 schema (carried by the package musicxml) with lxml and
xmlschema, and against what music21 and partitura read: the notes of the event list at the same places, on
strings and frets that sound them, bars as long as their signatures, chords that mean what `chord` says.

usage: musicxml_schema.py PROGRAM FOLDER PROJECT…"""

import importlib.util
import io
import json
import pathlib
import re
import subprocess
import sys
import warnings
import zipfile

warnings.filterwarnings("ignore")

import lxml.etree
import music21
import partitura
import xmlschema

import tunes

STEPS = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
# MusicXML 4.0, kind-value: pitch classes above the root.
KINDS = {
    "major": {0, 4, 7}, "minor": {0, 3, 7}, "augmented": {0, 4, 8}, "diminished": {0, 3, 6},
    "dominant": {0, 4, 7, 10}, "major-seventh": {0, 4, 7, 11}, "minor-seventh": {0, 3, 7, 10},
    "diminished-seventh": {0, 3, 6, 9}, "augmented-seventh": {0, 4, 8, 10}, "half-diminished": {0, 3, 6, 10},
    "major-minor": {0, 3, 7, 11}, "major-sixth": {0, 4, 7, 9}, "minor-sixth": {0, 3, 7, 9},
    "dominant-ninth": {0, 2, 4, 7, 10}, "major-ninth": {0, 2, 4, 7, 11}, "minor-ninth": {0, 2, 3, 7, 10},
    "dominant-11th": {0, 2, 4, 5, 7, 10}, "major-11th": {0, 2, 4, 5, 7, 11}, "minor-11th": {0, 2, 3, 5, 7, 10},
    "dominant-13th": {0, 2, 4, 5, 7, 9, 10}, "major-13th": {0, 2, 4, 5, 7, 9, 11},
    "minor-13th": {0, 2, 3, 5, 7, 9, 10}, "suspended-second": {0, 2, 7}, "suspended-fourth": {0, 5, 7}, "power": {0, 7},
}
# Semitones of degrees above the root; the seventh of a dominant chord is minor (degree-alter).
DEGREES = {1: 0, 2: 2, 3: 4, 4: 5, 5: 7, 6: 9, 7: 10, 9: 2, 11: 5, 13: 9}


def said(*command):
    return subprocess.run(command, check=True, capture_output=True, text=True).stdout


def package(name):
    return pathlib.Path(importlib.util.find_spec(name).origin).parent


class Schemas:
    def __init__(self, folder):
        own = package("musicxml") / "generate_classes"
        w3 = package("xmlschema") / "schemas"
        locations = {
            "http://www.w3.org/1999/xlink": str(w3 / "XLINK" / "xlink.xsd"),
            "http://www.w3.org/XML/1998/namespace": str(w3 / "XML" / "xml.xsd"),
        }
        self.strict = xmlschema.XMLSchema(str(own / "musicxml_4_0.xsd"), locations=locations, allow="local")
        text = (own / "musicxml_4_0.xsd").read_text(encoding="utf-8")
        for namespace, path in locations.items():
            text = re.sub(rf'(namespace="{re.escape(namespace)}" schemaLocation=)"[^"]*"', rf'\1"{path}"', text)
        patched = pathlib.Path(folder) / "musicxml.xsd"
        patched.write_text(text, encoding="utf-8")
        self.parser = lxml.etree.XMLParser(no_network=True, load_dtd=False, resolve_entities=False)
        self.fast = lxml.etree.XMLSchema(lxml.etree.parse(str(patched), self.parser))

    def validate(self, raw):
        root = lxml.etree.fromstring(raw, self.parser)
        assert self.fast.validate(root), list(self.fast.error_log)[:5]
        errors = list(self.strict.iter_errors(io.BytesIO(raw)))
        assert not errors, [(e.path, e.reason) for e in errors[:5]]
        return root


def number(element, path, default=0):
    text = element.findtext(path)
    return default if text is None else int(text)


def pitch_of(note):
    pitch = note.find("pitch")
    return 12 * (number(pitch, "octave") + 1) + STEPS[pitch.findtext("step")] + number(pitch, "alter")


def tuning_of(root):
    """Open strings with the capo, by the player's string number."""
    details = root.find(".//staff-details")
    lines = details.findall("staff-tuning")
    assert len(lines) == number(details, "staff-lines")
    capo = number(details, "capo")
    open_ = {}
    for tuning in lines:
        midi = 12 * (number(tuning, "tuning-octave") + 1) + STEPS[tuning.findtext("tuning-step")] + number(tuning, "tuning-alter")
        open_[len(lines) + 1 - int(tuning.get("line"))] = midi + capo
    return open_


def walk(root):
    """Every struck note of either staff, the harmonies, and whether all bars are full."""
    divisions = number(root, ".//divisions")
    struck, chords, length = {1: [], 2: []}, [], None
    tied = {}
    for bar, measure in enumerate(root.iter("measure"), 1):
        time = measure.find("attributes/time")
        if time is not None:
            length = 4 * divisions * number(time, "beats") // number(time, "beat-type")
        now, sums, last_start = 0, {}, 0
        for element in measure:
            if element.tag == "backup":
                now -= number(element, "duration")
            elif element.tag == "forward":
                now += number(element, "duration")
            elif element.tag == "harmony":
                chords.append((bar, now, element))
            elif element.tag == "note":
                one_note(element, bar, now if element.find("chord") is None else last_start, struck, tied)
                if element.find("grace") is None and element.find("chord") is None:
                    last_start = now
                    now += number(element, "duration")
                    voice = element.findtext("voice")
                    sums[voice] = sums.get(voice, 0) + number(element, "duration")
        assert set(sums) in ({"2", "3", "6", "7"}, {"1", "2", "3", "5", "6", "7"}), sums
        implicit = measure.get("implicit") == "yes"
        assert len(set(sums.values())) == 1 and (implicit or set(sums.values()) == {length}), (bar, sums, length)
    assert not tied, f"ties without an end: {tied}"
    return struck, chords


def one_note(note, bar, now, struck, tied):
    if note.find("rest") is not None or note.find("grace") is not None:
        return
    place = (note.findtext("voice"), pitch_of(note), note.findtext(".//string"))
    types = {tie.get("type") for tie in note.findall("tie")}
    assert types == {tie.get("type") for tie in note.findall("notations/tied")}
    if "stop" in types:
        tied.pop(place)
    else:
        struck[number(note, "staff")].append((bar, now, note))
    if "start" in types:
        tied[place] = bar


def notes_agree(root, told):
    """Strings, frets, fingers, letters, articulations and slides of the event list."""
    struck, chords = walk(root)
    open_ = tuning_of(root)
    first = {}
    for note in told["notes"]:
        first.setdefault((note["bar"], note["tick"], note["string"]), note)
    tab = {}
    for bar, now, note in struck[2]:
        string, fret = number(note, ".//string"), number(note, ".//fret")
        assert open_[string] + fret == pitch_of(note), "a fret that sounds another note"
        tab[bar, now, string] = note
    assert set(tab) == set(first), sorted(set(tab) ^ set(first))[:5]
    notation = sorted((bar, now, pitch_of(note), note.findtext("voice")) for bar, now, note in struck[1])
    voices = {"1": "5", "2": "6", "3": "7"}
    as_tab = sorted((bar, now, pitch_of(n), n.findtext("voice")) for bar, now, n in struck[2])
    assert [(*n[:3], voices[n[3]]) for n in notation] == as_tab, "the staves differ"
    fingers = {}
    for bar, now, note in struck[1]:
        fingers.setdefault((bar, now, pitch_of(note)), []).append((note.findtext(".//fingering"), note.findtext(".//pluck")))
    slides = 0
    for place, event in first.items():
        note = tab[place]
        assert (pitch_of(note), number(note, ".//fret")) == (event["pitch"], event["fret"]), event
        assert note.findtext("voice") == {"tune": "5", "fingers": "6", "thumb": "7"}[event["lane"]]
        hands = fingers[place[0], place[1], event["pitch"]]
        assert (str(event["finger"]), event["hand"]) in hands, (event, hands)
        assert (note.findtext("notehead") == "x") == (event.get("move") == "ghost")
        slide = note.find("notations/slide")
        assert (slide is not None) == ("slide_from" in event), event
        if slide is not None:
            assert slide.get("type") == "stop"
            slides += 1
            start = [s for s in note.itersiblings("note", preceding=True) if s.find("grace") is not None
                     and s.find("notations/slide").get("number") == slide.get("number")][0]
            assert number(start, ".//fret") == event["slide_from"] and number(start, ".//string") == event["string"]
    shorts = {(e["bar"], e["tick"]) for e in first.values() if e["articulation"] == "short"}
    dots = {(bar, now) for bar, now, n in struck[2] if n.find(".//staccato") is not None}
    assert dots == shorts, (dots ^ shorts)
    return struck, chords, slides


def classes_of(harmony):
    """What the standard says the kind and its degrees sound."""
    root = (STEPS[harmony.findtext("root/root-step")] + number(harmony, "root/root-alter")) % 12
    classes = set(KINDS[harmony.findtext("kind")])
    kind = harmony.findtext("kind")
    for degree in harmony.findall("degree"):
        value, alter, type_ = number(degree, "degree-value"), number(degree, "degree-alter"), degree.findtext("degree-type")
        if type_ == "add":
            classes.add((DEGREES[value] + alter) % 12)
            continue
        natural = {3: {3, 4}, 5: {6, 7, 8}, 7: {9, 10, 11}}.get(value, {DEGREES[value]})
        own, = {c for c in natural & KINDS[kind]}
        classes.discard(own)
        if type_ == "alter":
            classes.add((own + alter) % 12)
    return {(root + c) % 12 for c in classes}


def chords_agree(program, chords, wanted):
    """Places and meaning of every symbol of the chart; frames that sound chord tones only."""
    assert [(bar, at) for bar, at, _ in chords] == [(bar, at) for bar, at, _ in wanted]
    for (_, _, harmony), (_, _, symbol) in zip(chords, wanted):
        if symbol == "N.C.":
            assert harmony.findtext("kind") == "none"
            continue
        meaning = json.loads(said(program, "chord", symbol, "--json"))
        classes = classes_of(harmony)
        bass = harmony.find("bass")
        if bass is not None:
            low = (STEPS[bass.findtext("bass-step")] + number(bass, "bass-alter")) % 12
            classes.add(low)
        eleventh = {(STEPS[harmony.findtext("root/root-step")] + number(harmony, "root/root-alter") + 5) % 12} if harmony.findtext("kind").endswith("13th") else set()
        assert classes - eleventh == set(meaning["pitch_classes"]) - eleventh, (symbol, sorted(classes), meaning)


def by_music21(path, told, wanted):
    score = music21.converter.parse(str(path), forceSource=True)
    staves = score.parts
    assert len(staves) == 2
    for staff in staves:
        found = []
        for bar, measure in enumerate(staff.getElementsByClass("Measure"), 1):
            for note in measure.recurse().notes:
                if isinstance(note, music21.harmony.Harmony) or note.duration.isGrace:
                    continue
                at = note.getOffsetInHierarchy(measure)
                found += [(bar, round(float(at), 3), n.pitch.midi) for n in (note.notes if note.isChord else [note]) if not n.tie or n.tie.type == "start"]
        quarters = 2 / 3 if told["meter"].endswith("8") else 1
        events = {(n["bar"], n["tick"], n["string"]): n for n in reversed(told["notes"])}
        right = [(bar, round(at * 1.5 ** (quarters < 1) / 960, 3), n["pitch"]) for (bar, at, _), n in events.items()]
        # a dotted beat is a quarter and a half
        assert sorted(found) == sorted(right), sorted(set(found) ^ set(right))[:6]
    symbols = [h for h in staves[0].recurse().getElementsByClass("Harmony")]
    assert len(symbols) == len(wanted), (len(symbols), len(wanted))
    for harmony, (_, _, symbol) in zip(symbols, wanted):
        if symbol == "N.C.":
            assert isinstance(harmony, music21.harmony.NoChord)
        else:
            assert harmony.root().pitchClass == music21.pitch.Pitch(re.match("[A-G][b#]?", symbol).group().replace("b", "-")).pitchClass
    played = music21.repeat.Expander(staves[0])
    order = [m.number for m in played.process().getElementsByClass("Measure")] if played.isExpandable() else [m.number for m in staves[0].getElementsByClass("Measure")]
    events_order = []
    for note in told["notes"]:
        events_order.append(note["bar"])
    silent = set(order) - set(events_order)
    squeezed = [b for b in order if b not in silent]
    heard = [b for i, b in enumerate(events_order) if i == 0 or b != events_order[i - 1]]
    alone = [b for i, b in enumerate(squeezed) if i == 0 or b != squeezed[i - 1]]
    assert alone == heard, (order, heard)


def by_partitura(path, told, root):
    """Where its notes begin. Ties it can't tell apart where both staves have the same note."""
    part = partitura.load_musicxml(str(path)).parts[0]
    starts = sorted(measure.start.t for measure in part.iter_all(partitura.score.Measure))
    ticks_per_quarter = number(root, ".//divisions")
    events = {(n["bar"], n["tick"], n["pitch"]) for n in told["notes"]}
    for staff in (1, 2):
        notes = [n for n in part.notes if n.staff == staff and not isinstance(n, partitura.score.GraceNote)]
        found = set()
        for note in notes:
            bar = sum(start <= note.start.t for start in starts)
            at = part.quarter_map(note.start.t) - part.quarter_map(starts[bar - 1])
            found.add((bar, round(float(at) * ticks_per_quarter), note.midi_pitch))
        assert events <= found, sorted(events - found)[:5]
        written = [n for n in root.iter("note") if n.find("pitch") is not None and n.find("grace") is None and number(n, "staff") == staff]
        assert len(notes) == len(written), (len(notes), len(written))


def chart_of(program, folder, project):
    """Bar, tick and symbol of every chord, from the project file that the chart becomes."""
    path = pathlib.Path(folder) / "chart.ron"
    subprocess.run([program, "arrange", str(project), "-o", str(path)], capture_output=True)
    bars = re.findall(r"^ +\((chords: \[.*?\])?.*\),$", path.read_text(encoding="utf-8").partition("bars:")[2], re.M)
    return [(bar, int(at or 0), symbol) for bar, text in enumerate(bars, 1)
            for at, symbol in re.findall(r'\((?:at: (\d+), )?chord: "(.*?)"', text)]


def judge(program, folder, project, schemas):
    stem = pathlib.Path(folder) / pathlib.Path(project).stem.split(".")[0]
    path, packed = stem.with_suffix(".musicxml"), stem.with_suffix(".mxl")
    said(program, "export", str(project), "-o", str(path))
    said(program, "export", str(project), "-o", str(packed))
    raw = path.read_bytes()
    with zipfile.ZipFile(packed) as archive:
        assert archive.testzip() is None
        container = lxml.etree.fromstring(archive.read("META-INF/container.xml"))
        assert archive.read(container.find(".//rootfile").get("full-path")) == raw
    root = schemas.validate(raw)
    told = json.loads(said(program, "events", str(project), "--json"))
    wanted = chart_of(program, folder, project)
    struck, chords, slides = notes_agree(root, told)
    chords_agree(program, chords, wanted)
    by_music21(path, told, wanted)
    by_music21(packed, told, wanted)
    by_partitura(path, told, root)
    print(f"musicxml {project}: {len(struck[2])} notes, {len(chords)} chords, {slides} slides: valid 4.0, the same by music21 and partitura")


if __name__ == "__main__":
    schemas = Schemas(sys.argv[2])
    for project in [*sys.argv[3:], *tunes.written(sys.argv[2])]:
        judge(sys.argv[1], sys.argv[2], project, schemas)
