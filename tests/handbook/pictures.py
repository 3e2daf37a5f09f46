"""The handbook's pictures, drawn by the program's own engine.

``python -m tests.handbook.pictures`` says whether they lie beside the pages as they are, ``--write`` writes
them. ``test_pictures.py`` draws them again.
"""

from __future__ import annotations

import sys
from types import ModuleType

from scaledesign.locations import HANDBOOK
from tests.handbook import why_cents, why_holes, why_length, why_octave

FOLDER = HANDBOOK / "pictures"
PAGES: dict[str, ModuleType] = {
    "why-length": why_length, "why-holes": why_holes, "why-octave": why_octave, "why-cents": why_cents,
}  # fmt: skip
"""Each page that says why, and what makes its pictures and its figures."""


def main() -> int:
    """Compare or write."""
    FOLDER.mkdir(exist_ok=True)
    drawn = {name: text for module in PAGES.values() for name, text in module.pictures().items()}
    differ = [
        name
        for name, text in drawn.items()
        if not (path := FOLDER / f"{name}.svg").exists() or path.read_text(encoding="utf-8") != text
    ]
    if "--write" in sys.argv[1:]:
        for name in differ:
            (FOLDER / f"{name}.svg").write_text(drawn[name], encoding="utf-8", newline="\n")
    print(f"{', '.join(differ)}: not as drawn now." if differ else "The pictures are as they should be.")
    for module in PAGES.values():
        print(*(f"- {phrase}" for phrase in module.phrases()), sep="\n")
    return int(bool(differ) and "--write" not in sys.argv[1:])


if __name__ == "__main__":
    sys.exit(main())
