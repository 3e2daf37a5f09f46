"""Inputs nobody meant to give: valid examples with bytes, words, numbers and whole lines put wrong.

Apart from the doors they are pushed through (``targets.py``): nothing here knows what a flute is. Everything
follows from the random numbers that are handed in, so that a seed gives the same inputs again.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from random import Random

LONGEST = 1_100_000
"""Bytes of an input: a little more than any reader of texts takes."""

NUMBERS = (
    "nan", "inf", "-inf", "1e308", "-1e308", "1e309", "5e-324", "-0.0", "0", "-1", "1e999999999",
    "1e-999999999", "0e-999999999", "-0e999999999", "1_0", "0x1p3", "0b1", "0o17", "99999999999999999999",
    "9" * 4299, "9" * 5000, "0x" + "f" * 6000, "0." + "1" * 3000, "." * 9, "1e", "1/0", "0/0", "1/3", "9/8",
    "12345678901234567890/3", "true", "false", "0001-01-01T00:00:00+23:59", "9999-12-31T23:59:59-23:59",
    "07:32:00", "1979-05-27", "-5 mm", "1e31", "0.1", "64", "2000", "1000000",
)  # fmt: skip
TEXTS = (
    "", " ", "\t", "\n", "\r\n", "\0", "\x1b[2J", "\x1b]0;x\x07", "\x7f", "\x85", "\x9b31m", "\u2028",
    "\u200b", "\u202e", "\u2066", "\ufeff", "\ufffe", "e\u0301", "\U0001f3b6", "\U000e0041", "٣", "½", "²",
    "−5", "\u00a0", "\u3000", "ı", "ß", "../../x", "..\\..\\x", "/etc/passwd", "C:\\x", "C:x", "\\\\host\\x",
    "CON", "NUL", "com1.txt", "~", "~root/x", "$HOME", "`id`", "$(id)", "%s%n", "{0}", "{}", "-rf", "--", "=",
    "'", '"', '"""', "'''", "\\", "#", "[", "]", "[[", "{", "}", ",", ".", "a.b", "'a.b'", '"a\\"b"',
    "__import__('os')", "<script>", "<?xml", "&lt;", "]]>", "O" * 3000, " " * 3000, "X ", "H", "A4", "A4 -4",
    "A4 +\t4", "A4 + 4", "3/2", "702 c", "438.9 Hz", "5/8 in", "1 3/16 in", "22 °C",
)  # fmt: skip
_NUMBER = re.compile(r"[+-]?\d[\d_.eE+-]*")
_QUOTED = re.compile(r'"[^"\n]*"|\'[^\'\n]*\'')
_WORD = re.compile(r"\w+")

Mutation = Callable[[Random, bytes, Sequence[bytes]], bytes]


def mutated(random: Random, examples: Sequence[bytes], words: Sequence[str] = ()) -> bytes:
    """An example with one to some things wrong; now and then no example at all, or one made huge."""
    dice = random.random()
    if dice < 0.02:
        return random.randbytes(random.randrange(200))
    data = random.choice(examples)
    for _ in range(min(8, 1 + int(random.expovariate(0.7)))):
        data = random.choice(_IN_TEXT if random.random() < 0.75 else _IN_BYTES)(random, data, examples)
        if words and random.random() < 0.2:
            data = _swap(random, data, _WORD, words)
    if dice > 0.998:
        data = _huge(random, data)
    return data[:LONGEST]


def _place(random: Random, data: bytes) -> int:
    return random.randrange(len(data) + 1)


def _text(data: bytes) -> str:
    return data.decode("utf-8", "surrogateescape")


def _bytes(text: str) -> bytes:
    return text.encode("utf-8", "surrogatepass" if "\ud800" in text else "surrogateescape")


def _flip(random: Random, data: bytes, examples: Sequence[bytes]) -> bytes:
    if not data:
        return data
    place = random.randrange(len(data))
    return data[:place] + bytes((data[place] ^ 1 << random.randrange(8),)) + data[place + 1 :]


def _set(random: Random, data: bytes, examples: Sequence[bytes]) -> bytes:
    size = random.choice((1, 1, 2, 4, 8))
    value = random.choice((b"\0", b"\xff", b"\x7f", b"\x80", random.randbytes(1))) * size
    place = _place(random, data)
    return data[:place] + value + data[place + size :]


def _cut(random: Random, data: bytes, examples: Sequence[bytes]) -> bytes:
    place = _place(random, data)
    return data[:place] + data[place + random.choice((1, 1, 2, 4, 16, 64, 1024)) :]


def _end(random: Random, data: bytes, examples: Sequence[bytes]) -> bytes:
    return data[: _place(random, data)]


def _again(random: Random, data: bytes, examples: Sequence[bytes]) -> bytes:
    begin = _place(random, data)
    part = data[begin : begin + random.choice((1, 4, 16, 64, 256))]
    return data[:begin] + part * random.choice((2, 2, 3, 10, 100)) + data[begin:]


def _strew(random: Random, data: bytes, examples: Sequence[bytes]) -> bytes:
    place = _place(random, data)
    return data[:place] + random.randbytes(random.choice((1, 2, 4, 8))) + data[place:]


def _splice(random: Random, data: bytes, examples: Sequence[bytes]) -> bytes:
    other = random.choice(examples)
    return data[: _place(random, data)] + other[_place(random, other) :]


def _swap(random: Random, data: bytes, what: re.Pattern[str], choices: Sequence[str]) -> bytes:
    text = _text(data)
    found = list(what.finditer(text[:50_000]))
    if not found:
        return data
    one = random.choice(found)
    return _bytes(text[: one.start()] + random.choice(choices) + text[one.end() :])


def _number(random: Random, data: bytes, examples: Sequence[bytes]) -> bytes:
    return _swap(random, data, _NUMBER, NUMBERS)


def _near_number(random: Random, data: bytes, examples: Sequence[bytes]) -> bytes:
    near = (f"{random.uniform(-2, 2) * 10 ** random.randrange(-3, 5):.{random.randrange(9)}f}",)
    return _swap(random, data, _NUMBER, near)


def _quoted(random: Random, data: bytes, examples: Sequence[bytes]) -> bytes:
    return _swap(random, data, _QUOTED, [f'"{random.choice(TEXTS)}"', random.choice(NUMBERS), "[]", "{}"])


def _inside(random: Random, data: bytes, examples: Sequence[bytes]) -> bytes:
    text = _text(data)
    place = random.randrange(len(text) + 1)
    return _bytes(text[:place] + random.choice(TEXTS) + text[place:])


def _lines(random: Random, data: bytes, examples: Sequence[bytes]) -> bytes:
    lines = data.splitlines(keepends=True)
    if not lines:
        return data
    one, other = random.randrange(len(lines)), random.randrange(len(lines))
    kind = random.randrange(4)
    if kind == 0:
        del lines[one]
    elif kind == 1:
        lines.insert(other, lines[one])
    elif kind == 2:
        lines[one], lines[other] = lines[other], lines[one]
    else:
        begin, end = sorted((one, other))
        lines[end:end] = lines[begin:end] * random.choice((1, 2, 8))
    return b"".join(lines)


def _value(random: Random, data: bytes, examples: Sequence[bytes]) -> bytes:
    """What stands behind an equals sign, replaced by something of another kind."""
    text = _text(data)
    places = [match.end() for match in re.finditer("=", text[:50_000])]
    if not places:
        return data
    begin = random.choice(places)
    end = text.find("\n", begin)
    wild = random.choice((
        random.choice(NUMBERS), f'"{random.choice(TEXTS)}"', "[" * 20 + "]" * 20, "{ a = { b = 1 } }",
        "[1, 2]",
        '["1", "3/2"]', "[[0, 1], [2, 3]]", "[{}]", '"""\nx"""', "''", "",
    ))  # fmt: skip
    return _bytes(f"{text[:begin]} {wild}{text[end if end >= 0 else len(text) :]}")


def _huge(random: Random, data: bytes) -> bytes:
    """Something repeated until it fills what a file may hold."""
    kind = random.randrange(5)
    if kind == 0:
        part = random.choice(data.splitlines(keepends=True) or [b"\n"])
    elif kind == 1:
        begin = _place(random, data)
        part = data[begin : begin + random.choice((1, 8, 100, 1000))]
    else:
        part = random.choice((
            b"[", b"{a=", b"a.", b" ", b"0", b"9", b'"', b"'", b"\\\\", b"\\n", b"#", b"\n", b"[[x]]\n",
            b"1,", b"[],",
            b'"1",', b"x=1\n", b'"', b"[a.b]\n", b"\xf0\xf7", b"\0", b"\xff", b"<g>", b"A4 ", b"+", b"/",
            b", ", b".",
        ))  # fmt: skip
    part = part or b" "
    size = random.choice((10_000, 100_000, 1_000_000))
    place = _place(random, data)
    return data[:place] + part * (size // len(part)) + data[place:]


_IN_BYTES: tuple[Mutation, ...] = (_flip, _set, _cut, _end, _again, _strew, _splice)
_IN_TEXT: tuple[Mutation, ...] = (
    _number, _number, _near_number, _near_number, _quoted, _inside, _lines, _value, _value,
)  # fmt: skip
