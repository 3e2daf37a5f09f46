"""What notes are called, against tables of common practice (written from memory, no source)."""

from __future__ import annotations

import pytest

from scaledesign.errors import EditError
from scaledesign.model.pitch import Note, parse_note
from scaledesign.paper.note_names import LANGUAGES, note_name

WRITTEN = ("C4", "C#4", "Db4", "D4", "Eb4", "E4", "F4", "F#4", "Gb4", "G4", "Ab4", "A4", "Bb4", "B4")
CALLED = {
    "english": "C C♯ D♭ D E♭ E F F♯ G♭ G A♭ A B♭ B",
    "german": "C Cis Des D Es E F Fis Ges G As A B H",
    "dutch": "C Cis Des D Es E F Fis Ges G As A Bes B",
    "nordic": "C Ciss Dess D Ess E F Fiss Gess G Ass A B H",
    "italian": "Do Do♯ Re♭ Re Mi♭ Mi Fa Fa♯ Sol♭ Sol La♭ La Si♭ Si",
    "french": "Do Do♯ Ré♭ Ré Mi♭ Mi Fa Fa♯ Sol♭ Sol La♭ La Si♭ Si",
    "spanish": "Do Do♯ Re♭ Re Mi♭ Mi Fa Fa♯ Sol♭ Sol La♭ La Si♭ Si",
    "portuguese": "Dó Dó♯ Ré♭ Ré Mi♭ Mi Fá Fá♯ Sol♭ Sol Lá♭ Lá Si♭ Si",
    "do-re-mi": "do di ra re me mi fa fi se sol le la te ti",
    "numbers": "1 ♯1 ♭2 2 ♭3 3 4 ♯4 ♭5 5 ♭6 6 ♭7 7",
}


def test_every_language_has_its_row_here() -> None:
    assert set(CALLED) == set(LANGUAGES)


@pytest.mark.parametrize("language", LANGUAGES)
def test_names_of_the_keys_of_a_piano(language: str) -> None:
    assert " ".join(note_name(parse_note(note), language) for note in WRITTEN) == CALLED[language]


@pytest.mark.parametrize(
    ("note", "language", "called"),
    [
        ("Abb4", "german", "Ases"),
        ("Ebb4", "german", "Eses"),
        ("Bbb4", "german", "Heses"),
        ("F##4", "german", "Fisis"),
        ("E#4", "german", "Eis"),
        ("Cb4", "german", "Ces"),
        ("Bbb4", "dutch", "Beses"),
        ("Bb4", "nordic", "B"),
        ("E#4", "nordic", "Eiss"),
        ("E`4", "english", "E½♭"),
        ("C~4", "german", "C½♯"),
        ("B`4", "german", "H½♭"),
        ("Eb`4", "italian", "Mi1½♭"),
    ],
)
def test_seldom_names(note: str, language: str, called: str) -> None:
    assert note_name(parse_note(note), language) == called


@pytest.mark.parametrize(
    ("note", "tonic", "syllable", "number"),
    [
        ("A4", "A4", "do", "1"),
        ("C5", "A4", "me", "♭3"),
        ("C#5", "A4", "mi", "3"),
        ("G5", "A4", "te", "♭7"),
        ("A5", "A4", "do′", "1\u0307"),
        ("E6", "A4", "sol′", "5\u0307"),
        ("A6", "A4", "do′′", "1\u0308"),
        ("G4", "A4", "te͵", "♭7\u0323"),
        ("D5", "Bb4", "mi", "3"),
        ("A4", "Bb4", "ti͵", "7\u0323"),
        ("Gb5", "Eb5", "me", "♭3"),
        ("D~5", "B4", "mi½♭", "½♭3"),  # a neutral third
    ],
)
def test_names_by_the_place_above_the_tonic(note: str, tonic: str, syllable: str, number: str) -> None:
    one, home = parse_note(note), parse_note(tonic)
    assert note_name(one, "do-re-mi", home, octave=True) == syllable
    assert note_name(one, "numbers", home, octave=True) == number


def test_the_tonic_moves_nothing_where_names_are_fixed() -> None:
    for language in set(LANGUAGES) - {"do-re-mi", "numbers"}:
        note = parse_note("F#5")
        assert note_name(note, language, parse_note("D4")) == note_name(note, language)


@pytest.mark.parametrize("language", LANGUAGES)
def test_no_two_notes_of_an_octave_share_a_name(language: str) -> None:
    alters = (-1.5, -1.0, -0.5, 0.0, 0.5, 1.0, 1.5)
    notes = [Note(letter, alter, 4) for letter in "CDEFGAB" for alter in alters]
    assert len({note_name(note, language) for note in notes}) == len(notes)


def test_octaves_are_told_when_asked_for() -> None:
    assert note_name(parse_note("Bb5"), "german", octave=True) == "B5"
    assert note_name(parse_note("Bb5"), "german") == "B"


def test_an_unknown_language_is_one_sentence() -> None:
    with pytest.raises(EditError, match=r"^'latin' is no way to call notes; choose one of english, german"):
        note_name(parse_note("A4"), "latin")
