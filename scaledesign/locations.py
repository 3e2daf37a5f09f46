"""Where things lie: shipped scales and plug-ins, and the folders of the person who uses the program.

Apart so that a wheel and a checkout differ in one place only. Nothing is read here.
"""

from __future__ import annotations

import os
from pathlib import Path

PACKAGE = Path(__file__).parent
INSTALLED = (PACKAGE / "scales").is_dir()
"""True in a wheel, where scales and plug-ins lie inside the package; else they lie beside it."""

SCALES = PACKAGE / "scales" if INSTALLED else PACKAGE.parent / "scales"
PLUGINS = PACKAGE / "bundled" if INSTALLED else PACKAGE.parent / "plugins"

FOLDER_VARIABLE = "SCALEDESIGN_PLUGINS"
"""Environment variable that adds folders of plug-ins and scale files, separated as in PATH."""


def user_folders() -> tuple[Path, ...]:
    """Folders with the user's own plug-ins and scale files, in the order they are read."""
    import platformdirs

    data = platformdirs.user_data_path("scaledesign", appauthor=False)
    added = os.environ.get(FOLDER_VARIABLE, "").split(os.pathsep)
    return (data / "plugins", data / "scales", *(Path(folder) for folder in added if folder))
