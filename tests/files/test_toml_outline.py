"""Lines and spans in a TOML text."""

import tomllib

import pytest

from scaledesign.files.toml_outline import outline

TEXT = '''\ufeff# first line
format = 1
"odd key" = 'a # no comment'
notes = """
# [no header]
x = 1 \\" """  # comment

[tube] # with [brackets]
bore = [
  [0, 16.1],   # mouth
  [200, 15.8],
]
chamber = { length = 150, wall = 5 }
voicing.window.length = 5
when = 2026-01-05 10:20:00   # a date with a blank

[[holes]]
at = 1
[[holes]]
at = 2
[ holes . inner ]
deep = true
[[rows]]'''


@pytest.mark.parametrize(
    ("path", "line", "written"),
    [
        (("format",), 2, "1"),
        (("odd key",), 3, "'a # no comment'"),
        (("notes",), 4, '"""\n# [no header]\nx = 1 \\" """'),
        (("tube", "bore"), 9, "[\n  [0, 16.1],   # mouth\n  [200, 15.8],\n]"),
        (("tube", "bore", 1), 11, "[200, 15.8]"),
        (("tube", "bore", 1, 1), 11, "15.8"),
        (("tube", "chamber"), 13, "{ length = 150, wall = 5 }"),
        (("tube", "chamber", "wall"), 13, "5"),
        (("tube", "voicing", "window", "length"), 14, "5"),
        (("tube", "when"), 15, "2026-01-05 10:20:00"),
        (("holes", 0, "at"), 18, "1"),
        (("holes", 1, "at"), 20, "2"),
        (("holes", 1, "inner", "deep"), 22, "true"),
        (("holes", 1, "missing"), 19, None),
        (("holes",), 17, None),
        (("rows", 0), 23, None),
        (("tube", "missing"), 8, None),
        (("nowhere",), None, None),
    ],
)
def test_where_things_stand(path, line, written):
    tomllib.loads(TEXT.removeprefix("\ufeff"))
    found = outline(TEXT)
    offset = found.offset(path)
    assert (None if offset is None else found.line(offset)) == line
    assert found.written(path) == written


@pytest.mark.parametrize(
    "value", ['""""quoted""""', "''''a'''''", '"""a\\"""" ', '"\\\\"', "''", '""""""', "1e5"]
)
def test_quotes_at_the_edges(value):
    text = f"a = {value}\nb = 2\n"
    tomllib.loads(text)
    assert outline(text).written(("a",)) == value.strip()
    assert outline(text).written(("b",)) == "2"
