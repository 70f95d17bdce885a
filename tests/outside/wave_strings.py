"""Measures the strings in exported audio: pitch, decay and stretched partials of every fret, onsets of swung
off-beats, slides, and peaks of full chords. NumPy and SciPy judge; what is expected comes from definitions
(ISO 16, equal temperament, beat-upbeat ratio) and from the figures under "The sound model" in DEVELOPERS.md.

Only the thumb plays single notes, on the lower strings: so the guitar of this judge is tuned with the upper
three strings in the place of the lower.

usage: wave_strings.py PROGRAM FOLDER …"""

import pathlib
import subprocess
import sys

import numpy as np
import soundfile
from scipy.optimize import minimize_scalar
from scipy.signal import firwin, oaconvolve, resample_poly

RATE = 48_000
FRETS = 20
# Tunings, lowest string first, and the MIDI keys of the three strings that the thumb plays.
HALVES = [("E2 A2 D3 G3 B3 E4", [40, 45, 50]), ("G3 B3 E4 A4 D5 G5", [55, 59, 64])]
# Seconds for the fundamental of an open string to fall by 60 dB, and inharmonicity B.
T60_S = {
    "nylon": {40: 6.5, 45: 6.0, 50: 5.2, 55: 3.8, 59: 3.4, 64: 3.0},
    "steel": {40: 7.5, 45: 7.0, 50: 6.4, 55: 5.6, 59: 5.0, 64: 4.4},
}
LEFT_PER_FRET = 0.97
B = {
    "nylon": {40: 1.9e-5, 45: 1.3e-5, 50: 1.7e-5, 55: 1.2e-4, 59: 7.0e-5, 64: 4.3e-5},
    "steel": {40: 9.2e-5, 45: 5.0e-5, 50: 2.8e-5, 55: 1.9e-5, 59: 6.1e-5, 64: 1.9e-5},
}
# Where the thumb strikes an open string, as a part of it: partials with a node there are too faint to measure.
THUMB_AT = 0.235
# Two planes of vibration: part of the push, factor of the decay time, cents.
PLANES = [(0.7, 0.7, -0.1), (0.3, 1.1, 0.3)]
TEMPO = 40


def project(bars, tempo, feel="straight", tuning="E2 A2 D3 G3 B3 E4", strings="nylon", plucks="[]"):
    return f"""(format: "thumbwalk-project", version: 1, key: "C major", meter: "4/4", tempo: {tempo}, feel: "{feel}",
 instrument: (tuning: "of the judge", open_strings: "{tuning}", frets: {FRETS}, strings: "{strings}"),
 hand: (plucking_fingers: 4), line: (plucks: Some({plucks})),
 sections: [(bars: [{", ".join(bars)}])])"""


def export(program, folder, name, text):
    """The left channel: both hold the same sound at slightly different levels."""
    source = pathlib.Path(folder) / f"{name}.ron"
    source.write_text(text)
    wave = source.with_suffix(".wav")
    subprocess.run([program, "export", str(source), "-o", str(wave)], check=True, capture_output=True)
    sound, rate = soundfile.read(wave, always_2d=True)
    assert rate == RATE, rate
    return sound


def hertz(midi):
    """ISO 16:1975 and equal temperament."""
    return 440.0 * 2 ** ((midi - 69) / 12)


def peak_near(sound, hz, cents):
    """Frequency of the strongest line within so many cents of `hz`: the top of a parabola in a padded spectrum."""
    windowed = sound * np.hanning(len(sound))
    n = 1 << 19
    spectrum = np.abs(np.fft.rfft(windowed, n))
    low, high = (int(hz * 2 ** (c / 1200) * n / RATE) for c in (-cents, cents))
    top = low + int(np.argmax(spectrum[low:high + 1]))
    a, b, c = np.log(spectrum[top - 1:top + 2])
    return (top + 0.5 * (a - c) / (a - 2 * b + c)) * RATE / n


def cents(hz, of):
    return 1200 * np.log2(hz / of)


def envelope(sound, hz):
    """Level of one partial over time, in decibels at every 10 ms from 0.3 to 1.3 s."""
    shifted = sound * np.exp(-2j * np.pi * hz / RATE * np.arange(len(sound)))
    # The low-pass must leave the next partial out, 82 Hz away at least.
    smooth = oaconvolve(shifted, firwin(4801, 25, fs=RATE), mode="same")
    at = (np.arange(0.3, 1.3, 0.01) * RATE).astype(int)
    return 20 * np.log10(np.abs(smooth[at]))


def fitted_t60(levels, hz):
    """The decay time whose two planes fall as measured."""
    t = np.arange(0.3, 1.3, 0.01)

    def miss(t60):
        planes = [p * 10 ** (-3 * t / (f * t60)) * np.exp(2j * np.pi * hz * (2 ** (c / 1200) - 1) * t) for p, f, c in PLANES]
        expected = 20 * np.log10(np.abs(sum(planes)))
        return np.std(levels - expected)

    return minimize_scalar(miss, bounds=(0.5, 15), method="bounded").x


def stretched(note, f1, b, fret):
    """By how many cents partials 2 to 12 up to 2 kHz miss k f0 sqrt(1 + B k^2) (Fletcher 1964), at most; the
    first is f1."""
    worst = 0.0
    for k in range(2, 13):
        node = k * THUMB_AT * 2 ** (fret / 12)
        if k * f1 < 2000 and abs(node - round(node)) > 0.2:
            expected = k * f1 * np.sqrt((1 + b * k * k) / (1 + b))
            found = peak_near(note[RATE // 20:RATE // 2], expected, 40)
            worst = max(worst, abs(cents(found, expected)))
    return worst


def neck(program, folder, strings):
    worst_cents, worst_t60, worst_partial = 0.0, 0.0, 0.0
    for half, (tuning, keys) in enumerate(HALVES):
        places = [(6 - i, key, fret) for i, key in enumerate(keys) for fret in range(FRETS + 1)]
        bars = []
        for first in range(0, len(places), 4):
            slots = [f'({960 * beat}, "string {s} fret {fret}")' for beat, (s, _, fret) in enumerate(places[first:first + 4])]
            slots += [f'({960 * beat}, "rest")' for beat in range(len(slots), 4)]
            bars.append(f'(chords: [(chord: "C")], thumb: [{", ".join(slots)}])')
        sound = export(program, folder, f"neck-{strings}-{half}", project(bars, TEMPO, tuning=tuning, strings=strings))[:, 0]
        beat = RATE * 60 // TEMPO
        for i, (string, key, fret) in enumerate(places):
            note = sound[i * beat:(i + 1) * beat]
            expected = hertz(key + fret)
            found = peak_near(note[RATE // 20:int(0.9 * RATE)], expected, 60)
            off = cents(found, expected)
            assert abs(off) <= 1, f"{strings} {key} fret {fret}: {off:+.2f} cents"
            worst_cents = max(worst_cents, abs(off))
            design = T60_S[strings][key] * LEFT_PER_FRET ** fret
            ratio = fitted_t60(envelope(note, expected), expected) / design
            assert abs(ratio - 1) <= 0.1, f"{strings} {key} fret {fret}: t60 {ratio:.3f} of {design:.2f} s"
            worst_t60 = max(worst_t60, abs(ratio - 1))
            missed = stretched(note, found, B[strings][key] * 2 ** (fret / 6), fret)
            assert missed <= 4, f"{strings} {key} fret {fret}: a partial misses by {missed:.1f} cents"
            worst_partial = max(worst_partial, missed)
    print(f"strings  {strings}: 126 places within {worst_cents:.2f} cents, decay within {100 * worst_t60:.1f} % of design, "
          f"stretched partials within {worst_partial:.1f} cents")


def onsets(program, folder):
    """Beat-upbeat ratio r puts the off-beat at r/(1 + r) of the beat (Benadon 2006). A stroke's onset is the
    first frame at which the file with it differs from the file without it."""
    worst = 0
    for tempo in (60, 100, 160, 220, 300):
        for ratio in (1, 1.5, 2, 3):
            takes = []
            for plucks in ("[]", '[(480, "short")]', '[(480, "short"), (2400, "short")]'):
                text = project(['(chords: [(chord: "C7")])'], tempo, f"swing {ratio}:1", plucks=plucks)
                takes.append(export(program, folder, "swing", text))
            for beat, (without, with_it) in zip((0, 2), zip(takes, takes[1:])):
                expected = 60 / tempo * (beat + ratio / (1 + ratio)) * RATE
                n = min(len(without), len(with_it))
                found = int(np.argmax((without[:n] != with_it[:n]).any(axis=1)))
                assert abs(found - expected) <= 1, f"{tempo} bpm, {ratio}:1, beat {beat + 1}: frame {found}, not {expected:.1f}"
                worst = max(worst, abs(found - expected))
    print(f"strings  40 swung off-beats at 60 to 300 bpm within {worst:.2f} frames of the definition")


def glide(program, folder):
    """Fingers slide in from a fret below: the top note climbs a semitone and never turns back."""
    # A top string far above the others, so that its note stands alone; all lines of the chord move in parallel.
    tuning = "E2 A2 D3 G3 B3 B4"
    bar = '(chords: [(chord: "G", shape: "xx54x3")], thumb: [(0, "rest"), (960, "rest"), (1920, "rest"), (2880, "rest")], {})'
    for strings in ("nylon", "steel"):
        text = project([bar.format('slides: [(0, "fingers-from-below")]')], 60, tuning=tuning, strings=strings, plucks='[(0, "ring")]')
        sound = export(program, folder, f"slide-{strings}", text)[:, 0]
        hz = hertz(71 + 3)
        shifted = sound * np.exp(-2j * np.pi * hz / RATE * np.arange(len(sound)))
        smooth = oaconvolve(shifted, firwin(2401, 30, fs=RATE), mode="same")
        speed = np.gradient(np.unwrap(np.angle(smooth))) * RATE / (2 * np.pi)
        # From 15 ms on, when the note stands out, in steps of 5 ms. What the room still returns of the lower pitch
        # lets the measured line waver a little around the true one.
        path = cents(np.maximum(hz + speed, 1), hz)[int(0.015 * RATE):int(0.3 * RATE):RATE // 200]
        arrived = int(np.argmax(path > -12))
        assert path[0] < -75, f"{strings}: begins at {path[0]:.0f} cents"
        assert 0.03 < arrived * 0.005 < 0.1, f"{strings}: arrives {arrived * 5 + 15} ms after the stroke"
        assert np.diff(path[:arrived]).min() > -4, f"{strings}: turns back by {-np.diff(path[:arrived]).min():.1f} cents"
        assert np.abs(path[arrived:]).max() < 25, f"{strings}: does not stay: {path[arrived:]}"
        settled = cents(peak_near(sound[RATE // 5:RATE], hz, 50), hz)
        assert abs(settled) < 1, f"{strings}: settles {settled:+.2f} cents off"
    print("strings  slides climb from a semitone below, never turn back, and settle")


def true_peak(sound):
    """In decibels, read at four times the rate as in ITU-R BS.1770 annex 2."""
    return 20 * np.log10(max(np.abs(resample_poly(side, 4, 1)).max() for side in sound.T))


def full_chords(program, folder):
    """Thumb and four fingers on every eighth, and six strings at full strength: no more than -1 dBTP (EBU R 128)."""
    plucks = "[" + ", ".join(f'({480 * n}, "ring")' for n in range(8)) + "]"
    peaks = []
    for strings in ("nylon", "steel"):
        for tempo in (60, 120, 300):
            bars = ['(chords: [(chord: "G7", shape: "3x3433")])'] * 4
            sound = export(program, folder, "full", project(bars, tempo, strings=strings, plucks=plucks))
            peaks.append(true_peak(sound))
    for strings in ("nylon", "steel"):
        peaks.append(true_peak(soundfile.read(pathlib.Path(folder) / f"six-{strings}.wav")[0]))
        assert peaks[-1] > -3, f"six strings are too quiet to show anything: {peaks[-1]:.2f} dB"
    assert max(peaks) <= -1, f"true peak {max(peaks):.2f} dB"
    print(f"strings  five-note chords, and six strings at full strength: true peak {max(peaks):.2f} dBTP")


def endings(program, folder):
    """Where short notes are damped, no step between two samples is larger than in the note itself."""
    bars = ['(chords: [(chord: "G7", shape: "3x343x")])'] * 2
    for strings in ("nylon", "steel"):
        plucks = '[(480, "short"), (1440, "short"), (2400, "short")]'
        sound = export(program, folder, "short", project(bars, 60, strings=strings, plucks=plucks))[:, 0]
        steps = np.abs(np.diff(sound))
        for beat in (0.5, 1.5, 2.5, 4.5, 5.5, 6.5):
            start, end = int(beat * RATE), int((beat + 0.48 * 0.5) * RATE)
            around = steps[end - RATE // 200:end + RATE // 20].max()
            assert around < 0.8 * steps[start:end].max(), f"{strings}, beat {beat + 1}: a step of {around:.4f}"
    print("strings  short notes end without a click")


def interruptions(told, folder):
    """Stopped or sent elsewhere in the middle, the sound makes no larger step, and no more hiss above 8 kHz, than the
    strokes themselves had made before; 60 ms after a stop only the room is left."""
    above = firwin(255, 8000, fs=RATE, pass_zero=False)
    parts = []
    for name, at in (line.split() for line in told.splitlines()):
        sound = soundfile.read(pathlib.Path(folder) / f"{name}.wav")[0][:, 0]
        # What was asked at a frame is heard after the limiter's look ahead, and fades within 8 ms.
        order = int(at)
        fade = slice(order, order + RATE // 50)
        for measured in (np.abs(np.diff(sound)), np.abs(oaconvolve(sound, above, mode="same"))):
            part = measured[fade].max() / measured[:order - 200].max()
            assert part < 1, f"{name}: {part:.2f} of the largest before"
            parts.append(part)
        if name.startswith("stop"):
            loud = np.abs(sound[:order]).max()
            left = np.abs(sound[order + RATE * 6 // 100:]).max() / loud
            assert left < 0.1, f"{name}: {left:.3f} goes on"
            assert np.abs(sound[order + int(1.5 * RATE):]).max() < 1e-4, f"{name}: no silence"
    print(f"strings  {len(parts) // 2} stops and seeks without a click: at most {max(parts):.2f} of a stroke's step or hiss")


def main(program, folder):
    for strings in ("nylon", "steel"):
        neck(program, folder, strings)
    takes = pathlib.Path(program).parent / "examples" / "takes"
    assert takes.exists(), "no program to play takes: cargo build --examples"
    told = subprocess.run([takes, folder], check=True, capture_output=True, text=True).stdout
    onsets(program, folder)
    glide(program, folder)
    full_chords(program, folder)
    endings(program, folder)
    interruptions(told, folder)


if __name__ == "__main__":
    main(sys.argv[1], sys.argv[2])
