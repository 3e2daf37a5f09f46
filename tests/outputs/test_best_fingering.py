"""A chart teaches the best fingering of a note first, and names the scale's own that it leaves out."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pypdfium2

from scaledesign import load
from scaledesign.locations import EXAMPLES
from scaledesign.model.document import Design, HoleState, Role, Row
from scaledesign.outputs.coming_out import warning
from scaledesign.outputs.kinds import Form
from scaledesign.outputs.make import Work, make
from scaledesign.paper.chart.content import chart_of
from scaledesign.paper.chart_text import CIRCLES
from scaledesign.paper.choices import PaperChoices
from scaledesign.solver.prediction import Prediction
from scaledesign.workshop import ask
from scaledesign.workshop.row_cost import row_costs


def states(letters: str) -> tuple[HoleState, ...]:
    known: dict[str, HoleState] = {"X": "X", "O": "O", "H": "H"}
    return tuple(known[letter] for letter in letters)


def row(note: str, letters: str, role: Role = "scale", register: int = 1) -> Row:
    return Row(note, states(letters), role=role, register=register)


PLAIN, FORKED = "XXOOOO", "OXOXXX"
WAYS = (row("F5", PLAIN, "chromatic"), row("F5", FORKED, "alternate"), row("A5", "XXXXXX", register=2))


@cache
def flute() -> Design:
    return replace(load(EXAMPLES / "marsh-wren.toml"), rows=WAYS)


def made(cents: tuple[float, ...], rows: tuple[Row, ...] = WAYS) -> Work:
    """All there is of a flute whose rows are off by as much."""
    design = replace(flute(), rows=rows)
    known = ask.predict(design)
    return Work(design, replace(known, cents=np.array(cents)))


def text_of(work: Work, form: Form, **choices: bool) -> str:
    data = b"".join(each.data for each in make(work, "chart", form, PaperChoices(**choices)))
    if form != "pdf":
        return data.decode()
    pages = pypdfium2.PdfDocument(data)
    return " ".join(page.get_textpage().get_text_range() for page in pages)


def drawn(letters: str) -> str:
    return "   ".join(
        " ".join(CIRCLES[each] for each in part) for part in (states(letters[:3]), states(letters[3:]))
    )


def first_of(work: Work, note: str) -> list[tuple[HoleState, ...]]:
    return [way.states for each in work.plain_chart.notes if each.note.name == note for way in each.ways]


def test_in_tune_comes_before_easy_and_easy_before_as_it_was_written() -> None:
    late, early = states(FORKED), states(PLAIN)
    assert first_of(made((-25.0, -1.0, 0.0)), "F5") == [late, early], "the first has to be lifted"
    assert first_of(made((-3.0, -1.0, 0.0)), "F5") == [early, late], (
        "both are in tune, and the fork is harder"
    )
    turned = (WAYS[1], WAYS[0], WAYS[2])
    assert first_of(made((-1.0, -3.0, 0.0), turned), "F5") == [early, late], "whichever row came first"
    own = (row("F5", FORKED), *WAYS[::2])
    assert first_of(made((-3.0, -1.0, 0.0), own), "F5") == [late, early], (
        "the scale's own, since it is in tune"
    )
    assert first_of(made((-45.0, -22.0, 0.0), own), "F5") == [early, late], "neither is; this one is nearer"


def test_the_text_shows_it_in_the_same_order() -> None:
    lines = text_of(made((-25.0, -1.0, 0.0)), "txt").splitlines()
    place = next(i for i, line in enumerate(lines) if line.startswith("F5"))
    assert lines[place] == f"F5  {drawn(FORKED)}  between"
    assert lines[place + 1] == f"F5  {drawn(PLAIN)}  also, flat: lift it"
    assert drawn(PLAIN) not in text_of(made((-25.0, -1.0, 0.0)), "txt", alternates=False)
    own = (row("F5", PLAIN), *WAYS[1:])
    only = text_of(made((-25.0, -1.0, 0.0), own), "txt", alternates=False)
    assert drawn(PLAIN) not in only, "one way is one way, the scale's own too"


def test_a_row_is_worth_what_the_finder_says() -> None:
    from scaledesign.workshop.finder import choice_of, find
    from scaledesign.workshop.playable import playable

    design = load(EXAMPLES / "marsh-wren.toml")
    prediction: Prediction = ask.predict(design)
    costs = row_costs(design, prediction)
    choice = choice_of(design, playable(design))
    for i, each in enumerate(design.rows):
        if "H" in each.holes:
            continue  # of another open share than the finder tries
        hertz = float(prediction.target[i])
        found = find(design, [hertz], best=999, choice=choice, neighbours=())[0]
        same = [one for one in found if (one.letters, one.register) == ("".join(each.holes), each.register)]
        assert [round(one.cost.alone, 3) for one in same] == [round(costs[i], 3)], each.note


def test_the_scale_s_own_fingering_is_not_dropped_without_a_word() -> None:
    rows = (row("A4", "XXXXXX"), row("A5", "OOOOOO"), row("A5", "XXXXXX", "alternate", 2))
    work = made((0.0, 59.0, 3.0), rows)
    said = "Left out: the scale's own fingering of A5: it does not sound as that note on this flute."
    for form in ("txt", "html", "pdf"):
        shown = " ".join(text_of(work, form).replace("&#x27;", "'").replace("’", "'").split())
        assert said in shown, form
    assert "Left out" not in text_of(made((0.0, 9.0, 3.0), rows), "txt")


def test_two_of_them_are_named_in_one_sentence() -> None:
    rows = (
        row("A4", "XXXXXO"), row("A4", "XXXXXX", "alternate"),
        row("A5", "OOOOOO"), row("A5", "XXXXXX", "alternate", 2), row("C5", "XXXXOO"),
    )  # fmt: skip
    shown = " ".join(text_of(made((70.0, 0.0, -59.0, 3.0, 90.0), rows), "txt").split())
    assert "does not play it: C5." in shown
    assert "the scale's own fingerings of A4 and A5: they do not sound as those notes" in shown


def test_the_worst_is_named_first() -> None:
    rows = tuple(row(note, "XXXXXX") for note in ("A4", "C5", "D5", "E5", "G5"))
    work = made((-13.0, -22.0, -19.0, 59.0, float("nan")), rows)
    said = warning(work.design, work.prediction, "it")
    assert "row 5 (G5, no pitch), row 4 (E5 +59), row 2 (C5 -22) and 2 more" in said


def test_without_costs_the_lower_register_comes_first() -> None:
    work = made((0.0, 0.0, 0.0))
    chart = chart_of(work.design, work.prediction)
    assert [way.states for way in chart.notes[0].ways] == [states(PLAIN), states(FORKED)]
