"""Cells that other programs split again."""

from __future__ import annotations

from scaledesign.paper.separated import comma_separated, tab_separated


def test_quotes_only_where_a_spreadsheet_would_stumble() -> None:
    rows = (("A4", "-4", '5/8"', "a, b"), ("", '"so', "two\nlines", "tab\there"))
    assert tab_separated(rows) == 'A4\t-4\t5/8"\ta, b\n\t"""so"\t"two\nlines"\t"tab\there"\n'
    assert comma_separated(rows) == (
        'A4,-4,"5/8""","a, b"\r\n,"""so","two\nlines",tab\there\r\n'  # RFC 4180, section 2
    )


def test_no_rows_no_text() -> None:
    assert tab_separated(()) == comma_separated(()) == ""
