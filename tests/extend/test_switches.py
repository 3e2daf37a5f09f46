"""Off means not imported; the list is the user's, and a damaged one stops nothing."""

from __future__ import annotations

from pathlib import Path

import pytest

from scaledesign.api import catalogue
from scaledesign.extend import switches
from scaledesign.extend.catalogue import PluginStatus

CODE = """
from pathlib import Path
from scaledesign.api import Scale, hookimpl

Path(__file__).with_suffix(".was_run").touch()

@hookimpl
def register_scales(register):
    register(Scale("tried", (0, 500)))
"""


@pytest.fixture
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The user's folder, with one plug-in."""
    monkeypatch.setenv("SCALEDESIGN_HOME", str(tmp_path))
    monkeypatch.delenv("SCALEDESIGN_PLUGINS", raising=False)
    (tmp_path / "plugins").mkdir()
    (tmp_path / "plugins" / "my_own.py").write_text(CODE)
    return tmp_path


def mine() -> PluginStatus:
    (one,) = (plugin for plugin in catalogue().plugins() if plugin.name == "my own")
    return one


def test_off_is_not_imported_and_on_is(home: Path) -> None:
    assert switches.switch("My  Own", off=True)
    assert not switches.switch("my own", off=True)
    assert mine().off
    assert mine().problem == "you did that; scaledesign plugins on my own"
    assert not (home / "plugins" / "my_own.was_run").exists()
    assert switches.switch("my own", off=False)
    assert not switches.switch("my own", off=False)
    assert mine().ok
    assert (home / "plugins" / "my_own.was_run").exists()


def test_the_list_may_be_written_by_hand_and_keeps_what_it_has(home: Path) -> None:
    switches.list_path().write_bytes(b"\xef\xbb\xbf# mine\r\n\r\n  gone long ago \r\nMY OWN\r\n")
    assert mine().off
    switches.switch("six hole", off=True)
    assert switches.switched_off() == (frozenset({"gone long ago", "my own", "six hole"}), None)
    assert [path.name for path in home.iterdir() if path.is_file()] == [switches.NAME]


def test_a_list_that_cannot_be_read_is_named_and_kept(home: Path) -> None:
    switches.list_path().write_bytes(b"\xff\xfe\xff")
    assert mine().ok
    last = catalogue().plugins()[-1]
    assert (last.name, last.origin, last.ok) == (switches.NAME, "list", False)
    assert last.problem.startswith("cannot be read (")
    with pytest.raises(ValueError, match="utf-8"):
        switches.switch("my own", off=True)
    assert switches.list_path().read_bytes() == b"\xff\xfe\xff"


def test_a_plug_in_that_cannot_be_written_off_leaves_the_list(
    home: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    switches.switch("my own", off=True)
    before = switches.list_path().read_bytes()

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(Path, "replace", full)
    with pytest.raises(OSError, match="No space"):
        switches.switch("my own", off=False)
    assert switches.list_path().read_bytes() == before
    assert [path.name for path in home.iterdir() if path.is_file()] == [switches.NAME]


def test_every_plug_in_can_be_off(home: Path) -> None:
    for plugin in catalogue().plugins():
        if plugin.origin in {"bundled", "folder"}:
            switches.switch(plugin.name, off=True)
    found = catalogue()
    assert found.systems() == ()
    assert all(plugin.off for plugin in found.plugins())
