"""Reads exported MIDI files with mido (events) and pretty_midi (seconds) and holds them against the event
list: the same notes within a tick, nothing hanging or overlapping, tempo, metre, key, markers, programs,
bends that begin where the slide does and are over before the note ends. pretty_midi alone would hide
broken pairs of events.

usage: midi_mido.py PROGRAM FOLDER PROJECT…"""

import json
import pathlib
import re
import subprocess
import sys
import warnings

warnings.filterwarnings("ignore")

import mido
import pretty_midi

import tunes


def said(*command):
    return subprocess.run(command, check=True, capture_output=True, text=True).stdout


def chunks(raw):
    """Walks the chunks by hand: the lengths must end at the end of the file."""
    at, tracks = 14, 0
    while at < len(raw):
        assert raw[at:at + 4] == b"MTrk", "no track where one should begin"
        at += 8 + int.from_bytes(raw[at + 4:at + 8], "big")
        assert raw[at - 3:at] == b"\xff\x2f\x00", "a track without its end"
        tracks += 1
    assert at == len(raw) and tracks == int.from_bytes(raw[10:12], "big"), "chunks and header differ"


def notes_of(midi):
    """Start, end, key, channel, velocity and lane of every note, and the bends of every channel."""
    notes, bends, sounding = [], {}, {}
    for track in midi.tracks:
        now = 0
        for event in track:
            now += event.time
            if event.type == "note_on" and event.velocity > 0:
                place = (event.channel, event.note)
                assert place not in sounding, f"struck while sounding: {place} at {now}"
                sounding[place] = (now, event.velocity)
            elif event.type in ("note_off", "note_on"):
                start, velocity = sounding.pop((event.channel, event.note))
                assert now > start, "a note without length"
                notes.append((start, now, event.note, event.channel, velocity, track.name.lower()))
            elif event.type == "pitchwheel":
                bends.setdefault(event.channel, []).append((now, event.pitch))
        assert not sounding, f"never let go: {sounding}"
    return sorted(notes), bends


def no_overlaps(notes):
    """Across tracks as well: a channel is a string, and a string sounds one note."""
    ends = {}
    for start, end, _, channel, *_ in notes:
        assert start >= ends.get(channel, 0), f"two notes at once on string {channel + 1} at {start}"
        ends[channel] = end


def conductor(midi, told, text):
    first = list(midi.tracks[0])
    metas = {}
    now = 0
    for event in first:
        now += event.time
        metas.setdefault(event.type, []).append((now, event))
    for track in midi.tracks[1:]:
        assert not any(event.type in ("set_tempo", "time_signature", "key_signature") for event in track)
    count, unit = map(int, told["meter"].split("/"))
    compound = unit == 8
    (at, tempo), = metas["set_tempo"]
    quarters = told["tempo"] * (1.5 if compound else 1)
    assert at == 0 and abs(mido.tempo2bpm(tempo.tempo) - quarters) < 0.01, tempo
    usual = [e for _, e in metas["time_signature"] if (e.numerator, e.denominator) == (count, unit)]
    assert usual and metas["time_signature"][0][0] == 0, "the metre is missing"
    key = re.search(r'(?:^Key: |\bkey: ")([A-G][b#]?) ?(m|minor|major)?(?=\s|")', text, re.M)
    if key:
        wanted = key.group(1) + ("m" if key.group(2) in ("m", "minor") else "")
        (_, found), = metas["key_signature"]
        assert found.key == wanted, (found.key, wanted)
    names = re.findall(r'name: "(.*?)"', text.partition("sections:")[2]) or re.findall(r"^\[(.+)\]", text, re.M)
    markers = list(dict.fromkeys(e.text for _, e in metas.get("marker", [])))
    assert markers == names, (markers, names)
    return quarters


def slides(told, notes, bends, tick):
    """Every slide begins bent to where it comes from (the range is two semitones) and ends straight."""
    wanted = 0
    for note in told["notes"]:
        if "slide_from" not in note or note.get("move") == "ghost":
            continue
        wanted += 1
        channel = note["string"] - 1
        start = round(note["start_s"] / tick)
        end = note["end_s"] / tick
        inside = [(at, bend) for at, bend in bends[channel] if abs(at - start) <= 1 or start <= at < end]
        from_semitones = note["slide_from"] - note["fret"]
        assert abs(inside[0][1] / 8192 * 2 - from_semitones) < 0.01, (inside, note)
        assert inside[-1][1] == 0 and len(inside) > 2, (inside, note)
    for channel, events in bends.items():
        spans = [(start, end) for start, end, _, string, *_ in notes if string == channel]
        assert all(any(start <= at < end for start, end in spans) for at, _ in events), "a bend outside any note"
    return wanted


def judge(program, folder, project):
    path = pathlib.Path(folder) / (pathlib.Path(project).stem.split(".")[0] + ".mid")
    said(program, "export", str(project), "-o", str(path))
    told = json.loads(said(program, "events", str(project), "--json"))
    chunks(path.read_bytes())
    midi = mido.MidiFile(path, clip=False, charset="utf-8")
    assert midi.type == 1 and midi.ticks_per_beat == 960
    notes, bends = notes_of(midi)
    no_overlaps(notes)
    quarters = conductor(midi, told, pathlib.Path(project).read_text(encoding="utf-8"))
    tick = 60 / quarters / midi.ticks_per_beat
    wanted = sorted((n["start_s"], n["end_s"], n["pitch"], n["string"] - 1, n["lane"], n.get("move")) for n in told["notes"])
    assert len(notes) == len(wanted), (len(notes), len(wanted))
    found = sorted(notes, key=lambda n: (n[0], n[2], n[3]))
    wanted.sort(key=lambda n: (round(n[0] / tick), n[2], n[3]))
    for (start, end, key, channel, velocity, lane), (start_s, end_s, pitch, string, told_lane, move) in zip(found, wanted):
        assert (key, channel, lane) == (pitch, string, told_lane)
        assert abs(start - start_s / tick) <= 1 and abs(end - end_s / tick) <= 1, (start, start_s / tick)
        if move == "ghost":
            assert velocity < 60 and end_s - start_s < 0.25, "a ghost note is short and soft"
    # General MIDI counts programs from 1: 25 is the nylon string guitar, 26 the steel string guitar.
    steel = 'strings: "steel"' in pathlib.Path(project).read_text(encoding="utf-8")
    programs = {e.program + 1 for track in midi.tracks for e in track if e.type == "program_change"}
    assert programs == {26 if steel else 25}, programs
    heard = pretty_midi.PrettyMIDI(str(path))
    starts = sorted(n.start for i in heard.instruments for n in i.notes)
    for a, b in zip(starts, sorted(n[0] for n in wanted), strict=True):
        assert abs(a - b) <= 1.01 * tick, (a, b)
    n_slides = slides(told, notes, bends, tick)
    print(f"midi     {project}: {len(notes)} notes within a tick, {n_slides} slides: the same by mido and pretty_midi")


if __name__ == "__main__":
    for project in [*sys.argv[3:], *tunes.written(sys.argv[2])]:
        judge(sys.argv[1], sys.argv[2], project)
