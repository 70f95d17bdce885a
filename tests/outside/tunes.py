"""Small tunes that use what the sample projects do not: other metres, a pick-up, repeats with endings,
silence, several chords a bar, slides, swing of many ratios, other tunings and strings."""

import pathlib

CHARTS = {
    "waltz": "Key: Eb\nMeter: 3/4\nTempo: 140\nFeel: swing 3:1\n[A]\n|: Ebmaj7 | C7b9 | Fm9 | Bb13 :|x3\n[B]\n| Abmaj7 Gm7 Fm7 | Bb7 | Eb6 ||",
    "six-eight": "Key: Em\nMeter: 6/8\nTempo: 67\nFeel: straight\n| Em9 | C6 D7 | F#m7b5 B7alt | Em6 |",
    "twelve-eight": "Key: A\nMeter: 12/8\nTempo: 59\nFeel: swing\n[Slow]\n| A7 | D9 | A7 F#7#9 | Bm7 E7sus4 |",
    "five": "Key: Bm\nMeter: 5/4\nTempo: 171\nFeel: swing 1.5:1\n| Bm7 F#7#5 | Gmaj7#11 | Em7/A A13 | Dmaj9 |",
    "pick-up": "Key: G\nMeter: 4/4\nTempo: 97\nFeel: swing 2.25:1\nPickup: 1.5\n| D7 |: G6/9 | E7#9 |1. Am9 | D7b9 :|2. Am7 D7 | Gmaj7 || N.C. | G7 |",
    "odd-bars": "Key: F#\nMeter: 4/4\nTempo: 133\nFeel: follow tempo\n| F#maj7 | <2> G#m7 | C#7sus4 C#7 | N.C. F#6@3.5 | D#m7b5@1.5 G#7b9@3 | <4/3> C#7 | B6 |",
    "drop-d": "Key: D\nMeter: 2/4\nTempo: 88\nTuning: drop D\nCapo: 2\n|: Dadd9 | D/F# :| Gm6 | Ddim7 | Dm(maj7) | Daug | D5 |",
    "seven": "Key: Ab\nMeter: 4/4\nTempo: 320\nTuning: seven-string A\nFeel: swing 3.5:1\n| Abmaj7 | Db9sus4 | Cm11 | F7(b9,#9) | Bbm7 | Eb13#11 | Abm(maj7) | Ab6 |",
}

# Slides of both kinds from both sides, steel strings, a rest, a ghost note, ringing and short strokes.
SLIDES = """(
  format: "thumbwalk-project", version: 1, title: "Sliding & <so on>", credits: "Ada \\"B\\"", key: "C major", meter: "4/4",
  tempo: 101, feel: "swing 2:1",
  instrument: (strings: "steel"),
  line: (plucks: Some([(480, "ring"), (1920, "short"), (2400, "ring")])),
  sections: [(name: "A", bars: [
    (chords: [(chord: "Dm7")], slides: [(480, "fingers-from-below"), (2400, "fingers-from-above")]),
    (chords: [(chord: "G13")], slides: [(1920, "grip-from-below")], thumb: [(960, "ghost"), (2880, "rest")]),
    (chords: [(chord: "Cmaj7")], slides: [(1920, "grip-from-above")], repeat_times: 2),
    (chords: [(chord: "C6")], plucks: Some([(0, "ring")])),
  ])],
)
"""


def written(folder):
    """Writes them all into a folder and tells their paths."""
    paths = []
    for name, text in CHARTS.items():
        path = pathlib.Path(folder) / f"made-{name}.txt"
        path.write_text(f"Title: {name}\n{text}\n", encoding="utf-8")
        paths.append(path)
    path = pathlib.Path(folder) / "made-slides.ron"
    path.write_text(SLIDES, encoding="utf-8")
    return [*paths, path]
