"""Damaged files, and those of a newer program: the rest is opened, what is left out is said line by line."""

import random
import re
import time
import tomllib
from contextlib import suppress
from dataclasses import fields

import pytest

from scaledesign.errors import DesignError
from scaledesign.files import document_file
from scaledesign.files.document_file import loads
from scaledesign.files.document_recover import recover
from tests.files.samples import FULL, INCHES, ODD
from tests.files.test_broken_files import BROKEN, GOOD, mutated

PARTS = [field.name for field in fields(loads(FULL)) if field.name != "text"]


def recovered(text):
    found = recover(text if isinstance(text, bytes) else text.encode(), "wren.toml")
    assert loads(found.design.text) == found.design  # what is saved of it can be opened again
    return found


def changed(design, other):
    return {part for part in PARTS if getattr(design, part) != getattr(other, part)}


def said(found):
    return [str(fault) for fault in found.faults]


@pytest.mark.parametrize(("find", "put", "subject", "remedy"), BROKEN, ids=[f"{b[1]!r}" for b in BROKEN])
def test_the_rest_of_every_broken_file_is_opened(find, put, subject, remedy):
    found = recovered(GOOD.replace(find, put, 1))
    assert len(found.faults) == 1
    (fault,) = said(found)
    assert ", so " in fault
    assert "wren.toml, line " in fault
    assert len(changed(found.design, loads(GOOD)) - {"rows"}) <= 1


@pytest.mark.parametrize("text", [GOOD, FULL], ids=["good", "full"])
@pytest.mark.parametrize("damage", ["%%% ~", "\0" * 40, 'name = "', "[[[", "x y = 3"])
def test_one_bad_line_costs_its_own_table_at_most(text, damage):
    """A line of every table in turn; a hole's loss may cost what is said of its finger."""
    whole = loads(text)
    lines = text.split("\n")
    part = "name"
    step = len(lines) // 25
    for place, line in enumerate(lines):
        part = line.strip("[]") if line.startswith("[") else part
        if (
            not line.strip()
            or line.startswith("#")
            or not (line.startswith("[") or "=" in line)
            or '"""' in line
        ):
            continue
        if place % step:
            continue
        bad = "\n".join([*lines[:place], damage, *lines[place + 1 :]])
        found = recovered(bad)
        here = {"format", "units", "name", "notes"} if part == "name" else {part}
        more = {"rows", "log"} if part == "holes" else set()
        if line.startswith("["):  # the lines of a table without its heading are those of the one above
            continue
        assert changed(found.design, whole) <= here | more, line
        assert any(fault.line == place + 1 for fault in found.faults), line


def test_a_heading_with_a_slip_keeps_its_table():
    for good, slips in (
        ("[tuning]", ("[tuning", "[tunign]", "[[tuning]]")),
        ("[[rows]]", ("[[rows]", "[rows]")),
    ):
        for slip in slips:
            found = recovered(GOOD.replace(good, slip, 1))
            assert found.design == loads(GOOD)
            assert f"so it was read as {good}" in said(found)[0]


@pytest.mark.parametrize("text", [GOOD, FULL.replace("\n", "\r\n")], ids=["good", "windows"])
def test_a_file_cut_off_anywhere_keeps_all_that_stands_before(text):
    whole = loads(text)
    first = text.index("[air]")
    for end in range(first, len(text), 31):
        found = recovered(text[:end])
        design = found.design
        assert (design.tube, design.instrument) == (whole.tube, whole.instrument)
        for parts in ("holes", "rows", "log"):
            before, now = getattr(whole, parts), getattr(design, parts)
            assert now[:-1] == before[: max(0, len(now) - 1)]
            assert len(now) >= text[:end].count(f"[[{parts}]]") - 1


def test_what_stands_in_says_so_in_the_report_and_in_the_text():
    found = recovered(GOOD.replace("at = 200", 'at = "wide"'))
    (told,) = said(found)
    assert told == (
        'wren.toml, line 28: holes[2].at = "wide": that is not a quantity, so 220 mm stands in for it; '
        'write "16 mm" or the bare number.'
    )
    assert '# left out: at = "wide"\nat = 220  # stands in for what could not be read\n' in found.design.text
    assert found.design.holes[1].at == 0.22


def test_what_is_missing_may_become_what_stands_in_for_it():
    (told,) = said(recovered(GOOD.replace("at = 200\n", "")))
    assert told.endswith("so 220 mm stands in for it; add at = 220, or what you measure.")
    width = re.search(r"^diameter = (.+)\n", GOOD, re.MULTILINE)
    (told,) = said(recovered(GOOD.replace(width[0], "", 1)))
    stands_in = re.search(r"so (\S+) mm stands in for it; add diameter = (\S+), or", told)
    assert stands_in[1] == stands_in[2]


def test_a_hole_without_a_readable_finger_costs_no_row():
    found = recovered(FULL.replace('finger   = "LT"', 'finger   = "TL"'))
    assert len(found.design.rows) == 2
    assert found.design.holes[1].finger == "L2"
    assert "L2 stands in for it" in said(found)[0]


def test_a_bad_station_is_left_out_alone():
    found = recovered(FULL.replace("15.8", '"fifteen"'))
    assert [station.x for station in found.design.tube.bore] == [0.0, 0.2]
    assert "tube.bore[2]" in said(found)[0]


def test_a_file_of_a_newer_program_is_opened_and_what_is_newer_is_named():
    text = FULL.replace("format = 1", "format = 2").replace(
        "[air]", '[lights]\ncolour = "red"\n\n[air]\ncolour = 1'
    )
    found = recovered(text.replace('side     = "back"', 'side     = "back"\nfinish = "oil"'))
    assert changed(found.design, loads(FULL)) == set()
    told = said(found)
    assert len(told) == 4
    for word in (
        "line 2: format = 2: a newer program wrote this",
        "lights:",
        "air.colour = 1",
        "holes[2].finish",
    ):
        assert sum(word in line for line in told) == 1
    for line in (
        '# left out: [lights]\n# left out: colour = "red"',
        "# left out: finish",
        "# left out: format = 2",
    ):
        assert line in found.design.text


def test_letters_of_another_kind_are_read_as_they_were_probably_meant():
    text = FULL.replace("Reed warbler", "Grüner Schilf")
    latin = recovered(text.encode("latin-1"))
    assert latin.design.name == "Grüner Schilf"
    assert [fault.line for fault in latin.faults] == [
        i for i, line in enumerate(text.split("\n"), 1) if not line.isascii()
    ]
    wide = recovered(b"\xff\xfe" + text.encode("utf-16-le"))
    assert wide.design.name == "Grüner Schilf"
    assert len(wide.faults) == 1


def test_nothing_at_the_end_of_a_file_is_left_out():
    """What some disks leave of a file that was being written when the power failed."""
    found = recovered(GOOD.encode() + b"\0" * 4096)
    assert found.design == loads(GOOD)
    assert len(found.faults) == 1


def test_what_is_whole_comes_without_a_word():
    for text in (GOOD, FULL, ODD, INCHES):
        found = recovered(text)
        assert (found.design, found.design.text, found.faults) == (loads(text), text, ())


@pytest.mark.parametrize(
    "text", ["", "hello\n" * 20, "\0" * 5000, '[package]\nname = "x"\n', "[[holes]]\nat = 3\n" * 99]
)
def test_what_is_no_flute_is_refused(text):
    with pytest.raises(DesignError):
        recover(text.encode(), "wren.toml")


def test_the_file_is_never_touched(tmp_path):
    path = tmp_path / "wren.toml"
    data = GOOD.replace("at = 150", "at = 15,0").encode()
    path.write_bytes(data)
    path.chmod(0o444)
    assert len(document_file.recover(path).faults) == 1
    assert path.read_bytes() == data
    assert [item.name for item in tmp_path.iterdir()] == ["wren.toml"]


@pytest.mark.parametrize("seed", range(0, 90, 30))
def test_whatever_is_damaged_is_opened_or_refused(seed):
    opened = 0
    for number in range(seed, seed + 30):
        chance = random.Random(number)
        text = mutated(chance.choice([GOOD, FULL, INCHES]), chance)
        try:
            found = recovered(text)
        except DesignError:
            continue
        opened += 1
        assert tomllib.loads(found.design.text.removeprefix("\ufeff")) is not None
    assert opened > 20


@pytest.mark.parametrize(
    "text",
    [
        FULL + '[[rows]]\nnote = "A4"\nholes = "X"\n' * 900,
        FULL + "a = [\n" * 4_000,
        FULL + "[[holes]]\nat = 0\n" * 60,
    ],
)
def test_it_does_not_take_long(text):
    begin = time.process_time()
    with suppress(DesignError):
        recovered(text)
    assert time.process_time() - begin < 4
