"""Many flutes on paper: held against the ± of the prediction, repeatable, refused in words, cancelled."""

from __future__ import annotations

from dataclasses import replace
from math import erf, sqrt

import numpy as np
import pytest

import scaledesign
from scaledesign.errors import EditError
from scaledesign.locations import EXAMPLES
from scaledesign.model.document import Design
from scaledesign.wanted import UnwantedError, while_wanted
from scaledesign.workshop.chances import FEW, MOST, Chances, chances, in_words

COUNT = 2000


def wren() -> Design:
    return scaledesign.load(EXAMPLES / "marsh-wren.toml")


@pytest.fixture(scope="module")
def made() -> Chances:
    return chances(wren(), COUNT)


def test_each_note_is_in_tune_as_often_as_its_own_spread_says(made: Chances) -> None:
    """Four standard errors of a share out of so many; the spread in cents is the prediction's."""
    prediction = scaledesign.predict(wren())
    limit = wren().tuning.tolerance
    for place, row in enumerate(made.rows):
        off, sure = float(prediction.cents[row]), float(prediction.uncertainty[row])
        above, below = ((limit - off) / sure, (-limit - off) / sure)
        within = 0.5 * (erf(above / sqrt(2)) - erf(below / sqrt(2)))
        error = 4 * sqrt(within * (1 - within) / COUNT)
        assert made.within[place] == pytest.approx(within, abs=error)
        assert made.planned[place] == pytest.approx(off, abs=1e-6)


def test_all_notes_come_out_together_oftener_than_if_they_were_strangers(made: Chances) -> None:
    """The mouth moves all of them together; brought to pitch as a whole, more flutes are in tune still."""
    strangers = float(np.prod(made.within))
    assert strangers < made.every <= made.together <= 1
    assert made.every <= float(made.within.min())
    assert made.every <= made.none_sharp <= 1 - float(made.sharp.max())


def test_a_mouth_that_was_heard_and_a_careful_hand_have_better_chances(made: Chances) -> None:
    careful = replace(
        wren(), uncertainty=replace(wren().uncertainty, model=1.0, at=1e-4, diameter=2e-5, temperature=0.2)
    )
    assert chances(careful, COUNT).together > made.together + 0.1
    heard = scaledesign.calibrate(wren(), bare="G4 +30").design
    spread = [(each.high - each.low).mean() for each in (made, chances(heard, COUNT))]
    assert spread[1] < 0.5 * spread[0]


def test_the_same_seed_makes_the_same_flutes() -> None:
    one, same, other = (chances(wren(), FEW, seed) for seed in (3, 3, 4))
    assert (one.low == same.low).all()
    assert (one.low != other.low).any()


@pytest.mark.parametrize(("count", "seed"), [(FEW - 1, 1), (MOST + 1, 1), (FEW, -1)])
def test_what_cannot_be_made_is_refused_in_words(count: int, seed: int) -> None:
    with pytest.raises(EditError, match=r"ask for 100 to 100000|give 0 or more"):
        chances(wren(), count, seed)


def test_a_flute_without_a_note_that_counts_is_refused() -> None:
    silent = replace(wren(), rows=tuple(replace(r, weight=0.0, role="alternate") for r in wren().rows))
    assert not any(row.counts for row in silent.rows)
    with pytest.raises(EditError, match="no note that counts"):
        chances(silent)


def test_it_ends_where_it_is_not_wanted_any_more() -> None:
    told: list[float | None] = []
    with pytest.raises(UnwantedError), while_wanted(lambda: len(told) > 2, told.append):
        chances(wren(), MOST)
    assert len(told) == 3


def test_shares_are_said_as_flutes_in_a_hundred(made: Chances) -> None:
    said = in_words(made, wren())
    assert said.startswith(f"Of {COUNT:,} flutes")
    assert "blown and typed in" in said
    sure = replace(made, every=1.0, together=1.0, none_sharp=0.995, blown=True)
    assert "all would have every note" in in_words(sure, wren())
    assert "Fewer than 1 in 100 would have a note that is sharper" in in_words(sure, wren())
    assert "blown" not in in_words(sure, wren())


def test_a_design_that_is_off_as_drawn_is_told_so_first(made: Chances) -> None:
    off = np.array(made.planned)
    off[1] = 40.0
    said = in_words(replace(made, planned=off), wren())
    assert "C5 is 40 cents sharp already" in said
    assert "scaledesign solve" in said
    assert "begun small" not in said
