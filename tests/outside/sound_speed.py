"""Times the making of sound: our program, and a general-purpose software synthesizer playing the MIDI file that our
program writes of the same arrangement. Whole programs on the same machine, one after the other, from a file to a file of
48 kHz. Prints both as times real time, and judges only that both files last as long as the tune. FluidSynth plays
recordings; we compute every string, its box, the room and the strings that answer.

usage: apt-get install fluidsynth timgm6mb-soundfont      (or any other General MIDI sound font)
       cargo build --release && target/outside-venv/bin/python tests/outside/sound_speed.py \\
         target/release/thumbwalk [SOUND_FONT]"""

import pathlib
import subprocess
import sys
import tempfile
import time

import mido
import soundfile

from trellis_speed import BARS

SOUND_FONT = "/usr/share/sounds/sf2/TimGM6mb.sf2"
ROUNDS = 5


def least_s(command):
    """The least of several rounds: other work on the machine can only add to it."""
    times = []
    for _ in range(ROUNDS):
        start = time.perf_counter()
        subprocess.run(command, check=True, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        times.append(time.perf_counter() - start)
    return min(times)


def main(program, font=SOUND_FONT):
    with tempfile.TemporaryDirectory() as folder:
        at = lambda name: str(pathlib.Path(folder, name))
        chart = pathlib.Path(folder, "speed.chart.txt")
        chart.write_text("Tempo: 140\n| " + " | ".join(BARS * 16) + " |\n", encoding="utf-8")
        subprocess.run([program, "arrange", str(chart), "-o", at("speed.ron")], check=True, capture_output=True)
        midi_s = least_s([program, "export", at("speed.ron"), "-o", at("speed.mid")])
        wave_s = least_s([program, "export", at("speed.ron"), "-o", at("ours.wav")])
        fluid = ["fluidsynth", "-q", "-n", "-i", "-r", "48000", "-F", at("theirs.wav"), font, at("speed.mid")]
        with_effects_s = least_s(fluid)
        dry_s = least_s([*fluid[:1], "-R", "0", "-C", "0", *fluid[1:]])
        tune_s = mido.MidiFile(at("speed.mid")).length
        notes = sum(m.type == "note_on" and m.velocity > 0 for m in mido.MidiFile(at("speed.mid")))
        for name in ["ours.wav", "theirs.wav"]:
            lasts = soundfile.info(at(name)).duration
            assert tune_s - 1 < lasts < tune_s + 12, f"{name} lasts {lasts} s, the tune {tune_s} s"
    print(f"{tune_s:.0f} s of music, {notes} notes; least of {ROUNDS} rounds")
    for what, took in [
        ("ours: solved, every note computed, rendered, written", wave_s),
        ("ours less solving (the same exported as MIDI)", wave_s - midi_s),
        ("FluidSynth with reverb and chorus", with_effects_s),
        ("FluidSynth without effects", dry_s),
    ]:
        print(f"  {what:<54}{took:7.2f} s {tune_s / took:7.0f} times real time")
    print(f"  FluidSynth with effects takes {with_effects_s / wave_s:.2f} times as long as all of ours")


if __name__ == "__main__":
    main(*sys.argv[1:])
