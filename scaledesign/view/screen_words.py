"""The lines around the tables: title, tabs, status, guide and footer, as styled text for a width.

Plain data for the screen to lay out, and what a click on them means; the sentences of the solver are passed
on, not made here.
"""

from __future__ import annotations

import textwrap
from collections.abc import Mapping

from scaledesign.model.units import format_length
from scaledesign.view.actions import footer, worded
from scaledesign.view.columns import Cell, PaneName, cell_of
from scaledesign.view.desk import PANES, Desk
from scaledesign.view.lines import Line, Span, Tone, key_line, shortened, text_of
from scaledesign.view.remarks import doubt_of_scale
from scaledesign.view.wording import plain

Keys = Mapping[str, tuple[str, ...]]
"""Keys of every action."""
LEAST_SAID = 2
"""Lines there always are for what is said and for the verdict."""
ORDER: tuple[PaneName, ...] = ("rows", "holes", "setup", "scale")
"""The panes as they follow one another."""


def title(desk: Desk, keys: Keys, width: int) -> Line:
    """What it is at the left, how far to trust it at the right; the left gives way."""
    left, right = title_line(desk), trust_line(desk, keys)
    room = width - len(text_of(right))
    if len(text_of(left)) > room:
        left = shortened(left, room - 1, desk.signs.ellipsis)
    return (*left, Span(" " * max(0, room - len(text_of(left)))), *right)


def tabs(desk: Desk, sounding: bool) -> Line:
    """The panes by name, for a screen that shows one at a time; ``sounding``: the sound is shown."""
    here = "" if sounding else desk.pane
    spans: list[Span] = []
    for pane in ORDER:
        spans += [Span(f" {PANES[pane].title} ", "strong" if pane == here else "faint"), Span(" ")]
    return (*spans, Span(" sound ", "strong" if sounding else "faint"))


def tab_at(desk: Desk, x: int) -> PaneName | None:
    """The pane whose tab is at a column; None for the sound, and beyond."""
    for pane in ORDER:
        x -= len(PANES[pane].title) + 3
        if x < 0:
            return pane
    return None


def status(desk: Desk, keys: Keys, width: int, most: int = LEAST_SAID) -> tuple[Line, ...]:
    """What was said or what the cell is, then the verdict: two lines at least, and at most so many.

    A long message takes them all. What does not fit is cut with a mark and the key that shows the whole of
    it: that of help for what is said of the cell, that of why for the rest.
    """
    (span,) = status_line(desk, keys)
    parts = textwrap.wrap(span.text, max(10, width)) or [""]
    if desk.said.text:
        kept = parts if len(parts) <= most else _shortened(parts, most, width, worded("{why}", keys), desk)
        if len(kept) > 1:
            return tuple((Span(part, span.tone),) for part in kept)
    else:
        room = most - 1 if cursor_cell(desk).note else 1  # what a column is changes with every step aside
        kept = parts if len(parts) <= room else _shortened(parts, room, width, worded("{help}", keys), desk)
    said = tuple((Span(part, span.tone),) for part in kept)
    return (*said, *_verdict(desk, keys, width, most - len(said)))


def _verdict(desk: Desk, keys: Keys, width: int, most: int) -> tuple[Line, ...]:
    """The verdict in lines; the key to all remarks, where there is one, is never cut off."""
    text, *more = verdict_line(desk, keys)
    there = "".join(span.text for span in more)
    parts = textwrap.wrap(text.text, max(10, width)) or [""]
    fits = len(parts) <= most and len(parts[-1]) + len(there) <= width
    if not fits and len(parts) < most and len(there.strip()) <= width:
        return (*((Span(part, text.tone),) for part in parts), (Span(there.strip(), "faint"),))
    if not fits:
        parts = _shortened(parts, most, width - len(there), "" if there else worded("{why}", keys), desk)
    return (*((Span(part, text.tone),) for part in parts[:-1]), (Span(parts[-1], text.tone), *more))


def _shortened(parts: list[str], most: int, width: int, key: str, desk: Desk) -> list[str]:
    """The first lines of a text, a mark and a key at the end of the last."""
    end = f"{desk.signs.ellipsis} {key}".rstrip()
    kept = parts[:most]
    kept[-1] = f"{kept[-1][: max(0, width - len(end))].rstrip()}{end}"[: max(1, width)]
    return kept


def footer_line(desk: Desk, keys: Keys, width: int) -> Line:
    """The keys most wanted, as many as there is room for."""
    return key_line(((key, words) for _, key, words in _wanted(desk, keys)), width)


def footer_at(desk: Desk, keys: Keys, width: int, x: int) -> str:
    """The action at a column of the last line, '' for none."""
    names = {f" {key}": name for name, key, _ in _wanted(desk, keys)}
    line = footer_line(desk, keys, width)
    for key, words in zip(line[::2], line[1::2], strict=True):
        x -= len(key.text) + len(words.text)
        if x < 0:
            return names[key.text]
    return ""


def _wanted(desk: Desk, keys: Keys) -> tuple[tuple[str, str, str], ...]:
    """Action, key and words of the keys most wanted now."""
    blown = any(entry.event == "measured" and not entry.holes for entry in desk.design.log)
    return footer(keys, desk.history.undo_name, desk.held, blown)


def title_line(desk: Desk) -> Line:
    """Name, key and scale, tube, and whether it is saved."""
    design = desk.design
    tuning = design.tuning
    scale = "own degrees" if tuning.degrees else tuning.scale
    bore = format_length(design.tube.bore[0].value, design.units, unit=False)
    wall = format_length(design.tube.wall[0].value, design.units)
    mark = " (not saved)" if desk.unsaved else ""
    return (
        Span(f" {desk.title}", "strong"),
        Span(mark, "held"),
        Span(f"  {tuning.tonic} {scale}".rstrip(), "plain"),
        Span(f"  {bore} x {wall} {design.instrument.mouth}", "faint"),
    )


def trust_line(desk: Desk, keys: Keys) -> Line:
    """How far to trust it, and the one thing that would help most."""
    design = desk.design
    doubt = doubt_of_scale(desk.sheet)
    sign = desk.signs.plus_minus
    if doubt != doubt:
        return ()
    if design.voicing.calibrated or design.instrument.mouth == "open":
        return (Span(f"{sign} {doubt:.0f} cents ", "true"),)
    return (
        Span(worded(f"{sign} {doubt:.0f} cents until you blow the bare tube: {{blow}} ", keys), "strong"),
    )


def status_line(desk: Desk, keys: Keys) -> Line:
    """The newest message; else what there is to say of the cell; else what its column is."""
    if desk.said.text:
        return (Span(desk.said.text, desk.said.tone),)
    cell = cursor_cell(desk)
    if cell.note:
        return (Span(cell.note, cell.tone if cell.tone in ("wrong", "reach") else "plain"),)
    words = PANES[desk.pane].help(desk.sheet, desk.selection.row, desk.column)
    return (Span(worded(words, keys), "faint"),)


def cursor_cell(desk: Desk) -> Cell:
    """What the cursor's cell shows."""
    if desk.selection.row >= PANES[desk.pane].count(desk.sheet):
        return Cell()
    return cell_of(desk.sheet, desk.pane, desk.selection.row, desk.column)


def drafts_words(desk: Desk) -> str:
    """How many cells hold a text that could not be read, in a sentence."""
    count = len(desk.drafts)
    cells = "cell holds a text" if count == 1 else "cells hold texts"
    return f"{count} {cells} that could not be read."


def verdict_line(desk: Desk, keys: Keys) -> Line:
    """The state of the whole flute: in tune, or the first thing that is in the way."""
    sheet, design = desk.sheet, desk.design
    if desk.drafts:
        return (Span(f"{sheet.signs.wrong} {drafts_words(desk)}", "wrong"),)
    if desk.want is not None and sheet.answer.prediction is None:
        return (Span("Working it out...", "faint"),)
    notes = sheet.answer.notes
    if sheet.answer.prediction is None:
        return (Span(notes[0] if notes else "Nothing can be said of this flute yet.", "reach"),)
    tolerance = design.tuning.tolerance
    counted = [i for i, row in enumerate(design.rows) if row.counts]
    off = [i for i in counted if not abs(sheet.number("cents", i)) <= tolerance]
    held = "Holes held still. " if desk.held else ""
    more = worded(f"  ({len(notes)} remarks: {{why}})", keys) if len(notes) > 1 else ""
    if len(notes) == 1:
        more = worded("  (a remark: {why})", keys)
    dots = sheet.signs.ellipsis if desk.want is not None else ""
    if not design.rows:
        said = "No rows yet: type a note into the empty line, or {new} for a whole flute."
        return (Span(worded(said, keys)),)
    if not counted:
        return (Span(f"{held}No row counts yet: give one the role scale.", "plain"),)
    if not off:
        worst = max(abs(sheet.number("cents", i)) for i in counted)
        within = "1 cent" if worst < 1.5 else f"{worst:.0f} cents"
        notes_of = "note" if len(counted) == 1 else "notes"
        text = f"{held}On paper {len(counted)} {notes_of} of the scale within {within}{dots}."
        return (Span(text, "true"), Span(more, "faint"))
    binding = sheet.answer.binding
    if binding and desk.want is None and not desk.held:
        return (Span(plain(binding[0]), "reach"), Span(more, "faint"))
    names = ", ".join(design.rows[i].note for i in off[:4]) + (sheet.signs.ellipsis if len(off) > 4 else "")
    tone: Tone = "sharp" if sheet.number("cents", off[0]) > 0 else "flat"
    return (Span(f"{held}Off by more than {tolerance:g} cents: {names}{dots}", tone), Span(more, "faint"))
