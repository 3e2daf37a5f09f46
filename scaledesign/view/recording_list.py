"""The notes of a recording as a list: each beside its row, to be left out or given to another row.

Plain data for the screen; what the notes are is ``recording.py``'s.
"""

from __future__ import annotations

from collections.abc import Callable

from scaledesign.model.spelling import tuner_shows
from scaledesign.view import recording
from scaledesign.view.columns import Sheet, signed
from scaledesign.view.found_lines import drawn
from scaledesign.view.lines import Line, Span, wrapped
from scaledesign.view.listing import Entry, Listing, Tune
from scaledesign.view.recording import Heard

BELOW = 4
"""Lines beneath the list."""
NONE_LEFT = "Every note is left out: there is nothing to enter. Space puts one back."
HELP = (
    (
        "plays: what a tuner would have shown, the mean in cents over whole waves of the vibrato. spread: "
        "cents, one standard deviation of the note's moments. off: cents from what is expected of that row."
    ),
    (
        "Left and Right: another row. Space: leave the note out, or put it back. Enter enters them all: one "
        "reading for each row, the mean of its notes; undo takes them back together."
    ),
    (
        "A note counts where its pitch holds for a quarter of a second or more; its beginning, its end and "
        "slides are cut off. What a recording cannot show: whether you blew as you will play, and how warm "
        "the flute was. Play each note for a second or two, a metre from the microphone, the flute warm."
    ),
)


def listing(sheet: Sheet, heard: Heard) -> Listing:
    """Every steady note in order of time."""
    said = recording.said(heard)
    if passed := len(recording.passed_over(heard)):
        said += f" {passed} more {'was' if passed == 1 else 'were'} too short or never steady."
    said = " ".join((said, *recording.of_all(heard)))
    head = (Span(f"{'at':>6} {'long':>6}  {'plays':8}{'spread':>6}  {'is':26}{'off':>6}", "label"),)
    value = heard if heard.takes() else None
    entries = tuple(
        Entry(
            _line(sheet, heard, number), _about(sheet, heard, number), value, refusal=NONE_LEFT,
            tune=Tune(((note.frequency, 1.0),), "The pitch that was heard."),
        )
        for number, note in enumerate(heard.notes)
    )  # fmt: skip
    return Listing(
        "notes", said, head, entries, BELOW, verb="enter them all",
        second=("Space", "leave out; Left, Right: another row"), help=HELP,
    )  # fmt: skip


def turned(heard: Heard, number: int, by: int) -> Heard:
    """The same with a note given to the next row up in pitch, or down; if left out, to the nearest."""
    order = sorted(range(len(heard.awaited.rows)), key=lambda each: float(heard.awaited.frequency[each]))
    place = heard.of[number]
    if place is None:
        return heard.put(number, heard.paired(number).nearest)
    return heard.put(number, order[(order.index(place) + by) % len(order)])


def switched(heard: Heard, number: int) -> Heard:
    """The same with a note left out, or back where it was."""
    if heard.of[number] is not None:
        return heard.put(number, None)
    found = heard.paired(number)
    return heard.put(number, found.nearest if found.place is None else found.place)


def _line(sheet: Sheet, heard: Heard, number: int) -> Line:
    note, place = heard.notes[number], heard.of[number]
    taken = place is not None
    of = "left out" if place is None else _named(sheet, heard, place)
    off = signed(heard.off(number), sheet.signs) if taken else ""
    return (
        Span(f"{recording.moment(note.start):>6} {note.seconds:>4.1f} s  ", "faint"),
        Span(f"{tuner_shows(heard.design, note.frequency):8}", "strong" if taken else "faint"),
        Span(f"{note.spread:>6.0f}  ", "faint"),
        Span(f"{of:26}", "plain" if taken else "reach"),
        Span(f"{off:>6}", "plain" if taken else "faint"),
    )


def _named(sheet: Sheet, heard: Heard, place: int) -> str:
    row = heard.awaited.rows[place]
    if row is None:
        return heard.awaited.labels[place][:26]
    of = heard.design.rows[row]
    again = f" ({of.register})" if of.register > 1 else ""
    return f"{heard.awaited.labels[place]:7}{of.note + again:8}{drawn(sheet, ''.join(of.holes))}"


def _about(sheet: Sheet, heard: Heard, number: int) -> Callable[[int, int], tuple[Line, ...]]:
    def lines(width: int, height: int) -> tuple[Line, ...]:
        note, place = heard.notes[number], heard.of[number]
        sways = ""
        if note.vibrato:
            sways = f", in a vibrato of {note.vibrato:.0f} cents up and down, {note.waves:.1f} times a second"
        held = f"{note.frequency:.1f} Hz, held for {note.seconds:.1f} s{sways}"
        told = [f"{held}; it is {10 ** (note.above_breath / 20):.0f} times as strong as the breath in it."]
        nearest = heard.paired(number).nearest if place is None else place
        expected = tuner_shows(heard.design, float(heard.awaited.frequency[nearest]))
        if place is None:
            why = heard.why(number)
            told.append("You left it out." if why == recording.LEFT else f"Left out: {why}.")
        else:
            label = heard.awaited.labels[place]
            sure = heard.paired(number).place == place
            told.append(f"{expected} is expected of {label}." + ("" if sure else " You put it there."))
            takes = len(heard.takes()[place])
            if takes > 1:
                told.append(f"One of {takes} notes of {label}: their mean counts, {heard.reading(place)}.")
        return tuple(line for text in told for line in wrapped(text, width))[:height]

    return lines
