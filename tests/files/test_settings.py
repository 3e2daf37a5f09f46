"""Settings: what is chosen, a sentence for each fault, and never a stop."""

from __future__ import annotations

from pathlib import Path

import pytest

from scaledesign import locations
from scaledesign.files.settings import Settings, load_settings


@pytest.fixture
def file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv(locations.HOME_VARIABLE, str(tmp_path))
    return tmp_path / "settings.toml"


GOOD = """\
theme = "night"   # the shop is dark
signs = "typed"
units = "in"

[keys]
undo = "ctrl+z, ctrl+u"
save = "f9"
"""


def test_every_setting_is_read(file: Path) -> None:
    file.write_text(GOOD)
    chosen = Settings("night", "typed", "in", (("undo", "ctrl+z,ctrl+u"), ("save", "f9")))
    assert load_settings() == load_settings(["undo", "save", "open"]) == (chosen, ())


def test_no_file_and_an_empty_one_choose_nothing(file: Path) -> None:
    assert load_settings() == (Settings(), ())
    file.write_bytes(b"\xef\xbb\xbf")
    assert load_settings() == (Settings(), ())


@pytest.mark.parametrize(
    ("old", "new", "lost", "said"),
    [
        ("theme", "them", "theme", 'line 1: them = "night": there is no such setting; the nearest known one'),
        ("theme", "colour", "theme", "no such setting; known: keys, signs, theme, units."),
        ('"night"', '"dark"', "theme", 'line 1: theme = "dark": that is none of the choices; write "day", "'),
        ('"night"', "['night']", "theme", "line 1: theme = ['night']: that is none of the choices"),
        ('"typed"', "true", "signs", 'line 2: signs = true: that is none of the choices; write "drawn" or'),
        ('"in"', '"cm"', "units", 'line 3: units = "cm": that is none of the choices; write "mm" or "in".'),
        (
            "undo",
            "umdo",
            "undo",
            'line 6: keys.umdo = "ctrl+z, ctrl+u": there is no such action; the nearest',
        ),
        ('"f9"', '""', "save", 'line 7: keys.save = "": that names no keys; write them as'),
        ('"f9"', '"f9,"', "save", "line 7: keys.save"),
        ('"f9"', '"ctrl z"', "save", "line 7: keys.save"),
        ('"f9"', "9", "save", "line 7: keys.save = 9: that names no keys"),
        ('"f9"', '"f9, ctrl+u"', "save", "line 7: keys.save = "),
    ],
)
def test_a_fault_is_told_and_costs_only_itself(file: Path, old: str, new: str, lost: str, said: str) -> None:
    file.write_text(GOOD.replace(old, new, 1))
    settings, faults = load_settings(["undo", "save"])
    good = Settings("night", "typed", "in", (("undo", "ctrl+z,ctrl+u"), ("save", "f9")))
    for name in ("theme", "signs", "units"):
        assert getattr(settings, name) == ("" if name == lost else getattr(good, name))
    assert settings.keys == tuple(pair for pair in good.keys if pair[0] != lost)
    (fault,) = faults
    assert fault.startswith(str(file))
    assert said in fault


def test_two_actions_cannot_have_one_key(file: Path) -> None:
    file.write_text('[keys]\nundo = "ctrl+z"\nsave = "f9,ctrl+z"\n')
    settings, (fault,) = load_settings()
    assert settings.keys == (("undo", "ctrl+z"),)
    assert fault == (
        f'{file}, line 3: keys.save = "f9,ctrl+z": undo has that key already; give each action its own.'
    )


def test_all_faults_are_told_at_once(file: Path) -> None:
    file.write_text('keys = "f9"\ntheme = "dark"\n[sign]\nset = "drawn"\n')
    settings, faults = load_settings()
    assert settings == Settings()
    assert [fault.partition("line ")[2][:1] for fault in faults] == ["1", "2", "3"]
    assert "the nearest known one is signs" in faults[2]


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"theme = day\n", "line 1: that is not TOML (Invalid value); write lines such as"),
        (b'theme = "day', "that is not TOML"),
        (b"x = " + b"[" * 5000, "that is not TOML"),
        (b'theme = "d\xe4y"', "the text is not UTF-8"),
    ],
)
def test_what_cannot_be_read_at_all_chooses_nothing(file: Path, data: bytes, said: str) -> None:
    file.write_bytes(data)
    settings, (fault,) = load_settings()
    assert settings == Settings()
    assert said in fault
    assert "\n" not in fault


def test_a_folder_of_that_name_chooses_nothing(file: Path) -> None:
    file.mkdir()
    settings, (fault,) = load_settings()
    assert settings == Settings()
    assert f"{file}: it cannot be read (" in fault


def test_a_long_value_is_shown_in_part(file: Path) -> None:
    file.write_text(f'theme = "{"night" * 200}"\n')
    _, (fault,) = load_settings()
    assert len(fault) < len(str(file)) + 200
