"""Which plug-ins the user switched off: a list of names, one a line, in the user's configuration folder.

Apart from ``settings.toml``, which the user writes and the program never does. An off plug-in is not
imported. The list is replaced in one step; it may be written by hand too.
"""

from __future__ import annotations

from pathlib import Path

from scaledesign import locations
from scaledesign.extend.catalogue import PluginStatus, comparable
from scaledesign.files.own_files import get, put, reason

NAME = "plugins-off.txt"
LARGEST = 100_000
"""Bytes of the list."""
_HEAD = "# Plug-ins that are switched off, one name a line; scaledesign plugins on NAME takes one out.\n"


def list_path() -> Path:
    """Where the list lies, if there is one."""
    return locations.user_config() / NAME


def switched_off() -> tuple[frozenset[str], PluginStatus | None]:
    """Names that are off, as names are compared; and a line for the report when the list cannot be read."""
    try:
        return frozenset(map(comparable, _names())), None
    except (OSError, ValueError) as error:
        problem = f"cannot be read ({reason(error)}), so nothing counts as switched off; mend or delete it"
        return frozenset(), PluginStatus(NAME, "list", str(list_path()), ok=False, problem=problem)


def switch(name: str, *, off: bool) -> bool:
    """Put a plug-in's name on the list or take it out; whether that changed anything.

    Raises
    ------
    OSError, ValueError
        when the list cannot be read or written; it is as it was.
    """
    names = _names()
    kept = [other for other in names if comparable(other) != comparable(name)]
    if off == (len(kept) < len(names)):
        return False
    path = list_path()
    path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    put(path, (_HEAD + "".join(f"{one}\n" for one in [*kept, *([name] if off else [])])).encode())
    return True


def _names() -> list[str]:
    try:
        lines = get(list_path(), LARGEST).decode("utf-8-sig").splitlines()
    except FileNotFoundError:
        return []
    return [line.strip() for line in lines if line.strip() and not line.lstrip().startswith("#")]
