"""The accuracy page: what was checked, how far off, and what no source covers.

Words and rounding only; what stands here was worked out in ``report``.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from pathlib import Path

from scaledesign.accuracy.blocks import Block, Bullets, Heading, Paragraph, Table, as_markdown
from scaledesign.accuracy.case import GROUPS, STATUS, UNITS, Limit, Result
from scaledesign.accuracy.fields import ASKED, Group, Note, groups
from scaledesign.accuracy.report import Report

PAGE = Path(__file__).with_name("accuracy.md")
"""The page as it was last made."""
README = "../../README.md#how-far-to-trust-it"
FIELDS = "Field solutions of our own"
OUTCOMES = {"met": "met", "missed": "MISSED", "no limit": "no limit"}


def page(report: Report) -> str:
    """The page as the file that lies beside this module."""
    title, *rest = blocks(report)
    made = Paragraph(
        f"Written by `scaledesign accuracy -o accuracy.md`. What this means for a flute of yours: "
        f"[README]({README})."
    )
    return as_markdown((title, made, *rest))


def blocks(report: Report) -> list[Block]:
    """Everything there is to say."""
    return [
        Heading(1, "How far off"),
        *summary(report),
        *(block for group in GROUPS for block in group_blocks(report, group)),
        *field_solutions(report),
        *own_reference(report),
        *not_tested(report),
    ]


def summary(report: Report) -> Iterator[Block]:
    """What was checked, how far off, what no source covers."""
    first = Counter(outcome(result) for result in report.results)
    sources = len({result.case.source for result in report.results})
    yield Paragraph(
        f"{len(report.results)} cases from {sources} sources were worked out with this version. "
        f"{first['met']} are within what can be asked of them, {first['missed']} are not, and "
        f"{first['no limit']} are shown without a limit, since their source states none."
    )
    claims = [(result, limit) for result in report.results for limit in result.case.limits if limit.real]
    for result, limit in claims:
        yield Paragraph(
            f"{result.case.title}: {limit.words}, {shown(limit, result.found.values[limit.value])} "
            f"({allowed(limit)} asked). This is the only case in which somebody blew something whose "
            "dimensions we have, and it has no holes."
        )
    if report.fields:
        yield Paragraph(field_summary(report))
    yield Paragraph(
        "Read no more into the decimals than that: nothing here foretells a real flute to better than 10 "
        "cents. What no publication covers:"
    )
    yield Bullets(report.uncovered)
    yield Paragraph("The first figure of every case, in the order of what follows:")
    yield Table(
        ("case", "figure", "asked", ""),
        tuple(summary_row(result) for result in report.results),
        "lrrl",
    )


def field_summary(report: Report) -> str:
    """All tubes together, by what they play."""
    together: dict[str, list[Note]] = {}
    for group in groups(report.fields):
        what = "oval, undercut and slanted holes" if group.shaped else group.what
        together.setdefault(what, []).extend(group.notes)
    parts = []
    for what, notes in together.items():
        group = Group("", what, False, tuple(notes))
        worst = number(group.worst.off, 1, sign=True)
        parts.append(f"{what} {number(group.rms, 1)} cents all together, {worst} at worst")
    return f"{FIELDS}, {len(report.fields)} whole tubes with holes, are missed by: {'; '.join(parts)}."


def outcome(result: Result) -> str:
    """Missed if any figure of a case is; else what became of its first, which is what it is about."""
    return "missed" if result.outcome == "missed" else result.outcome_of(result.case.limits[0])


def summary_row(result: Result) -> tuple[str, ...]:
    """One case in the table at the top."""
    limit = result.case.limits[0]
    value = shown(limit, result.found.values[limit.value])
    return (result.case.title, value, allowed(limit), OUTCOMES[outcome(result)])


def group_blocks(report: Report, group: str) -> Iterator[Block]:
    """The cases of one group."""
    yield Heading(2, GROUPS[group])
    for result in report.results:
        if result.case.group == group:
            yield from case_blocks(result)


def case_blocks(result: Result) -> Iterator[Block]:
    """One case: where it is from, what was compared, what became of it, figure by figure."""
    case = result.case
    yield Heading(3, case.title)
    yield Paragraph(f"{case.source} ({STATUS[case.status]}).", "Source")
    yield Paragraph(f"{case.geometry}.", "Geometry")
    yield Paragraph(case.compared, "Compared")
    yield Paragraph(case.left_out, "Left out by the source")
    yield Bullets(tuple(limit_line(result, limit) for limit in case.limits))
    unit = UNITS[case.unit]
    off = "cents" if case.unit == "Hz" else case.unit
    yield Table(
        ("", f"source, {case.unit}", f"ours, {case.unit}", f"off, {off}"),
        tuple(
            (
                row.label,
                number(row.published / unit.size, unit.digits),
                number(row.predicted / unit.size, unit.digits),
                number(result.error_of(row) / UNITS[off].size, UNITS[off].digits, sign=True),
            )
            for row in result.found.rows
        ),
        "lrrr",
    )


def limit_line(result: Result, limit: Limit) -> str:
    """One figure, what it may be and why, and what became of it."""
    value = shown(limit, result.found.values[limit.value])
    state = result.outcome_of(limit)
    if state == "no limit":
        return f"{limit.words}: {value}"
    return f"{limit.words}: {value}; {allowed(limit)} asked ({limit.by}): {OUTCOMES[state]}"


def field_solutions(report: Report) -> Iterator[Block]:
    """Our own fields: the tubes, and how far off each is in each register."""
    if not report.fields:
        return
    yield Heading(2, FIELDS)
    yield Paragraph(
        "Whole tubes of ours with holes, in and around which the wave equation was solved in three "
        "dimensions, without losses; an ideally open mouth, holes closed flush, a half-covered one by a "
        "plate with a straight edge. How they were made, and what a finer mesh changes, stands beside the "
        "tests. Nobody blows here: mouth, warmth and walls are not in it. What is asked is what we ask of "
        "ourselves; of oval, undercut and slanted holes, nothing yet. One small length "
        "of the program, at a hole's outer end, was fitted to tubes A and B, and what a slant does to the "
        "tube with the slanted hole: of that they are no test. How a finger half covers a hole was fitted to "
        "fields of a hole in a flat plate. Cents of all notes together are the root of their mean square."
    )
    yield Bullets(tuple(f"Tube {each.name}: {each.geometry}." for each in report.fields))
    yield Table(
        ("tube", "", "notes", "cents of all", "worst", "of", "asked", ""),
        tuple(group_row(group) for group in groups(report.fields)),
        "llrrrlll",
    )


def group_row(group: Group) -> tuple[str, ...]:
    """Notes judged together."""
    rms, worst = ASKED[group.what]
    asked = "" if group.shaped else f"±{worst:g}" if rms is None else f"{rms:g}, ±{worst:g}"
    return (
        group.tube,
        group.what,
        str(len(group.notes)),
        number(group.rms, 1),
        number(group.worst.off, 1, sign=True),
        group.worst.fingering,
        asked,
        OUTCOMES[group.outcome],
    )


def own_reference(report: Report) -> Iterator[Block]:
    """One line on the frequencies of our own."""
    own = report.own
    yield Heading(2, "Our own independent reference computation")
    yield Paragraph(
        f"{own.count} playing frequencies of tubes with and without holes, tapers, mouths and half-open "
        "holes, no opening acting on another, computed once by programs that share no code with this one: "
        f"the furthest is off by {number(own.hertz, 3, sign=True)} Hz, that is "
        f"{number(own.cents, 1, sign=True)} cents; they are stated to {own.tolerance:g} Hz. "
        "This shows that the program computes what its formulas say, not that the formulas are right."
    )


def not_tested(report: Report) -> Iterator[Block]:
    """What is in print and was not tested."""
    yield Heading(2, "In print, but not tested")
    yield Bullets(
        tuple(
            f"{item.source} ({STATUS[item.status]}). It has: {item.has}. Missing: {item.missing}."
            for item in report.untested
        )
    )


def shown(limit: Limit, value: float) -> str:
    """A value in its unit, to the digits of its limit where that has more."""
    unit = UNITS[limit.unit]
    bounds = (bound(side, unit.size) for side in (limit.low, limit.high) if side is not None)
    digits = max([unit.digits, *(len(text.partition(".")[2]) for text in bounds)])
    return f"{number(value / unit.size, digits, sign=limit.of_difference)} {limit.unit}"


def allowed(limit: Limit) -> str:
    """Where a value may lie, without its unit."""
    size = UNITS[limit.unit].size
    low, high = limit.low, limit.high
    if low is None:
        return "" if high is None else f"at most {bound(high, size)}"
    if high is None:
        return f"at least {bound(low, size)}"
    if low == -high:
        return f"±{bound(high, size)}"
    return f"{bound(low, size)} to {bound(high, size)}"


def bound(value: float, size: float) -> str:
    """A limit as its file has it."""
    return f"{value / size:.6g}".replace("-", "−")


def number(value: float, digits: int, *, sign: bool = False) -> str:
    """A number rounded; nothing is written as minus nothing."""
    rounded = round(value, digits) + 0.0
    return f"{rounded:{'+' if sign and rounded else ''}.{digits}f}".replace("-", "−")
