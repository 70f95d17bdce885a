"""Holds what `import` takes from other people's scores against music21's own reading of the same files: notes of the
tune with place, length, pitch and tie, chords with place and pitch classes, metre, key, form as played.

Scores, all installed with music21 and none written here: its corpus (lead sheets, songs and test files; folk tunes in
ABC from Aird's Airs, O'Neill's, Ryan's, the Essen collection and the Nottingham set, written as MusicXML by music21)
and the unofficial MusicXML test suite that it carries (MIT), of which every file must at least be read or refused.

usage: import_music21.py PROGRAM FOLDER [PROJECT…]"""

import fractions
import json
import pathlib
import subprocess
import sys
import warnings

warnings.filterwarnings("ignore")

import music21

import projects

CORPUS = pathlib.Path(music21.common.getCorpusFilePath())
SUITE = pathlib.Path(music21.__file__).parent / "musicxml" / "lilypondTestSuite"
SCORES = [
    "leadSheet/fosterBrownHair.mxl",
    "leadSheet/berlinAlexandersRagtime.mxl",
    "liliuokalani/aloha_oe.mxl",
    "johnson_j_r/lift_every_voice.mxl",
    "demos/ComprehensiveChordSymbolsTestFile.mxl",
    "demos/multiple-verses.xml",
    "demos/two-parts.xml",
    "demos/nested_tuplet_finale_test.xml",
    "demos/nested_tuplet_finale_test2.xml",
    "bach/bwv66.6.mxl",
]
# Tunes of collections by their number in the file.
TUNES = [
    ("airdsAirs/book1.abc", 4), ("airdsAirs/book1.abc", 20), ("airdsAirs/book2.abc", 205), ("airdsAirs/book3.abc", 410),
    ("oneills1850/0001-0050.abc", 3), ("oneills1850/0001-0050.abc", 30), ("oneills1850/0101-0200.abc", 150),
    ("ryansMammoth/AcrobatsHornpipe.abc", None), ("essenFolksong/altdeu10.abc", 5), ("essenFolksong/han1.abc", 7),
    ("nottingham-dataset/reelsa-c.abc", 80), ("nottingham-dataset/reelsa-c.abc", 81),
]
OFFERED = {"4/4", "3/4", "2/4", "5/4", "6/8", "12/8"}
# Files of the suite of which music21 reads something else than they say; each with what.
ELSEWHERE = {
    "13aa-KeySignatures-Extreme": "keys of more than seven signs, which are left out with a word",
    "13c-KeySignatures-NonTraditional": "keys that are no major or minor one, which are left out with a word",
    "13d-KeySignatures-Microtones": "keys that are no major or minor one, which are left out with a word",
    "21f-Chord-ElementInBetween": "notes of one chord as three in a row",
    "32c-MultipleNotationChildren": "accidentals that are shown and do not sound",
    "43d-MultiStaff-StaffChange": "a voice that changes staves as two",
    "01d-Pitches-Microtones": "half-way semitones are rounded the other way",
    "01f-Pitches-EditorialMicrotoneAccidentals": "half-way semitones are rounded the other way",
    "45c-RepeatMultipleTimes": "times of a repeat",
    "45d-Repeats-Nested-Alternatives": "nested repeats",
    "45e-Repeats-Nested-Alternatives": "nested repeats",
    "45f-Repeats-InvalidEndings": "endings that make no sense",
    "45g-Repeats-NotEnded": "a repeat without an end",
}


def ran(*command):
    return subprocess.run([str(word) for word in command], capture_output=True, text=True, timeout=60)


def import_of(program, path, folder):
    project = pathlib.Path(folder) / "imported.ron"
    done = ran(program, "import", path, "-o", project)
    if done.returncode != 0:
        assert done.returncode == 1 and done.stderr.startswith("thumbwalk: "), (path, done.returncode, done.stderr[-400:])
        return None
    listed = ran(program, "import", path, "--list").stdout
    taken = next(i for i, line in enumerate(line for line in listed.splitlines()[1:]) if line.startswith("*"))
    return projects.read(project.read_text(encoding="utf-8")), taken, done.stderr


def ticks_of(meter):
    return fractions.Fraction(640 if meter.endswith("/8") else 960)


def staff_of(score, taken):
    """The first staff of the part with this number; staves of one part are parts of their own in music21."""
    parts, groups = list(score.parts), []
    for part in parts:
        base = str(part.id).split("-Staff")[0]
        if isinstance(part, music21.stream.PartStaff) and groups and groups[-1][0] == base:
            continue
        groups.append((base, part))
    return groups[taken][1]


def melody_of(measure):
    """Voice 1 of a bar: (place, length, pitch, tied) in quarters, the top note of chords."""
    voices = list(measure.voices)
    if voices:
        sounding = [v for v in voices if v.recurse().notes]
        first = [v for v in sounding if str(v.id) == "1"]
        source = (first or sounding or voices)[0]
    else:
        source = measure
    found = []
    for note in source.notes:
        if note.duration.isGrace or isinstance(note, (music21.harmony.Harmony, music21.note.Unpitched)):
            continue
        if note.style.noteSize == "cue" or getattr(note, "notehead", None) == "slash":
            continue
        if isinstance(note, music21.percussion.PercussionChord):
            continue
        pitch = max(note.pitches, key=lambda p: p.ps)
        own = note if not note.isChord else next(n for n in note.notes if n.pitch is pitch or n.pitch == pitch)
        tied = own.tie is not None and own.tie.type in ("stop", "continue")
        at = note.getOffsetInHierarchy(measure)
        found.append((fractions.Fraction(at), fractions.Fraction(note.duration.quarterLength), round(pitch.ps), tied))
    return found


def own_pitch(name):
    return music21.pitch.Pitch(name.split()[0].replace("b", "-")).midi


def check_melody(measures, bars, per_quarter, name):
    assert len(measures) == len(bars), (name, len(measures), len(bars))
    n_notes = 0
    before = None
    for number, (measure, bar) in enumerate(zip(measures, bars), 1):
        wanted = []
        for at, length, pitch, tied in melody_of(measure):
            start, end = round(at * per_quarter), round((at + length) * per_quarter)
            # A tie counts between notes that touch.
            touches = before == (pitch, 0) if not wanted else (wanted[-1][2], wanted[-1][0] + wanted[-1][1]) == (pitch, start)
            if not wanted:
                touches = before is not None and before[0] == pitch and start == 0 and before[1]
            wanted.append((start, end - start, pitch, tied and touches))
        told = [(n[0], n[1], own_pitch(n[2]), n[2].endswith(" tied")) for n in bar.get("tune", [])]
        assert told == wanted, (name, f"bar {number}", told, wanted)
        n_notes += len(told)
        length = bar.get("length") or projects_bar
        before = (told[-1][2], told[-1][0] + told[-1][1] == length) if told else None
    return n_notes


def classes(program, symbol, known={}):
    if symbol not in known:
        known[symbol] = set(json.loads(ran(program, "chord", symbol, "--json").stdout)["pitch_classes"])
    return known[symbol]


def check_chords(program, measures, bars, per_quarter, name, said):
    n_chords = 0
    for number, (measure, bar) in enumerate(zip(measures, bars), 1):
        wanted = {}
        for symbol in measure.recurse().getElementsByClass(music21.harmony.ChordSymbol):
            at = round(fractions.Fraction(symbol.getOffsetInHierarchy(measure)) * per_quarter)
            if at in wanted:
                continue
            no_chord = isinstance(symbol, music21.harmony.NoChord)
            wanted[at] = None if no_chord else (symbol, {p.pitchClass for p in symbol.pitches})
        # Words over the staff that say so are taken as no chord.
        for words in measure.recurse().getElementsByClass(music21.expressions.TextExpression):
            if words.content.replace(".", "").strip().lower() == "nc":
                wanted.setdefault(round(fractions.Fraction(words.getOffsetInHierarchy(measure)) * per_quarter), None)
        told = {c.get("at", 0): c["chord"] for c in bar.get("chords", [])}
        for at, symbol in told.items():
            assert at in wanted, (name, number, told, wanted)
            if wanted[at] is None:
                assert symbol == "N.C.", (name, number, symbol)
                continue
            own, theirs = classes(program, symbol), wanted[at][1]
            kind = wanted[at][0].chordKind
            # The eleventh of thirteenths over a major third; a pedal point sounds with its fifth.
            root = wanted[at][0].root().pitchClass
            eleventh = {(root + 5) % 12} if kind in ("dominant-13th", "major-13th") else set()
            if kind == "pedal" or len(theirs) < 3 <= len(own):
                # music21 knows no notes of a kind that files misspell (minor-major).
                continue
            assert own - {wanted[at][0].bass().pitchClass} <= theirs and theirs - eleventh <= own, (name, number, symbol, own, theirs)
            n_chords += 1
        missing = {at for at in set(wanted) - set(told)}
        assert not missing or "not understood and left out" in said, (name, number, "chords left out", [wanted[at] for at in missing])
    return n_chords


def played(project_bars):
    """The order of bars as DEVELOPERS.md and the chart format say: endings by pass, repeats that do not nest."""
    order, start, pass_, idx = [], 0, 1, 0
    while idx < len(project_bars) and len(order) < 5000:
        bar = project_bars[idx]
        ending, times = bar.get("ending", 0), bar.get("repeat_times", 0)
        if bar.get("repeat_start") and idx != start and not ending:
            start, pass_ = idx, 1
        if ending and ending != pass_:
            idx += 1
            continue
        order.append(idx)
        if times and (ending or pass_ < times):
            pass_, idx = pass_ + 1, start
            continue
        over = times or (ending and (idx + 1 >= len(project_bars) or not project_bars[idx + 1].get("ending", 0)))
        idx += 1
        if over:
            start, pass_ = idx, 1
    return order


def check_form(part, bars, name):
    # Without a sign where it begins, music21 begins a later repeat at the top again and not behind the one before.
    open_ = True
    for line in part.recurse().getElementsByClass(music21.bar.Repeat):
        if line.direction == "start":
            open_ = True
        elif not open_:
            return 0
        else:
            open_ = False
    expander = music21.repeat.Expander(part)
    if not expander.isExpandable():
        return 0
    try:
        expanded = list(expander.process().getElementsByClass(music21.stream.Measure))
    except music21.repeat.ExpanderException:
        return 0
    theirs = [[(p, float(at)) for at, _, p, _ in melody_of(m)] for m in expanded]
    own = [[(own_pitch(n[2]), n[0]) for n in bars[i].get("tune", [])] for i in played(bars)]
    assert [[p for p, _ in bar] for bar in theirs] == [[p for p, _ in bar] for bar in own], (name, len(theirs), len(own))
    return len(own) - len(bars)


projects_bar = 0


def check(program, path, name, folder, strict=True):
    global projects_bar
    read = import_of(program, path, folder)
    if read is None:
        assert not strict, f"{name} is refused"
        return None
    project, taken, said = read
    score = music21.converter.parse(str(path), forceSource=True)
    if isinstance(score, music21.stream.Opus):
        return None
    part = staff_of(score, taken).toSoundingPitch()
    measures = list(part.getElementsByClass(music21.stream.Measure))
    bars = projects.bars(project)
    per_quarter = ticks_of(project["meter"])
    count, unit = map(int, project["meter"].split("/"))
    projects_bar = round(fractions.Fraction(4 * count, unit) * per_quarter)
    times = [t for t in part.recurse().getElementsByClass(music21.meter.TimeSignature)]
    if times and times[0].ratioString in OFFERED:
        assert project["meter"] == times[0].ratioString, (name, project["meter"], times[0].ratioString)
    keys = list(part.recurse().getElementsByClass(music21.key.KeySignature))
    if keys and getattr(keys[0], "mode", "major") in ("major", "minor", None):
        tonic, mode = project["key"].split()
        own = music21.key.Key(tonic.replace("b", "-") if mode == "major" else tonic.replace("b", "-").lower(), mode)
        assert own.sharps == keys[0].sharps, (name, project["key"], keys[0])
    if len(bars) == len(measures):
        n_notes = check_melody(measures, bars, per_quarter, name)
        n_chords = check_chords(program, measures, bars, per_quarter, name, said)
    else:
        # Endings for several passes are written out: only what is played can be the same.
        assert "written out once for each" in said, (name, len(bars), len(measures))
        n_notes = n_chords = 0
    n_again = check_form(part, bars, name)
    return n_notes, n_chords, n_again


def from_abc(folder):
    """Tunes of the collections as MusicXML files, as music21 writes them."""
    for book, number in TUNES:
        opus = music21.converter.parse(str(CORPUS / book))
        tune = opus
        if number is not None and isinstance(opus, music21.stream.Opus):
            tune = opus.getScoreByNumber(number)
        if tune is None:
            raise AssertionError(f"{book} has no tune {number}")
        path = pathlib.Path(folder) / f"{pathlib.Path(book).stem}-{number}.musicxml"
        tune.write("musicxml", fp=str(path))
        yield path, f"{book} {number}"


def main():
    program, folder = sys.argv[1:3]
    total = [0, 0, 0]
    checked = 0
    named = [(CORPUS / path, path) for path in SCORES]
    for path, name in named + list(from_abc(folder)):
        counts = check(program, path, name, folder)
        print(f"{name}: {counts[0]} notes, {counts[1]} chords, {counts[2]} bars played again")
        total = [a + b for a, b in zip(total, counts)]
        checked += 1
    suite = refused = 0
    differing = []
    for path in sorted(SUITE.glob("*.xml")) + sorted(SUITE.glob("*.mxl")):
        if import_of(program, path, folder) is None:
            refused += 1
            continue
        if path.stem in ELSEWHERE:
            continue
        try:
            score = music21.converter.parse(str(path), forceSource=True)
        except Exception:
            continue
        try:
            counts = check(program, path, path.name, folder, strict=False)
        except AssertionError as error:
            differing.append(str(error)[:1500])
            continue
        if counts:
            suite += 1
            total = [a + b for a, b in zip(total, counts)]
    assert not differing, "\n".join(differing)
    print(f"{checked} scores and {suite} of the test suite agree with music21 ({refused} refused in words): "
          f"{total[0]} notes, {total[1]} chords, {total[2]} bars played again")


if __name__ == "__main__":
    main()
