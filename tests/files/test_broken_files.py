"""Broken files: every message names the key, the value and the remedy, and the line."""

import random

import pytest

from scaledesign.errors import DesignError
from scaledesign.files.document_file import load, loads
from tests.files.samples import FULL, INCHES, ODD, SMALLEST

GOOD = """\
format = 1
units = "mm"

[instrument]
mouth = "duct"

[tube]
length = 360
bore = [[0, 16], [180, 15.8]]
wall = 3.5

[air]
temperature = "22 °C"

[tuning]
tonic = "A4"

[shop]
bits = "metric 0.5"
hand = "medium"

[[holes]]
at = 150
diameter = 8
finger = "L1"

[[holes]]
at = 200
diameter = 8
finger = "R1"

[[rows]]
note = "A4"
holes = "XX"

[[log]]
when = 2026-01-05
event = "cut"
"""

# What is replaced, by what; then what the message must hold: key, value, problem or remedy.
BROKEN = [
    ("at = 150", "at = 15,0", "line 23: at = 15,0", "write 15.0 with a point"),
    ("at = 150", 'at = "15,0 mm"', 'holes[1].at = "15,0 mm"', "write 15.0 with a point"),
    ("at = 150", "at = 5/8", "line 23: at = 5/8", 'put it in quotes: "5/8"'),
    ("at = 150", "at = nan", "holes[1].at = nan", 'write "16 mm" or the bare number'),
    ("at = 150", "at = -inf", "holes[1].at = -inf", 'write "16 mm" or the bare number'),
    ("at = 150", "at = 1e400", "holes[1].at = 1e400", 'write "16 mm" or the bare number'),
    ("at = 150", "at = -5", "holes[1].at = -5", "leave out the minus sign"),
    ("at = 150", 'at = "wide"', 'holes[1].at = "wide"', 'write "16 mm" or the bare number'),
    ("at = 150", 'at = "12 furlong"', 'holes[1].at = "12 furlong"', "use mm, cm, m, in or ft"),
    ("at = 150", "at = true", "holes[1].at = true", 'write "16 mm" or the bare number'),
    ("at = 150", "at = [1]", "holes[1].at = [1]", 'write "16 mm" or the bare number'),
    ("at = 150", "at = 15000", "holes[1].at = 15000", "check the unit and the decimal point"),
    ("at = 150", "at = 358",
     "holes[1].at = 358: hole 1 (L1) runs past the foot, 360 mm", "move it toward the mouth"),
    ("at = 150", "at = 2",
     "holes[1].at = 2: hole 1 (L1) runs past the sounding edge", "move it toward the foot"),
    ("at = 150", "at = 195",
     "holes[2].at = 200: hole 2 (R1) cuts into hole 1 (L1) at 195 mm", "move them apart"),
    ("at = 150\n", "", "line 22: holes[1].at: this key is missing", "add at = 200"),
    ('diameter = 8\nfinger = "L1"', 'diameter = 17\nfinger = "L1"',
     "holes[1].diameter = 17: hole 1 (L1) is wider than the bore there, 15.83 mm", "make it narrower"),
    ('diameter = 8\nfinger = "L1"', 'diameter = [8]\nfinger = "L1"',
     "holes[1].diameter = [8]", "write [along, across]"),
    ('diameter = 8\nfinger = "L1"', 'diameter = 0\nfinger = "L1"',
     "holes[1].diameter = 0", "it should be more than 0 mm"),
    ('diameter = 8\nfinger = "L1"', 'diameter = 8\nundercut = 9\nfinger = "L1"',
     "holes[1].undercut = 9", "undercut it less"),
    ('finger = "L1"', 'finger = "L5"', 'holes[1].finger = "L5"', "write L1, L2, L3, L4, R1"),
    ('finger = "L1"', 'finger = "L1"\nside = "left"',
     'holes[1].side = "left"', "write front, back, or an angle"),
    ('finger = "L1"', 'finger = "L1"\nslant = 80', "holes[1].slant = 80: that is too much", "from -75 to 75"),
    ('finger = "L1"', 'finger = "L1"\nlocked = ["size"]',
     'holes[1].locked = ["size"]', 'write true, false, ["at"] or ["diameter"]'),
    ('finger = "L1"', 'finger = "L1"\ndrilled = "yes"', 'holes[1].drilled = "yes"', "write true or false"),
    ('finger = "L1"', 'finger = "L1"\ndiamter = 8',
     "holes[1].diamter = 8", "the nearest known key is diameter"),
    ('finger = "L1"', 'finger = "none"',
     'rows[1].holes = "XX": row 1 (A4) has 2 letters for 1 fingered hole', "give each hole one"),
    ('holes = "XX"', 'holes = "XXX"',
     'rows[1].holes = "XXX": row 1 (A4) has 3 letters for 2 fingered holes', 'such as "XX"'),
    ('holes = "XX"', 'holes = "X0"', 'rows[1].holes = "X0"', "write the letter O"),
    ('holes = "XX"', 'holes = "xX"', 'rows[1].holes = "xX"', "write X"),
    ('holes = "XX"', "holes = 7", "rows[1].holes = 7", 'put it in quotes: "7"'),
    ('note = "A4"', "note = A4", "note = A4", 'put it in quotes: "A4"'),
    ('note = "A4"', 'note = "H4"', 'rows[1].note = "H4"', "write a letter, an accidental and an octave"),
    ('note = "A4"\n', "", "line 32: rows[1].note: this key is missing", 'add note = "A4"'),
    ('holes = "XX"', 'holes = "XX"\nmeasured = "loud"',
     'rows[1].measured = "loud"', "write what the tuner shows"),
    ('holes = "XX"', 'holes = "XX"\nregister = 4', "rows[1].register = 4", "from 1 to 3"),
    ('holes = "XX"', 'holes = "XX"\nregister = 1.5', "rows[1].register = 1.5", "write a whole number"),
    ('holes = "XX"', 'holes = "XX"\nweight = -1', "rows[1].weight = -1", "from 0 to 1000"),
    ('holes = "XX"', 'holes = "XX"\nweight = "1"', 'rows[1].weight = "1"', "write 1 without quotes"),
    ('holes = "XX"', 'holes = "XX"\nrole = "main"',
     'rows[1].role = "main"', "write scale, chromatic or alternate"),
    ('holes = "XX"', 'holes = "XX"\nopen_share = 0', "rows[1].open_share = 0", "more than 0, at most 1"),
    ('holes = "XX"', 'holes = "XX"\ncents = nan', "rows[1].cents = nan", "write a number"),
    ("[[0, 16], [180, 15.8]]", "[[180, 16], [0, 15.8]]",
     "tube.bore[2] = [0, 15.8]", "put it before the one at 180 mm"),
    ("[[0, 16], [180, 15.8]]", "[[0, 16], [9, 15], [9, 14], [9, 13]]",
     "tube.bore[4] = [9, 13]", "a step needs two"),
    ("[[0, 16], [180, 15.8]]", "[[0, 16], [180]]", "tube.bore[2] = [180]", "write [place, size]"),
    ("[[0, 16], [180, 15.8]]", "[]", "tube.bore = []: no bore is given", "give one number or stations"),
    ("[[0, 16], [180, 15.8]]", "0", "tube.bore = 0", "it should be more than 0 mm"),
    ("wall = 3.5", "wall = 3.5\navoid = [[20, 10]]",
     "tube.avoid[1] = [20, 10]", "write the smaller one first"),
    ("wall = 3.5", "wall = 3.5\nblank = 300",
     "tube.length = 360: the tube is cut from a blank of 300 mm", "make it shorter"),
    ("wall = 3.5", 'wall = 3.5\nfoot = "shut"',
     'tube.foot = "shut"', "write open, flanged, stopped, or the diameter"),
    ("wall = 3.5", "wall = 3.5\nfoot = 20",
     "tube.foot = 20: the bore there is 15.8 mm", "make the hole in the node narrower"),
    ("wall = 3.5", "wall = 3.5\nchamber = 3", "tube.chamber = 3", "a table belongs here"),
    ("wall = 3.5", "wall = 3.5\nchamber = { lenght = 3 }",
     "tube.chamber.lenght = 3", "the nearest known key is length"),
    ("wall = 3.5", "wall = 3.5\nwall = 4", "wall = 4: cannot overwrite a value", "keep one of the two"),
    ("wall = 3.5", "wall = 3.5\nlocked = True", "locked = True", "write true"),
    ('"duct"', '"fipple"', 'instrument.mouth = "fipple"', "write duct, notch, rim, transverse or open"),
    ('"22 °C"', "72", "air.temperature = 72: that is too much", "it should be from -20 °C to 60 °C"),
    ('"22 °C"', '"22 K"', 'air.temperature = "22 K"', "use °C or °F"),
    ('"22 °C"', '"22 °C"\nhumidity = 120', "air.humidity = 120", "from 0 to 100"),
    ('"22 °C"', '"22 °C"\nbreath = 2', "air.breath = 2", "from 0 to 1"),
    ('"22 °C"', '"22 °C"\npressure = 98.4', "air.pressure = 98.4", "from 30.0 kPa to 120.0 kPa"),
    ('"22 °C"', '"22 °C"\naltitude = "20000 ft"\nhumdity = 3',
     "air.humdity = 3", "the nearest known key is humidity"),
    ('"22 °C"', '"22 °C"\naltitude = "50000 ft"', 'air.altitude = "50000 ft"', "from -500 m to 9000 m"),
    ('tonic = "A4"', 'tonic = "A"', 'tuning.tonic = "A"', "write a letter, an accidental and an octave"),
    ('tonic = "A4"', "tolerance = 0", "tuning.tolerance = 0", "more than 0, at most 600"),
    ('tonic = "A4"', 'degrees = ["1", "x"]', 'tuning.degrees = ["1", "x"]', "write a ratio such as 6/5"),
    ('tonic = "A4"', "degrees = 5", "tuning.degrees = 5", 'write ["1", "6/5", "498 c", ...]'),
    ('"metric 0.5"', '"metric 0,5"', 'shop.bits = "metric 0,5"', 'write "metric 0.5"'),
    ('"metric 0.5"', "[5, 0]", "shop.bits[2] = 0", "it should be more than 0 mm"),
    ('"metric 0.5"', "7", "shop.bits = 7", 'write "metric 0.5" or [5, 5.5, 6]'),
    ('"medium"', '"huge"', 'shop.hand = "huge"', "known: small, medium, large"),
    ('"medium"', "{ spread = [30, 30], gap = 60, pad = 15 }",
     "shop.hand.spread = [30, 30]", "index-middle, middle-ring, ring-little"),
    ('"medium"', '"medium"\nsmallest = 9\nlargest = 8',
     "shop.smallest = 9: the largest hole is 8 mm", "make smallest smaller"),
    ("when = 2026-01-05", 'when = "yesterday"',
     'log[1].when = "yesterday"', "write 2026-01-05T10:20:00, without quotes"),
    ('event = "cut"', 'event = "lost"',
     'log[1].event = "lost"', "write cut, drilled, opened, filled, measured or note"),
    ('event = "cut"', 'event = "cut"\nholes = "X"',
     'log[1].holes = "X"', "the entry has 1 letter for 2 fingered holes"),
    ('event = "cut"', 'event = "cut"\n[uncertainty]\ntuner = -1', "uncertainty.tuner = -1", "from 0 to 600"),
    ("format = 1", "format = 2",
     "line 1: format = 2: a newer program wrote this", "open it with a newer version"),
    ("format = 1", "format = 0", "format = 0", "write format = 1"),
    ('units = "mm"', 'units = "cm"', 'units = "cm"', "write mm or in"),
    ('units = "mm"', "units = mm", "units = mm", 'put it in quotes: "mm"'),
    ('units = "mm"', 'tonic = "A4"', 'tonic = "A4"', "the nearest known one is tonic in [tuning]"),
    ("[air]", "[airs]", "line 12: airs: no such key or table here", "the nearest known one is [air]"),
    ("[[rows]]", "[[row]]", "row: no such key or table here", "the nearest known one is [[rows]]"),
    ("[[rows]]", "[rows]", "rows: a list of tables belongs here", "write [[rows]] above each"),
    ('[instrument]\nmouth = "duct"\n', "", "instrument: this table is missing", "add [instrument] with"),
    ("[air]", "[air", "line 12: [air: expected ']'", "a quote, a bracket or a sign is missing"),
]  # fmt: skip


@pytest.mark.parametrize(("find", "put", "subject", "remedy"), BROKEN, ids=[f"{b[1]!r}" for b in BROKEN])
def test_the_message_says_where_what_and_how(find, put, subject, remedy, tmp_path):
    assert GOOD.count(find) >= 1
    path = tmp_path / "wren.toml"
    path.write_text(GOOD.replace(find, put, 1), encoding="utf-8")
    before = path.read_bytes()
    with pytest.raises(DesignError) as caught:
        load(path)
    said = [line for line in str(caught.value).splitlines() if subject in line]
    assert len(said) == 1, str(caught.value)
    assert remedy in said[0]
    assert "wren.toml" in said[0]
    assert path.read_bytes() == before


def test_the_file_is_good_otherwise():
    assert len(BROKEN) >= 40
    assert loads(GOOD).name == ""


def test_one_fault_makes_one_message():
    """What follows from an unreadable value is not reported as well."""
    for find, put in (
        ("length = 360", 'length = "long"'),
        ('finger = "L1"', 'finger = "L9"'),
        ("[[0, 16], [180, 15.8]]", '"wide"'),
        ("diameter = 8", "diameter = [8, nan]"),
        ("at = 150", "at = nan"),
        ('holes = "XX"', 'holes = "X?"'),
        ("[tube]", "[tubes]"),
    ):
        with pytest.raises(DesignError) as caught:
            loads(GOOD.replace(find, put, 1))
        expected = 2 if put == "[tubes]" else 1  # the unknown table, and the missing one
        assert len(caught.value.faults) == expected, str(caught.value)


def test_all_faults_at_once_in_the_order_of_the_file():
    text = GOOD.replace('"duct"', '"reed"').replace("= 3.5", '= "3,5"').replace('"XX"', '"XXX"')
    with pytest.raises(DesignError) as caught:
        loads(text, "wren.toml")
    faults = caught.value.faults
    assert [(fault.key, fault.line) for fault in faults] == [
        ("instrument.mouth", 5),
        ("tube.wall", 10),
        ("rows[1].holes", 34),
    ]
    assert {fault.file for fault in faults} == {"wren.toml"}


def test_an_inch_maker_is_answered_in_inches():
    with pytest.raises(DesignError, match=r"from the sounding edge") as caught:
        loads(INCHES.replace('at = "5 3/16"', "at = 13"))
    assert "hole 2 (L2) runs past the foot, 12 in from" in str(caught.value)


@pytest.mark.parametrize(
    ("count", "table", "key"),
    [
        (65, "[[holes]]\nat = 1\ndiameter = 1\n", "holes"),
        (2001, '[[rows]]\nnote = "A4"\nholes = ""\n', "rows"),
    ],
)
def test_size_is_bounded(count, table, key):
    with pytest.raises(DesignError, match=f"{key}: {count} of them are more than a flute needs"):
        loads(SMALLEST + table * count)


@pytest.mark.parametrize(
    "text",
    [
        "a = " + "[" * 5000,
        "a = " + "9" * 5000,
        "a" + ".a" * 3000 + " = 1",
        "tube.length = 1e99999999999999999999",
        "\0",
        "=",
        "\ufeff\ufeff",
    ],
)
def test_hostile_texts_are_answered(text):
    with pytest.raises(DesignError):
        loads(text)


@pytest.mark.parametrize("depth", range(300, 520, 2))
def test_deep_nesting_is_answered(depth):
    """Whatever the reader of TOML still takes, the finder of lines must take as well, or do without."""
    with pytest.raises(DesignError):
        loads(f"{SMALLEST}k = {'[' * depth}{']' * depth}\n")


TOKENS = [
    "[", "]", "{", "}", "=", '"', "'", "#", ",", ".", "\n", "\r", "\0", "é", "-", "nan", "inf", "1e999",
    "-0.0", "9" * 400, '"16,0"', "[[holes]]\n", "[tube]\n", "true", "{}", "[]", '""', "2026-01-05", '"""',
    "0x10", "XXX", "at = 1\n",
]  # fmt: skip


def mutated(text, chance):
    """A text with one to four random wounds: bytes, tokens, lines."""
    for _ in range(chance.randint(1, 4)):
        lines = text.splitlines(keepends=True)
        place, kind = chance.randrange(len(text)), chance.randrange(6)
        one, other = chance.randrange(len(lines)), chance.randrange(len(lines))
        if kind == 0:
            text = text[:place] + chance.choice(TOKENS) + text[place:]
        elif kind == 1:
            text = text[:place] + text[place + chance.randint(1, 8) :]
        elif kind == 2:
            text = text[:place] + chr(chance.randrange(32, 127)) + text[place + 1 :]
        elif kind == 3:
            lines[one], lines[other] = lines[other], lines[one]
            text = "".join(lines)
        elif kind == 4:
            text = "".join([*lines[:one], lines[other], *lines[one:]])
        else:
            key, sign, _ = lines[one].partition("=")
            lines[one] = f"{key}{sign} {chance.choice(TOKENS)}\n"
            text = "".join(lines)
    return text


@pytest.mark.parametrize("seed", range(200))
def test_mutated_files(seed, tmp_path):
    """No traceback, a remedy for every fault, and the file as it was."""
    chance = random.Random(seed)
    path = tmp_path / "wren.toml"
    data = mutated(chance.choice([GOOD, FULL, INCHES, ODD]), chance).encode()
    if chance.random() < 0.1:
        data = data.replace(b"e", bytes([chance.randrange(128, 256)]), 1)
    path.write_bytes(data)
    faults = ()
    try:
        assert load(path).text == data.decode()
    except DesignError as error:
        faults = error.faults
    for fault in faults:
        assert fault.problem
        assert fault.remedy
        assert str(path) in str(fault)
    assert path.read_bytes() == data


def test_a_thousand_unknown_keys_are_not_a_thousand_lines():
    with pytest.raises(DesignError) as caught:
        loads(SMALLEST + "".join(f"k{count} = 1\n" for count in range(40_000)))
    assert len(caught.value.faults) == 21
    assert "40000 keys here are unknown" in str(caught.value)


def test_no_key_can_write_to_the_terminal():
    with pytest.raises(DesignError) as caught:
        loads(SMALLEST + '"\\u001b[31mred" = 1\n')
    assert "\x1b" not in str(caught.value)
    assert "u001B[31mred" in str(caught.value)


def test_enough_mutations_break_something():
    broken = 0
    for seed in range(200):
        chance = random.Random(seed)
        try:
            loads(mutated(chance.choice([GOOD, FULL, INCHES, ODD]), chance))
        except DesignError:
            broken += 1
    assert broken > 120
