"""Playing: the first player that works, stopped when asked, one sentence where there is none."""

from __future__ import annotations

import sys
import threading
import time
import types
from pathlib import Path

import numpy as np
import pytest

from scaledesign.errors import SilentError
from scaledesign.sounding import player
from scaledesign.sounding.player import play, play_notes
from tests.sounding.reading import pitch_of, samples_of

KEEPS = "import shutil, sys; shutil.copy(sys.argv[2], sys.argv[1])"
FAILS = "import sys; sys.exit(1)"
HANGS = "import pathlib, sys, time; pathlib.Path(sys.argv[1]).touch(); time.sleep(600)"


def program(code: str, told: Path) -> tuple[str, ...]:
    return (sys.executable, "-c", code, str(told))


pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="Windows plays by itself")


def test_what_is_asked_for_reaches_the_player(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    heard = tmp_path / "heard.wav"
    monkeypatch.setattr(player, "PLAYERS", (program(KEEPS, heard),))
    assert play_notes([(660.0, 0.5), (0.0, 0.1)])
    samples, rate = samples_of(heard.read_bytes())
    assert pitch_of(samples[rate // 10 : rate // 3], rate) == pytest.approx(660.0, rel=1e-4)


def test_a_player_that_fails_gives_way_to_the_next(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    heard = tmp_path / "heard.wav"
    players = (("no-such-player",), program(FAILS, heard), program(KEEPS, heard))
    monkeypatch.setattr(player, "PLAYERS", players)
    assert play(np.zeros(100))
    assert heard.exists()


def test_a_thread_is_stopped_at_once(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    begun, stop = tmp_path / "begun", threading.Event()
    monkeypatch.setattr(player, "PLAYERS", (program(HANGS, begun),))
    found: list[bool] = []
    thread = threading.Thread(target=lambda: found.append(play_notes([(440.0, 60.0)], stop.is_set)))
    thread.start()
    while not begun.exists():
        time.sleep(0.01)
    stop.set()
    thread.join()
    assert found == [False]


def test_an_interrupt_ends_the_sound(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """The player is gone when the interrupt comes out."""
    begun = tmp_path / "begun"
    monkeypatch.setattr(player, "PLAYERS", (program(HANGS, begun),))
    started: list[player.subprocess.Popen[bytes]] = []
    popen = player.subprocess.Popen

    def kept(*args: object, **more: object) -> player.subprocess.Popen[bytes]:
        started.append(popen(*args, **more))
        return started[-1]

    def interrupt() -> bool:
        if begun.exists():
            raise KeyboardInterrupt
        return False

    monkeypatch.setattr(player.subprocess, "Popen", kept)
    with pytest.raises(KeyboardInterrupt):
        play(np.zeros(100), interrupt)
    assert [process.returncode is not None for process in started] == [True]


def test_a_player_that_hangs_gives_way(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    heard = tmp_path / "heard.wav"
    monkeypatch.setattr(player, "PLAYERS", (program(HANGS, tmp_path / "begun"), program(KEEPS, heard)))
    run = player._run
    monkeypatch.setattr(player, "_run", lambda command, most, cancelled: run(
        command, 0.0 if HANGS in command else most, cancelled
    ))  # fmt: skip
    assert play(np.zeros(100))
    assert heard.exists()


class FakeWinsound(types.ModuleType):
    """What Windows has, as far as it is used."""

    SND_FILENAME, SND_ASYNC, SND_NODEFAULT = 0x20000, 1, 2

    def __init__(self) -> None:
        super().__init__("winsound")
        self.said: list[tuple[str | None, int]] = []

    def PlaySound(self, sound: str | None, flags: int) -> None:
        self.said.append((sound, flags))


@pytest.mark.parametrize("stopped", [False, True])
def test_windows_is_asked_to_play_and_to_stop(monkeypatch: pytest.MonkeyPatch, stopped: bool) -> None:
    """By what its documentation says of PlaySound; not tried on Windows itself."""
    windows = FakeWinsound()
    monkeypatch.setitem(sys.modules, "winsound", windows)
    assert player._on_windows(Path("notes.wav"), 0.05, lambda: stopped) is not stopped
    assert windows.said == [("notes.wav", 0x20003), (None, 0)]


@pytest.mark.parametrize(
    ("players", "said"),
    [
        ((("no-such-player",), ("nor-this",)), "looked for no-such-player, nor-this"),
        ((program(FAILS, Path("x")),), "no loudspeaker was reached"),
    ],
)
def test_one_sentence_where_nothing_plays(
    monkeypatch: pytest.MonkeyPatch, players: tuple[tuple[str, ...], ...], said: str
) -> None:
    monkeypatch.setattr(player, "PLAYERS", players)
    with pytest.raises(SilentError, match=said) as error:
        play(np.zeros(100))
    assert ". " not in str(error.value)
    assert "-o notes.wav" in str(error.value)
