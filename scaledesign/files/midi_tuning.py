"""Tunings as MIDI instruments take them: the messages of the MIDI Tuning Standard, read and written.

Apart from ``model/key_table.py``, which says what key sounds what. Bytes here, no scale and no design.

Two messages, both universal system exclusive (MIDI Manufacturers Association, MIDI Tuning Standard, 1992)::

    bulk dump         F0 7E device 08 01 program  name (16)  128 x (3)           checksum F7
    note changes      F0 7F device 08 02 program  how many   as many x (key, 3)           F7

Three 7-bit bytes are a pitch: the semitone, A4 at 440 Hz being 69, and 14 bits of 1/16384 semitone; 7F 7F 7F
leaves a key as it is. The checksum is every byte after F0 up to it combined by exclusive or, to 7 bits. The
layout and that rule are from memory, so a dump with another checksum is read all the same, and it is said.
"""

from __future__ import annotations

import unicodedata
from functools import reduce
from operator import xor
from pathlib import Path

from scaledesign.errors import Fault, QuantityError, ScaleError
from scaledesign.files.own_files import get
from scaledesign.model.key_table import HIGHEST, KEYS, STEPS, KeyTable
from scaledesign.values import dataclass

LARGEST_FILE = 1 << 20
"""Bytes: thousands of dumps."""
MOST_MESSAGES = 5000
"""Messages that are read."""
MOST_REMARKS = 20
"""Messages of which it is told one by one what is odd."""
NAME = 16
UNCHANGED = b"\x7f\x7f\x7f"
ANY_DEVICE = 0x7F
_BEGIN, _END, _CLOCK = 0xF0, 0xF7, 0xF8
_BULK, _CHANGES = b"\x08\x01", b"\x08\x02"
_MOST = 64
"""Note changes in one message; 127 is what its count can say."""


@dataclass(frozen=True, slots=True)
class Found:
    """The tunings of a file, one a program in the order they come, and what was odd about it."""

    tables: tuple[KeyTable, ...]
    remarks: tuple[str, ...]


def load(path: Path) -> Found:
    """Every tuning of a file of system exclusive messages.

    Raises
    ------
    ScaleError : the file cannot be read, or there is no tuning in it
    """
    try:
        data = get(path, LARGEST_FILE)
    except (OSError, ValueError) as error:
        problem = f"cannot be read ({getattr(error, 'strerror', None) or error})"
        raise ScaleError(path, (Fault(problem, "check the name and your rights", file=str(path)),)) from None
    return loads(data, path.name)


def loads(data: bytes, file: str = "<bytes>") -> Found:
    """Every tuning among the messages in ``data``; ``file`` is the name that faults are reported under.

    Raises
    ------
    ScaleError : there is no tuning among them
    """
    tables: dict[int, KeyTable] = {}
    remarks: list[str] = []
    if len(data) > LARGEST_FILE:
        raise _refused(file, "is far larger than a tuning", "name a file of tuning messages, .syx")
    if data.startswith(b"MThd"):
        raise _refused(file, "is a MIDI file of music and no tuning", "name a file of tuning messages, .syx")
    stray = number = odd = 0
    stem = Path(file).stem
    for chunk in data.replace(b"\xf0", b"\xf7\xf0").split(b"\xf7", 3 * MOST_MESSAGES):
        if not chunk.startswith(b"\xf0"):
            stray += len(chunk)
            continue
        number += 1
        if number > MOST_MESSAGES:
            remarks.append(f"{file}: only the first {MOST_MESSAGES} messages are read.")
            break
        remark = _take(bytes(byte for byte in chunk[1:] if byte < _CLOCK), tables, stem)
        odd += bool(remark)
        if remark and odd <= MOST_REMARKS:
            remarks.append(f"{file}, message {number}: {remark}")
    if odd > MOST_REMARKS:
        remarks.append(f"{file}: {odd - MOST_REMARKS} more messages are odd.")
    if stray:
        remarks.append(f"{file}: {stray} byte{'s' * (stray > 1)} outside of messages skipped.")
    if not tables:
        reason = f" ({remarks[0][len(file) + 2 :].rstrip('.')})" if remarks else ""
        problem = f"holds no MIDI tuning{reason}"
        raise _refused(file, problem, "name a bulk tuning dump or single-note tuning changes, .syx")
    return Found(tuple(tables.values()), tuple(remarks))


def bulk_dump(table: KeyTable, device: int = ANY_DEVICE) -> bytes:
    """One message with the whole table: 408 bytes. A name keeps its first 16 plain letters."""
    name = unicodedata.normalize("NFKD", table.name).encode("ascii", "ignore")
    plain = bytes(byte for byte in name if 32 <= byte < 127)[:NAME].ljust(NAME)
    pitches = b"".join(map(pitch_bytes, table.semitones))
    body = bytes((0x7E, device)) + _BULK + bytes((table.program,)) + plain + pitches
    return b"".join((bytes((_BEGIN,)), body, bytes((_checksum(body), _END))))


def note_changes(table: KeyTable, device: int = ANY_DEVICE) -> bytes:
    """Messages that change the keys of a table at once, while they sound; a key left as it is has none."""
    told = [
        bytes((key,)) + pitch_bytes(value) for key, value in enumerate(table.semitones) if value is not None
    ]
    head = bytes((_BEGIN, 0x7F, device)) + _CHANGES + bytes((table.program,))
    groups = [told[start : start + _MOST] for start in range(0, len(told), _MOST)]
    return b"".join(head + bytes((len(group),)) + b"".join(group) + bytes((_END,)) for group in groups)


def pitch_bytes(semitones: float | None) -> bytes:
    """Three bytes of a pitch, A4 at 440 Hz being 69; of None those that leave it as it is.

    Raises
    ------
    QuantityError : beyond what the bytes can say, 8.176 to 13289.66 Hz
    """
    if semitones is None:
        return UNCHANGED
    step = round(semitones * STEPS)
    if not 0 <= step <= HIGHEST * STEPS:
        raise QuantityError(f"{semitones:g}", "is beyond the keys of MIDI", "write 0 to 127.99 semitones")
    semitone, fine = divmod(step, STEPS)
    return bytes((semitone, fine >> 7, fine & 0x7F))


def pitch_of(three: bytes) -> float | None:
    """Semitones of three bytes; None where they leave the key as it is."""
    if three == UNCHANGED:
        return None
    return three[0] + (three[1] << 7 | three[2]) / STEPS


def _take(body: bytes, tables: dict[int, KeyTable], stem: str) -> str:
    """Take one message (what stands between F0 and F7) into the tables; what is odd about it, or ''."""
    if any(byte > 0x7F for byte in body):
        return "cut off by another one; skipped."
    kind = body[:1] + body[2:4]
    if kind == b"\x7e" + _BULK:
        return _take_bulk(body, tables, stem)
    if kind == b"\x7f" + _CHANGES:
        return _take_changes(body, tables, stem)
    return "no bulk tuning dump and no single-note tuning change; skipped."


def _take_bulk(body: bytes, tables: dict[int, KeyTable], stem: str) -> str:
    start = 5 + NAME
    end = start + 3 * KEYS
    if len(body) not in (end, end + 1):
        return f"a bulk dump of {len(body) + 2} bytes, where 408 make one; skipped."
    program = body[4]
    name = "".join(chr(byte) if 32 <= byte < 127 else " " for byte in body[5:start]).strip()
    known = tables[program].semitones if program in tables else (None,) * KEYS
    said = [pitch_of(body[start + 3 * key : start + 3 * key + 3]) for key in range(KEYS)]
    merged = tuple(was if now is None else now for was, now in zip(known, said, strict=True))
    tables[program] = KeyTable(name or stem, merged, program)
    if len(body) == end:
        return "the checksum is missing; read all the same."
    expected = _checksum(body[:end])
    if body[end] == expected:
        return ""
    return (
        f"the checksum is {body[end]:02X}, not {expected:02X}; read all the same, so look the numbers over."
    )


def _take_changes(body: bytes, tables: dict[int, KeyTable], stem: str) -> str:
    if len(body) < 6 or len(body) != 6 + 4 * body[5]:
        return "note changes of another number than it says; skipped."
    program = body[4]
    table = tables.get(program, KeyTable(stem, (None,) * KEYS, program))
    heights = list(table.semitones)
    for at in range(6, len(body), 4):
        value = pitch_of(body[at + 1 : at + 4])
        heights[body[at]] = heights[body[at]] if value is None else value
    tables[program] = KeyTable(table.name, tuple(heights), program)
    return ""


def _checksum(body: bytes) -> int:
    return reduce(xor, body, 0) & 0x7F


def _refused(file: str, problem: str, remedy: str) -> ScaleError:
    return ScaleError(file, (Fault(problem, remedy, file=file),))
