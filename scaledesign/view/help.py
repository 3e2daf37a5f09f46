"""Help: what the column or field in hand is, then every key; and everything there is to say of a flute.

Lines for a width. The words are those of the columns, the fields and the table of actions: nothing is said
twice.
"""

from __future__ import annotations

import textwrap
from collections.abc import Mapping

from scaledesign.errors import ScaledesignError
from scaledesign.view.actions import ACTIONS, GROUPS, key_words, worded
from scaledesign.view.columns import Column
from scaledesign.view.desk import PANES, Desk
from scaledesign.view.lines import Line, Span, Tone, wrapped
from scaledesign.view.questions import Question
from scaledesign.view.remarks import plugin_remarks
from scaledesign.view.screen_words import cursor_cell
from scaledesign.view.wording import plain
from scaledesign.workshop.readings import readings_in_force

MOVING = (
    ("Arrows, Tab", "move about; with Shift they draw out a range"),
    ("Home, End, Page Up, Page Down", "further; Ctrl+Home and Ctrl+End to the corners"),
    ("a letter, a number", "begin a new text in the cell"),
    ("x, o, h on a hole", "closed, open, partly open, at once"),
    ("the mouse", "chooses, drags a range, opens with two clicks, works the tabs and the last line"),
)
HEAD: Tone = "strong"


def help_lines(desk: Desk, keys: Mapping[str, tuple[str, ...]], width: int) -> tuple[Line, ...]:
    """Help for where the cursor is."""
    pane = PANES[desk.pane]
    row = min(desk.selection.row, max(0, pane.count(desk.sheet) - 1))
    lines: list[Line] = []
    title = _title(desk, desk.column, row)
    if title:
        words = worded(pane.help(desk.sheet, row, desk.column), keys)
        cell = cursor_cell(desk)
        told = wrapped(cell.note, width, cell.tone if cell.tone in ("wrong", "reach") else "plain")
        lines += [(Span(title, HEAD),), *wrapped(words, width), *([()] if told else []), *told, ()]
    if desk.pane != "setup":
        lines.append((Span("The columns", HEAD),))
        for column in pane.columns(desk.sheet)[1:]:
            if not column.key.startswith("hole ") or column.key == "hole 0":
                lines += _entry(column.title, worded(column.words, keys), width, 12)
        lines.append(())
    lines.append((Span("Moving about", HEAD),))
    for held, words in MOVING:
        lines += _entry(held, words, width, 22)
    palette = worded("{palette}", keys)
    for group in GROUPS:
        lines += [(), (Span(group.capitalize(), HEAD),)]
        for action in ACTIONS:
            if action.group == group:
                held = " or ".join(key_words(key) for key in keys[action.name]) or palette
                lines += _entry(held, f"{action.title}: {action.words}", width, 22)
    return tuple(lines)


def blow_next(desk: Desk) -> str:
    """Once the maker has begun to blow: which note teaches most next; '' before, and where none is left.

    Takes as long as a prediction: to be asked once, not with every line that is drawn.
    """
    from scaledesign.workshop.next_reading import in_words, next_readings

    if not readings_in_force(desk.design):
        return ""
    try:
        return in_words(desk.design, next_readings(desk.design))
    except ScaledesignError:
        return ""


def why_lines(desk: Desk, width: int, blowing: str = "") -> tuple[Line, ...]:
    """What was said last, and everything the engine has to say: what binds, what is odd.

    ``blowing``: what there is to say of the next reading, as ``blow_next`` gives it.
    """
    notes = desk.sheet.answer.notes
    lines: list[Line] = []
    slips = {draft.problem for draft in desk.drafts.values()}
    if desk.said.text and desk.said.text not in slips:  # perhaps there was no room for the whole of it
        lines += [*wrapped(desk.said.text, width, desk.said.tone), ()]
    for draft_spot, draft in desk.drafts.items():
        where = f"{PANES[draft_spot[0]].title}, row {draft_spot[1] + 1}: "
        lines += [*wrapped(where + draft.problem, width, "wrong"), ()]
    for note in notes:
        lines += [*wrapped(plain(note), width), ()]
    if desk.held:
        lines += [*wrapped("The holes are held still: no note moves them until you let them go.", width), ()]
    for said in plugin_remarks():
        lines += [*wrapped(said, width), ()]
    if blowing:
        lines += [*wrapped(blowing, width), ()]
    if not lines:
        lines = [(Span("Nothing binds and nothing is odd."),), ()]
    return tuple(lines[:-1])


def question_lines(question: Question, width: int) -> tuple[Line, ...]:
    """What a question of a dialog wants, with every answer there is to choose."""
    lines = [*wrapped(question.words, width, HEAD)]
    if question.help:
        lines += [(), *wrapped(question.help, width)]
    if question.usual:
        lines += [(), *wrapped(f"Left empty: {question.usual}.", width)]
    if question.note:
        lines += [(), *wrapped(f"Now: {question.note}", width)]
    if question.problem:
        lines += [(), *wrapped(question.problem, width, "wrong")]
    if question.choices:
        room = min(width // 2, max(len(choice.answer) for choice in question.choices) + 2)
        lines.append(())
        for choice in question.choices:
            lines += _entry(choice.answer, choice.words, width, room)
    return tuple(lines)


def _title(desk: Desk, column: Column, row: int) -> str:
    if desk.pane != "setup":
        return column.title
    return PANES["setup"].columns(desk.sheet)[0].text(desk.sheet, row)


def _entry(name: str, words: str, width: int, room: int) -> list[Line]:
    parts = textwrap.wrap(words, max(20, width - room)) or [""]
    if len(name) >= room:
        return [(Span(name, "label"),), *((Span(" " * room), Span(part)) for part in parts)]
    first: Line = (Span(name.ljust(room), "label"), Span(parts[0]))
    return [first, *((Span(" " * room), Span(part)) for part in parts[1:])]
