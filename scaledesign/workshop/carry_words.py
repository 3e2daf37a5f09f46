"""What became of a pattern that was carried over: what is otherwise and why, in words and in two columns.

Apart from the carrying (``carry``), whose numbers it tells. Only what a hand would notice is told.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import isfinite

from scaledesign.model.bits import BitSet, bit_set
from scaledesign.model.checks import hole_name
from scaledesign.model.document import Design, Units
from scaledesign.model.pitch import cents_between
from scaledesign.model.saying import begun
from scaledesign.model.spelling import tuner_shows
from scaledesign.model.units import HAND_STEP, format_length
from scaledesign.solver.limits import Limit, geometry_of
from scaledesign.solver.problem import voicing_of
from scaledesign.workshop.carry import Carried, in_proportion, own_key
from scaledesign.workshop.carry_rules import binding
from scaledesign.workshop.variants import Worth

MOVED = 1e-3
"""m by which a hole lies elsewhere than in proportion before that is told."""
APART = 60.0
"""Cents from the key that the bore would have in proportion beyond which that is told."""


def changes(found: Carried) -> tuple[str, ...]:
    """What is otherwise than in the pattern and why, sentences, the whole before the single."""
    return (*_tube(found), *_tuning(found), *_mouth(found), *_holes(found))


def _tube(found: Carried) -> Iterator[str]:
    old, new, units = found.pattern, found.design, found.design.units
    bores = (old.tube.bore[0].value, new.tube.bore[0].value)
    if abs(found.grown - 1) > 1e-3:
        yield (
            f"The bore is {format_length(bores[1], units)} instead of {format_length(bores[0], units)}: "
            f"holes, undercut and mouth are {found.grown:.2f} times as wide."
        )
        if len(old.tube.bore) > 1:
            yield "The pattern's bore is not the same throughout and this tube's is: expect other octaves."
    if abs(new.tube.length - old.tube.length) > 0.5 * HAND_STEP[units]:
        yield (
            f"The tube is {format_length(new.tube.length, units)} long instead of "
            f"{format_length(old.tube.length, units)}, {new.tube.length / bores[1]:.0f} bores instead of "
            f"{old.tube.length / bores[0]:.0f}."
        )
    own, root = own_key(old, found.grown), _root(found)
    away = cents_between(own, root)
    if abs(away) > APART:
        how = "stouter" if away > 0 else "more slender"
        yield (
            f"In proportion to its bore it would play {tuner_shows(new, own)}: in this "
            f"key it is {how} than the pattern."
        )
    if old.tube.avoid and not new.tube.avoid:
        yield "The pattern's stretches without holes are not this tube's: name its own, if it has any."


def _root(found: Carried) -> float:
    targets = zip(found.solution.prediction.target, found.design.rows, strict=True)
    return min(float(target) for target, row in targets if row.register == 1)


def _tuning(found: Carried) -> Iterator[str]:
    old, new = found.pattern.tuning, found.design.tuning
    if (old.tonic, old.scale, old.degrees) != (new.tonic, new.scale, new.degrees):
        kept = "fingered as the pattern is" if found.own_fingerings else "fingered as its system has it"
        yield (
            f"It plays {new.tonic} {new.scale or 'own scale'} instead of {old.tonic} "
            f"{old.scale or 'own scale'}, {kept}."
        )
    if found.stayed:
        rows = ", ".join(str(row + 1) for row in found.stayed)
        yield f"Rows {rows} have no note in this scale and kept their own: look at them."


def _mouth(found: Carried) -> Iterator[str]:
    old, new = voicing_of(found.pattern), voicing_of(found.design)
    if found.pattern.instrument.mouth == "open":
        return
    units = found.design.units
    doubt = f"{format_length(new.added_length, units)} ± {format_length(new.uncertainty, units, unit=False)}"
    if found.heard:
        yield (
            f"The mouth is taken to add {doubt}: the pattern's adds "
            f"{format_length(old.added_length, units)}, and this is another mouth. Blow the bare tube before "
            "you drill."
        )
    else:
        yield (
            f"The mouth is taken to add {doubt}, as reckoned: the pattern has no readings. Blow it, and type "
            "what the tuner shows."
        )


def _holes(found: Carried) -> Iterator[str]:
    told: set[str] = set()
    for hole in range(len(found.design.holes)):
        parts = [part for part in (wider(found, hole), moved(found, hole)) if part]
        if not parts:
            continue
        name = hole_name(found.design, hole)
        why = reason(found, hole)
        again = why if why not in told else why.partition(":")[0]
        told.add(why)
        yield f"{begun(name)} {' and '.join(parts)} than in proportion: {again or why}."
    if not told:
        yield "Every hole is as wide, to the bit, and lies as in proportion."


def wider(found: Carried, hole: int) -> str:
    """``"is 1.5 mm narrower"``; '' where it is the nearest bit to its proportion."""
    units = found.design.units
    now, wanted = found.design.holes[hole].diameter, found.pattern.holes[hole].diameter * found.grown
    if abs(now - in_proportion(found, hole)) < 1e-5:
        return ""
    return f"is {format_length(abs(now - wanted), units)} {'wider' if now > wanted else 'narrower'}"


def moved(found: Carried, hole: int) -> str:
    """``"lies 3.4 mm nearer the mouth"``; '' where it lies as in proportion."""
    by = float(geometry_of(found.design).at[hole] - found.ideal.at[hole])
    if abs(by) < MOVED:
        return ""
    where = "foot" if by > 0 else "mouth"
    return f"lies {format_length(abs(by), found.design.units)} nearer the {where}"


def reason(found: Carried, hole: int) -> str:
    """What keeps a hole from being as in proportion."""
    own = [limit for limit in found.broken if hole in limit.holes]
    near = own or [limit for limit in found.broken if _beside(found, limit, hole)]
    if own:
        return binding(found, own[0])
    if near:
        return f"its neighbours had to move, {binding(found, near[0])}"
    return "so that the notes come out with your bits"


def _beside(found: Carried, limit: Limit, hole: int) -> bool:
    return any(abs(hole - other) <= 2 for other in limit.holes) or not limit.holes


def compared(found: Carried) -> tuple[tuple[str, str, str], ...]:
    """What the pattern is worth beside what came of it: name, pattern, new."""
    one, two = found.worth
    designs = found.pattern, found.design
    units = found.design.units

    def both(name: str, *texts: str) -> tuple[str, str, str]:
        return name, texts[0], texts[1]

    def length(metres: float) -> str:
        return format_length(metres, units) if isfinite(metres) else "-"

    return (
        both("length in bores", *(f"{each.tube.length / each.tube.bore[0].value:.1f}" for each in designs)),
        both("narrowest to widest hole", *(f"{_even(each):.2f}" for each in designs)),
        both("furthest off, cents", *(_cents(each.worst) for each in (one, two))),
        both("its ±, cents", *(f"{each.doubt:.0f}" for each in (one, two))),
        both("a tenth of a mm is, cents", *(f"{each.touchy:.1f}" for each in (one, two))),
        both("octaves that speak", *(f"{each.octaves} of {each.of_octaves}" for each in (one, two))),
        both("worst octave, cents", *(_cents(each.stretch) for each in (one, two))),
        both("reach left over", *(length(each.spare) for each in (one, two))),
    )


def _even(design: Design) -> float:
    widths = [hole.diameter for hole in design.holes if hole.finger != "none"] or [1.0]
    return min(widths) / max(widths)


def _cents(value: float) -> str:
    return f"{round(value) + 0:+d}" if isfinite(value) else "-"


def proportions(found: Carried) -> tuple[tuple[str, ...], ...]:
    """A line a hole: name, place and width in the pattern, as shares, and now; the bit."""
    units, bits = found.design.units, bit_set(found.design.shop.bits)
    rows = []
    for i, (was, now) in enumerate(zip(found.pattern.holes, found.design.holes, strict=True)):
        old, new = found.pattern.tube, found.design.tube
        wide = was.diameter / old.bore[0].value, now.diameter / new.bore[0].value
        rows.append(
            (
                str(i + 1), now.finger, format_length(was.at, units), format_length(now.at, units),
                format_length(was.diameter, units),
                _bit(now.diameter, units, bits),
                f"{wide[0]:.2f}", f"{wide[1]:.2f}",
            )
        )  # fmt: skip
    return tuple(rows)


def _bit(width: float, units: Units, bits: BitSet) -> str:
    bit = bits.nearest(width)
    return bits.label(bit, units) if abs(bit - width) < 1e-6 else format_length(width, units)


def verdict(found: Carried) -> str:
    """The first sentence: whether it kept its character."""
    holes = range(len(found.design.holes))
    wide = [i for i in holes if wider(found, i)]
    tolerance = found.design.tuning.tolerance
    worst: Worth = found.worth[1]
    off = isfinite(worst.worst) and abs(worst.worst) > tolerance
    said = "It keeps its character: every hole is as wide for the bore as the pattern's, to the bit."
    if wide:
        count = "one hole is" if len(wide) == 1 else f"{len(wide)} of {len(found.design.holes)} holes are"
        said = f"It keeps what it can of its character: {count} not as wide for the bore as the pattern's."
    if found.broken and wide:
        kinds = dict.fromkeys(binding(found, limit).partition(":")[0] for limit in found.broken)
        said += f" What binds: {', '.join(kinds)}."
    if off:
        said += (
            f" Its worst note stays {abs(worst.worst):.0f} cents {'sharp' if worst.worst > 0 else 'flat'}."
        )
    return said
