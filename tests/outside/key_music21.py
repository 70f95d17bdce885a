"""Holds the key that `import` guesses for MIDI files without a key signature against music21's reading of the same
files: its key analysis with the same published profiles (Krumhansl and Kessler) must find the same key. How often its
other profiles (Aarden and Essen, Bellman and Budge, Temperley, Kostka and Payne) agree is told, as a measure of how far
such guesses can be trusted at all. Folk tunes of music21's corpus, written as MIDI by music21; none of them is ours.

usage: key_music21.py PROGRAM FOLDER [PROJECT…]"""

import pathlib
import sys
import warnings

warnings.filterwarnings("ignore")

import music21
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
            except Exception:  # the books leave numbers out
                continue
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


def main():
    program, folder = sys.argv[1:3]
    n_files, agree = 0, {other: 0 for other in OTHERS}
    ties = 0
    for path in files(folder):
        found = import_of(program, path, folder)
        if found is None:
            continue
        project, _, said = found
        assert "key" in said, (path.name, said)
        score = music21.converter.parse(str(path))
        theirs = discrete.analyzeStream(score, "key.krumhanslkessler")
        if not same(project["key"], theirs):
            rest = theirs.alternateInterpretations
            own = next(key for key in rest if same(project["key"], key))
            apart = theirs.correlationCoefficient - own.correlationCoefficient
            print(path.name, project["key"], theirs, round(apart, 4), [e for e in said.splitlines() if "key" in e])
            ties += 1
        for other in OTHERS:
            agree[other] += same(project["key"], discrete.analyzeStream(score, f"key.{other}"))
        n_files += 1
    assert n_files > 80, n_files
    others = ", ".join(f"{other} {agree[other]}" for other in OTHERS)
    print(f"{n_files} MIDI files without a key: guessed as music21 does with the same profiles ({ties} ties); {others}")


main()
