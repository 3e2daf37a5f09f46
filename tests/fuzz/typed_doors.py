"""Doors of what is typed: quantities, names, cells of every pane, pasted blocks, fields of the form."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from pathlib import Path

from scaledesign.extend.registry import catalogue
from scaledesign.files import document_file
from scaledesign.locations import EXAMPLES
from scaledesign.model import bits, degrees, fingering, hands, pitch, scale, stretches, tube_words, units
from scaledesign.model.scale import Tuned
from scaledesign.view import clipboard, row_work, setup
from scaledesign.view.desk import PANES, Desk
from scaledesign.view.selection import Selection
from scaledesign.workshop import wanted_notes
from tests.fuzz.files_doors import holds, sentences

TUNED = Tuned(scale.EQUAL, pitch.parse_note("A4"), 440.0)
READERS: tuple[Callable[[str], object], ...] = (
    lambda text: units.parse_length(text, "mm"),
    lambda text: units.parse_length(text, "in", signed=True),
    units.length_unit,
    units.parse_temperature,
    units.parse_temperature_difference,
    units.parse_pressure,
    units.parse_altitude,
    units.parse_number,
    pitch.parse_note,
    pitch.parse_interval,
    pitch.parse_target,
    pitch.parse_reading,
    lambda text: pitch.reading_frequency(text, 440.0),
    scale.parse_degree,
    lambda text: scale.scale_of_degrees(tuple(text.split(","))),
    lambda text: degrees.read_degree(text, TUNED),
    fingering.parse_fingering,
    bits.bit_set,
    lambda text: hands.parse_hand(text, "mm"),
    lambda text: stretches.parse_stretches(text, "in"),
    clipboard.parse_table,
    clipboard.plain_cents,
)
EXAMPLES_TYPED = (
    "16 mm", "5/8 in", "1 3/16 in", '1-3/16"', "0.625", "22 °C", "72 °F", "98.4 kPa", "820 ft", "A4", "Bb4",
    "E`5",
    "523.3 Hz", "3/2", "702 c", "A4 -4", "438.9 Hz", "1, 6/5, 498 c, 3/2", "XXX XOO", "metric 0.5", "medium",
    "80, 16", "38, 34, 38, 95, 19", "171..177, 300..306 mm", "a\tb\n\"c\"\"d\"\te\r\n", "C5 +16", "−5",
    "+4 c",
)  # fmt: skip


def text_of(data: bytes) -> str:
    """What a keyboard, a clipboard or a file can hand over: every sign there is, halves of signs too."""
    return data.decode("utf-8", "surrogatepass" if b"\xed" in data else "replace") if _whole(data) else ""


def _whole(data: bytes) -> bool:
    try:
        data.decode("utf-8", "surrogatepass")
    except UnicodeDecodeError:
        return b"\xed" not in data
    return True


def typed(data: bytes, folder: Path) -> None:
    """A text that is to be a quantity: the first byte says which."""
    if data:
        READERS[data[0] % len(READERS)](text_of(data[1:]))


def typed_examples() -> tuple[bytes, ...]:
    """Every example through every reader."""
    return tuple(bytes((n,)) + text.encode() for n in range(len(READERS)) for text in EXAMPLES_TYPED)


def worst_typed() -> tuple[bytes, ...]:
    """Texts made to be read long, through every reader."""
    texts = [
        part * (size // len(part))
        for size in (131_000,)
        for part in (
            " ",
            "9",
            "a",
            "A ",
            ", ",
            "1/",
            "+",
            "1 ",
            "X",
            ".",
            "..",
            "\t",
            '"',
            "c",
            "1,",
            "\u00a0",
            "٣",
        )
    ]
    texts += [
        f"{a}{blank * 131_000}{b}"
        for blank in (" ", "9", "1 ")
        for a in ("A4", "1", "3/")
        for b in ("x", "/2", "c", ",1", "\t")
    ]
    return tuple(bytes((n,)) + text.encode() for n in range(len(READERS)) for text in texts)


def names(data: bytes, folder: Path) -> None:
    """A name that is looked for among those offered: scales, systems, tubes, wanted notes."""
    if not data:
        return
    text = text_of(data[1:])
    kind = data[0] % 4
    if kind == 0:
        _catalogue().scale(text)
    elif kind == 1:
        _catalogue().system(text)
    elif kind == 2:
        tube_words.tube_size(tube_words.tube_words(text, "mm"), "mm")
    else:
        wanted_notes.of_texts(TUNED, text.split())


@cache
def _catalogue():
    return catalogue()


def named_examples() -> tuple[bytes, ...]:
    """Names that are offered."""
    texts = (
        "pentatonic minor",
        "19 equal",
        "six-hole pentatonic",
        "5/8 in x 1/8 in x 20 in",
        "19 x 5 mm",
        "A4 C5 E5",
        "major",
        "all",
    )
    return tuple(bytes((n,)) + text.encode() for n in range(4) for text in texts)


@cache
def desks() -> tuple[Desk, ...]:
    """Open designs, every pane in hand."""
    return tuple(
        Desk.of(document_file.load(EXAMPLES / f"{name}.toml"), None)
        for name in ("marsh-wren", "reed-bunting", "night-heron")
    )


def _at(data: bytes) -> tuple[Desk, str]:
    """A desk with its cursor where three bytes say, and the text that is the rest."""
    desk = desks()[data[0] % len(desks())]
    pane = tuple(PANES)[data[0] // 3 % len(PANES)]
    desk = desk.going(Selection(data[1] % 40, data[2] % 20), pane)
    return desk, text_of(data[3:])


def cell(data: bytes, folder: Path) -> None:
    """A text typed into a cell: taken, or kept there with what is wrong; nothing is lost either way."""
    if len(data) < 3:
        return
    desk, text = _at(data)
    _looked_at(desk.typed(text, 0.0))


def pasted(data: bytes, folder: Path) -> None:
    """A block put in from a cell on."""
    if len(data) < 3:
        return
    desk, text = _at(data)
    _looked_at(row_work.pasted(desk, text, 0.0))


def _looked_at(after: Desk) -> None:
    sentences([after.said.text] if after.said.text else [], "what the grid says")
    again = document_file.loads(document_file.dumps(after.design))
    holds(again.rows == after.design.rows, "what was typed cannot be saved")
    if after.selection.row < PANES[after.pane].count(after.sheet):
        after.column.show(after.sheet, after.selection.row)
    _ = after.text


def cell_examples() -> tuple[bytes, ...]:
    """Texts in cells of every pane."""
    places = [
        (pane, row, column) for pane in range(0, 12, 1) for row in (0, 1, 3, 9, 20) for column in (1, 2, 3, 5)
    ]
    return tuple(
        bytes(place) + EXAMPLES_TYPED[n % len(EXAMPLES_TYPED)].encode() for n, place in enumerate(places)
    )


def form(data: bytes, folder: Path) -> None:
    """A text typed into a field of the form: the first byte says which."""
    if not data:
        return
    desk = desks()[data[0] % 3]
    fields = [field for field in setup.fields(desk.design) if field.path]
    path = fields[data[0] // 3 % len(fields)].path
    edit = setup.write(desk.sheet, path, text_of(data[1:]))
    if edit is not None:
        _looked_at(desk.doing(edit, 0.0))


def form_examples() -> tuple[bytes, ...]:
    """Texts for every field."""
    texts = (
        "16",
        "5/8 in",
        "[[0, 16.1], [200, 15.8]]",
        "[]",
        "yes",
        "{ length = 5 }",
        '"1", "6/5"',
        "1, 3/2",
        "22 °C",
        "duct",
        "",
    )
    return tuple(bytes((n,)) + texts[n % len(texts)].encode() for n in range(256))


def worst_cells() -> tuple[bytes, ...]:
    """Texts made to be read long, in the first columns of every pane."""
    texts = [
        " " * 100_000 + "x",
        "A" + " " * 100_000 + "x",
        "9" * 100_000,
        "A4\n" * 2000,
        "A4\t" * 99 + "\n",
        '"' * 300_001,
        "\t" * 100_001,
        ("A4\tXXX XXX\n" * 2000),
    ]
    return tuple(
        bytes((pane * 3, 0, column)) + text.encode()
        for pane in range(4)
        for column in (1, 2, 4)
        for text in texts
    )


def worst_form() -> tuple[bytes, ...]:
    """Texts made to be read long, in every field."""
    texts = [
        "[" * 100_000,
        "[" + "[0,1]," * 20_000 + "]",
        "[0x" + "f" * 6000 + "]",
        "[" + "9" * 5000 + "]",
        "9" * 5000,
        '"1",' * 30_000,
        "{" + "a." * 40_000 + "a=1}",
        "1 " * 50_000,
    ]
    return tuple(bytes((n,)) + text.encode() for n in range(0, 250, 3) for text in texts)
