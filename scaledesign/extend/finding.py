"""Finding plug-ins without importing any: bundled ones, entry points, the user's folders.

Apart from ``asking.py``, which imports them. What a plug-in offers is not this module's business. A place
that cannot be looked into is a candidate too, one whose import fails: so it is named like any other fault.
"""

from __future__ import annotations

import importlib
import importlib.util
import os
import sys
from collections.abc import Callable, Iterator
from contextlib import suppress
from functools import partial
from pathlib import Path
from types import ModuleType
from typing import Literal, NoReturn
from zlib import crc32

from scaledesign import locations
from scaledesign.errors import shown
from scaledesign.extend.hookspecs import PROJECT
from scaledesign.values import dataclass

LARGEST_POINTS, MOST_READ = 64_000, 10_000_000
"""Bytes of a distribution's entry points: more are no list of plug-ins; so many are searched for ours."""
Origin = Literal["bundled", "installed", "folder"]


@dataclass(frozen=True, slots=True)
class Candidate:
    """A plug-in that was found and not yet imported."""

    name: str
    origin: Origin
    where: str
    """Module or file."""
    version: str
    """Version of the distribution it came with; '' when it came as a file, or with the program."""
    load: Callable[[], object]
    """Imports it; a module, or any object with hooks that an entry point names."""
    source: Path | None = None
    """The file that its import begins with, where it came as a file."""


def candidates(folders: tuple[Path, ...]) -> tuple[Candidate, ...]:
    """Every plug-in there is: bundled, then installed, then those in ``folders``; by name within each."""
    found = [*_bundled(), *_installed()]
    for folder in folders:
        found.extend(_in_folder(folder))
    return tuple(found)


def candidate(path: Path, name: str = "") -> Candidate:
    """The plug-in at a path, a file or a package folder, wherever that lies."""
    start = path / "__init__.py" if path.is_dir() else path
    load = partial(_import_file, path, start)
    return Candidate(name or readable(path.stem), "folder", str(path), "", load, start)


def readable(stem: str) -> str:
    """Name of a plug-in from that of its module or entry point."""
    return shown(stem.replace("_", " "))


def _bundled() -> Iterator[Candidate]:
    for path in _modules(locations.PLUGINS):
        module = f"{PROJECT}.bundled.{path.stem}"
        load = partial(importlib.import_module, module)
        yield Candidate(readable(path.stem), "bundled", module, "", load)


def _installed() -> Iterator[Candidate]:
    found: list[tuple[str, str, Candidate]] = []
    names = set[str]()
    for place, size in _with_our_group():
        from importlib.metadata import PathDistribution  # a slow import, which most starts are spared

        try:
            if size > LARGEST_POINTS:
                raise ValueError(f"its entry_points.txt is larger than {LARGEST_POINTS // 1000} kB")
            came_with = PathDistribution(place)
            points = came_with.entry_points.select(group=PROJECT)
            if (name := place.name.partition("-")[0].casefold()) in names:
                continue  # what comes first on the path is what would be imported
            names.add(name)
        except Exception as error:  # noqa: BLE001  the metadata of any distribution may be damaged
            where = shown(place.name)
            found.append(
                ("", where, Candidate("installed plug-ins", "installed", where, "", partial(_again, error)))
            )
            continue
        version = ""
        with suppress(Exception):
            version = shown(str(came_with.version))
        found += (
            (
                point.name,
                point.value,
                Candidate(readable(point.name), "installed", shown(point.value), version, point.load),
            )
            for point in points
        )
    yield from (each for _, _, each in sorted(found, key=lambda one: one[:2]))


def _with_our_group() -> Iterator[tuple[Path, int]]:
    """Metadata folders of the installed distributions that have our group, and how long that text is."""
    header = f"[{PROJECT}]".encode()
    for folder in dict.fromkeys(entry or "." for entry in sys.path):
        with suppress(OSError):
            for name in sorted(os.listdir(folder)):  # noqa: PTH208 - five times as fast as looking with a Path
                if name.endswith((".dist-info", ".egg-info")):
                    with suppress(OSError), open(f"{folder}/{name}/entry_points.txt", "rb") as points:  # noqa: PTH123 - so is this
                        if header in (text := points.read(MOST_READ)):
                            yield Path(folder, name), len(text)


def _in_folder(folder: Path) -> Iterator[Candidate]:
    try:
        paths = _modules(folder)
    except OSError as error:
        yield Candidate(folder.name or str(folder), "folder", str(folder), "", partial(_again, error))
        return
    yield from map(candidate, paths)


def _modules(folder: Path) -> list[Path]:
    """Files and package folders that are modules; what begins with a dot or an underscore is left alone."""
    if not folder.is_dir():
        return []
    found = [
        path
        for path in folder.iterdir()
        if not path.name.startswith((".", "_")) and (path.suffix == ".py" or (path / "__init__.py").is_file())
    ]
    return sorted(found, key=lambda path: path.name)


def _again(error: Exception) -> NoReturn:
    raise error


def _import_file(path: Path, start: Path) -> ModuleType:
    """Import a file or package folder that is on no search path, under a name that cannot clash."""
    name = f"{PROJECT}_user_{crc32(str(path.resolve()).encode()):x}_{path.stem}"
    spec = importlib.util.spec_from_file_location(name, start)
    if spec is None or spec.loader is None:
        raise ImportError(f"{path.name} is no Python module")
    module = importlib.util.module_from_spec(spec)
    sys.modules[name] = module
    try:
        spec.loader.exec_module(module)
    except BaseException:
        del sys.modules[name]
        raise
    return module
