"""Settings: what is chosen, a sentence for each fault, and never a stop."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from scaledesign import locations
from scaledesign.files.settings import PaperSettings, Settings, load_settings


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
        ("theme", "colour", "theme", "no such setting; known: book, keys, paper, signs, theme, units."),
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


PAPER = """\
[paper]
paper = "letter"
names = "latin"
style = "wide"
large = true
maker = "Reed and rush"
picture = "mark.svg"
"""
WORDS = {"names": ("english", "latin"), "style": ("plain", "wide")}


def test_all_of_paper_is_read(file: Path) -> None:
    file.write_text(PAPER)
    mark = str(file.parent / "mark.svg")
    chosen = PaperSettings("letter", "latin", "wide", True, "Reed and rush", mark)
    assert load_settings(paper=WORDS) == (Settings(paper=chosen), ())
    file.write_text(PAPER.replace('"mark.svg"', f'"{file.parent}/elsewhere/mark.png"'))
    assert load_settings()[0].paper.picture == f"{file.parent}/elsewhere/mark.png"


@pytest.mark.parametrize(
    ("old", "new", "lost", "said"),
    [
        (
            '"letter"',
            '"a3"',
            "paper",
            'line 2: paper.paper = "a3": that is none of the choices',
        ),
        (
            '"latin"',
            '"lattin"',
            "names",
            'line 3: paper.names = "lattin": that is none of the',
        ),
        (
            '"wide"',
            "2",
            "style",
            'that is none of the choices; write "plain" or "wide".',
        ),
        ("true", '"yes"', "large", 'line 5: paper.large = "yes": that is neither; write true or false.'),
        ("true", "1", "large", "line 5: paper.large = 1: that is neither"),
        (
            '"Reed and rush"',
            "7",
            "maker",
            "line 6: paper.maker = 7: that is no text; write it in",
        ),
        (
            '"Reed and rush"',
            f'"{"a" * 61}"',
            "maker",
            "that does not fit a line; write at most 60",
        ),
        ('"Reed and rush"', '"Reed\\nrush"', "maker", "that does not fit a line"),
        ('"mark.svg"', "[]", "picture", "line 7: paper.picture = []: that is no text"),
        ("picture", "pictur", "picture", 'line 7: paper.pictur = "mark.svg": there is no such setting; the'),
    ],
)
def test_a_fault_of_paper_costs_only_itself(file: Path, old: str, new: str, lost: str, said: str) -> None:
    file.write_text(PAPER.replace(old, new, 1) if old != '"letter"' else PAPER.replace(old, new))
    settings, (fault,) = load_settings(paper=WORDS)
    mark = str(file.parent / "mark.svg")
    good = PaperSettings("letter", "latin", "wide", True, "Reed and rush", mark)
    assert settings.paper == replace(good, **{lost: None if lost == "large" else ""})
    assert said in fault


def test_paper_that_is_no_table(file: Path) -> None:
    file.write_text('paper = "a4"\n')
    settings, (fault,) = load_settings()
    assert settings == Settings()
    assert "that is no table; write [paper] and below it" in fault


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


def test_the_book_is_a_folder(file: Path) -> None:
    file.write_text('[book]\nfolder = "flutes"\n')
    assert load_settings() == (Settings(book=str(file.parent / "flutes")), ())


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ('book = "flutes"', 'write [book] and below it folder = "~/flutes"'),
        ("[book]\nfolder = 3", "write it in quotes"),
        ('[book]\nfolders = "flutes"', "the nearest known one is folder"),
    ],
)
def test_a_fault_of_the_book_is_told(file: Path, text: str, said: str) -> None:
    file.write_text(f'units = "in"\n{text}\n')
    settings, faults = load_settings()
    assert settings.book == ""
    assert len(faults) == 1
    assert said in faults[0]
