"""Scale files: every fault at once with key, line and remedy; round trips; the shipped ones."""

from __future__ import annotations

import contextlib
import csv
from itertools import accumulate
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scaledesign.errors import ScaleError
from scaledesign.files import scale_file
from scaledesign.locations import SCALES
from scaledesign.model.scale import Scale

DATA = Path(__file__).parents[1] / "data" / "scales"


def table(name: str) -> list[dict[str, str]]:
    with (DATA / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


GOOD = """\
[scale]
name    = "just pentatonic"      # a comment
words   = "Pure."
source  = "common practice, no source"
degrees = ["1", "6/5", "498 c",
           "3/2", "9/5"]
period  = "2"
steps   = [0, 3, 5, 7, 10]
also    = ["pure five"]
"""


def test_every_key_is_read() -> None:
    scale = scale_file.loads(GOOD)
    assert scale.cents == pytest.approx((0, 315.641287, 498, 701.955001, 1017.596288), abs=1e-6)
    assert scale == Scale(
        "just pentatonic",
        scale.cents,
        1200.0,
        (0, 3, 5, 7, 10),
        "common practice, no source",
        "Pure.",
        ("pure five",),
    )


def test_a_list_that_reaches_the_octave_ends_with_its_period() -> None:
    assert scale_file.loads('[scale]\nname = "a"\ndegrees = ["1", "3/2", "2"]').cents[1:] == (
        701.9550008653874,
    )
    assert scale_file.loads('[scale]\nname = "a"\ndegrees = ["1", "3"]').period == pytest.approx(1901.955)


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("words ", "word ", ("scale.word", "line 3", "'words'")),
        ('"just pentatonic" ', '"" ', ("scale.name", "line 2", "missing")),
        ('"just pentatonic" ', "5 ", ("scale.name", "5", "quotation marks")),
        ('"6/5"', '"6:5"', ("scale.degrees[2]", "6:5", "line 5", "6/5")),
        ('"3/2"', '"-3 c"', ("scale.degrees[4]", "-3 c", "line 6", "below the tonic")),
        ('"3/2"', "1.5", ("scale.degrees[4]", "1.5", "quotation marks")),
        ('"3/2"', '"400 c"', ("scale.degrees", "line 5", "do not rise at number 4")),
        ('["1",', '["9/8",', ("scale.degrees", "line 5", "begin at")),
        ('"2"', '"8/5"', ("scale.degrees", "not below the period")),
        ('"2"', "2", ("scale.period", "line 7", "quotation marks")),
        ("10]", "12]", ("scale.steps", "line 8", "not below")),
        ("10]", '"10"]', ("scale.steps", "line 8", "list of numbers")),
        (", 10]", "]", ("scale.steps", "5 degrees and 4 steps")),
        ('["pure five"]', '"pure five"', ("scale.also", "line 9", "list of names")),
        ("[scale]", "[scales]", ("line 1", "[scale]")),
        ('"Pure."', '"Pure.', ("line 3", "no TOML")),
        ("period", "author = 5\nperiod", ("scale.author", "line 7", "one of name")),
    ],
)
def test_a_fault_names_key_line_and_remedy(old: str, new: str, said: tuple[str, ...]) -> None:
    assert old in GOOD
    with pytest.raises(ScaleError) as caught:
        scale_file.loads(GOOD.replace(old, new, 1), "mine.toml")
    message = str(caught.value)
    assert "mine.toml" in message
    for part in said:
        assert part in message


def test_all_faults_at_once() -> None:
    with pytest.raises(ScaleError) as caught:
        scale_file.loads('[scale]\nnam = "x"\ndegrees = ["1", "a", "b"]\nsteps = "no"\n[more]\n')
    assert [fault.key for fault in caught.value.faults] == [
        "more",
        "scale.nam",
        "scale.name",
        "scale.degrees[2]",
        "scale.degrees[3]",
        "scale.steps",
    ]


@pytest.mark.parametrize("text", ["", "[scale]", "scale = 5", "[[scale]]"])
def test_next_to_nothing_is_a_fault_too(text: str) -> None:
    with pytest.raises(ScaleError, match=r"\[scale\]|name"):
        scale_file.loads(text)


def test_files_that_cannot_be_read(tmp_path: Path) -> None:
    with pytest.raises(ScaleError, match="cannot be read"):
        scale_file.load(tmp_path / "none.toml")
    (tmp_path / "bytes.toml").write_bytes(b"\xff\xfe")
    with pytest.raises(ScaleError, match="UTF-8"):
        scale_file.load(tmp_path / "bytes.toml")


@pytest.mark.parametrize("row", table("scales-measured.csv"), ids=lambda r: r["row"])
def test_measured_scales_go_out_and_come_back_unchanged(row: dict[str, str]) -> None:
    """McBride, Passmore & Tlusty 2023, PLoS ONE 18(12) e0284851; totals need not be 1200."""
    degrees = tuple(accumulate(map(float, row["intervals_cents"].split()), initial=0.0))
    scale = Scale(row["row"], degrees[:-1], period=degrees[-1], source=row["source"])
    assert scale_file.loads(scale_file.dumps(scale)) == scale


@given(
    st.text(min_size=1).filter(str.strip),
    st.lists(st.floats(1.0, 1199.0), max_size=20, unique=True).map(sorted),
    st.sampled_from([1200.0, 1901.955, 1172.0 + 1 / 3, 1199.5]),
)
def test_any_scale_goes_out_and_comes_back(name: str, cents: list[float], period: float) -> None:
    if name.encode("utf-8", "ignore").decode() != name:
        return
    scale = Scale(name, (0.0, *(value for value in cents if value < period)), period)
    assert scale_file.loads(scale_file.dumps(scale)) == scale


@given(st.data())
def test_a_mutated_file_never_breaks_the_reader(data: st.DataObject) -> None:
    at = data.draw(st.integers(0, len(GOOD) - 1))
    cut = data.draw(st.integers(0, 5))
    text = GOOD[:at] + data.draw(st.text(max_size=4)) + GOOD[at + cut :]
    with contextlib.suppress(ScaleError):
        scale_file.loads(text)


SHIPPED = sorted(SCALES.glob("*.toml"))


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.stem)
def test_shipped_scales_have_words_and_a_source(path: Path) -> None:
    scale = scale_file.load(path)
    assert scale.words.endswith(".")
    assert len(scale.words) <= 100
    assert scale.source
    assert path.stem == scale.name.lower().replace(" iii", "-3").replace(" meantone", "").replace(" ", "-")


TEMPERED = {
    "quarter-comma.toml": "quarter-comma meantone Eb-G#",
    "werckmeister-3.toml": "Werckmeister III",
    "kirnberger-3.toml": "Kirnberger III",
    "vallotti.toml": "Vallotti (1/6 Pythagorean comma)",
    "just-chromatic.toml": "just, C major",
    "pythagorean-chromatic.toml": "pythagorean Eb-G#",
}


@pytest.mark.parametrize(("file", "name"), TEMPERED.items())
def test_shipped_temperaments_are_the_published_ones(file: str, name: str) -> None:
    """Each computed from the fifths it tempers; to 0.01 cent."""
    rows = [r for r in table("temperaments.csv") if r["temperament"] == name]
    expected = [float(row["cents_from_C"]) for row in rows]
    assert scale_file.load(SCALES / file).cents == pytest.approx(expected, abs=0.01)


def test_temperaments_from_their_fifths() -> None:
    """Twelve fifths of each, round the circle from Eb: which are narrow, and by how much of a comma."""
    pure = 701.9550008653874
    pythagorean, syntonic = 12 * pure - 8400, 4 * pure - 2400 - 386.31371386483466
    circle = [3, 10, 5, 0, 7, 2, 9, 4, 11, 6, 1, 8]

    def fifths(file: str) -> list[float]:
        cents = scale_file.load(SCALES / file).cents
        return [(cents[b] - cents[a]) % 1200 for a, b in zip(circle, [*circle[1:], circle[0]], strict=True)]

    narrow = pure - pythagorean / 4
    assert fifths("werckmeister-3.toml") == pytest.approx(
        [pure, pure, pure, narrow, narrow, narrow, pure, pure, narrow, pure, pure, pure], abs=0.001
    )
    sixth = pure - pythagorean / 6
    assert fifths("vallotti.toml") == pytest.approx(
        [pure, pure, sixth, sixth, sixth, sixth, sixth, sixth, pure, pure, pure, pure], abs=0.001
    )
    quarter = pure - syntonic / 4
    assert fifths("quarter-comma.toml") == pytest.approx([quarter] * 11 + [737.637], abs=0.001)


MEASURED = {"slendro.toml": "M0404", "pelog.toml": "M0408", "dizi-1885.toml": "M0409"}


@pytest.mark.parametrize(("file", "name"), MEASURED.items())
def test_shipped_measured_scales_are_the_published_ones(file: str, name: str) -> None:
    """A. J. Ellis 1885, through McBride, Passmore & Tlusty 2023."""
    (row,) = (r for r in table("scales-measured.csv") if r["row"] == name)
    scale = scale_file.load(SCALES / file)
    assert (*scale.cents, scale.period) == tuple(map(float, row["degrees_cents"].split()))
