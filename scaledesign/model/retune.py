"""One scale made from another: begun elsewhere, stretched, mixed, a degree changed, added or taken out.

Apart from scales (``model/scale.py``), which say what a written note means, and from the degrees of a design
(``model/degrees.py``), which are kept as somebody wrote them. Pure: no file, no design, no command.

Each function gives a new scale whose name, words and source say what was done to what. A degree is counted
from 0 here, as everywhere in the model, and from 1 in what is said of it.
"""

from __future__ import annotations

import math
from bisect import bisect
from dataclasses import replace

from scaledesign.errors import QuantityError
from scaledesign.model.pitch import OCTAVE
from scaledesign.model.saying import begun
from scaledesign.model.scale import Scale

MOST = 1000
"""Equal steps in a period: a longer list is a slip of the keyboard."""
SAME = 1e-6
"""cents: nearer than this, two degrees are one."""


def rotated(scale: Scale, degree: int) -> Scale:
    """The same notes begun on another degree (from 0); written places are kept where the scale gives them.

    Raises
    ------
    QuantityError : there is no such degree
    """
    _known(scale, degree)
    if degree == 0:
        return scale
    cents = _begun(scale.cents, degree, scale.period)
    steps = None if scale.steps is None else _begun(scale.steps, degree, scale.span)
    which = ordinal(degree + 1)
    return _derived(
        scale,
        cents,
        scale.period,
        steps,
        name=f"{scale.name} from the {which}",
        done=f"rotated from {scale.name}, degree {degree + 1}",
        words=f"The notes of {scale.name}, begun on its {which}.",
    )


def stretched(scale: Scale, cents_per_octave: float) -> Scale:
    """Every degree and the period in proportion, so that an octave is 1200 cents and ``cents_per_octave``.

    The degrees are written as before, unless the period comes to another number of semitones.

    Raises
    ------
    QuantityError : less than a semitone would be left of the period
    """
    if not (math.isfinite(cents_per_octave) and cents_per_octave > -OCTAVE):
        raise QuantityError(
            f"{cents_per_octave:g} c", "leaves nothing of an octave", "stretch by a few cents"
        )
    if cents_per_octave == 0:
        return scale
    octave = OCTAVE + cents_per_octave

    def wider(value: float) -> float:
        return value * octave / OCTAVE

    how = f"by {said(cents_per_octave)} an octave"
    made = _derived(
        scale,
        tuple(map(wider, scale.cents)),
        wider(scale.period),
        None,
        name=f"{scale.name} stretched {how}",
        done=f"stretched from {scale.name} {how}",
        words=f"{scale.name} with octaves of {said(octave)}.",
    )
    return _written_as(made, scale) if made.span == scale.span else made


def mixed(one: Scale, other: Scale, share: float) -> Scale:
    """Degree by degree between two scales: ``share`` 0 gives the one, 1 the other.

    Raises
    ------
    QuantityError : they have different numbers of degrees, or ``share`` is not within 0 and 1
    """
    if not 0.0 <= share <= 1.0:
        raise QuantityError(
            f"{share:g}", "is no share of a mixture", "write 0 for the one to 1 for the other"
        )
    if len(one.cents) != len(other.cents):
        raise QuantityError(
            other.name,
            f"has {_degrees(other)}, and {one.name} has {len(one.cents)}",
            "mix scales with the same number of degrees",
        )

    def between(low: float, high: float) -> float:
        return (1.0 - share) * low + share * high

    percent = f"{100.0 * share:.4g} %"
    made = Scale(
        f"{one.name} and {other.name} mixed",
        tuple(map(between, one.cents, other.cents)),
        between(one.period, other.period),
        source="; ".join(
            (f"mixed from {one.name} and {percent} of {other.name}", *_sources(one), *_sources(other))
        ),
        words=f"Each degree {percent} of the way from {one.name} to {other.name}.",
    )
    for scale, whole in ((one, 0.0), (other, 1.0)):
        if share == whole or (one.places == other.places and made.span == scale.span):
            return _written_as(made, scale)
    return made


def with_degree(scale: Scale, index: int, cents: float) -> Scale:
    """One degree (from 0) elsewhere. Between its neighbours it is written as before; beyond, it is reordered.

    Raises
    ------
    QuantityError : there is no such degree, it is the tonic, or ``cents`` is taken or not within the period
    """
    _known(scale, index)
    if cents == scale.cents[index]:
        return scale
    if index == 0:
        raise QuantityError(said(cents), "the first degree is the tonic, at 0 c", "change another degree")
    rest = _out(scale.cents, index)
    _free(scale, rest, cents)
    place = bisect(rest, cents)
    if place == index:
        steps = scale.steps
    else:
        steps = _with_step(
            None if scale.steps is None else _out(scale.steps, index), place, cents, scale.span
        )
    name = scale.name if scale.name.endswith(" changed") else f"{scale.name} changed"
    return _derived(
        scale,
        _into(rest, place, cents),
        scale.period,
        steps,
        name=name,
        done=f"changed from {scale.name}, degree {index + 1} to {said(cents)}",
        words=f"{scale.name} with its {ordinal(index + 1)} at {said(cents)}.",
    )


def without_degree(scale: Scale, index: int) -> Scale:
    """One degree (from 0) taken out.

    Raises
    ------
    QuantityError : there is no such degree, or it is the tonic
    """
    _known(scale, index)
    if index == 0:
        raise QuantityError(
            scale.name,
            "the first degree is the tonic and stays",
            "rotate it first to begin on another degree",
        )
    which = ordinal(index + 1)
    return _derived(
        scale,
        _out(scale.cents, index),
        scale.period,
        None if scale.steps is None else _out(scale.steps, index),
        name=f"{scale.name} without the {which}",
        done=f"taken from {scale.name} without degree {index + 1}",
        words=f"{scale.name} without its {which}.",
    )


def with_added(scale: Scale, cents: float) -> Scale:
    """One degree more, where it belongs by size.

    Raises
    ------
    QuantityError : a degree is there already, or ``cents`` is not within the period
    """
    _free(scale, scale.cents, cents)
    place = bisect(scale.cents, cents)
    return _derived(
        scale,
        _into(scale.cents, place, cents),
        scale.period,
        _with_step(scale.steps, place, cents, scale.span),
        name=f"{scale.name} and {said(cents)}",
        done=f"made from {scale.name} with {said(cents)} added",
        words=f"{scale.name} with one more degree at {said(cents)}.",
    )


def equal_division(count: int, period: float = OCTAVE) -> Scale:
    """``count`` equal steps, the last of which ends the period (cents).

    Raises
    ------
    QuantityError : no such number of steps, or a period of less than a semitone
    """
    if not 1 <= count <= MOST:
        raise QuantityError(str(count), "is no number of equal steps", f"write 1 to {MOST}")
    cents = tuple(period * step / count for step in range(count))
    what = "an octave" if period == OCTAVE else said(period)
    steps = f"{count} equal step{'s' * (count > 1)}"
    return Scale(
        steps if period == OCTAVE else f"{steps} to {what}",
        cents,
        period,
        source=f"{what} in {steps}, by definition",
        words=f"{begun(what)} in {steps} of {said(period / count)}.",
    )


def ordinal(number: int) -> str:
    """``"1st"``, ``"2nd"``, ``"3rd"``, ``"11th"``."""
    ending = {1: "st", 2: "nd", 3: "rd"}.get(number % 10, "th")
    return f"{number}{'th' if number % 100 in (11, 12, 13) else ending}"


def said(cents: float) -> str:
    """Cents in a sentence, to a thousandth: ``"315.641 c"``."""
    return f"{round(cents, 3) + 0.0:.10g} c"


def _derived(
    scale: Scale,
    cents: tuple[float, ...],
    period: float,
    steps: tuple[float, ...] | None,
    *,
    name: str,
    done: str,
    words: str,
) -> Scale:
    source = "; ".join((done, *_sources(scale)))
    return Scale(name, cents, period, steps, source, begun(words))


def _sources(scale: Scale) -> tuple[str, ...]:
    return (f"{scale.name}: {scale.source}",) if scale.source else ()


def _written_as(made: Scale, scale: Scale) -> Scale:
    """``made`` with the written places of ``scale``, told only where they do not follow by themselves."""
    if scale.steps is None and made.places == scale.places:
        return made
    return replace(made, steps=scale.places or None)


def _begun(values: tuple[float, ...], first: int, period: float) -> tuple[float, ...]:
    start = values[first]
    return (
        *(value - start for value in values[first:]),
        *(value + (period - start) for value in values[:first]),
    )


def _known(scale: Scale, degree: int) -> None:
    if not 0 <= degree < len(scale.cents):
        raise QuantityError(
            str(degree + 1),
            f"there is no such degree in {scale.name}",
            f"it has degrees 1 to {len(scale.cents)}",
        )


def _free(scale: Scale, taken: tuple[float, ...], cents: float) -> None:
    """Refuse what is no place for a degree."""
    if not 0.0 <= cents < scale.period:  # not a number is refused too
        raise QuantityError(
            said(cents),
            f"lies outside the period of {scale.name}",
            f"write more than 0 and less than {said(scale.period)}",
        )
    if any(abs(value - cents) < SAME for value in taken):
        raise QuantityError(said(cents), f"{scale.name} has that degree already", "write another size")


def _degrees(scale: Scale) -> str:
    return f"{len(scale.cents)} degree{'s' * (len(scale.cents) > 1)}"


def _out(values: tuple[float, ...], index: int) -> tuple[float, ...]:
    return (*values[:index], *values[index + 1 :])


def _into(values: tuple[float, ...], index: int, value: float) -> tuple[float, ...]:
    return (*values[:index], value, *values[index:])


def _with_step(
    steps: tuple[float, ...] | None, place: int, cents: float, span: int
) -> tuple[float, ...] | None:
    """Steps with one for a new degree: the free half step nearest to it; None where none is free."""
    if steps is None:
        return None
    low, high = steps[place - 1], (*steps, float(span))[place]
    halves = [low + 0.5 * n for n in range(1, round(2 * (high - low)))]
    if not halves:
        return None
    nearest = min(halves, key=lambda half: (abs(100.0 * half - cents) + 10.0 * (half % 1 > 0), half))
    return _into(steps, place, nearest)
