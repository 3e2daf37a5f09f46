"""What was asked to be blown again is taken as it comes: nobody has to say twice that it is so."""

from __future__ import annotations

from datetime import timedelta

import pytest

from scaledesign.errors import EditError
from scaledesign.model.pitch import format_reading, raised
from scaledesign.workshop.making.plan import next_step
from scaledesign.workshop.noting import Told, note
from tests.workshop.making.reeds import Maker, planned

FLAT = -90.0
"""Cents: a chip under the hole."""


def test_a_far_off_reading_is_asked_about_once_and_then_taken_when_it_comes_alike() -> None:
    maker = Maker(planned())
    while next_step(maker.design).kind != "drill":
        maker.do(next_step(maker.design))
    design, step = maker.design, next_step(maker.design)
    assert step.sounds is not None
    shown = format_reading(raised(step.sounds, FLAT), 440.0)
    again = format_reading(raised(step.sounds, FLAT + 6), 440.0)
    other = format_reading(raised(step.sounds, FLAT + 40), 440.0)
    when = maker.when + timedelta(minutes=5)
    with pytest.raises(EditError, match="blow it once more"):
        note(design, step, Told(blew=shown, did=True), when, next_step)
    design = note(design, step, Told(blew=shown, did=True, even_so=True), when, next_step).design
    step = next_step(design)
    assert step.kind == "read"
    assert "left out" in step.why
    with pytest.raises(EditError, match="blow it once more"):
        note(design, step, Told(blew=other), when + timedelta(minutes=1), next_step)
    for n in range(1, 4):
        design = note(
            design, step, Told(blew=again if n % 2 else shown), when + timedelta(minutes=n), next_step
        ).design
        step = next_step(design)
    assert step.kind != "read", "four times alike: it is taken as it is"
