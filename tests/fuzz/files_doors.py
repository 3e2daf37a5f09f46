"""Doors of files: designs, scales, tunings, and what the program keeps for a maker."""

from __future__ import annotations

import os
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from datetime import UTC, datetime
from functools import cache
from pathlib import Path
from random import Random
from unittest import mock

from scaledesign.errors import DesignError, ScaledesignError
from scaledesign.extend import switches
from scaledesign.files import (
    design_folder,
    document_file,
    journal,
    journal_entry,
    midi_tuning,
    remembered,
    scale_file,
    settings,
)
from scaledesign.locations import EXAMPLES, SCALES
from scaledesign.model.checks import check
from scaledesign.model.key_table import tuned_of
from scaledesign.model.pitch import parse_note
from scaledesign.model.scale import Tuned
from scaledesign.outputs.usual import settings as usual_settings
from scaledesign.view import scale_files
from scaledesign.workshop.book import read_book
from tests.files.samples import FULL
from tests.fuzz.watch import NotRightError, poor_lines


def holds(true: bool, said: str) -> None:
    """Make it a fault where something does not hold."""
    if not true:
        raise NotRightError(said)


def sentences(lines: Sequence[str], who: str) -> None:
    """Make it a fault where sentences cannot be shown."""
    poor, told = poor_lines(lines, who)
    holds(not poor, f"{poor}: {told[:300]}")


def laid(folder: Path, name: str, data: bytes) -> Path:
    """A file of a stranger's."""
    path = folder / name
    path.write_bytes(data)
    return path


@cache
def designs() -> tuple[bytes, ...]:
    """Valid design files."""
    return (FULL.encode(), *(path.read_bytes() for path in sorted(EXAMPLES.glob("*.toml"))))


@cache
def scales() -> tuple[bytes, ...]:
    """Valid scale files."""
    return tuple(path.read_bytes() for path in sorted(SCALES.glob("*.toml")))


def design(data: bytes, folder: Path) -> None:
    """A design file: loaded, checked, and given back as it was, to the byte."""
    found = document_file.load(laid(folder, "flute.toml", data))
    holds(not check(found), "a design was loaded that check refuses")
    holds(document_file.dumps(found).encode() == data, "a design that was not changed is another text")


def written(data: bytes, folder: Path) -> None:
    """A design written into the text of another, and afresh: both read back as it."""
    found = document_file.load(laid(folder, "flute.toml", data))
    other = Random(data).choice(designs()).decode()
    for text in (other, None):
        again = document_file.loads(document_file.dumps(replace(found, text=text)))
        holds(replace(again, text=None) == replace(found, text=None), "a design reads back as another")


@contextmanager
def _a_disk_that_fails(random: Random) -> Iterator[None]:
    """The system refuses one thing that saving asks of it."""
    name = random.choice(("os.fsync", "pathlib.Path.replace", "pathlib.Path.open", "pathlib.Path.chmod"))
    with mock.patch(name, side_effect=OSError(28, "No space left on device")):
        yield


def saved(data: bytes, folder: Path) -> None:
    """A design saved over a file while the disk may fail: the old bytes are there, or the whole new."""
    found = document_file.loads(data.decode("utf-8", "replace"))
    random = Random(data)
    old = random.choice((b"", b"what was there\r\n", designs()[0]))
    path = laid(folder, "saved.toml", old)
    if random.random() < 0.5:
        failed = False
        with _a_disk_that_fails(random):
            try:
                document_file.save(found, path)
            except DesignError:
                failed = True
        holds(not failed or path.read_bytes() == old, "a save that failed changed the file")
    else:
        document_file.save(found, path)
    holds(path.read_bytes() in (old, document_file.dumps(found).encode()), "a file is neither old nor new")
    holds(not list(folder.glob(".saved*")), "something is left beside the file")


def scale(data: bytes, folder: Path) -> None:
    """A scale file: read, written, and read back the same."""
    path = laid(folder, "scale.toml", data)
    found = scale_file.load(path)
    again = scale_file.loads(scale_file.dumps(found))
    holds(again == found, "a scale reads back as another")
    scale_files.plain_name(found.name)
    Tuned(found, parse_note("A4"), 440.0).target("C5")


def start(data: bytes, folder: Path) -> None:
    """A file of which nobody knows yet whether it is a scale or a design."""
    scale_files.scale_of_file(laid(folder, "start.toml", data))


def tuning(data: bytes, folder: Path) -> None:
    """A file of MIDI tunings: read, written, read back, and made a scale."""
    found = midi_tuning.load(laid(folder, "tuning.syx", data))
    sentences(found.remarks, "remarks on a tuning")
    for table in found.tables[:4]:
        again = midi_tuning.loads(midi_tuning.bulk_dump(table)).tables[0]
        holds(again.semitones == table.semitones, "a tuning reads back as another")
    try:
        tuned, said = tuned_of(found.tables[0], parse_note("C4"), "a stranger's")
    except ScaledesignError:
        return
    sentences(said, "remarks on a tuning")
    scale_file.loads(scale_file.dumps(tuned.scale))


def chosen(data: bytes, folder: Path) -> None:
    """The file of settings: it never stops the program, and every fault is a sentence."""
    laid(folder, settings.NAME, data)
    found, faults = usual_settings(("undo", "redo", "quit"))
    sentences(faults, "faults of settings")
    holds(all(isinstance(text, str) for text in (found.theme, found.book, found.paper.picture)), "no text")


def kept_work(data: bytes, folder: Path) -> None:
    """An entry of the journal: read or set aside, and never lost where its text may be nowhere else."""
    place = folder / journal.FOLDER
    place.mkdir(exist_ok=True)
    entry = laid(place, "0123456789abcdef.toml", data)
    leftovers = journal.leftovers()
    damaged = entry.with_suffix(journal_entry.DAMAGED)
    try:
        for leftover in leftovers:
            holds(leftover.text.encode("utf-8", "surrogatepass") in data, "a text that was not kept")
            _ = leftover.changed
            sentences([f"{leftover.when:%d %B %Y, %H:%M}"], "when it was kept")
        if not leftovers and not entry.exists() and damaged.exists():
            holds(damaged.read_bytes() == data, "a damaged entry was changed")
        if not leftovers and not entry.exists() and not damaged.exists():
            holds(not journal_entry.Entry.decode(data).is_needed, "an entry that is needed was cleared away")
    finally:
        for path in place.iterdir():
            path.unlink()


def kept_examples() -> tuple[bytes, ...]:
    """Entries as the program writes them."""
    when = datetime(2026, 1, 5, 10, 20, tzinfo=UTC)
    text = designs()[0].decode()
    stamp = journal_entry.stamp_of_text(text)
    entries = (
        journal_entry.Entry(None, None, when, text),
        journal_entry.Entry(Path("/nowhere/flute.toml"), stamp, when, text),
        journal_entry.Entry(Path("flute.toml"), stamp, when, None),
        journal_entry.Entry(Path("flute.toml"), stamp, when, ""),
    )
    return tuple(entry.encode() for entry in entries)


def noted(data: bytes, folder: Path) -> None:
    """What the program remembers: read tolerantly, changed, read back."""
    path = laid(folder, remembered.NAME, data)
    found = remembered.load_remembered()
    after = remembered.remember(lambda known: known.with_recent(folder / "flute.toml").with_layout(wide=True))
    holds(len(after.recent) <= remembered.MOST_RECENT, "too much is remembered")
    for recent in (*found.recent, *((found.folder,) if found.folder else ())):
        str(recent).encode("utf-8")
    damaged = path.with_name(remembered.DAMAGED)
    holds(path.read_bytes() != data or not damaged.exists(), "damaged and there all the same")
    damaged.unlink(missing_ok=True)


def switched(data: bytes, folder: Path) -> None:
    """The list of plug-ins that are off: a name comes and goes, and what else is there stays."""
    path = laid(folder, switches.NAME, data)
    names, problem = switches.switched_off()
    if problem:
        sentences([problem.problem], "the list of plug-ins that are off")
        holds(path.read_bytes() == data, "a list that cannot be read was changed")
        return
    switches.switch("reed scales", off=True)
    switches.switch("reed scales", off=False)
    holds(switches.switched_off()[0] == names - {"reed scales"}, "other plug-ins are off than before")


def shelf_notes(data: bytes, folder: Path) -> None:
    """What was noted of the designs of a folder: used where it fits, and never in the way."""
    laid(folder, design_folder.NOTES, data)
    place = folder / "flutes"
    if not place.exists():
        place.mkdir()
        for number, text in enumerate(designs()[:2]):
            laid(place, f"{number}.toml", text)
            os.utime(place / f"{number}.toml", ns=(0, 10**18))
    found = read_book(place)
    holds(len(found.flutes) + len(found.passed_over) == 2, "a flute of the book is gone")


@cache
def shelf_examples() -> tuple[bytes, ...]:
    """Notes as the program writes them, of the two flutes that ``shelf_notes`` lays there."""
    import json

    from scaledesign.workshop.book import VERSION, _facts

    facts = [_facts(document_file.loads(text.decode())) for text in designs()[:2]]
    files = {f"FOLDER/{n}.toml": [len(designs()[n]), 10**18, each] for n, each in enumerate(facts)}
    return (json.dumps({"format": 1, "version": VERSION, "files": files}).encode(),)


def shelf_with_place(data: bytes, folder: Path) -> None:
    """As ``shelf_notes``, the notes being of the folder there is."""
    shelf_notes(data.replace(b"FOLDER", str((folder / "flutes").absolute()).encode()), folder)


SETTINGS = b"""theme = "day"
signs = "drawn"
units = "mm"

[paper]
paper   = "letter"
names   = "german"
style   = "plain"
large   = true
maker   = "Reed and rush"
picture = "mark.svg"

[book]
folder = "~/flutes"

[keys]
undo = "ctrl+z,ctrl+u"
"""
STATE = b"""format = 1
recent = ["/home/one/flute.toml", "C:\\\\flutes\\\\two.toml"]
folder = "/home/one"

[layout]
pane = "rows"
wide = true
share = 40
"""
SWITCHES = "# off\nreed scales\nCane Scales\n\n# cane\nfluit één\n".encode()


@cache
def tunings() -> tuple[bytes, ...]:
    """Valid messages of both kinds, and several in a file."""
    tables = []
    for text in scales()[:3]:
        from scaledesign.model.key_table import table_of

        tables.append(table_of(Tuned(scale_file.loads(text.decode()), parse_note("D4"), 442.0), program=3))
    dumps = [midi_tuning.bulk_dump(table) for table in tables]
    return (dumps[0], midi_tuning.note_changes(tables[1]), b"".join(dumps), dumps[2] + b"\0" + dumps[0])


HEAD = '[instrument]\nmouth = "duct"\n[tube]\nlength = 355\nbore = 16\nwall = 4\n'


def worst_designs() -> tuple[bytes, ...]:
    """Designs made to be read long: large, deep, with endless numbers, names and texts."""
    hole = '[[holes]]\nat = {}\ndiameter = 1\nfinger = "L1"\n'
    row = f'[[rows]]\nnote = "A4"\nholes = "{"X" * 64}"\n'
    holes = "".join(hole.format(2 + 5 * n) for n in range(64))
    blanks = " " * 300_000
    texts = (
        HEAD + holes + row * 1000,
        HEAD + holes + row * 2000,
        HEAD + "[[log]]\n" * 120_000,
        HEAD + '[[log]]\nwhen = 2026-01-05\nevent = "note"\n' * 20_000,
        HEAD + "[[rows]]\n" * 2000,
        HEAD + "[[rows]]\nx.y.z = 1\n" * 2000,
        HEAD + "[[holes]]\n" * 64,
        HEAD + "[tuning]\ndegrees = [" + '"1",' * 240_000 + "]\n",
        HEAD + "[tuning]\ndegrees = [" + ",".join(f'"{n} c"' for n in range(90_000)) + "]\n",
        HEAD + "[tuning]\ndegrees = [" + "1," * 400_000 + "]\n",
        HEAD + "[shop]\nbits = [" + "5," * 450_000 + "]\n",
        HEAD.replace("16", "[" + "[0,1]," * 160_000 + "]"),
        HEAD.replace("16", "[" + ",".join(f"[{n}, 16]" for n in range(90_000)) + "]"),
        HEAD.replace("16", "[" * 900_000),
        HEAD.replace("16", "{a=" * 300_000),
        HEAD.replace("16", "0." + "1" * 900_000),
        HEAD.replace("16", "9" * 900_000),
        HEAD.replace("16", "0x" + "f" * 900_000),
        HEAD.replace("16", "1e99999999999999999999"),
        HEAD.replace("16", "0e-999999999"),
        HEAD.replace("16", "0e-99999999999999999"),
        HEAD.replace("16", '"0e-999999999"'),
        HEAD.replace("16", f'"1{blanks}x"'),
        HEAD.replace("16", '"' + "9" * 900_000 + '"'),
        HEAD + f'[[rows]]\nnote = "A4"\nholes = ""\nmeasured = "A{blanks}x"\n',
        HEAD + f'[[rows]]\nnote = "A{blanks}x"\nholes = ""\n',
        HEAD + f'[[rows]]\nnote = "3{blanks}/x"\nholes = ""\n',
        HEAD + f'[[rows]]\nnote = "A4"\nholes = "{"X" * 900_000}"\n',
        HEAD + f'[[log]]\nwhen = 2026-01-05\nevent = "measured"\nmeasured = "A{blanks}+{blanks}x"\n',
        HEAD + '[tuning]\ntonic = "' + "A" * 900_000 + '"\n',
        HEAD + '[tuning]\nscale = "' + "\\u202e" * 150_000 + '"\n',
        HEAD + '[shop]\nbits = "' + "metric " * 130_000 + '"\n',
        HEAD + '[shop]\nhand = "' + "medium " * 130_000 + '"\n',
        HEAD + "[shop]\nhand = {" + ",".join(f"a{n}=1" for n in range(90_000)) + "}\n",
        HEAD + "".join(f"[a{n}]\n" for n in range(120_000)),
        HEAD + "".join(f'"{"a" * 40_000}{n}"=1\n' for n in range(20)),
        "".join(f"a{n} = 1\n" for n in range(90_000)),
        "a" * 900_000 + " = 1\n",
        ".".join("a" * 450_000) + " = 1\n",
        "[" + ".".join("a" * 450_000) + "]\n",
        "[" + ".".join("a" * 3000) + "]\n" + "".join(f"k{n}=1\n" for n in range(120_000)),
        "".join(f"[{'a.' * 200}k{n}]\n" for n in range(2_000)),
        "x = {" + ", ".join(f"{'a.' * 100}k{n} = 1" for n in range(4_000)) + "}\n",
        "x = [" + "{}," * 300_000 + "]\n",
        "[[x]]\n" * 160_000,
        "#" * 999_999,
        "\n" * 999_999,
        '"' + "\\\\" * 450_000 + '" = 1\n',
        "x = '''" + "'" * 900_000,
        'x = """' + '\\"' * 450_000 + '"""\n',
        'notes = """' + '""\\"' * 200_000 + '"""\n' + HEAD,
        'notes = """\n' + "\n" * 900_000 + '"""\n' + HEAD,
        "x = " + "1979-05-27T07:32:00." + "9" * 900_000,
        "x = " + "1_" * 450_000,
        "\ufeff" * 300_000,
    )
    return tuple(text.encode() for text in texts)


def worst_scales() -> tuple[bytes, ...]:
    """Scale files of the same kind."""
    head = '[scale]\nname = "x"\n'
    blanks = " " * 300_000
    texts = (
        head + "degrees = [" + ",".join(f'"{n} c"' for n in range(100_000)) + "]\n",
        head + "degrees = [" + '"x",' * 100_000 + "]\n",
        head + "degrees = [" + '"1",' * 240_000 + "]\n",
        head + "degrees = [" + "1," * 240_000 + "]\n",
        head + f'degrees = ["1", "3{blanks}/x", "3 c{blanks}x"]\n',
        head + "degrees = [" + "[" * 200_000,
        head + "degrees = {" + "a={" * 200_000,
        head + 'degrees = ["1"]\nsteps = [' + "0," * 400_000 + "]\n",
        head + 'degrees = ["1"]\nsteps = [1e999, nan, -inf]\n',
        head + 'degrees = ["1", "2"]\nsteps = [0, 0x' + "f" * 6000 + "]\n",
        head + 'degrees = ["1", "2"]\nsteps = [0, ' + "9" * 4000 + "]\n",
        head + 'degrees = ["1"]\nalso = [' + '"y",' * 200_000 + "]\n",
        head + 'degrees = ["1"]\nalso = ["' + "y" * 900_000 + '"]\n',
        head + "".join(f"k{n} = 1\n" for n in range(90_000)) + 'degrees = ["1"]\n',
        "".join(f"k{n} = 1\n" for n in range(90_000)) + head,
        f"{'a.' * 400_000}a = 1\n",
        '[scale]\nname = "' + "x" * 900_000 + '"\ndegrees = ["1"]\n',
        '[scale]\nname = "' + "\\u001b[2J\\n" * 90_000 + '"\ndegrees = ["1"]\n',
        head + "words = 0x" + "f" * 900_000 + "\n",
        head + "words = " + "9" * 900_000 + "\n",
        "x" * 60_000_000,
        "#\n" * 30_000_000,
    )
    return tuple(text.encode() for text in texts)


def worst_tunings() -> tuple[bytes, ...]:
    """Files of messages of the same kind."""
    return (
        b"\xf0\xf7" * 524_288, b"\xf0" * 1_048_576, b"\xf7" * 1_048_576, b"\0" * 60_000_000,
        b"\xf0\x7f\0\x08\x02\0\0\xf7" * 131_072, b"\xf0\x7e\0\x08\x01" + b"\0" * 1_000_000,
        tunings()[0] * 2570,
    )  # fmt: skip


def worst_settings() -> tuple[bytes, ...]:
    """Settings of the same kind."""
    texts = (
        "".join(f"k{n} = 1\n" for n in range(60_000)),
        "[keys]\n" + "".join(f'a{n} = "ctrl+z"\n' for n in range(60_000)),
        "[keys]\n" + "".join(f'"a{n}\\n" = 1\n' for n in range(60_000)),
        "[keys]\nundo = '" + "a," * 500_000 + "'\n",
        "[paper]\n" + "".join(f"k{n} = 1\n" for n in range(60_000)),
        "theme = " + "[" * 100_000,
        "theme = '" + "x" * 900_000 + "'\n",
        "theme = 0x" + "f" * 6000 + "\n",
        f"{'a.' * 400_000}a = 1\n",
        "#\n" * 30_000_000,
    )
    return tuple(text.encode() for text in texts)


def worst_kept() -> tuple[bytes, ...]:
    """Entries of the same kind."""
    one = kept_examples()[0]
    head = b"# x\n# journal: 1\n# file: -\n# on disk: -\n# when: 0001-01-01T00:00:00+23:59\n# text: -\n\n"
    return (
        one + b"x" * 60_000_000, head, head.replace(b"0001", b"9999").replace(b"+", b"-"), b"# " * 30_000_000,
        b"# x\n# journal: " + b"9" * 900_000 + b"\n", head.replace(b"-\n# on",
        b"/\xff\0/" + b"x" * 900_000 + b"\n# on"),
    )  # fmt: skip


def worst_switches() -> tuple[bytes, ...]:
    """Lists of the same kind."""
    return (
        b"a\n" * 10_000_000,
        b"x" * 60_000_000,
        b"\n" * 20_000_000,
        b"\xff",
        "".join(f"{n}\n" for n in range(10**6)).encode(),
    )


def worst_notes() -> tuple[bytes, ...]:
    """Notes of the same kind."""
    return (
        b"[" * 1_000_000, b"[" + b"[]," * 6_600_000 + b"[]]",
        b'{"format": 1, "version": "1", "files": {"a": [1e999, 1, {}]}}',
        b'{"format": ' + b"9" * 5000 + b"}", b"[" + b"{}," * 6_000_000 + b"{}]",
        b'"' + b"\\u0000" * 3_000_000 + b'"',
    )  # fmt: skip
