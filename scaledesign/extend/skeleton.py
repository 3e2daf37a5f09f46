"""The beginning of a plug-in: files that load and pass every check, for an author to change.

Apart from the command that asks for them. Nothing that is there is written over; what fails halfway leaves
nothing behind.
"""

from __future__ import annotations

import keyword
import re
from contextlib import suppress
from importlib.util import find_spec
from pathlib import Path
from string import Template

from scaledesign.errors import EditError
from scaledesign.extend.catalogue import comparable
from scaledesign.extend.finding import candidates, readable
from scaledesign.extend.hookspecs import API_VERSION, PROJECT

MODULE = Template('''\
"""$title: what I offer to scaledesign.

Each function marked @hookimpl is called once, when the program looks what there is. Put in what you know
and take out the functions that you do not need. The numbers here are invented, to begin with.
"""

from scaledesign.api import (
    Fingering,
    RegisterFingering,
    RegisterScale,
    RegisterSystem,
    Scale,
    Slot,
    System,
    hookimpl,
)

__version__ = "0.1"
NEEDS_API = $api


@hookimpl
def register_scales(register: RegisterScale) -> None:
    """Offer one scale: cents above the lowest note, which is 0, up to the octave and without it."""
    register(
        Scale(
            "$name one",
            (0, 200, 700),
            words="One line that helps somebody to choose it.",
            source="my own",
        )
    )


@hookimpl
def register_systems(register: RegisterSystem) -> None:
    """Offer a fingering system of two holes, mouth to foot; the k-th fingering plays the k-th note."""
    register(
        System(
            name="$name two-hole",
            words="Three notes for two fingers.",
            slots=(Slot("L1"), Slot("R1")),
            home="$name one",
            degrees=(3,),
            opening=("XX", "XO", "OO"),
        )
    )


@hookimpl
def register_cross_fingerings(register: RegisterFingering) -> None:
    """Offer one fingering more: half a semitone step below the third note (degrees count from 0)."""
    register("$name two-hole", Fingering("OX", degree=2, flat=1))
''')

TEST = Template('''\
"""What $title promises; run it with pytest, in the environment that has scaledesign."""

from pathlib import Path

from scaledesign.api import catalogue, check_plugin

PLUGIN = Path(__file__).parents[1] / "$module.py"


def test_it_passes_every_check() -> None:
    assert check_plugin(PLUGIN) == ()


def test_the_numbers() -> None:
    assert catalogue(extra=(PLUGIN,)).scale("$name one").cents == (0, 200, 700)
''')

PROJECT_FILE = Template("""\
[build-system]
requires = ["hatchling>=1.27"]
build-backend = "hatchling.build"

# scaledesign is not among the dependencies: this is installed where scaledesign is.
[project]
name = "$folder"
dynamic = ["version"]
description = "$title: a plug-in for scaledesign."
readme = "README.md"
requires-python = ">=3.11"

[project.entry-points.$group]
$module = "$module"

[tool.hatch.version]
path = "$module.py"

[tool.hatch.build]
only-include = ["$module.py", "tests"]
dev-mode-dirs = ["."]

[tool.hatch.build.targets.wheel]
only-include = ["$module.py"]
""")

README = Template("""\
# $title

A plug-in for scaledesign. Say here what it offers and where its numbers come from.

In the environment that has scaledesign:

```sh
pip install -e .
scaledesign plugins check $name
```

`pytest` runs its tests. It is code, and runs as you whenever scaledesign starts; `scaledesign plugins off
$name` switches it off.
""")


def module_name(name: str) -> str:
    """Module of a plug-in that shall be called ``name``.

    Raises
    ------
    EditError
        when no module can be called so.
    """
    stem = re.sub(r"[\s-]+", "_", name.strip()).lower()
    if re.fullmatch(r"[a-z][a-z0-9_]{0,39}", stem) and not keyword.iskeyword(stem):
        return stem
    raise EditError(
        f"{name!r} is no name for a plug-in",
        'write at most 40 plain letters, digits and blanks, a letter first, such as "my scales"',
    )


def write_skeleton(name: str, into: Path, *, package: bool, folders: tuple[Path, ...]) -> tuple[Path, ...]:
    """Write a plug-in to begin with, and its test; the paths of what was written, the plug-in first.

    Parameters
    ----------
    name : what it shall be called
    into : folder, made if need be: the plug-in's file goes there, or the package's own folder
    package : whether it gets a folder of its own, to be installed
    folders : user folders, in which no other plug-in may have the name

    Raises
    ------
    EditError
        when the name is none or is taken, ``into`` is no folder, or a file is there already; nothing is
        written then.
    OSError
        when a file cannot be written; what was written is taken back.
    """
    module = module_name(name)
    called = readable(module)
    if comparable(called) in {comparable(one.name) for one in candidates(folders)}:
        raise EditError(f"There is a plug-in {called!r} already", "choose another name")
    if package and find_spec(module) is not None:
        raise EditError(f"Python has a module {module!r} already", "choose another name")
    if file := next((path for path in (into, *into.parents) if path.is_file()), None):
        raise EditError(f"{file} is a file and no folder", "name a folder with --into")
    words = {
        "name": called,
        "title": called.capitalize(),
        "module": module,
        "folder": module.replace("_", "-"),
        "api": str(API_VERSION),
        "group": PROJECT,
    }
    parts = {f"{module}.py": MODULE}
    if package:
        into = into / words["folder"]
        parts |= {"pyproject.toml": PROJECT_FILE, "README.md": README, "tests/test_it.py": TEST}
        if into.exists():
            raise EditError(f"{into} is there already", "choose another name, or another place with --into")
    else:
        parts[f"tests/test_{module}.py"] = TEST
    texts = {into / part: template.substitute(words) for part, template in parts.items()}
    for path in texts:
        if path.exists():
            raise EditError(f"{path} is there already", "choose another name, or another place with --into")
    _write(texts)
    return tuple(texts)


def _write(texts: dict[Path, str]) -> None:
    """Write new files, all or none."""
    written: list[Path] = []
    folders: list[Path] = []
    try:
        for path, text in texts.items():
            folders += [one for one in (path.parent, *path.parent.parents) if not one.exists()]
            path.parent.mkdir(parents=True, exist_ok=True)
            with path.open("x", encoding="utf-8", newline="\n") as file:
                written.append(path)
                file.write(text)
    except BaseException:
        for path in written:
            path.unlink()
        for folder in sorted(folders, key=lambda one: len(one.parts), reverse=True):
            with suppress(OSError):
                folder.rmdir()
        raise
