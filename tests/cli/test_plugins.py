"""plugins: listed, begun, checked, switched off and on; whatever they do, the other commands run."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from scaledesign.cli.exit_codes import CANNOT_USE, NOT_MET, OK, USAGE
from scaledesign.extend import asking, registry
from scaledesign.paper.text import WIDTH
from scaledesign.workshop import ask
from tests.cli.running import Run

SLOW = """
import time
from scaledesign.api import Scale, hookimpl
time.sleep(0.06)
print("here I am")

@hookimpl
def register_scales(register):
    register(Scale("tried", (0, 500)))
"""
BAD = {
    "raises": "raise RuntimeError('out of reeds')",
    "sleeps": (
        "import time\nfrom scaledesign.api import hookimpl\n\n"
        "@hookimpl\ndef register_scales(register): time.sleep(1000)"
    ),
    "nonsense": (
        "from scaledesign.api import hookimpl\nprint('{')\n\n"
        "@hookimpl\ndef register_systems(register): register('what?')"
    ),
}


@pytest.fixture
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """Folder of what is the user's."""
    monkeypatch.setenv("SCALEDESIGN_HOME", str(tmp_path / "home"))
    monkeypatch.delenv("SCALEDESIGN_PLUGINS", raising=False)
    (tmp_path / "home" / "plugins").mkdir(parents=True)
    ask.offers.cache_clear()  # what was found before is forgotten, and what is found here too
    yield tmp_path / "home"
    ask.offers.cache_clear()


def test_from_new_to_on(run: Run, home: Path) -> None:
    """What DEVELOPERS.md says to type for a plug-in of one file, and then its switches."""
    developers = (Path(__file__).parents[2] / "DEVELOPERS.md").read_text(encoding="utf-8")
    lines = '```sh\nscaledesign plugins new "reed scales"\nscaledesign plugins check reed scales\n```'
    assert lines in developers
    begun = run("plugins", "new", "reed scales")
    assert (begun.code, begun.err) == (OK, "")
    assert str(home / "plugins" / "reed_scales.py") in begun.out
    assert "It loads and passes every check." in begun.out
    assert "Next:" in begun.out
    assert run("plugins", "check", "reed", "scales").out == "reed scales: nothing is wrong with it.\n"
    assert "reed scales one" in run("scales").out
    assert run("plugins", "off", "Reed scales").out.startswith("reed scales is off.")
    assert run("plugins", "off", "reed scales").out == "reed scales was off already.\n"
    listed = run("plugins").out
    assert (
        "reed scales (folder)\n    switched off: you did that; scaledesign plugins on reed scales" in listed
    )
    assert "reed scales one" not in run("scales").out
    off = run("plugins", "check", "reed scales")
    assert (off.code, off.out[:33]) == (CANNOT_USE, "reed scales:\n- is switched off: y")
    assert run("plugins", "on", "reed", "scales").out == "reed scales is on.\n"
    assert "reed scales one" in run("scales").out


def test_new_where_you_say(run: Run, home: Path, tmp_path: Path) -> None:
    begun = run("plugins", "new", "cane scales", "--into", tmp_path / "elsewhere", "--json")
    assert begun.object == {
        "written": [
            str(tmp_path / "elsewhere" / "cane_scales.py"),
            str(tmp_path / "elsewhere" / "tests" / "test_cane_scales.py"),
        ],
        "problems": [],
    }
    there = " ".join(run("plugins", "new", "reeds", "--into", tmp_path / "there").out.split())
    assert "is not among your folders of plug-ins: name it in SCALEDESIGN_PLUGINS" in there
    package = run("plugins", "new", "bone scales", "--package").out
    assert (tmp_path / "bone-scales" / "pyproject.toml").exists()
    assert "pip install -e ." in package
    assert run("plugins", "check", "bone-scales").out == "bone-scales: nothing is wrong with it.\n"
    assert list((home / "plugins").iterdir()) == []


def test_the_list_says_version_time_and_what_to_mend(
    run: Run, home: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(asking, "SLOW", 0.06)
    (home / "plugins" / "slow_one.py").write_text("__version__ = '2.5'\n" + SLOW)
    (mine,) = (one for one in run("plugins", "--json").object["plugins"] if one["origin"] == "folder")
    assert (mine["name"], mine["version"], mine["ok"], mine["off"]) == ("slow one", "2.5", True, False)
    assert mine["load_seconds"] >= 0.06
    text = run("plugins").out
    assert max(map(len, text.splitlines())) <= WIDTH
    assert "slow one (folder, 2.5, " in text
    assert "but it takes " in text
    assert "but it prints while it imports (here I am)" in text
    checked = run("plugins", "check", "slow one")
    assert checked.code == CANNOT_USE
    said = " ".join(checked.out.split())
    for problem in ("takes ", "prints while it imports", "'tried': has no words", "'tried': has no source"):
        assert problem in said
    assert len(run("plugins", "--json", "check", "slow one").object["problems"]) == 4


@pytest.mark.parametrize(
    ("words", "code", "said"),
    [
        (("chek",), USAGE, "there is no 'chek'; there are 'new', 'check', 'off', 'on'"),
        (("check", ""), CANNOT_USE, "No plug-in is named ''"),
        (("new",), USAGE, "NAME"),
        (("new", "3"), CANNOT_USE, "is no name for a plug-in"),
        (("new", "six hole"), CANNOT_USE, "There is a plug-in 'six hole' already"),
        (("check", "six hol"), CANNOT_USE, "did you mean 'six hole'?"),
        (("check", "./six.py"), CANNOT_USE, "There is no file or folder ./six.py"),
        (("off", "six hol"), CANNOT_USE, "did you mean 'six hole'?"),
        (("on", "nobody at all"), CANNOT_USE, "No plug-in is named 'nobody at all'"),
    ],
)
def test_what_cannot_be_done_is_said(
    run: Run, home: Path, words: tuple[str, ...], code: int, said: str
) -> None:
    result = run("plugins", *words)
    assert (result.code, result.out) == (code, "")
    assert said in result.err
    assert result.err.count("\n") == 1


def test_one_that_is_gone_can_be_taken_off_the_list(run: Run, home: Path) -> None:
    run("plugins", "new", "reeds")
    run("plugins", "off", "reeds")
    (home / "plugins" / "reeds.py").unlink()
    assert run("plugins", "on", "reeds").out == "reeds is on.\n"


def test_a_damaged_list_is_named(run: Run, home: Path) -> None:
    (home / "plugins-off.txt").write_bytes(b"\xff")
    assert "plugins-off.txt (list)" in run("plugins").out
    result = run("plugins", "off", "six hole")
    assert result.code == CANNOT_USE
    assert "plugins-off.txt cannot be changed" in result.err


def test_every_command_runs_with_three_bad_ones(
    run: Run, home: Path, flute: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    for name, code in BAD.items():
        (home / "plugins" / f"{name}.py").write_text(code)
    monkeypatch.setattr(registry, "TIME_LIMIT", 0.5)
    for line in (
        "scales", "systems --json", "plugins --json", "check flute.toml", "predict flute.toml --json",
        "chart flute.toml", "solve flute.toml -o solved.toml", "plugins",
    ):  # fmt: skip
        result = run(*line.split())
        assert result.code in {OK, NOT_MET}, line
        if line.startswith("chart"):  # of a flute that is not solved yet; nothing else is complained of
            assert result.err.endswith("before you hand it on.\n")
            assert result.err.count("\n") == 1
        else:
            assert result.err == "", line
        assert result.out.startswith("{") == ("--json" in line), line
    said = " ".join(result.out.split())
    assert "switched off: failed to import (RuntimeError: out of reeds)" in said
    assert "switched off: took longer than 0.5 s to answer" in said
    assert "switched off: registers 'what?' for a System" in said


def test_check_says_which_plug_in_it_is_about(run: Run, home: Path, tmp_path: Path) -> None:
    (tmp_path / "bad.py").write_text("raise SystemExit(4)\n")
    result = run("plugins", "check", "bad.py")
    assert result.out == "bad.py:\n- failed to import (it ends the program, with 4).\n"


def test_a_plug_in_does_not_go_into_a_file(run: Run, home: Path, flute: Path) -> None:
    result = run("plugins", "new", "reeds", "--into", flute.name)
    assert result.code == CANNOT_USE
    assert result.err == f"{flute.name} is a file and no folder; name a folder with --into.\n"
