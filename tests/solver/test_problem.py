"""Lowering a design to arrays: what is taken from the file, what is assumed, what is said about it."""

from __future__ import annotations

from dataclasses import fields, replace
from typing import Any

import numpy as np
import pytest

from scaledesign.model.document import (
    AirSetting,
    Chamber,
    Design,
    Embouchure,
    Foot,
    Hole,
    Instrument,
    Learned,
    Row,
    Station,
    Tube,
    Uncertainty,
    Voicing,
    Window,
)
from scaledesign.physics import mouth
from scaledesign.physics.air import moist_air, played_air, pressure_at
from scaledesign.solver import problem as lowering
from scaledesign.solver.problem import CENT, DEFAULT_DOUBTS, model_doubts, problem_of, unread, voicing_of

MM = 1e-3


def design(**change: Any) -> Design:
    """A tube of 400 x 16 mm with three fingered holes and a tuning hole between them."""
    plain = Design(
        tube=Tube(0.4, (Station(0.0, 0.016),), (Station(0.0, 0.004),)),
        holes=(
            Hole(0.20, 0.006, finger="L1"),
            Hole(0.25, 0.007, finger="L2"),
            Hole(0.37, 0.005),
            Hole(0.30, 0.008, finger="R1", wall=0.003),
        ),
        rows=(Row("A4", ("X", "X", "X")), Row("B4", ("X", "H", "O"), register=2, weight=0.1, open_share=0.3)),
    )
    return replace(plain, **change)


def test_letters_skip_tuning_holes() -> None:
    """A hole without a finger is open in every row and has no letter."""
    share = problem_of(design(), (440.0, 494.0)).fingerings.share
    assert share.T.tolist() == [[0.0, 0.0, 1.0, 0.0], [0.0, 0.3, 1.0, 1.0]]


def test_rows_carry_target_weight_and_register() -> None:
    """In the order of the design, lent rows behind."""
    lent = Row("C5", ("O", "O", "O"), weight=0.02)
    problem = problem_of(design(), (440.0, 494.0), ((lent, 523.0),))
    assert problem.target.tolist() == [440.0, 494.0, 523.0]
    assert problem.weight.tolist() == [1.0, 0.1, 0.02]
    assert problem.fingerings.register.tolist() == [1, 2, 1]


def test_geometry_is_taken_over() -> None:
    """Radii for diameters; a chimney of its own; nan where the hole follows the tube's wall."""
    flutes = problem_of(design(), (440.0, 494.0)).flutes
    assert flutes.at.tolist() == [[0.20, 0.25, 0.37, 0.30]]
    assert flutes.radius.tolist() == [[0.003, 0.0035, 0.0025, 0.004]]
    assert np.isnan(flutes.body.hole_wall).tolist() == [True, True, True, False]
    assert flutes.body.hole_wall[3] == 0.003
    assert (flutes.length[0], flutes.bore_scale[0], flutes.wall_offset[0]) == (0.4, 1.0, 0.0)


def test_ovals_keep_their_area() -> None:
    """Hole and bore: the round of the same area."""
    tube = Tube(0.4, (Station(0.0, 0.016, across=0.018),), (Station(0.0, 0.004),))
    oval = problem_of(design(tube=tube, holes=(Hole(0.2, 0.005, across=0.008, finger="L1"),), rows=()), ())
    assert oval.flutes.body.slices.radius[0] ** 2 == pytest.approx(0.008 * 0.009)
    assert oval.flutes.radius[0, 0] ** 2 == pytest.approx(0.0025 * 0.004)


@pytest.mark.parametrize("foot", [Foot("open"), Foot("flanged"), Foot("stopped"), Foot("node", 0.009)])
def test_the_foot(foot: Foot) -> None:
    """Kind, and the radius of the hole in a node."""
    plain = design()
    body = problem_of(replace(plain, tube=replace(plain.tube, foot=foot), rows=()), ()).flutes.body
    assert (body.foot, body.foot_radius) == (foot.kind, (foot.diameter or 0.0) / 2)


def test_the_mouth() -> None:
    """Cavity, drift and pad from the file; an ideal open end has no voicing and no doubt of it."""
    voicing = Voicing(0.03, cavity=0.01, drift=0.001)
    real = problem_of(design(voicing=voicing, instrument=Instrument(pad=0.3), rows=()), ())
    body = real.flutes.body
    assert (body.cavity, body.pad, body.ideal_mouth) == (0.01, 0.3, False)
    assert real.flutes.drift.tolist() == [0.001]
    ideal = problem_of(design(voicing=voicing, instrument=Instrument(mouth="open"), rows=()), ())
    assert ideal.flutes.body.ideal_mouth
    assert (ideal.flutes.added_length[0], ideal.voicing_doubt) == (0.0, 0.0)


def test_a_bare_tube_has_no_holes() -> None:
    """The tube of another length before any hole is drilled."""
    flutes = lowering.flutes_of(design(), bare_length=0.41)
    assert flutes.at.shape == flutes.radius.shape == (1, 0)
    assert flutes.body.hole_wall.shape == (0,)
    assert flutes.length[0] == 0.41


WINDOW, HOLE = Window(0.005, 0.009), Embouchure(0.012, 0.010)


@pytest.mark.parametrize(
    ("kind", "voicing", "expected"),
    [
        ("duct", Voicing(), mouth.guessed_window(0.008)),
        ("duct", Voicing(window=WINDOW), mouth.window_estimate(0.009, 0.005, 0.004, 0.008)),
        (
            "duct",
            Voicing(window=replace(WINDOW, wall=0.002)),
            mouth.window_estimate(0.009, 0.005, 0.002, 0.008),
        ),
        ("duct", Voicing(embouchure=HOLE), mouth.guessed_window(0.008)),
        ("transverse", Voicing(), mouth.stoppered(mouth.guessed_embouchure(0.008, 0.004))),
        ("transverse", Voicing(window=WINDOW), mouth.stoppered(mouth.guessed_embouchure(0.008, 0.004))),
        (
            "transverse",
            Voicing(embouchure=HOLE),
            mouth.stoppered(mouth.embouchure_estimate(0.012, 0.010, 0.004, 0.33, 0.008)),
        ),
        (
            "transverse",
            Voicing(embouchure=Embouchure(0.012, 0.010, 0.005, 0.2)),
            mouth.stoppered(mouth.embouchure_estimate(0.012, 0.010, 0.005, 0.2, 0.008)),
        ),
        ("notch", Voicing(), mouth.guessed_rim(0.008)),
        ("rim", Voicing(embouchure=HOLE), mouth.embouchure_estimate(0.012, 0.010, 0.0, 0.33, 0.008)),
    ],
)
def test_an_unstated_voicing_is_estimated(kind: Any, voicing: Voicing, expected: mouth.MouthEstimate) -> None:
    """From the mouth's own geometry where the file has it, from usual proportions where not."""
    assert voicing_of(design(instrument=Instrument(mouth=kind), voicing=voicing)) == expected


def test_a_stated_voicing_stands() -> None:
    """With its stated doubt, or that of a guess; a doubt alone goes with the estimate."""
    guess = mouth.guessed_window(0.008)
    stated = voicing_of(design(voicing=Voicing(0.03, window=WINDOW)))
    assert (stated.added_length, stated.uncertainty) == (0.03, 0.03 * mouth.GUESS_DOUBT)
    sure = voicing_of(design(voicing=Voicing(0.03, uncertainty=0.002)))
    assert (sure.added_length, sure.uncertainty, sure.basis) == (0.03, 0.002, "the added length in the file")
    only = voicing_of(design(voicing=Voicing(uncertainty=0.002)))
    assert (only.added_length, only.uncertainty, only.basis) == (guess.added_length, 0.002, guess.basis)


def test_a_stated_cavity_and_drift_stand() -> None:
    """Known, the cavity leaves less of the drift open; unknown, a transverse flute's leaves most."""
    usual = voicing_of(design(instrument=Instrument(mouth="transverse"), voicing=Voicing(0.045)))
    assert usual.cavity == pytest.approx(0.015)
    assert 0 < usual.cavity_uncertainty < usual.cavity
    known = voicing_of(
        design(instrument=Instrument(mouth="transverse"), voicing=Voicing(0.045, cavity=0.017, drift=0.002))
    )
    assert (known.cavity, known.cavity_uncertainty, known.drift) == (0.017, 0.0, 0.002)
    assert known.drift_uncertainty == mouth.drift_doubt(0.045, 0.0) < usual.drift_uncertainty
    assert voicing_of(design(voicing=Voicing())).cavity == 0.0


@pytest.mark.parametrize("kind", ["duct", "notch", "rim", "transverse"])
def test_a_longer_end_is_less_sure_toward_the_high_notes(kind: Any) -> None:
    made = [
        voicing_of(design(instrument=Instrument(mouth=kind), voicing=Voicing(added)))
        for added in (0.02, 0.03, 0.05)
    ]
    assert made[0].drift_uncertainty < made[1].drift_uncertainty < made[2].drift_uncertainty
    assert all(estimate.drift == 0 for estimate in made)


def test_an_ideal_open_end_leaves_nothing_open() -> None:
    made = voicing_of(design(instrument=Instrument(mouth="open")))
    assert (made.added_length, made.drift_uncertainty, made.cavity, made.cavity_uncertainty) == (0, 0, 0, 0)


def test_doubts_of_the_file_take_the_place_of_ours() -> None:
    """Key by key; zero is a doubt like any other."""
    assert lowering.doubts_of(design()) == DEFAULT_DOUBTS
    for field in fields(Uncertainty):
        own = lowering.doubts_of(design(uncertainty=Uncertainty(**{field.name: 0.0})))
        assert own == replace(DEFAULT_DOUBTS, **{field.name: 0.0})


def test_the_air_in_the_bore() -> None:
    """Still air is the room's; breath warms it, wets it and adds CO2 (Dickens 2007: 21 degC, about 28)."""
    still = lowering.air_of(design(air=AirSetting(18.0, 60.0, pressure=98400.0, breath=0.0)))
    assert float(still.c) == pytest.approx(float(moist_air(18.0, 60.0, 98400.0).c), rel=1e-12)
    high = lowering.air_of(design(air=AirSetting(18.0, 0.0, altitude=2000.0, breath=0.0)))
    assert float(high.rho / moist_air(18.0, 0.0).rho) == pytest.approx(79495 / 101325, rel=1e-5)
    warm = lowering.air_of(design(air=AirSetting(21.0)))
    assert float(warm.c) == pytest.approx(float(moist_air(27.8, 100.0, co2=0.025).c), abs=0.05)
    another = lowering.air_of(design(air=AirSetting(21.0)), room=15.0)
    assert float(another.c) == pytest.approx(float(lowering.air_of(design(air=AirSetting(15.0))).c))


@pytest.mark.parametrize(
    ("fingering", "register", "factor"),
    [
        ("XXXX", 1, 0.5),
        ("XXXX", 2, 0.875),
        ("XXXO", 1, 1),
        ("OOOO", 1, 1),
        ("XXOO", 2, 1.75),
        ("XXOX", 1, 3),
        ("XOXO", 1, 3),
        ("OXXO", 1, 4.5),
        ("OXXX", 1, 4.5),
        ("OOXO", 2, 1.75),
        ("OXXO", 3, 4.5),
        ("XXXH", 1, 7.5),
        ("HXXO", 2, 7.5),
    ],
)
def test_the_model_is_trusted_less_where_it_knows_less(fingering: str, register: int, factor: float) -> None:
    """Nothing open, overblown, cross-fingered, half-holed: the worst cause counts (common practice)."""
    share = np.array([[{"X": 0.0, "O": 1.0, "H": 0.4}[letter]] for letter in fingering])
    assert model_doubts(share, np.array([register]), 6.0).tolist() == [6.0 * factor]


def test_a_tube_without_holes_is_plain() -> None:
    """No fingering can be crossed or part open there."""
    assert model_doubts(np.zeros((0, 2)), np.array([1, 2]), 4.0).tolist() == [2.0, 3.5]


def test_what_is_not_modelled_is_said() -> None:
    """Small holes, a node: a word for each, naming the holes. Shapes of holes are reckoned with."""
    tube = Tube(0.4, (Station(0.0, 0.016, 0.017),), (Station(0.0, 0.004),), foot=Foot("node", 0.009))
    holes = (
        Hole(0.2, 0.006, across=0.008, finger="L1"),
        Hole(0.25, 0.006, slant=10, finger="L2"),
        Hole(0.3, 0.0035, undercut=0.001, slant=-5, finger="L3"),
    )
    remarks = problem_of(design(tube=tube, holes=holes, rows=()), ()).remarks
    assert not any(word in words for words in remarks for word in ("Oval", "Slant", "Undercut"))
    assert any(words.startswith("Hole 3: under 4.0 mm") for words in remarks)
    assert any("node" in words for words in remarks)
    assert problem_of(design(), (440.0, 494.0)).remarks == ()


def test_what_was_learned_changes_the_flute_while_it_is_in_force() -> None:
    """Wider, thicker and warmer by so much; without ``calibrated`` it is a note in the margin."""
    learned = Learned(bore=2e-4, wall=-1e-4, warmth=3.0)
    voicing = Voicing(0.03, drift=1e-3, calibrated=True)
    taught = design(voicing=voicing, learned=learned, rows=())
    made = problem_of(taught, ()).flutes
    plain = problem_of(replace(taught, voicing=replace(voicing, calibrated=False)), ()).flutes
    assert made.bore_scale[0] - 1 == pytest.approx(2e-4 / taught.tube.bore[0].value)
    assert (made.wall_offset[0], plain.wall_offset[0], plain.bore_scale[0]) == (-1e-4, 0.0, 1.0)
    air = taught.air
    pressure = float(pressure_at(air.altitude))
    warm = played_air(air.temperature, air.humidity, pressure, air.breath, 3.0)
    for name in ("c", "rho", "mu", "gamma", "pr"):
        assert float(getattr(made.air, name)[0]) == pytest.approx(float(getattr(warm, name)), rel=5e-4)
    assert CENT * abs(np.log(made.air.c[0] / float(warm.c))) < 0.11
    assert float(plain.air.c[0]) < float(warm.c) * 0.996


def test_a_flute_altered_by_a_batch_of_states_is_as_many_flutes() -> None:
    """One for each line, in the order of what readings teach; the flute itself stays."""
    plain = problem_of(design(rows=()), ()).flutes
    state = np.array([[1e-3, 2e-3, 3e-4, 4e-4, 0.5], [0.0, 0.0, 0.0, 0.0, 0.0]])
    two = lowering.altered(plain, state)
    assert two.count == 2
    assert two.added_length - plain.added_length == pytest.approx([1e-3, 0.0])
    assert two.drift - plain.drift == pytest.approx([2e-3, 0.0])
    assert two.wall_offset.tolist() == [4e-4, 0.0]
    assert two.bore_scale == pytest.approx([1 + 3e-4 / (2 * plain.body.slices.radius[0]), 1.0])
    assert two.air.c[0] > two.air.c[1] == plain.air.c[0]


def test_before_any_reading_the_flute_is_as_stated() -> None:
    """What [voicing] said before the first reading comes back, and with it how far it was trusted."""
    learned = Learned(bore=1e-4, stated_length=0.031, stated_uncertainty=0.004, stated_drift=5e-4)
    voicing = Voicing(0.029, uncertainty=0.001, drift=2e-3, calibrated=True)
    before = unread(design(voicing=voicing, learned=learned))
    assert before == design(voicing=Voicing(0.031, uncertainty=0.004, drift=5e-4))
    assert unread(before) is before
    doubts = lowering.before_of(design(voicing=voicing, learned=learned))
    assert (doubts.added_length, doubts.bore) == (0.004, DEFAULT_DOUBTS.bore)
    assert doubts.drift == voicing_of(before).drift_uncertainty


def test_flue_and_chamber_count_together_or_not_at_all() -> None:
    """Half of their sizes is none, and said so; all of them raise every note."""
    window = Window(0.0048, 0.0095, 0.002, 0.012, 0.001)
    tube = replace(design().tube, chamber=Chamber(0.15, 0.005))
    whole = design(tube=tube, instrument=Instrument("duct"), voicing=Voicing(window=window))
    half = replace(whole, voicing=Voicing(window=replace(window, flue_height=None)))
    assert problem_of(whole, (440.0, 494.0)).flutes.body.airway is not None
    assert problem_of(half, (440.0, 494.0)).flutes.body.airway is None
    assert any(
        "Flue and slow-air chamber are left out" in words
        for words in problem_of(half, (440.0, 494.0)).remarks
    )
    assert not any("left out" in words for words in problem_of(whole, (440.0, 494.0)).remarks)
