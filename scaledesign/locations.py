"""Where things lie: shipped scales and plug-ins, and the folders of the person who uses the program.

Apart so that a wheel and a checkout differ in one place only. No file is read here.
"""

from __future__ import annotations

import os
import re
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from platformdirs import PlatformDirs

PACKAGE = Path(__file__).parent
EXAMPLES = PACKAGE / "examples"
"""The finished designs that come with the program; never written to."""
HANDBOOK = PACKAGE / "handbook"
"""The pages to read, and their pictures."""
INSTALLED = (PACKAGE / "scales").is_dir()
"""True in a wheel, where scales and plug-ins lie inside the package; else they lie beside it."""

SCALES = PACKAGE / "scales" if INSTALLED else PACKAGE.parent / "scales"
PLUGINS = PACKAGE / "bundled" if INSTALLED else PACKAGE.parent / "plugins"
FIELDS = PACKAGE / "accuracy/fields" if INSTALLED else PACKAGE.parent / "tests/fields/data"
"""Field solutions of our own, which the accuracy page holds the program against."""

FOLDER_VARIABLE = "SCALEDESIGN_PLUGINS"
"""Environment variable that adds folders of plug-ins and scale files, separated as in PATH."""


HOME_VARIABLE = "SCALEDESIGN_HOME"
"""Environment variable that names one folder for all that is the user's, to carry the program on a stick."""


def install(extra: str) -> str:
    """How to add an extra, as README installs the program: from the folder, never by name from a registry."""
    return f'in the folder you cloned: .venv/bin/pip install -c constraints.txt ".[{extra}]"'


_DEVICES = re.compile(r"(?:con|prn|aux|nul|com[0-9¹²³]|lpt[0-9¹²³]|conin\$|conout\$)", re.IGNORECASE)
"""Names that mean a device and no file on Windows, whatever ending they have (from memory)."""


def no_device(stem: str, more: str) -> str:
    """A name without its ending that means a file on every system; ``more`` is added where it would not."""
    return f"{stem}-{more}" if _DEVICES.fullmatch(stem) else stem


def is_example(path: Path) -> bool:
    """Whether a path, by whatever name, leads to one of the examples, or to a place among them."""
    try:
        return Path(os.path.realpath(path)).parent.samefile(EXAMPLES)
    except (OSError, ValueError):  # a folder that is not there
        return False


def user_config() -> Path:
    """Folder of what the user chose by hand."""
    return _home() or _platform().user_config_path


def user_state() -> Path:
    """Folder of what the program keeps by itself."""
    return _home() or _platform().user_state_path


def user_folders() -> tuple[Path, ...]:
    """Folders with the user's own plug-ins and scale files, in the order they are read."""
    data = _home() or _platform().user_data_path
    added = os.environ.get(FOLDER_VARIABLE, "").split(os.pathsep)
    return (data / "plugins", data / "scales", *(Path(folder) for folder in added if folder))


def _home() -> Path | None:
    named = os.environ.get(HOME_VARIABLE)
    return Path(named).absolute() if named else None


def _platform() -> PlatformDirs:
    import platformdirs

    return platformdirs.PlatformDirs("scaledesign", appauthor=False)
