"""Finding plug-ins without importing any: bundled ones, entry points, the user's folders.

Apart from the registry, which imports and admits them. What a plug-in offers is not this module's business.
"""

from __future__ import annotations

import importlib
import importlib.util
import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from types import ModuleType
from typing import Literal
from zlib import crc32

from scaledesign import locations
from scaledesign.extend.hookspecs import PROJECT

Origin = Literal["bundled", "installed", "folder"]


@dataclass(frozen=True, slots=True)
class Candidate:
    """A plug-in that was found and not yet imported."""

    name: str
    origin: Origin
    where: str
    """Module or file."""
    version: str
    """Version of the distribution it came with; '' when it came as a file."""
    load: Callable[[], object]
    """Imports it; a module, or any object with hooks that an entry point names."""


def candidates(folders: tuple[Path, ...]) -> tuple[Candidate, ...]:
    """Every plug-in there is: bundled, then installed, then those in ``folders``; by name within each."""
    found = [*_bundled(), *_installed()]
    for folder in folders:
        found.extend(_in_folder(folder))
    return tuple(found)


def _bundled() -> Iterator[Candidate]:
    for path in _modules(locations.PLUGINS):
        module = f"{PROJECT}.bundled.{path.stem}"
        yield Candidate(_readable(path.stem), "bundled", module, "", partial(importlib.import_module, module))


def _installed() -> Iterator[Candidate]:
    if not _any_entry_point():
        return
    from importlib.metadata import entry_points

    for point in sorted(entry_points(group=PROJECT), key=lambda point: (point.name, point.value)):
        version = point.dist.version if point.dist else ""
        yield Candidate(_readable(point.name), "installed", point.value, version, point.load)


def _any_entry_point() -> bool:
    """Whether any installed distribution has our group; spares most starts a slow import."""
    header = f"[{PROJECT}]".encode()
    for folder in {Path(entry or ".") for entry in sys.path}:
        for points in (
            *folder.glob("*.dist-info/entry_points.txt"),
            *folder.glob("*.egg-info/entry_points.txt"),
        ):
            if header in points.read_bytes():
                return True
    return False


def _in_folder(folder: Path) -> Iterator[Candidate]:
    for path in _modules(folder):
        yield Candidate(_readable(path.stem), "folder", str(path), "", partial(_import_file, path))


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


def _import_file(path: Path) -> ModuleType:
    """Import a file or package folder that is on no search path, under a name that cannot clash."""
    name = f"{PROJECT}_user_{crc32(str(path.resolve()).encode()):x}_{path.stem}"
    start = path / "__init__.py" if path.is_dir() else path
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


def _readable(stem: str) -> str:
    return stem.replace("_", " ")
