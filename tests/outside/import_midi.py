"""Holds the tune that `import` takes from MIDI files against pretty_midi's and mido's reading of the same files: pitches
and places of the top notes. The files are folk tunes of music21's corpus (Aird's Airs, O'Neill's, Ryan's, the Essen
collection), written as MIDI by music21, and the example that partitura carries; none of them is ours.

usage: import_midi.py PROGRAM FOLDER [PROJECT…]"""

import fractions
import pathlib
import sys
import warnings

warnings.filterwarnings("ignore")

import mido
import music21
import partitura
import pretty_midi

import projects
from import_music21 import CORPUS, TUNES, import_of, own_pitch, ticks_of


def files(folder):
    for book, number in TUNES:
        opus = music21.converter.parse(str(CORPUS / book))
        is_opus = number is not None and isinstance(opus, music21.stream.Opus)
        tune = opus.getScoreByNumber(number) if is_opus else opus
        for symbol in list(tune.recurse().getElementsByClass(music21.harmony.ChordSymbol)):
            symbol.activeSite.remove(symbol)
        path = pathlib.Path(folder) / f"{pathlib.Path(book).stem}-{number}.mid"
        try:
            tune.write("midi", fp=str(path))
        except music21.exceptions21.StreamException:
            continue  # music21 cannot write every tune that it has
        yield path
    yield pathlib.Path(partitura.__file__).parent / "assets" / "score_example.mid"


def top_notes(path, taken):
    """Onset in quarters and pitch of the highest note at each onset."""
    song = mido.MidiFile(path)
    tempo = next((m.tempo for t in song.tracks for m in t if m.type == "set_tempo"), 500_000)
    instruments = [i for i in pretty_midi.PrettyMIDI(str(path)).instruments if not i.is_drum]
    found = {}
    for note in instruments[taken].notes:
        onset = round(note.start * 1e6 / tempo, 3)
        found[onset] = max(found.get(onset, 0), note.pitch)
    return sorted(found.items())


def main():
    program, folder = sys.argv[1:3]
    n_files = n_notes = 0
    for path in files(folder):
        project, taken, said = import_of(program, path, folder)
        meter = project["meter"]
        count, unit = map(int, meter.split("/"))
        full = fractions.Fraction(4 * count, unit) * ticks_of(meter)
        told, start = [], fractions.Fraction(0)
        for bar in projects.bars(project):
            for at, _, name in bar.get("tune", []):
                if not name.endswith(" tied"):
                    told.append((float((start + at) / ticks_of(meter)), own_pitch(name)))
            start += bar.get("length") or full
        wanted = top_notes(path, taken)
        here = next((i for i, pair in enumerate(zip(told, wanted)) if pair[0][1] != pair[1][1]), min(len(told), len(wanted)))
        assert len(told) == len(wanted) == here, (path.name, told[here - 2:here + 4], wanted[here - 2:here + 4], said)
        for (own, _), (theirs, _) in zip(told, wanted):
            # What lies between the places of the grid is moved, and said to be.
            assert abs(own - theirs) < (0.13 if "are moved" in said else 0.02), (path.name, own, theirs, said)
        n_files += 1
        n_notes += len(told)
    print(f"{n_files} MIDI files: {n_notes} notes where pretty_midi has them")


main()
