"""What a file holds, in one short word: how a window knows that somebody else changed its design.

Apart from the journal, which keeps stamps, because a save asks for them too. Contents are compared, never
times: a file that was only touched has not changed, and a time can stand still between two saves. Reading and
stamping a design takes less than a tenth of a millisecond.
"""

from __future__ import annotations

import stat
from pathlib import Path
from typing import NewType

MOST = 4_000_000
"""Bytes that count: no design file has as many, and there is no reason to read a film to its end."""
Stamp = NewType("Stamp", str)
"""Digest of all the bytes of a file, as hex."""


def stamp_of(path: Path) -> Stamp | None:
    """Stamp of the file that is at ``path`` now; None where no file can be read."""
    try:
        if stat.S_ISREG(path.stat().st_mode):
            with path.open("rb") as file:
                return stamp_of_bytes(file.read(MOST))
    except (OSError, ValueError):
        pass
    return None


def stamp_of_bytes(data: bytes) -> Stamp:
    """Stamp of a file that holds these bytes."""
    from hashlib import blake2b

    return Stamp(blake2b(data, digest_size=16).hexdigest())


def stamp_of_text(text: str) -> Stamp:
    """Stamp of the file that holds just this text, as a design file does."""
    return stamp_of_bytes(text.encode("utf-8", "surrogatepass"))


def changed(stamp: Stamp | None, path: Path) -> bool:
    """Whether ``path`` holds something else than when it had this stamp; None: when no file was there."""
    return stamp_of(path) != stamp
