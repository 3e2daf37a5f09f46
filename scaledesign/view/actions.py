"""Everything a maker can ask of the screen: one table for keys, footer, palette, help and README.

A name, its keys, a few words and a sentence each; what an action does is in ``deeds.py``, or where it needs
the screen in ``ui/main_acts.py`` and ``ui/app.py``. Keys are written as terminals name them; ``key_words``
says them as a person would. A maker's own keys come in through ``keymap``. Nothing here runs anything.
"""

from __future__ import annotations

import string
import unicodedata
from collections.abc import Iterable, Mapping
from typing import Literal

from scaledesign.values import dataclass
from scaledesign.view.columns import PaneName

Group = Literal["the cell", "rows and holes", "the flute", "the bench", "looking", "the file"]
GROUPS: tuple[Group, ...] = ("the cell", "rows and holes", "the flute", "the bench", "looking", "the file")


@dataclass(frozen=True, slots=True)
class Action:
    """One thing to ask for."""

    name: str
    keys: tuple[str, ...]
    title: str
    """A few words, for footer and palette."""
    words: str
    """A sentence, for the help."""
    group: Group
    footer: int = 0
    """Place in the footer, the lowest first; 0: not there."""
    panes: tuple[PaneName, ...] = ()
    """Panes where its keys mean this; everywhere when empty."""


ACTIONS: tuple[Action, ...] = (
    Action("edit", ("enter", "f2"), "edit", "Change the cell as it stands; Enter takes it, Escape leaves it.",
           "the cell", 70),
    Action("turn", ("space",), "turn", "The next choice: a hole closed, open, partly open; a role; a lock.",
           "the cell", 10),
    Action("clear", ("delete", "backspace"), "clear", "Empty the selected cells.", "the cell"),
    Action("sharper", ("right_square_bracket",), "up a step",
           "One cent sharper; in the hole list one step of your ruler, or the next bit.", "the cell"),
    Action("flatter", ("left_square_bracket",), "down a step",
           "One cent flatter; in the hole list one step back, or the bit before.", "the cell"),
    Action("copy", ("ctrl+c",), "copy", "Copy the selected cells as tab-separated text, for any spreadsheet.",
           "the cell"),
    Action("cut", ("ctrl+x",), "cut", "Copy the selected cells and empty them.", "the cell"),
    Action("paste", ("ctrl+v",), "paste",
           "Put copied cells in from here on; your terminal's own paste does the same.", "the cell"),
    Action("fill", ("ctrl+d",), "fill down",
           "Copy the first selected row into the others; a single cell takes what stands above it.",
           "the cell"),
    Action("select_all", ("ctrl+a",), "select all", "Select every cell of this table.", "the cell"),
    Action("undo", ("ctrl+z",), "undo", "Take the last step back.", "the cell", 30),
    Action("redo", ("ctrl+y",), "redo", "Do again what was taken back.", "the cell"),

    Action("insert", ("f7", "insert"), "new row",
           "A new row before this one, alike; in the hole list a new hole.", "rows and holes", 65),
    Action("duplicate", ("ctrl+r",), "repeat row", "This row once more, below.", "rows and holes"),
    Action("delete", ("f8", "ctrl+k"), "delete row", "Take the selected rows, or holes, out.",
           "rows and holes"),
    Action("up", ("ctrl+up", "alt+up"), "move row up", "Move the selected rows up.", "rows and holes"),
    Action("down", ("ctrl+down", "alt+down"), "move row down", "Move the selected rows down.",
           "rows and holes"),
    Action("sort", ("ctrl+t",), "sort", "Sort the rows by this column; once more, the other way round.",
           "rows and holes"),
    Action("lock", ("ctrl+l",), "lock", "Lock this hole, or the foot, where it is; once more frees it.",
           "rows and holes", 45),
    Action("measure", ("m",), "measure from",
           "Where the hole list measures from: sounding edge, foot, edge to edge, cut end.", "rows and holes",
           panes=("holes",)),

    Action("hold", ("f9",), "hold holes",
           "Hold all holes still, so that edits only predict; once more lets them follow.", "the flute", 50),
    Action("solve", ("f5",), "solve again", "Find the holes anew from where they are.", "the flute"),
    Action("find", ("ctrl+f",), "find fingering",
           "What plays the note of this row, best first; Enter puts one into the row.", "the flute", 51),
    Action("trills", (), "trills", "Fingerings for a trill from this row to the next note.", "the flute"),
    Action("chart", (), "propose a chart",
           "A fingering for every note of the scale, or every semitone, over two registers.", "the flute"),
    Action("retune", ("f11",), "retune",
           "Another scale or tonic: from the list or a file, begun elsewhere, mixed, stretched.", "the flute",
           77),
    Action("tunings", (), "try tunings",
           "This flute under two to four tunings: what would move, how well, within reach; take one.",
           "the flute"),
    Action("suits", ("ctrl+u",), "which scales", "Which scales this flute can play as it stands, best first.",
           "the flute"),
    Action("chances", (), "made many times",
           "A thousand flutes made from these numbers, each a little off: how many come out in tune.",
           "the flute"),
    Action("compare", (), "compare", "Beside another flute, or as it was saved: what differs; take one over.",
           "the flute"),
    Action("why", ("ctrl+w",), "why", "Everything there is to say of this flute: what binds, what is odd.",
           "the flute", 60),
    Action("new", ("ctrl+n",), "new flute", "Your tube, key and scale, then a flute laid out for it.",
           "the flute", 40),
    Action("guide", ("ctrl+g",), "first flute", "A short walk through making a first flute, step by step.",
           "the flute"),

    Action("bench", ("alt+n", "shift+f4"), "next step",
           "Make the flute: the one next step, large; what you did and heard goes in.", "the bench", 21),
    Action("tube", (), "this tube",
           "What a tube in your hand can become: its keys, best first; or which bore to look for.",
           "the bench"),
    Action("benchwork", (), "at the bench", "Everything there is to do at the bench, to choose from.",
           "the bench"),
    Action("blow", ("f4",), "blow",
           "Blow the bare tube and type what your tuner shows: the ± of every note shrinks.",
           "the bench", 20),
    Action("listen", (), "from a recording",
           "A recording of you playing, WAV or FLAC: its notes are found, matched to rows, entered.",
           "the bench"),
    Action("rescue", (), "rescue",
           "A finished flute that is off: the few holes to open, fill or move, and what each does; take one.",
           "the bench"),
    Action("pattern", (), "check a pattern",
           "A good flute that was measured: numbers that its own notes contradict; go to one, or mend it.",
           "the bench"),
    Action("carry", (), "carry over",
           "This flute made anew of another tube, in another key or scale, keeping its character.",
           "the bench"),
    Action("hands", (), "under the hand",
           "What this hand cannot cover, what would help and its cents; another hand; put one in.",
           "the bench"),
    Action("by_eye", (), "without a tape",
           "The holes by a folded cord, fingers or the bore, with what it costs; rules of thumb.",
           "the bench"),
    Action("book", (), "the book",
           "What your finished flutes taught, and what they say of this one's mouth; take it.", "the bench"),

    Action("help", ("f1", "question_mark"), "help", "What this column or field is, and every key.",
           "looking", 5),
    Action("read", (), "the handbook",
           "Pages to read: a first flute, what to do at each job, why a flute plays as it does.", "looking"),
    Action("next_pane", ("f6", "ctrl+right"), "next table", "On to the next table.", "looking", 15),
    Action("previous_pane", ("shift+f6", "ctrl+left"), "table before", "Back to the table before.",
           "looking"),
    Action("sound", ("f3",), "sound", "A look at the sound, large; once more puts it back.", "looking", 55),
    Action("hear", ("ctrl+b",), "hear", "Hear the selected rows as they will sound; once more stops.",
           "looking", 52),
    Action("hear_scale", (), "hear the scale", "Hear the whole scale as the flute will play it.", "looking"),
    Action("hear_wanted", (), "hear both",
           "Hear each selected row as you want it, then as the flute will play it.", "looking"),
    Action("theme", ("f10",), "light or dark", "Day, night, or no colours at all.", "looking"),
    Action("signs", (), "plain signs", "Draw with plain letters, or with circles and lines.", "looking"),
    Action("palette", ("ctrl+p",), "commands", "Every command by name.", "looking", 8),

    Action("save", ("ctrl+s",), "save", "Write the flute to its file.", "the file", 35),
    Action("save_as", ("f12",), "save as", "Write it to a file of another name.", "the file"),
    Action("open", ("ctrl+o",), "open", "Open a flute: a file, a recent one, an example.", "the file"),
    Action("earlier", (), "earlier versions", "What saves of this flute replaced; Enter has one back.",
           "the file"),
    Action("print", ("ctrl+e",), "print, export",
           "Template, shop sheet, chart, hole list, notes: look at them, print them, write them to files.",
           "the file"),
    Action("keep_scale", (), "keep the scale",
           "Keep the scale among your own, or as a file: to pass on, or to tune a MIDI instrument by.",
           "the file"),
    Action("quit", ("ctrl+q",), "quit", "Leave; what is not saved is asked about.", "the file", 75),
)  # fmt: skip
"""In the order in which help and README show them."""

BY_NAME: Mapping[str, Action] = {action.name: action for action in ACTIONS}

_NAMED_OTHERWISE = {
    "solidus": "slash", "reverse_solidus": "backslash", "commercial_at": "at", "hyphen_minus": "minus",
    "plus_sign": "plus", "low_line": "underscore",
}  # fmt: skip


def _sign_name(sign: str) -> str:
    """What terminals call the key of a sign: that of ? is question_mark."""
    name = unicodedata.name(sign).lower().replace("-", "_").replace(" ", "_")
    return _NAMED_OTHERWISE.get(name, name)


_SIGN_NAMES = {sign: _sign_name(sign) for sign in string.punctuation}
_KEY_WORDS = {
    **{name: sign for sign, name in _SIGN_NAMES.items()},
    "enter": "Enter", "space": "Space", "delete": "Delete", "backspace": "Backspace", "insert": "Insert",
    "up": "Up", "down": "Down", "left": "Left", "right": "Right",
}  # fmt: skip


def key_words(key: str) -> str:
    """A key as a person says it: ``ctrl+z`` is Ctrl+Z, ``f2`` F2."""
    *held, last = key.split("+")
    words = [word.capitalize() for word in held]
    words.append(_KEY_WORDS.get(last, last.upper() if (len(last) == 1 and held) or last[:1] == "f" else last))
    return "+".join(words)


def _as_terminals_say(key: str) -> str:
    """A key as ``key_words`` has it, or as terminals name it, in their spelling: ``Ctrl+]`` and ``?`` too."""
    plain = "".join(key.casefold().split())
    last = plain[-1]
    return plain[:-1] + _SIGN_NAMES.get(last, last)


def worded(text: str, keys: Mapping[str, tuple[str, ...]]) -> str:
    """A text with the keys of actions in it: ``"press {blow}"`` becomes "press F4"."""
    for name, held in keys.items():
        text = text.replace(f"{{{name}}}", key_words(held[0]) if held else BY_NAME[name].title)
    return text


def keymap(own: Iterable[tuple[str, str]] = ()) -> dict[str, tuple[str, ...]]:
    """Keys of every action, the maker's own in place of ours.

    Parameters
    ----------
    own : pairs of an action's name and its keys, separated by commas; they are taken from whoever had them
    """
    keys = {action.name: action.keys for action in ACTIONS}
    for name, text in own:
        chosen = tuple(_as_terminals_say(key) for key in text.split(",") if key.strip())
        for other, held in keys.items():
            keys[other] = tuple(key for key in held if key not in chosen)
        keys[name] = chosen
    return keys


def bindings(keys: Mapping[str, tuple[str, ...]], pane: PaneName) -> dict[str, str]:
    """The action behind each key in a pane; of two that want one key the later in the table wins."""
    found: dict[str, str] = {}
    for action in ACTIONS:
        if action.panes and pane not in action.panes:
            continue
        for key in keys[action.name]:
            found[key] = action.name
    return found


def footer(
    keys: Mapping[str, tuple[str, ...]], undo: str, held: bool, blown: bool = False
) -> tuple[tuple[str, str, str], ...]:
    """What the last line shows, most wanted first: action, its key, its words.

    ``blown``: the bare tube was; then the next step stands where blowing it stood.
    """
    other = "blow" if blown else "bench"
    shown = sorted(
        (action for action in ACTIONS if action.footer and keys[action.name] and action.name != other),
        key=lambda a: a.footer,
    )
    words = {"undo": f"undo {undo}" if undo else "", "hold": "let go" if held else "hold holes"}
    return tuple(
        (action.name, key_words(keys[action.name][0]), words.get(action.name, action.title))
        for action in shown
        if words.get(action.name, action.title)
    )
