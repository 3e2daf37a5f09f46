"""The book on the command line: the folder told, one flute told, and what it says put into another."""

from __future__ import annotations

import json
import shlex
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from scaledesign import locations
from scaledesign.cli import main
from scaledesign.cli.exit_codes import CANNOT_USE, OK, USAGE
from scaledesign.files import document_file
from tests.workshop.makers import Maker, filled

WREN = locations.EXAMPLES / "marsh-wren.toml"
NEW = ["new", "--tube", "16 x 3.5 mm", "--key", "A4", "-o"]


@pytest.fixture(scope="module")
def finished(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("flutes")
    filled(folder, Maker(0.22, 0.0, 0.0, 0.05), 5, np.random.default_rng(1))
    return folder


@pytest.fixture
def flutes(finished: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder called flutes in the one we are in, with a file that is damaged."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv(locations.HOME_VARIABLE, str(tmp_path / "home"))
    folder = tmp_path / "flutes"
    folder.mkdir()
    for path in finished.glob("*.toml"):
        (folder / path.name).write_bytes(path.read_bytes())
    (folder / "broken.toml").write_text("units = 3\n")
    (tmp_path / "flute.toml").write_bytes(WREN.read_bytes())
    return folder


def test_the_folder_is_told(flutes: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["book", "flutes"]) == OK
    out = capsys.readouterr().out
    assert out.startswith("The book in flutes: 5 flutes to learn from.\n")
    assert "Flute 3" in out
    assert "Your windows add" in out
    assert "± with the book" in out
    assert "Passed over:" in out
    wide = [line for line in out.splitlines() if len(line) > 80]
    assert all(str(flutes) in line for line in wide)  # a name that cannot be broken
    assert main(["book", "flutes", "--json"]) == OK
    told = json.loads(capsys.readouterr().out)
    assert len(told["flutes"]) == 5
    assert told["flutes"][0]["ratio"] == pytest.approx(
        told["flutes"][0]["learnt_m"] / told["flutes"][0]["estimate_m"]
    )
    (coming,) = told["next"]
    assert coming["bare_tube_with_cents"] < coming["bare_tube_without_cents"]


def test_what_it_says_is_put_into_a_flute(flutes: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["book", "flutes", "--for", "flute.toml"]) == OK
    out = capsys.readouterr().out
    assert "cents from 5 flutes of yours, ± 59 without." in out
    assert "Not written; to keep it, add --in-place." in out
    assert Path("flute.toml").read_bytes() == WREN.read_bytes()
    assert main(["book", "flutes", "--for", "flute.toml", "--in-place"]) == OK
    assert "scaledesign solve flute.toml --in-place" in capsys.readouterr().out
    design = document_file.load("flute.toml")
    assert design.log[-1].note.startswith("The mouth is taken to add 3")
    assert main(["book", "flutes", "--for", "flute.toml", "--json"]) == OK
    told = json.loads(capsys.readouterr().out)
    assert told["added_length_m"] == design.voicing.added_length
    assert told["least_certain_with_cents"] < 0.6 * told["least_certain_without_cents"]


def test_a_flute_that_was_blown_is_left_as_it_is(flutes: Path, capsys: pytest.CaptureFixture[str]) -> None:
    own = flutes / "flute-01.toml"
    before = own.read_bytes()
    assert main(["book", "flutes", "--for", str(own)]) == OK
    out = capsys.readouterr().out
    assert "from 4 flutes of yours" in out
    assert "its own readings say more than any book" in out
    assert main(["book", "flutes", "--for", str(own), "--in-place"]) == CANNOT_USE
    assert "was blown already" in capsys.readouterr().err
    assert own.read_bytes() == before


def test_one_flute_is_told(flutes: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["book", "flutes", "--flute", "flute 2"]) == OK
    out = capsys.readouterr().out
    assert "its log:\n    2026-01-14 measured the bare tube" in out
    assert main(["book", "flutes", "--flute", "Flute 22"]) == CANNOT_USE
    assert "Flute 2" in capsys.readouterr().err


def test_readings_that_nothing_was_learnt_from_are_said_with_the_command(
    flutes: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    design = document_file.load("flute.toml")
    read = replace(
        design, rows=(replace(design.rows[0], measured=f"{design.rows[0].note} -4"), *design.rows[1:])
    )
    document_file.save(replace(read, name="Old rail"), Path("flutes/old rail.toml"))
    assert main(["book", "flutes"]) == OK
    said = " ".join(capsys.readouterr().out.split())
    command = shlex.join(["scaledesign", "calibrate", str(flutes / "old rail.toml"), "--in-place"])
    assert f"Old rail holds readings, and nothing was learnt from them yet: {command} does it." in said
    assert main([*shlex.split(command)[1:]]) == OK
    capsys.readouterr()
    assert main(["book", "flutes"]) == OK
    out = capsys.readouterr().out
    assert "nothing was learnt" not in out
    assert "6 flutes to learn from" in out


def test_what_is_missing_is_said(flutes: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["book"]) == USAGE
    assert "[book] folder" in capsys.readouterr().err
    assert main(["book", "flutes", "--in-place"]) == USAGE
    assert "go with --for" in capsys.readouterr().err
    assert main(["book", "nowhere"]) == CANNOT_USE
    assert "nowhere is no folder" in capsys.readouterr().err
    Path("empty").mkdir()
    assert main(["book", "empty"]) == OK
    assert "0 flutes to learn from" in capsys.readouterr().out


def test_a_new_flute_begins_with_it(flutes: Path, capsys: pytest.CaptureFixture[str]) -> None:
    main([*NEW, "one.toml", "--book", "flutes"])
    assert "- Your book: ± " in capsys.readouterr().out
    home = locations.user_config()
    home.mkdir(exist_ok=True)
    (home / "settings.toml").write_text(f"[book]\nfolder = '{flutes}'\n")
    main([*NEW, "two.toml"])
    main([*NEW, "three.toml", "--no-book"])
    one, two, three = (document_file.load(f"{name}.toml") for name in ("one", "two", "three"))
    assert one.voicing == two.voicing
    assert one.voicing.added_length is not None
    assert three.voicing.added_length is None
    assert three.log == ()
