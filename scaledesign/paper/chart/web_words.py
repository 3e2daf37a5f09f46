"""What the web page says of a note to somebody who does not see it: its name and its fingers, in words.

Apart because it is read aloud, and so has no signs in it. The page's marks and these words say the same.
"""

from __future__ import annotations

from collections.abc import Sequence

from scaledesign.model.document import HoleState
from scaledesign.model.pitch import Note
from scaledesign.model.saying import begun
from scaledesign.paper.chart.content import HANDS, Chart, ChartHole, ChartNote, ChartTrill, Way
from scaledesign.paper.chart.setting import UNHEARD
from scaledesign.paper.chart_text import HELP, breath_words, help_sign

STATES: dict[HoleState, str] = {"X": "closed", "O": "open", "H": "partly open"}
FINGERS = {"1": "first", "2": "second", "3": "third", "4": "fourth"}
_ALTERS = {
    -2.5: "double flat and a quarter flat",
    -2.0: "double flat",
    -1.5: "flat and a quarter flat",
    -1.0: "flat",
    -0.5: "quarter flat",
    0.0: "",
    0.5: "quarter sharp",
    1.0: "sharp",
    1.5: "sharp and a quarter sharp",
    2.0: "double sharp",
    2.5: "double sharp and a quarter sharp",
    3.0: "triple sharp",
}


def note_words(note: Note) -> str:
    """A note as it is said: ``"C sharp 5"``."""
    return " ".join(word for word in (note.letter, _ALTERS[note.alter], str(note.octave)) if word)


def way_words(way: Way, holes: Sequence[ChartHole], *, breath: bool) -> str:
    """Fingers and breath: ``"thumb closed; upper hand all closed; lower hand all open"``."""
    sign = help_sign(way.off)
    words = [
        finger_words(way.states, holes),
        breath_words(way.register) if breath else "",
        f"plays {HELP[sign].replace(':', ',')}" if sign else "",
    ]
    return "; ".join(filter(None, words))


def finger_words(states: Sequence[HoleState], holes: Sequence[ChartHole]) -> str:
    """Thumbs, upper hand, lower hand; in one word where all are the same."""
    each = list(zip(holes, states, strict=True))
    if not each:
        return "no holes"
    if len(each) > 1 and len(set(states)) == 1:
        return f"all holes {STATES[states[0]]}"
    thumbs = [(hole, state) for hole, state in each if hole.thumb]
    both = len(thumbs) > 1
    parts = [
        f"{('upper ' if hole.hand == 'L' else 'lower ') if both else ''}thumb {STATES[state]}"
        for hole, state in thumbs
    ]
    for hand, word in HANDS.items():
        own = [(hole, state) for hole, state in each if hole.hand == hand and not hole.thumb]
        if len(own) > 1 and len({state for _, state in own}) == 1:
            parts.append(f"{word} all {STATES[own[0][1]]}")
        elif own:
            fingers = (f"{FINGERS[hole.finger[1:]]} {STATES[state]}" for hole, state in own)
            parts.append(f"{word}: {', '.join(fingers)}")
    return "; ".join(parts)


def label(note: ChartNote, ways: Sequence[Way], name: str, chart: Chart, *, breath: bool) -> str:
    """All that a note's card shows.

    Parameters
    ----------
    note : of the chart
    ways : those that are shown
    name : as the card has it; said first where it is not the English one
    chart : Chart
    breath : bool
        whether to say how hard to blow: of no use where all is blown alike
    """
    said = note_words(note.note)
    if name != note.note.name:
        said = f"{name}, {said}"
    between = "" if note.role == "scale" else ", between the notes of the scale"
    off = ""
    if abs(note.off) > UNHEARD:
        off = f", {abs(note.off):.0f} cents {'higher' if note.off > 0 else 'lower'}"
    told = ". Or: ".join(way_words(way, chart.holes, breath=breath) for way in ways)
    return f"{said}{off}{between}. {begun(told)}."


def trill_label(trill: ChartTrill, holes: Sequence[ChartHole], names: tuple[str, str]) -> str:
    """What a trill's card shows."""
    moving = ", ".join(_finger(hole, holes) for hole in holes if hole.finger in trill.moving)
    low, high = (
        note_words(note) if name == note.name else f"{name}, {note_words(note)}"
        for note, name in zip((trill.low, trill.high), names, strict=True)
    )
    return (
        f"Trill from {low} to {high}. {begun(finger_words(trill.low_states, holes))}; "
        f"move {moving}; {breath_words(trill.register)}."
    )


def flute_words(holes: Sequence[ChartHole]) -> str:
    """The flute as it lies at the head of the page."""
    told = []
    for hand, word in HANDS.items():
        count = sum(hole.hand == hand and not hole.thumb for hole in holes)
        if count:
            told.append(f"{count} for the {word}")
    thumbs = sum(hole.thumb for hole in holes)
    if thumbs:
        told.insert(0, "one for the thumb" if thumbs == 1 else f"{thumbs} for the thumbs")
    return f"The flute, mouth to the left. Finger holes: {', '.join(told) or 'none'}."


def _finger(hole: ChartHole, holes: Sequence[ChartHole]) -> str:
    hand = "upper" if hole.hand == "L" else "lower"
    if hole.thumb:
        both = sum(other.thumb for other in holes) > 1
        return f"the {hand} thumb" if both else "the thumb"
    return f"the {FINGERS[hole.finger[1:]]} finger of the {hand} hand"
