"""Whether bytes are a file of another kind altogether: a page, a picture, sound, an archive.

Apart from the reading of designs, which looks for faults in a text: where there is none, no line of it helps.
"""

from __future__ import annotations

BEGINNINGS = (
    (b"%PDF", "a PDF"),
    (b"\x89PNG", "a PNG picture"),
    (b"\xff\xd8\xff", "a JPEG picture"),
    (b"GIF8", "a GIF picture"),
    (b"RIFF", "sound or film"),
    (b"fLaC", "sound"),
    (b"OggS", "sound"),
    (b"ID3", "sound"),
    (b"MThd", "MIDI"),
    (b"PK\x03\x04", "a zip archive, or what an office program writes"),
    (b"\x1f\x8b", "a compressed file"),
    (b"\x7fELF", "a program"),
    (b"MZ", "a program"),
)
"""How files that hold no text begin, and what they are (as their formats are published; from memory)."""
_TABLES = (b"[tube]", b"[instrument]", b"[[holes]]", b"[[rows]]")
"""What a design file has, however damaged it is."""
_WIDE = (b"\xff\xfe", b"\xfe\xff")
"""Marks of a text in letters of two bytes each."""
_LOOKED_AT = 1000


def what_it_is(data: bytes) -> str | None:
    """What a file is that is no text, ``""`` where nobody knows what; None where it may be a design file."""
    if any(table in data for table in _TABLES):
        return None
    for beginning, kind in BEGINNINGS:
        if data.startswith(beginning):
            return kind
    wide = data.startswith(_WIDE)
    return "" if b"\0" in data[:_LOOKED_AT] and not wide else None
