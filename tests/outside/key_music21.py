"""Holds the key that `import` guesses for MIDI files without a key signature against music21's key analysis of the same
notes, read by pretty_midi, each as long as until the next begins: with the same published profiles (Krumhansl and
Kessler) it must find the same key. How often its other profiles (Aarden and Essen, Bellman and Budge, Temperley, Kostka and Payne) agree is told, as a measure of how far
such guesses can be trusted at all. Folk tunes of music21's corpus, written as MIDI by music21; none of them is ours.

usage: key_music21.py PROGRAM FOLDER [PROJECT…]"""

import pathlib
import sys
import warnings

warnings.filterwarnings("ignore")

import music21
import pretty_midi
from music21.analysis import discrete

from import_music21 import CORPUS, import_of

BOOKS = [
    ("airdsAirs/book1.abc", range(1, 30)), ("airdsAirs/book3.abc", range(410, 425)),
    ("oneills1850/0001-0050.abc", range(1, 31)), ("essenFolksong/altdeu10.abc", range(1, 31)),
    ("essenFolksong/han1.abc", range(1, 21)), ("nottingham-dataset/reelsa-c.abc", range(70, 90)),
]
OTHERS = ["aardenessen", "bellmanbudge", "temperleykostkapayne"]


def files(folder):
    for book, numbers in BOOKS:
        opus = music21.converter.parse(str(CORPUS / book))
        for number in numbers:
            try:
                tune = opus.getScoreByNumber(number)
            except Exception:
                tune = None
            if tune is None:
                continue  # the books leave numbers out
            for kind in (music21.harmony.ChordSymbol, music21.key.KeySignature):
                for item in list(tune.recurse().getElementsByClass(kind)):
                    item.activeSite.remove(item)
            path = pathlib.Path(folder) / f"key-{pathlib.Path(book).stem}-{number}.mid"
            try:
                tune.write("midi", fp=str(path))
            except Exception:  # music21 cannot write every tune that it has
                continue
            yield path


def same(own, theirs):
    """Tonic and mode; black keys may be spelled either way."""
    tonic, mode = own.split()
    return (music21.pitch.Pitch(tonic.replace("b", "-")).pitchClass, mode) == (theirs.tonic.pitchClass, theirs.mode)


def notes_of(path, taken):
    """The notes of a track as music21 has them, none longer than until the next begins."""
    instruments = [i for i in pretty_midi.PrettyMIDI(str(path)).instruments if not i.is_drum]
    notes = sorted(instruments[taken].notes, key=lambda note: note.start)
    onsets = sorted({note.start for note in notes})
    following = dict(zip(onsets, onsets[1:]))
    stream = music21.stream.Stream()
    for note in notes:
        length = min(note.end, following.get(note.start, note.end)) - note.start
        if length > 0:
            stream.insert(note.start, music21.note.Note(note.pitch, quarterLength=length))
    return stream


def main():
    program, folder = sys.argv[1:3]
    n_files, agree, ties = 0, dict.fromkeys(OTHERS, 0), 0
    for path in files(folder):
        found = import_of(program, path, folder)
        if found is None:
            continue
        project, taken, said = found
        assert "by its notes it is taken as" in said, (path.name, said)
        stream = notes_of(path, taken)
        theirs = discrete.analyzeStream(stream, "key.krumhanslkessler")
        if not same(project["key"], theirs):
            own = next(key for key in theirs.alternateInterpretations if same(project["key"], key))
            apart = theirs.correlationCoefficient - own.correlationCoefficient
            # Ticks and quarters round differently: keys that fit as well as each other are one answer.
            assert apart < 0.002, (path.name, project["key"], str(theirs), apart)
            ties += 1
        for other in OTHERS:
            agree[other] += same(project["key"], discrete.analyzeStream(stream, f"key.{other}"))
        n_files += 1
    assert n_files > 80, n_files
    others = ", ".join(f"{other} {agree[other]}" for other in OTHERS)
    print(f"{n_files} MIDI files without a key: guessed as music21 does with the same profiles ({ties} ties); {others}")


main()
