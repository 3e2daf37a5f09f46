"""What comes from a spreadsheet's clipboard and goes back to it."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scaledesign.errors import QuantityError
from scaledesign.view.clipboard import (
    LONGEST,
    MOST_COLUMNS,
    MOST_ROWS,
    Cells,
    format_table,
    parse_table,
    plain_cents,
    plain_text,
)

CELL = st.text(st.sampled_from('A4-c "\t\r\n,;−\u00a0'), max_size=6)
BLOCK = st.integers(1, 5).flatmap(
    lambda width: st.lists(st.tuples(*[CELL] * width), min_size=1, max_size=6).map(tuple)
)


@pytest.mark.parametrize(
    ("text", "cells"),
    [
        ("", ()),
        ("A4", (("A4",),)),
        ("A4\n", (("A4",),)),
        ("\n", (("",),)),
        ("A4\t-4\r\nC5\t3\r\n", (("A4", "-4"), ("C5", "3"))),
        ("A4\t-4\rC5\t3", (("A4", "-4"), ("C5", "3"))),
        ("A4\t-4\nC5\t3\n\n", (("A4", "-4"), ("C5", "3"), ("", ""))),
        ("A4\nC5\t3\nD5\t\n", (("A4", ""), ("C5", "3"), ("D5", ""))),
        ("\t\n", (("", ""),)),
        ("A4; -4, C5", (("A4; -4, C5",),)),
        ('"two\nlines"\t"a ""word"""\n', (("two\nlines", 'a "word"'),)),
        ('"tab\there"', (("tab\there",),)),
        ('""\tA4', (("", "A4"),)),
        ('""""\tA4', (('"', "A4"),)),
        ('5/8"\t1 3/16"\n', (('5/8"', '1 3/16"'),)),
        ('"so\tA4\n', (('"so', "A4"),)),
        ('"so" he said\tA4\n', (('"so" he said', "A4"),)),
        ('"', (('"',),)),
        ("a\x0bb\x0c\x85\u2028\td", (("a\x0bb\x0c\x85\u2028", "d"),)),
    ],
)
def test_reading(text: str, cells: Cells) -> None:
    assert parse_table(text) == cells


@pytest.mark.parametrize(
    ("cells", "text"),
    [
        ((), ""),
        ((("A4",),), "A4"),
        ((("",),), "\n"),
        ((("A4", "-4"),), "A4\t-4"),
        ((("A4",), ("C5",)), "A4\nC5\n"),
        ((('"', "a\nb", 'c"'),), '""""\t"a\nb"\tc"'),
    ],
)
def test_writing(cells: Cells, text: str) -> None:
    assert format_table(cells) == text


@given(BLOCK)
def test_what_is_copied_is_pasted(cells: Cells) -> None:
    assert parse_table(format_table(cells)) == cells


@given(st.text(st.sampled_from('A4 "\t\r\n'), max_size=40))
def test_any_text_is_a_block_of_even_rows(text: str) -> None:
    cells = parse_table(text)
    assert len({len(row) for row in cells}) == (1 if text else 0)
    assert parse_table(format_table(cells)) == cells


def test_a_block_as_large_as_is_taken() -> None:
    cells = ((("X",) * MOST_COLUMNS),) * MOST_ROWS
    assert parse_table(format_table(cells)) == cells


@pytest.mark.parametrize(
    ("text", "limit"),
    [
        ("A4\n" * (MOST_ROWS + 1), f"{MOST_ROWS} rows"),
        ("A4" + "\t" * MOST_COLUMNS, f"{MOST_COLUMNS} columns"),
        ("A" * (LONGEST + 1), f"{LONGEST} characters"),
    ],
)
def test_a_block_that_is_too_large(text: str, limit: str) -> None:
    with pytest.raises(QuantityError, match=rf"^'A.*': that block has more than {limit}; copy fewer"):
        parse_table(text)


@pytest.mark.parametrize(
    ("cell", "text"),
    [
        (" A4 ", "A4"),
        ("A4\u00a0−4\u202f¢", "A4 -4 c"),
        ("702 ¢", "702 c"),
        ("1\u20093/16\u00a0in", "1 3/16 in"),
        ("\ufeffBb4\u200b", "Bb4"),
        ("two\r\nlines", "two lines"),
        ("", ""),
    ],
)
def test_plain_text(cell: str, text: str) -> None:
    assert plain_text(cell) == text


@pytest.mark.parametrize(
    ("cell", "text"),
    [
        ("−4 ¢", "-4"),
        ("+3c", "+3"),
        ("7\u00a0cents", "7"),
        ("1 Cent", "1"),
        ("2.5", "2.5"),
        ("c", "c"),
        ("sharp", "sharp"),
    ],
)
def test_plain_cents(cell: str, text: str) -> None:
    assert plain_cents(cell) == text
