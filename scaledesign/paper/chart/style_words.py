"""The looks of a chart by name, and what each is for.

Apart from their measures (``styles.py``), so that arguments and settings can name them without loading what
draws.
"""

from __future__ import annotations

from collections.abc import Mapping

STYLE_WORDS: Mapping[str, str] = {
    "plain": "A small flute under every note, to learn from.",
    "along": "One staff over columns of holes, many notes to a line, for who reads music.",
    "rows": "One line to a note with the flute lying as it is held, to hang on a wall.",
    "bold": "Thick lines and big names in frames, to be seen from a music stand or in poor light.",
}
"""A sentence for each."""
