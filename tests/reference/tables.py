"""Tables of published figures in tests/data, each headed by the lines that name its source."""

from __future__ import annotations

import csv
import tomllib
from pathlib import Path
from typing import Any

DATA = Path(__file__).parent.parent / "data"


def rows(name: str) -> list[dict[str, str]]:
    """The rows of a CSV file, the source lines (#) left out."""
    lines = (DATA / name).read_text(encoding="utf-8").splitlines()
    return list(csv.DictReader(line for line in lines if not line.startswith("#")))


def table(name: str) -> dict[str, Any]:
    """A TOML file."""
    return tomllib.loads((DATA / name).read_text(encoding="utf-8"))
