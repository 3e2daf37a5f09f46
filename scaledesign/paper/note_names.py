"""What notes are called: by language, by the place in the scale, by number.

Apart from ``model/pitch.py``, where a note has the one name that files use. Here are the names that people
say. Where a language has words for sharps and flats (Cis, As) they are used; else the signs ♯ and ♭ are.
No language has settled words for quarter tones: they are written with half signs everywhere, on the plain
letter: C½♯ lies a quarter tone above C, E1½♭ three quarters of a tone below E.

All tables here are common practice, written from memory, no source; where practice is divided, the function
that makes the name says what was chosen.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

from scaledesign.errors import EditError
from scaledesign.model.pitch import LETTERS, SEMITONES, Note
from scaledesign.values import dataclass

SHARP, FLAT = "♯", "♭"
ABOVE, TWO_ABOVE, BELOW, TWO_BELOW = "\u0307", "\u0308", "\u0323", "\u0324"
"""Dots over or under the figure before them: octaves up or down (combining characters of Unicode)."""

LANGUAGES: Mapping[str, str] = {
    "english": "English: C D E F G A B, with ♯ and ♭",
    "german": "German: C D E F G A H; Cis, Es, As, and B for H flat",
    "dutch": "Dutch: C D E F G A B; Cis, Es, As, Bes",
    "nordic": "Swedish and Norwegian: C D E F G A H; Ciss, Ess, Ass, and B for H flat",
    "italian": "Italian: Do Re Mi Fa Sol La Si, with ♯ and ♭",
    "french": "French: Do Ré Mi Fa Sol La Si, with ♯ and ♭",
    "spanish": "Spanish: Do Re Mi Fa Sol La Si, with ♯ and ♭",
    "portuguese": "Portuguese: Dó Ré Mi Fá Sol Lá Si, with ♯ and ♭",
    "do-re-mi": "do re mi fa sol la ti, where do is the flute's own first note",
    "numbers": "1 2 3 4 5 6 7, where 1 is the flute's own first note; a dot for an octave",
}
"""Key of each language, and how it calls the notes."""

OF_TONIC = ("do-re-mi", "numbers")
"""Those in which a name tells the place above the tonic."""


def note_name(note: Note, language: str, tonic: Note | None = None, *, octave: bool = False) -> str:
    """What ``note`` is called.

    Parameters
    ----------
    note : Note
    language : key of ``LANGUAGES``
    tonic : Note
        what is called do, or 1; None: C4. Other languages do not look at it
    octave : whether the octave is told: as a number, A4 having the 4 in every language (French and Italian
        teaching often counts it as 3); for "do-re-mi" a stroke above or below for each octave from the
        tonic's, for "numbers" as many dots over or under the figure

    Raises
    ------
    EditError
        when nobody knows the language.
    """
    if language not in LANGUAGES:
        known = ", ".join(LANGUAGES)
        raise EditError(f"{language!r} is no way to call notes", f"choose one of {known}")
    if language in OF_TONIC:
        return _by_place(note, language, tonic or Note("C", 0.0, 4), octave)
    return _NAMERS[language](note) + (str(note.octave) if octave else "")


@dataclass(frozen=True, slots=True)
class _Signs:
    """Names of the seven naturals, with signs after them."""

    letters: tuple[str, ...]
    """C to B."""

    def __call__(self, note: Note) -> str:
        return self.letters[LETTERS.index(note.letter)] + signs(note.alter)


@dataclass(frozen=True, slots=True)
class _Words:
    """Names of the seven naturals, with syllables for sharps and flats.

    A name that begins with a vowel loses the vowel of the flat's syllable: Es, As, Eses, Ases. ``lone`` are
    those that stand alone. An alteration by three, or by a quarter tone, is written with signs.
    """

    letters: tuple[str, ...]
    sharp: str
    flat: str
    lone: Mapping[tuple[str, float], str]

    def __call__(self, note: Note) -> str:
        letter = self.letters[LETTERS.index(note.letter)]
        if (note.letter, note.alter) in self.lone:
            return self.lone[note.letter, note.alter]
        if note.alter not in (-2, -1, 0, 1, 2):
            return letter + signs(note.alter)
        if note.alter > 0:
            return letter + self.sharp * int(note.alter)
        many = self.flat * int(-note.alter)
        return letter + (many[1:] if letter in "EA" and many else many)


def signs(alter: float) -> str:
    """Sharps or flats for an alteration in semitones: '', '♭', '♯♯'; halves with their number: '1½♭'."""
    sign, size = (SHARP if alter > 0 else FLAT), abs(alter)
    if size == int(size):
        return sign * int(size)
    return f"{int(size) or ''}½{sign}"


_PLAIN = tuple("CDEFGAB")
_WITH_H = tuple("CDEFGAH")
_NAMERS: Mapping[str, Callable[[Note], str]] = {
    "english": _Signs(_PLAIN),
    "german": _Words(_WITH_H, "is", "es", {("B", -1.0): "B"}),
    "dutch": _Words(_PLAIN, "is", "es", {}),
    "nordic": _Words(_WITH_H, "iss", "ess", {("B", -1.0): "B"}),
    "italian": _Signs(("Do", "Re", "Mi", "Fa", "Sol", "La", "Si")),
    "french": _Signs(("Do", "Ré", "Mi", "Fa", "Sol", "La", "Si")),
    "spanish": _Signs(("Do", "Re", "Mi", "Fa", "Sol", "La", "Si")),
    "portuguese": _Signs(("Dó", "Ré", "Mi", "Fá", "Sol", "Lá", "Si")),
}

_MAJOR = tuple(SEMITONES[letter] for letter in LETTERS)
_SYLLABLES: Mapping[float, tuple[str, ...]] = {
    0.0: ("do", "re", "mi", "fa", "sol", "la", "ti"),
    1.0: ("di", "ri", "mi♯", "fi", "si", "li", "ti♯"),
    -1.0: ("do♭", "ra", "me", "fa♭", "se", "le", "te"),
}
"""Degrees as in a major scale, raised, and lowered."""


def _by_place(note: Note, language: str, tonic: Note, octave: bool) -> str:
    """By the letters and semitones from the tonic: a note a major third above it is mi, or 3."""
    letters = LETTERS.index(note.letter) - LETTERS.index(tonic.letter) + 7 * (note.octave - tonic.octave)
    octaves, degree = divmod(letters, 7)
    alter = note.midi - tonic.midi - 12 * octaves - _MAJOR[degree]
    if language == "numbers":
        dots = ABOVE * octaves if octaves > 0 else BELOW * -octaves
        dots = {ABOVE * 2: TWO_ABOVE, BELOW * 2: TWO_BELOW}.get(dots, dots)
        return f"{signs(alter)}{degree + 1}{dots if octave else ''}"
    known = _SYLLABLES.get(alter)
    name = known[degree] if known else _SYLLABLES[0.0][degree] + signs(alter)
    strokes = "′" * octaves if octaves > 0 else "͵" * -octaves
    return name + (strokes if octave else "")
