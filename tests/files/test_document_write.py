"""Writing changes into the maker's own text: what an edit touches, and what it leaves."""

from dataclasses import replace

import pytest

from scaledesign.files.document_file import dumps, loads
from scaledesign.model.document import Foot, Learned, Row, Window
from tests.files.samples import FULL, INCHES, ODD, SMALLEST

TEXT = """\
# my flute
[instrument]
mouth = "duct"    # split window

[tube]
length = "355.4 mm"   # cut long
bore   = 16           # turned
wall   = 3.5

# ---- holes ----

# nearest the mouth
[[holes]]
at       = 150     # measured twice
diameter = 8
finger   = "L1"

# the touchy one
[[holes]]
at       = 200
diameter = 7
finger   = "L2"
# keep it small

# ---- rows ----

[[rows]]
note  = "A4"
holes = "X X"   # all closed

# the sweet one
[[rows]]
note  = "C5"
holes = "X O"

[[rows]]
note  = "D5"
holes = "O O"
"""


def lines_changed(old, new):
    """Lines that went and lines that came."""
    before, after = old.splitlines(), new.splitlines()
    return [line for line in before if line not in after], [line for line in after if line not in before]


def edited(text, **parts):
    design = loads(text)
    changed = replace(design, **parts)
    written = dumps(changed)
    assert loads(written) == changed
    return written


@pytest.fixture
def design():
    return loads(TEXT)


def test_one_value_changes_one_line(design):
    written = edited(TEXT, tube=replace(design.tube, length=0.36))
    assert lines_changed(TEXT, written) == (
        ['length = "355.4 mm"   # cut long'],
        ['length = "360 mm"     # cut long'],
    )


def test_a_value_keeps_the_unit_it_was_written_in():
    text = TEXT.replace('"355.4 mm"', "'14\"'").replace("= 16 ", '= "5/8 in"').replace("= 3.5", '= ".35 cm"')
    tube = loads(text).tube
    wall, bore = replace(tube.wall[0], value=0.004), replace(tube.bore[0], value=0.01905)
    written = edited(text, tube=replace(tube, length=0.3302, wall=(wall,), bore=(bore,)))
    assert "length = '13\"'" in written
    assert 'bore   = "3/4 in"' in written
    assert 'wall   = "0.4 cm"' in written


def test_bare_numbers_stay_bare():
    hole = replace(loads(INCHES).holes[1], diameter=0.003175)
    assert "diameter = 0.125\n" in edited(INCHES, holes=(loads(INCHES).holes[0], hole))


def test_temperatures_keep_their_degrees():
    text = TEXT + '\n[air]\ntemperature = "72 °F"\naltitude = "820 ft"\n'
    written = edited(text, air=replace(loads(text).air, temperature=20.0, altitude=304.8))
    assert 'temperature = "68 °F"\naltitude = "1000 ft"\n' in written


def test_a_new_key_stands_below_the_last_in_line(design):
    written = edited(TEXT, tube=replace(design.tube, foot=Foot("flanged"), locked=True))
    assert 'wall   = 3.5\nfoot   = "flanged"\nlocked = true\n\n# ---- holes' in written


def test_a_key_that_goes_takes_its_line(design):
    text = TEXT.replace("wall   = 3.5", "wall   = 3.5\nblank  = 500   # the stick")
    assert edited(text, tube=replace(loads(text).tube, blank=None)) == TEXT


def test_a_new_table_stands_before_the_holes(design):
    written = edited(TEXT, shop=replace(design.shop, hand="small"))
    assert (
        'wall   = 3.5\n\n# ---- holes ----\n\n[shop]\nhand = "small"\n\n# nearest the mouth\n[[holes]]'
        in written
    )


def test_a_hole_that_goes_takes_only_its_own_lines(design):
    rows = tuple(replace(row, holes=row.holes[:1]) for row in design.rows)
    written = edited(TEXT, holes=design.holes[:1], rows=rows)
    assert "the touchy one" not in written
    assert "keep it small" not in written
    assert "# nearest the mouth\n[[holes]]" in written
    assert 'finger   = "L1"\n\n# ---- rows ----\n\n[[rows]]' in written
    assert 'holes = "X"     # all closed' in written  # the comment keeps its column
    rows = tuple(replace(row, holes=row.holes[1:]) for row in design.rows)
    written = edited(TEXT, holes=design.holes[1:], rows=rows)
    assert "nearest the mouth" not in written
    assert "# ---- holes ----\n\n# the touchy one\n[[holes]]" in written


def test_a_row_that_moves_takes_its_comment_along(design):
    a, c, d = design.rows
    written = edited(TEXT, rows=(c, a, d))
    assert (
        '# ---- rows ----\n\n# the sweet one\n[[rows]]\nnote  = "C5"\nholes = "X O"\n\n[[rows]]\nnote  = "A4"'
        in written
    )
    assert dumps(replace(loads(written), rows=(a, c, d))) == TEXT


def test_a_row_comes_between(design):
    new = Row("B4", ("X", "H"), role="chromatic")
    written = edited(TEXT, rows=(design.rows[0], new, *design.rows[1:]))
    inserted = '\n[[rows]]\nnote  = "B4"\nholes = "XH"\nrole  = "chromatic"\n'
    assert written == TEXT.replace("\n# the sweet one", inserted + "\n# the sweet one")


def test_a_row_comes_first_and_last(design):
    new = Row("B4", ("X", "H"))
    assert '# ---- rows ----\n\n[[rows]]\nnote  = "B4"\nholes = "XH"\n\n[[rows]]\nnote  = "A4"' in edited(
        TEXT, rows=(new, *design.rows)
    )
    assert edited(TEXT, rows=(*design.rows, new)) == TEXT + '\n[[rows]]\nnote  = "B4"\nholes = "XH"\n'


def test_rows_that_stand_close_stay_close():
    design = loads(INCHES)
    written = edited(INCHES, rows=(*design.rows, Row("D5", ("O", "O"))))
    assert written == INCHES + '[[rows]]\nnote  = "D5"\nholes = "OO"\n'


def test_all_rows_go_and_come_again(design):
    bare = edited(TEXT, rows=())
    assert "# ---- rows ----" in bare
    assert "[[rows]]" not in bare
    again = edited(bare, rows=design.rows)
    assert again.count("[[rows]]") == 3


def test_a_changed_row_is_still_that_row(design):
    a, c, d = design.rows
    written = edited(TEXT, rows=(a, replace(c, measured="C5 +3"), d))
    assert written == TEXT.replace('holes = "X O"\n', 'holes = "X O"\nmeasured = "C5 +3"\n')


def test_all_holes_move_at_once(design):
    holes = tuple(replace(hole, at=hole.at + 0.001) for hole in design.holes)
    assert edited(TEXT, holes=holes) == TEXT.replace("= 150 ", "= 151 ").replace("= 200", "= 201")


def test_inside_a_table_in_a_line():
    text = TEXT + "\n[voicing]\nwindow = { length = 5, width = 9 }   # as cut\n"
    voicing = loads(text).voicing
    changed = edited(text, voicing=replace(voicing, window=replace(voicing.window, length=0.0055)))
    assert "window = { length = 5.5, width = 9 }   # as cut" in changed
    wider = edited(text, voicing=replace(voicing, window=replace(voicing.window, wall=0.002)))
    assert "window = { length = 5, width = 9, wall = 2 }  # as cut" in wider
    assert "as cut" not in edited(text, voicing=replace(voicing, window=None))


def test_odd_layouts():
    design = loads(ODD)
    voicing = replace(design.voicing, window=Window(0.0055, 0.009, 0.002))
    written = edited(ODD, voicing=voicing)
    assert "   length = 5.5\n      width = 9\n      wall  = 2\n# about the hole" in written
    assert "tube.blank = 500" in edited(ODD, tube=replace(design.tube, blank=0.5))
    assert "instrument = { mouth = 'duct' , \"pad\" = 0.25 }" in edited(
        ODD, instrument=replace(design.instrument, pad=0.25)
    )
    assert 'holes = "H"' in edited(ODD, rows=(replace(design.rows[0], holes=("H",)), design.rows[1]))


def test_other_units_rewrite_the_bare_numbers(design):
    written = edited(TEXT.replace("= 150", "= 152.4"), units="in")
    assert 'units = "in"' in written
    assert 'length = "355.4 mm"   # cut long' in written
    assert "at       = 6 " in written


def test_windows_line_ends_stay():
    text = TEXT.replace("\n", "\r\n")
    design = loads(text)
    written = edited(
        text,
        notes="two\nlines",
        shop=replace(design.shop, wood=0.006),
        rows=(*design.rows, Row("E5", ("O", "O"))),
    )
    assert written.count("\n") == written.count("\r\n")


def test_a_text_without_a_last_line_end(design):
    text = TEXT.rstrip("\n")
    assert edited(text, rows=(*design.rows, Row("E5", ("O", "O")))).startswith(TEXT)
    assert edited(text, name="Wren").endswith('holes = "O O"')


def test_a_byte_order_mark_stays_first():
    assert edited("\ufeff" + SMALLEST, name="Wren") == '\ufeffname = "Wren"\n' + SMALLEST


def test_the_smallest_file_grows():
    written = edited(SMALLEST, name="Wren", rows=(Row("A4", ()),))
    assert written == 'name = "Wren"\n' + SMALLEST + '\n[[rows]]\nnote  = "A4"\nholes = ""\n'


@pytest.mark.parametrize(
    "notes", ['a "quoted" \\ word', "tab\there", "\x00\x7f", "'", 'three """ quotes"', "a\r\nb\n", "#"]
)
def test_any_text_survives(notes, design):
    assert loads(edited(TEXT, notes=notes)).notes == notes
    assert loads(dumps(replace(design, notes=notes, name=notes, text=None))).name == notes


def test_what_readings_taught_leaves_no_trace_when_it_is_taken_back():
    """The table that the program wrote goes whole; what the maker wrote stays to the byte."""
    for text in (SMALLEST, FULL.replace(FULL[FULL.index("[learned]") : FULL.index("[air]")], "")):
        design = loads(text)
        taught = loads(dumps(replace(design, learned=Learned(bore=-2e-5, warmth=0.4, stated_length=0.03))))
        assert "[learned]" in (taught.text or "")
        assert dumps(replace(taught, learned=Learned())).rstrip("\n") == text.rstrip("\n")
