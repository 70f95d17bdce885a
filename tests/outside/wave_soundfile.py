"""Reads exported audio with libsndfile: format, length against the event list, silence at the end,
and the true peak by four times oversampling (the method of ITU-R BS.1770, annex 2).

usage: wave_soundfile.py PROGRAM FOLDER PROJECT…"""

import json
import pathlib
import subprocess
import sys

import numpy as np
import soundfile
from scipy.signal import resample_poly


def judge(program, folder, project):
    wave = pathlib.Path(folder) / pathlib.Path(project).with_suffix(".wav").name
    subprocess.run([program, "export", project, "-o", str(wave)], check=True, capture_output=True)
    told = json.loads(subprocess.run([program, "events", project, "--json"], check=True, capture_output=True).stdout)
    sound, rate = soundfile.read(wave, always_2d=True)
    assert sound.shape[1] == 2, "not stereo"
    seconds = len(sound) / rate
    last = max(note["end_s"] for note in told["notes"])
    assert last <= seconds <= last + 8, f"{seconds:.2f} s of sound, the last note ends at {last:.2f} s"
    peak = max(float(np.abs(resample_poly(channel, 4, 1)).max()) for channel in sound.T)
    peak_db = 20 * np.log10(peak)
    assert -20 < peak_db <= -0.95, f"true peak {peak_db:.2f} dB"
    end = sound[-rate // 20:]
    assert np.abs(end).max() < 0.01, "it does not end in silence"
    print(f"wave     {project}: {seconds:.1f} s, true peak {peak_db:.2f} dBTP, silent at the end: by libsndfile and SciPy")


if __name__ == "__main__":
    for project in sys.argv[3:]:
        judge(sys.argv[1], sys.argv[2], project)
