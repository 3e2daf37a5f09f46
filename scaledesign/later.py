"""A library that is imported when something of it is first used, whoever imported it before.

Apart because it is done once, for numpy, by the command that opens the screen: what is typed is painted
before anything is computed, and numpy takes longer to import than all of ours. Threads that use it at once
wait for one import. Standard library only.
"""

from __future__ import annotations

import importlib
import sys
import threading
from importlib.machinery import ModuleSpec
from types import ModuleType


class _Later(ModuleType):
    """Stands for a library until something of it is used; then it has all that the library has."""

    def __init__(self, name: str) -> None:
        super().__init__(name)
        self.__spec__ = ModuleSpec(name, None)  # who asks whether it is installed is told so
        self._turn = threading.RLock()

    def __getattr__(self, name: str) -> object:
        with self._turn:
            if sys.modules.get(self.__name__) is self:
                del sys.modules[self.__name__]
                self.__dict__.update(vars(importlib.import_module(self.__name__)))
        return getattr(sys.modules[self.__name__], name)


def later(*names: str) -> None:
    """Let modules come when they are used, those that are not here already."""
    for name in names:
        sys.modules.setdefault(name, _Later(name))
