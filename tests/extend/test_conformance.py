"""The kit: each thing it holds a plug-in to, said in one sentence; by name and by path."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from scaledesign.api import check_plugin
from scaledesign.extend.catalogue import Catalogue, PluginStatus
from scaledesign.extend.conformance import system_problems
from scaledesign.model.scale import Scale
from scaledesign.model.system import Fingering, Slot, System

Write = Callable[[str, str], Path]
GOOD = """
__version__ = "1"

@hookimpl
def register_scales(register):
    register(Scale("tried", (0, 500), words="Two notes.", source="invented"))
"""
FOURTHS = Scale("fourths", (0, 500, 1000), words="Three notes.", source="invented")


def one_with(scale: Scale, **how: object) -> Catalogue:
    how = {"version": "1", "contributes": (f"scale {scale.name}",), **how}
    return Catalogue((scale,), (), (), (PluginStatus("x", "folder", "x", **how),))


@pytest.mark.parametrize(
    ("catalogue", "problems"),
    [
        (one_with(FOURTHS), ()),
        (one_with(FOURTHS, version=""), ('has no version; write __version__ = "0.1"',)),
        (one_with(FOURTHS, contributes=()), ("offers nothing",)),
        (one_with(FOURTHS, remarks=("takes 3.0 s",)), ("takes 3.0 s",)),
        (one_with(FOURTHS, ok=False, problem="is worn out"), ("is worn out",)),
        (one_with(Scale("poor", (0, 500))), ("scale 'poor': has no words", "scale 'poor': has no source")),
        (
            one_with(Scale("loose", (0, 500), words="Two\nnotes", source="invented")),
            ("scale 'loose': has words that are not one line ending with a full stop",),
        ),
    ],
)
def test_what_a_plug_in_is_held_to(catalogue: Catalogue, problems: tuple[str, ...]) -> None:
    assert check_plugin("x", catalogue) == problems
    assert check_plugin("X", catalogue) == problems


def test_a_name_that_nobody_has_gets_the_nearest() -> None:
    assert check_plugin("nobody", one_with(FOURTHS)) == ("no plug-in is named 'nobody'",)
    assert check_plugin("six hol") == ("no plug-in is named 'six hol'; did you mean 'six hole'?",)


def two_hole(**how: object) -> System:
    plain = {"words": "Three notes.", "home": "fourths", "opening": ("XX", "XO", "OO"), **how}
    return System(name="two-hole", slots=(Slot("L1"), Slot("R1")), degrees=(3,), **plain)


@pytest.mark.parametrize(
    ("system", "said"),
    [
        (two_hole(), ""),
        (two_hole(words="Three"), "full stop"),
        (two_hole(home="sevenths"), "No scale is named 'sevenths'"),
        (two_hole(opening=("XX", "XO", "XO")), "fingering XO in one register to two notes"),
        (two_hole(others=(Fingering("OO", 1, flat=1),)), "fingering OO in one register to two notes"),
        (two_hole(others=(Fingering("OX", 7),)), "a degree that 'fourths' does not have"),
    ],
)
def test_what_a_system_is_held_to(system: System, said: str) -> None:
    problems = system_problems(system, Catalogue((FOURTHS,), (system,)))
    assert len(problems) == bool(said)
    assert said in "".join(problems)


def test_a_file_is_checked_where_it_lies(write: Write) -> None:
    assert check_plugin(write("mine", GOOD)) == ()
    (broken,) = check_plugin(write("broken", "1 / 0"))
    assert broken == "failed to import (ZeroDivisionError: division by zero)"
    (missing,) = check_plugin(Path("nowhere.py"))
    assert missing == "there is no file nowhere.py"


def test_a_plug_in_that_answers_otherwise_the_next_time_is_named(write: Write, tmp_path: Path) -> None:
    count = f"""
        from pathlib import Path
        SEEN = Path({str(tmp_path / "seen")!r})
        SEEN.write_text(SEEN.read_text() + "x" if SEEN.exists() else "x")
        cents = 100.0 * len(SEEN.read_text())
    """
    path = write("moody", count)
    path.write_text(path.read_text() + GOOD.replace("500", "cents"))
    assert check_plugin(path) == ("offers something else when it is asked again",)


def test_a_package_is_found_by_what_its_project_says(write: Write, tmp_path: Path) -> None:
    (tmp_path / "src" / "reeds").mkdir(parents=True)
    write("src/reeds/__init__", GOOD)
    project = tmp_path / "pyproject.toml"
    project.write_text('[project.entry-points.scaledesign]\nmy_reeds = "reeds"\n')
    assert check_plugin(tmp_path) == ()
    project.write_text('[project.entry-points.scaledesign]\nmy_reeds = "canes"\n')
    assert "'canes' is no module beside pyproject.toml" in check_plugin(tmp_path)[0]
    project.write_text('[project]\nname = "reeds"\n')
    assert "names no plug-in under [project.entry-points.scaledesign]" in check_plugin(tmp_path)[0]
    project.write_text("[project")
    assert "cannot be read" in check_plugin(tmp_path)[0]
    project.unlink()
    assert "is no plug-in" in check_plugin(tmp_path)[0]


def test_an_installed_one_does_not_stand_in_the_way_of_its_own_file(
    write: Write, install: Callable[..., None]
) -> None:
    install("mine", GOOD)
    assert check_plugin(write("mine", GOOD)) == ()
    (clash,) = check_plugin(write("other", GOOD))
    assert clash == "offers a scale 'tried', which 'mine' offers already"
