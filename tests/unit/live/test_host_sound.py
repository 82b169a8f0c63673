"""The shop computer's own voice: through the system's player, and honest where there is none."""

import io
import stat
import time
import wave

import numpy as np
import pytest

from rimwright.live.host_sound import Speaker, tone


def _player(folder, script):
    path = folder / "aplay"
    path.write_text(f"#!/bin/sh\n{script}\n")
    path.chmod(path.stat().st_mode | stat.S_IXUSR)


def _until(true, seconds=5.0):
    end = time.monotonic() + seconds
    while not true() and time.monotonic() < end:
        time.sleep(0.02)
    assert true()


def test_a_call_goes_through_the_systems_player(tmp_path, monkeypatch):
    _player(tmp_path, f'cp "$2" {tmp_path}/heard-$$.wav')
    monkeypatch.setenv("PATH", str(tmp_path), prepend=":")
    speaker = Speaker()
    assert speaker.hearing == "armed"
    speaker.call("alarm")
    _until(lambda: list(tmp_path.glob("heard-*.wav")))
    speaker.stop()
    (heard,) = tmp_path.glob("heard-*.wav")
    with wave.open(str(heard)) as sound:
        samples = np.frombuffer(sound.readframes(sound.getnframes()), dtype="<i2")
    assert np.abs(samples).max() > 20_000


def test_a_player_that_fails_is_told(tmp_path, monkeypatch):
    _player(tmp_path, "exit 1")
    monkeypatch.setenv("PATH", str(tmp_path), prepend=":")
    speaker = Speaker()
    speaker.call("cue")
    _until(lambda: speaker.hearing == "silent")
    speaker.stop()


def test_without_a_player_it_says_so(tmp_path, monkeypatch):
    monkeypatch.setenv("PATH", str(tmp_path))
    speaker = Speaker()
    assert speaker.hearing == "silent"
    speaker.call("alarm")
    speaker.stop()


@pytest.mark.parametrize("frequency", [440.0, 1480.0])
def test_a_tone_has_its_pitch(frequency):
    with wave.open(io.BytesIO(tone(((frequency, 0.5),), 0.5))) as sound:
        rate = sound.getframerate()
        samples = np.frombuffer(sound.readframes(sound.getnframes()), dtype="<i2")
    strongest = np.argmax(np.abs(np.fft.rfft(samples))) * rate / samples.size
    assert strongest == pytest.approx(frequency, abs=2.5)
