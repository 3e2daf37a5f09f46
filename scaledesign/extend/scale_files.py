"""The scale files of some folders, read when a scale is asked for that no plug-in offers, or when all are.

Apart from the registry, which knows the folders, and from ``files/scale_file.py``, which reads one file: most
starts ask for one scale by name, and reading every file for it would take as long as predicting a flute.
"""

from __future__ import annotations

from functools import cached_property
from pathlib import Path

from scaledesign.errors import ScaleError
from scaledesign.extend.catalogue import PluginStatus, names_of
from scaledesign.files import scale_file
from scaledesign.model.scale import Scale


class ScaleFiles:
    """Scales of files, the folders in their order, by file name within each."""

    def __init__(self, folders: tuple[Path, ...], offered: tuple[Scale, ...]) -> None:
        """``offered``: scales whose names are taken before any file is read."""
        self._folders, self._offered = folders, offered

    @property
    def scales(self) -> tuple[Scale, ...]:
        """Those that can be used."""
        return self._read[0]

    @property
    def refused(self) -> tuple[PluginStatus, ...]:
        """A line for each file that cannot be used."""
        return self._read[1]

    @cached_property
    def _read(self) -> tuple[tuple[Scale, ...], tuple[PluginStatus, ...]]:
        scales, refused = [], []
        taken = {name for scale in self._offered for name in names_of(scale)}
        for path in (path for folder in self._folders for path in sorted(folder.glob("*.toml"))):
            try:
                scale = scale_file.load(path)
            except ScaleError as error:
                refused.append(_refusal(path, str(error)))
                continue
            if clash := taken.intersection(names_of(scale)):
                refused.append(_refusal(path, f"the name {min(clash)!r} is taken by another scale"))
                continue
            taken.update(names_of(scale))
            scales.append(scale)
        return tuple(scales), tuple(refused)


def _refusal(path: Path, problem: str) -> PluginStatus:
    return PluginStatus(path.stem, "scale file", str(path), ok=False, problem=problem)
