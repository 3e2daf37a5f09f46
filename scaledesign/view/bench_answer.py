"""What comes of a question at the bench: the plan of a flute, or of one with something noted or taken back.

Worked out in a thread, so nothing here raises but a fault of Python's own; apart from the screen, which only
shows it, and from the noting (``workshop/noting.py``), which raises.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime

from scaledesign.errors import ScaledesignError, own_fault
from scaledesign.model.document import Design
from scaledesign.values import dataclass
from scaledesign.view.bench_words import Words
from scaledesign.view.lines import Tone
from scaledesign.workshop.making.plan import ended, next_step, plan
from scaledesign.workshop.making.step import Plan, Step
from scaledesign.workshop.noting import FarOffError, Told, foretold, note, taken_back

Said = tuple[tuple[str, Tone], ...]
"""Sentences, and what they mean."""


@dataclass(frozen=True)
class BenchAnswer:
    """A design and what to do on it now."""

    design: Design
    plan: Plan | None
    """None where there is none, and where nothing was noted: ``problem`` says why."""
    problem: str = ""
    label: str = ""
    """What undo calls it; '' where the design is the one that was asked about."""
    said: Said = ()
    moved: tuple[int, ...] = ()
    """Holes (0-based) that are not drilled yet and lie elsewhere now."""
    far: bool = False
    """A reading was refused as too far off; said again it is believed."""


def planned(design: Design) -> BenchAnswer:
    """What to do on a flute."""
    return _at_any_price(design, lambda: BenchAnswer(design, _plan(design)))


def noted(design: Design, step: Step, told: Told, words: Words) -> BenchAnswer:
    """What to do after something was done and heard."""

    def work() -> BenchAnswer:
        found = note(design, step, told, datetime.now().replace(microsecond=0), next_step)
        done = " ".join(words.done(act) for act in found.acts)
        said: list[tuple[str, Tone]] = [(" ".join(filter(None, (done, words.heard(found)))), "true")]
        said += [(text, "reach") for text in found.notes]
        said += [(text, "plain") for text in (words.moved(found),) if text]
        label = done.rstrip(".") or f"heard {told.blew}"
        moved = tuple(each.hole for each in found.moved)
        ahead = _plan(found.design)
        return BenchAnswer(ended(found.design, ahead), ahead, "", label, tuple(said), moved)

    return _at_any_price(design, work)


def without_newest(design: Design) -> BenchAnswer:
    """What to do once the newest entry of the log is gone."""

    def work() -> BenchAnswer:
        back, entry = taken_back(design)
        what = entry.measured or entry.event
        said = f"Taken back: {what}, of {entry.when:%d %B %Y, %H:%M}."
        return BenchAnswer(back, _plan(back), "", f"{what} taken back", ((said, "strong"),))

    return _at_any_price(design, work)


def _plan(design: Design) -> Plan:
    return foretold(design, plan(design))


def _at_any_price(design: Design, work: Callable[[], BenchAnswer]) -> BenchAnswer:
    """An answer whatever happens: a fault of the program's own must not take the maker's work with it."""
    try:
        return work()
    except FarOffError as error:
        return BenchAnswer(design, None, f"{error.problem} If it is so, press Enter once more.", far=True)
    except ScaledesignError as error:
        return BenchAnswer(design, None, str(error))
    except Exception as error:  # noqa: BLE001 - the last door before the screen
        return BenchAnswer(design, None, f"{own_fault(error)}.")
