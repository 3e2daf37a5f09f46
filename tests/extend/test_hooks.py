"""One test for every hook, and a test that there is one."""

from __future__ import annotations

import inspect
from collections.abc import Callable
from pathlib import Path

import pytest

from scaledesign.api import Fingering
from scaledesign.extend import hookspecs
from scaledesign.extend.catalogue import Catalogue
from scaledesign.extend.registry import HOOKS
from scaledesign.model.pitch import parse_note

Write = Callable[[str, str], Path]
Built = Callable[..., Catalogue]


def hooks() -> list[str]:
    return [name for name, value in vars(hookspecs).items() if hasattr(value, "scaledesign_spec")]


def test_hook_register_scales(write: Write, built: Built) -> None:
    write(
        "mine",
        """
        @hookimpl
        def register_scales(register):
            register(Scale("fourths", (0, 500, 1000), also=("quartal",)))
            register(scale_of_degrees(("1", "7/6", "3/2"), "septimal"))
        """,
    )
    found = built()
    assert found.scale("Fourths").cents == (0, 500, 1000)
    assert found.scale("quartal").name == "fourths"
    assert found.scale("septimal").cents == pytest.approx((0, 266.8709, 701.955), abs=1e-4)


def test_hook_register_systems(write: Write, built: Built) -> None:
    write(
        "mine",
        """
        @hookimpl
        def register_systems(register):
            register(System("two-hole", "Three.", (Slot("L1"), Slot("R1")), "x", (3,), ("XX", "XO", "OO")))
        """,
    )
    found = built()
    assert [slot.finger for slot in found.system("two-hole").slots] == ["L1", "R1"]
    assert "two-hole" in [system.name for system in found.systems()]


def test_hook_register_cross_fingerings(write: Write, built: Built) -> None:
    write(
        "mine",
        """
        @hookimpl
        def register_cross_fingerings(register):
            register("Six-hole Pentatonic", Fingering("XXX HOO", 3, flat=1, role="alternate"))
        """,
    )
    found = built()
    added = Fingering("XXX HOO", 3, flat=1, role="alternate")
    assert found.cross_fingerings("six-hole pentatonic") == (added,)
    assert found.system("six-hole pentatonic").others[-1] == added
    scale = found.scale("pentatonic minor")
    rows = found.rows("six-hole pentatonic", scale, parse_note("A4"), 440.0)
    assert [row.note for row in rows if row.holes == ("X", "X", "X", "H", "O", "O")] == ["Eb5"]


def test_every_hook_has_a_test() -> None:
    assert hooks()
    for name in hooks():
        assert f"test_hook_{name}" in globals(), f"{name} has no test"


DEVELOPERS = (Path(__file__).parents[2] / "DEVELOPERS.md").read_text(encoding="utf-8")


def test_the_table_for_developers_has_every_hook_with_its_arguments() -> None:
    told = [line.split("|")[1].strip() for line in DEVELOPERS.splitlines() if line.startswith("| `register_")]
    signatures = [
        f"`{name}({', '.join(inspect.signature(getattr(hookspecs, name)).parameters)})`" for name in hooks()
    ]
    assert told == signatures


def test_the_example_for_developers_runs(write: Write, built: Built) -> None:
    """The Python block of DEVELOPERS.md that shows a plug-in."""
    (code,) = (
        part.split("```", 1)[0]
        for part in DEVELOPERS.split("```python\n")[1:]
        if "@hookimpl" in part.split("```", 1)[0]
    )
    write("example", code)
    (mine,) = (plugin for plugin in built().plugins() if plugin.name == "example")
    assert mine.problem == ""
    assert mine.contributes == ("system two-hole", "fingering OX for two-hole")


def test_every_hook_is_called() -> None:
    assert sorted(HOOKS) == sorted(hooks())


@pytest.mark.parametrize("name", hooks())
def test_every_hook_says_when_what_and_since(name: str) -> None:
    text = inspect.getdoc(getattr(hookspecs, name)) or ""
    assert "Since 0." in text
    assert "Called when" in text
    assert "Register " in text
    assert "@hookimpl" in text
    assert f"def {name}{inspect.signature(getattr(hookspecs, name), eval_str=False)}".replace("'", "") in text


@pytest.mark.parametrize("name", hooks())
def test_the_example_of_every_hook_runs(name: str, write: Write, built: Built) -> None:
    """The three examples belong together: what the docstrings show, in one plug-in."""
    parts = []
    for hook in hooks():
        text = inspect.getdoc(getattr(hookspecs, hook)) or ""
        code = text[text.index("@hookimpl") - 4 :]
        parts.append(inspect.cleandoc("\n" + code))
    write("example", "\n\n".join(parts))
    found = built()
    (mine,) = (plugin for plugin in found.plugins() if plugin.name == "example")
    assert mine.problem == ""
    assert name in mine.hooks
