"""What a command line run in this process comes to."""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Protocol


@dataclass(frozen=True)
class Result:
    """What one command came to."""

    code: int
    out: str
    err: str

    @property
    def object(self) -> Any:
        """The one JSON object on stdout."""
        return json.loads(self.out)


class Run(Protocol):
    """Runs one command line."""

    def __call__(self, *words: str | Path) -> Result: ...
