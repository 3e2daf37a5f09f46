"""One test for every hook, and a test that there is one."""

from __future__ import annotations

import inspect
import re
from collections.abc import Callable
from pathlib import Path

import pytest

from scaledesign import api, locations
from scaledesign.api import Fingering
from scaledesign.extend import asking, hookspecs, registry, switches
from scaledesign.extend.catalogue import Catalogue
from scaledesign.extend.conformance import check_plugin
from scaledesign.extend.hookspecs import API_VERSION, HOOKS
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
    assert found.system("six-hole pentatonic").others[-1] == added
    scale = found.scale("pentatonic minor")
    rows = found.rows("six-hole pentatonic", scale, parse_note("A4"), 440.0)
    assert [row.note for row in rows if row.holes == ("X", "X", "X", "H", "O", "O")] == ["Eb5"]


def test_every_hook_has_a_test() -> None:
    assert hooks()
    for name in hooks():
        assert f"test_hook_{name}" in globals(), f"{name} has no test"


DEVELOPERS = (Path(__file__).parents[2] / "DEVELOPERS.md").read_text(encoding="utf-8")


def blocks(language: str) -> list[str]:
    return [part.split("```", 1)[0] for part in DEVELOPERS.split(f"```{language}\n")[1:]]


def test_the_table_for_developers_is_the_table_of_hooks() -> None:
    told = [line for line in DEVELOPERS.splitlines() if line.startswith("| `register_")]
    takes = [", ".join(f"`{kind.__name__}`" for kind in hook.takes) for hook in HOOKS]
    assert told == [
        f"| `{hook.name}` | {hook.called} | {things} | {hook.since} |"
        for hook, things in zip(HOOKS, takes, strict=True)
    ]


def test_every_hook_has_a_heading_with_its_exact_signature_and_an_example_below() -> None:
    parts = re.findall(r"^#### `(.*?)`$(.*?)(?=^#)", DEVELOPERS, re.MULTILINE | re.DOTALL)
    assert [signature for signature, _ in parts] == [hook.signature for hook in HOOKS]
    for (signature, text), hook in zip(parts, HOOKS, strict=True):
        assert f"@hookimpl\ndef {signature}:" in text, hook.name


def test_the_examples_for_developers_are_one_plug_in_that_passes(write: Write, built: Built) -> None:
    code = "".join(block for block in blocks("python") if "@hookimpl" in block or "NEEDS_API" in block)
    write("example", '__version__ = "1"\n' + code)
    found = built()
    (mine,) = (plugin for plugin in found.plugins() if plugin.name == "example")
    assert mine.contributes == ("scale fourths", "system two-hole", "fingering OX for two-hole")
    assert check_plugin("example", found) == ()


def test_every_name_there_is_to_import_is_told() -> None:
    (part,) = re.findall(r"^### What there is to import\n(.*?)^###", DEVELOPERS, re.MULTILINE | re.DOTALL)
    assert set(re.findall(r"`(\w+)`", part)) == set(api.__all__)


def test_what_developers_are_told_of_versions_limits_and_places_is_so() -> None:
    text = " ".join(DEVELOPERS.split())
    assert f"`API_VERSION`, now {API_VERSION}:" in text
    assert f"with {registry.TIME_LIMIT:g} s for each" in text
    assert f"more than {asking.MOST} of a kind" in text
    assert asking.SLOW == 0.5
    assert "half a second or more" in text
    assert f"`{switches.NAME}`" in text
    assert f"`{locations.FOLDER_VARIABLE}`" in text


def test_every_hook_is_in_the_table() -> None:
    assert [hook.name for hook in HOOKS] == hooks()
    assert {hook.since for hook in HOOKS} <= set(range(1, API_VERSION + 1))


@pytest.mark.parametrize("name", hooks())
def test_every_hook_says_when_what_and_since(name: str) -> None:
    text = inspect.getdoc(getattr(hookspecs, name)) or ""
    assert "Since version " in text
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
