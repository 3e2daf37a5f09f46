"""The first flute step by step: each step is done by what it asks for, and by nothing else."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import scaledesign
from scaledesign.extend.registry import catalogue
from scaledesign.view import row_work
from scaledesign.view.actions import BY_NAME, keymap
from scaledesign.view.desk import Desk
from scaledesign.view.guide import STEPS, Guide
from scaledesign.view.new_flute import NewFlute, made
from tests.view.working import answered, at, later, opened, typed

KEYS = keymap()


def test_every_step_says_what_to_press() -> None:
    for place, step in enumerate(STEPS):
        told = Guide(opened(), place).words(KEYS)
        assert told.startswith(f"{place + 1} of {len(STEPS)}. ")
        assert "{" not in told
        assert step.words[:20] in told or "{" in step.words[:20]
    assert "Ctrl+B" in Guide(opened(), 2).words(keymap([("blow", "ctrl+b")]))
    for step in STEPS:
        for part in step.words.split("{")[1:]:
            assert part.split("}")[0] in BY_NAME


def test_the_walk_from_end_to_end() -> None:
    """As a newcomer does it; looking about in between finishes nothing."""
    desk = opened()
    guide = Guide(desk)

    def seen(now: Desk, place: int) -> Desk:
        nonlocal guide
        guide = guide.seen(now)
        assert guide.place == place
        guide = guide.seen(now.going_to("setup").going_to(now.pane).saying("Looking about."))
        assert guide.place == place
        return now

    desk = seen(at(desk, "rows", 2, "note"), 1)
    new = made(NewFlute(catalogue()).answered("tube", "5/8 in x 1/8 in"))
    desk = seen(answered(Desk.of(new.design, None, saved=False, like=desk)), 2)
    blown = scaledesign.calibrate(desk.design, rows={0: f"{desk.design.rows[0].note} -12"}).design
    desk = seen(replace(desk, history=desk.history.amend(blown)), 3)
    desk = seen(typed(desk, "rows", 1, "cents", "5"), 4)
    desk = seen(desk.undone(), 5)
    desk = seen(answered(row_work.locked(at(desk, "holes", 2, "at"), later(desk))), 6)
    desk = seen(desk.saved(Path("mine.toml")), 7)
    seen(typed(desk, "rows", 1, "cents", "9"), 7)


def test_a_tube_blown_before_it_was_asked_for_counts() -> None:
    desk = opened()
    guide = replace(Guide(desk), place=1)
    new = made(NewFlute(catalogue()).answered("tube", "16 x 3 mm"))
    blown = scaledesign.calibrate(new.design, bare=[f"{new.design.rows[0].note} -12"]).design
    now = answered(Desk.of(blown, None, saved=False, like=desk))
    assert guide.seen(now).seen(now).place == 3
