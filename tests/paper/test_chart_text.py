"""The chart for the player."""

from __future__ import annotations

from dataclasses import replace
from math import nan
from typing import Any
from unicodedata import combining

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from scaledesign.errors import EditError
from scaledesign.model.document import Design, Finger, Hole, HoleState, Row, Tuning
from scaledesign.model.pitch import LETTERS, parse_note
from scaledesign.paper.chart.content import ChartTrill
from scaledesign.paper.chart_text import NARROW, NO_NOTES, fingering_chart
from scaledesign.paper.choices import PaperChoices
from scaledesign.paper.note_names import LANGUAGES
from scaledesign.paper.text import WIDTH


def test_circles(design: Design) -> None:
    assert fingering_chart(design).splitlines() == [
        "Reed bunting in A4, pentatonic minor",
        "● closed   ○ open   ◐ partly open   mouth to the left",
        "",
        "A4   ●   ● ●",
        "C5   ●   ● ○",
        "C#5  ●   ◐ ○  between",
        "A5   ●   ● ●  blow harder",
    ]


def test_letters_for_a_phone_that_spoils_circles(design: Design) -> None:
    text = fingering_chart(design, ascii_only=True)
    assert text.isascii()
    assert "C#5  X   / o  between" in text


def test_nothing_about_acoustics(design: Design) -> None:
    assert not any(word in fingering_chart(design) for word in ("cents", "Hz", "±", "mm"))


def test_a_fingering_that_sounds_as_another_note_is_not_promised(design: Design) -> None:
    text = fingering_chart(design, (0.0, 70.0, -51.0, 12.0))
    assert "C#5 " not in text
    assert "◐" not in text
    assert "C5 " not in text  # of the scale: no reason to promise it
    assert text.endswith("\n\nLeft out, because this flute does not play them: C5, C#5.")


def test_a_fingering_that_cannot_sound_is_not_promised(design: Design) -> None:
    text = fingering_chart(design, (nan, 0.0, 0.0, 12.0))
    assert text.endswith("\n\nLeft out, because this flute does not play it: A4.")


def test_a_note_that_another_way_plays_is_not_named_as_left_out(design: Design) -> None:
    twice = replace(design, rows=(*design.rows, replace(design.rows[2], holes=("O", "X", "O"))))
    text = fingering_chart(twice, (0.0, 0.0, 70.0, 0.0, 3.0))
    assert "C#5  ○   ● ○" in text
    assert "Left out" not in text


def test_notes_clearly_off_are_told_to_be_helped(design: Design) -> None:
    off = (-20.0, 0.0, 21.0, -46.0)
    lines = fingering_chart(design, off).splitlines()
    assert lines[-4:] == [
        "A4   ●   ● ●",
        "C5   ●   ● ○",
        "C#5  ●   ◐ ○  between, sharp: ease it",
        "A5   ●   ● ●  blow harder, flat: lift it",
    ]
    short = fingering_chart(design, off, narrow=True).splitlines()
    assert short[-2:] == ["C#5  ● ◐○  ↓ between", "A5   ● ●●  +↑"]
    assert "↑ flat: lift it  ↓ sharp: ease it" not in short[2:5]  # too broad for a telephone
    assert {"↑ flat: lift it", "↓ sharp: ease it"} <= {part for line in short for part in line.split("  ")}
    letters = fingering_chart(design, off, narrow=True, ascii_only=True)
    assert letters.endswith("C#5  X /o  v between\nA5   X XX  +^")
    assert "^ flat: lift it" in letters


def test_a_flute_that_plays_no_note_says_so(design: Design) -> None:
    for narrow in (False, True):
        text = fingering_chart(design, (70.0, nan, -51.0, 99.0), narrow=narrow)
        assert NO_NOTES in " ".join(text.split())
        assert "Left out, because this flute does not play them: A4, C5, C#5, A5." in " ".join(text.split())


def test_also_is_said_of_a_second_way_only(design: Design) -> None:
    rows = (*design.rows, replace(design.rows[3], note="C6"), replace(design.rows[2], role="alternate"))
    last = fingering_chart(replace(design, rows=rows)).splitlines()[-3:]
    assert [line.partition("  ●   ")[2][5:] for line in last] == ["blow harder", "blow harder", "also"]


def test_no_half_hole_no_sign_for_it(design: Design) -> None:
    assert "partly" in fingering_chart(design)
    assert "partly" not in fingering_chart(replace(design, rows=design.rows[:2]))


def test_a_name_says_nothing_to_the_terminal(design: Design) -> None:
    odd = replace(design, name="a\x1b[31m\nb\u202ec")
    assert fingering_chart(odd).startswith("a [31m b c in A4, pentatonic minor\n")


def test_short_lines_for_a_telephone(design: Design) -> None:
    assert fingering_chart(design, narrow=True).splitlines() == [
        "Reed bunting in A4, pentatonic",
        "minor",
        "● closed  ○ open  ◐ partly open",
        "+ blow harder  mouth to the left",
        "",
        "A4   ● ●●",
        "C5   ● ●○",
        "C#5  ● ◐○  between",
        "A5   ● ●●  +",
    ]


def test_notes_have_the_names_that_were_chosen(design: Design) -> None:
    def named(**words: Any) -> list[str]:
        lines = fingering_chart(design, choices=PaperChoices(names=words.pop("names")), **words).splitlines()
        return [lines[0], *(line.split()[0] for line in lines[3:])]

    assert named(names="german") == ["Reed bunting in A4, pentatonic minor", "A4", "C5", "Cis5", "A5"]
    assert named(names="french")[0] == "Reed bunting in La4, pentatonic minor"
    assert named(names="french", ascii_only=True)[3] == "Do#5"
    assert named(names="numbers")[1:] == ["1", "♭3", "3", "1\u0307"]
    assert named(names="numbers", ascii_only=True)[1:] == ["1", "b3", "3", "1'"]


def test_dots_take_no_room_in_a_column(design: Design) -> None:
    lines = fingering_chart(design, choices=PaperChoices(names="numbers")).splitlines()[3:]
    assert len({line.replace("\u0307", "").index("●") for line in lines}) == 1


def test_a_pitch_that_is_no_note_stays_as_it_is_written(design: Design) -> None:
    pitch = replace(design, rows=(replace(design.rows[0], note="452.3 Hz"),))
    assert "452.3 Hz  ●   ● ●" in fingering_chart(pitch, choices=PaperChoices(names="german"))


def test_a_language_nobody_knows(design: Design) -> None:
    with pytest.raises(EditError, match="'martian'"):
        fingering_chart(design, choices=PaperChoices(names="martian"))


def test_overblown_notes_and_other_ways_only_where_chosen(design: Design) -> None:
    other = replace(
        design, rows=(*design.rows, replace(design.rows[2], role="alternate", holes=("O", "X", "O")))
    )
    assert fingering_chart(other).splitlines()[-1] == "C#5  ○   ● ○  also"
    few = fingering_chart(other, choices=PaperChoices(registers=False, alternates=False))
    assert few.splitlines()[3:] == fingering_chart(design).splitlines()[3:6]


def test_trills_where_chosen(design: Design) -> None:
    trill = ChartTrill(parse_note("A4"), parse_note("C5"), ("X", "X", "X"), ("X", "X", "O"), 2, ("L2",))
    assert "Trills" not in fingering_chart(design, trills=(trill,))
    chosen = PaperChoices(trills=True)
    text = fingering_chart(design, trills=(trill,), choices=chosen)
    assert text.endswith("\n\nTrills\n\nA4-C5  ●   ● ◎  blow harder")
    assert "◎ moves" in text
    letters = fingering_chart(design, trills=(trill,), choices=chosen, ascii_only=True, narrow=True)
    assert letters.endswith("A4-C5  X X*  +")


FINGERS: tuple[Finger, ...] = ("LT", "RT", "L1", "L2", "L3", "L4", "R1", "R2", "R3", "R4")


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    count=st.integers(0, 10),
    names=st.sampled_from(list(LANGUAGES)),
    rows=st.lists(
        st.tuples(
            st.sampled_from(
                [
                    f"{letter}{sign}{octave}"
                    for letter in LETTERS
                    for sign in ("", "#", "b", "`")
                    for octave in "46"
                ]
            ),
            st.sampled_from("XOH"),
            st.integers(1, 3),
            st.sampled_from(["scale", "chromatic", "alternate"]),
            st.sampled_from([-30.0, 0.0, 30.0]),
        ),
        max_size=6,
    ),
    name=st.text("abcdefgh ", max_size=60),
)
def test_it_fits_its_lines_whatever_the_flute(
    design: Design, count: int, names: str, rows: list[tuple[Any, ...]], name: str
) -> None:
    def states(state: HoleState) -> tuple[HoleState, ...]:
        return (state,) * count

    flute = replace(
        design,
        name=name.strip(),
        tuning=Tuning(tonic="Eb4", scale="pentatonic minor"),
        holes=tuple(Hole(0.1 + 0.01 * i, 0.006, finger=FINGERS[i]) for i in range(count)),
        rows=tuple(
            Row(note, states(state), register=register, role=role) for note, state, register, role, _ in rows
        ),
    )
    for narrow, room in ((False, WIDTH), (True, NARROW)):
        for ascii_only in (False, True):
            choices = PaperChoices(names=names)
            off = [row[-1] for row in rows]
            text = fingering_chart(flute, off, narrow=narrow, ascii_only=ascii_only, choices=choices)
            assert max(map(shown, text.splitlines())) <= room
            assert not ascii_only or text.isascii()
            assert len(text.splitlines()) >= len(rows) + 2


def shown(line: str) -> int:
    return sum(not combining(sign) for sign in line)
