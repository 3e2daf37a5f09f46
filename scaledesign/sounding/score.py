"""What is heard, in beats: notes in turn, two tunings beside each other, a chord, a note held under it all.

Apart from the formats: samples, MIDI and MusicXML are made from the same score, so that what one hears is
what another program shows. Frequencies are what counts; names, cents and fingerings are told along with them.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from scaledesign.model.document import Finger, HoleState
from scaledesign.model.pitch import SHARPS, Names, Note, cents_between, nearest_note, note_frequency
from scaledesign.sounding.melody import Event
from scaledesign.values import dataclass

Order = Literal["listed", "up", "down", "up-down"]
Turns = Literal["note", "whole"]

MELODY, DRONE = 0, 1
"""Parts of a score."""
_LOUDNESS = {MELODY: 1.0, DRONE: 0.45}


@dataclass(frozen=True, slots=True)
class Pitch:
    """One pitch: what sounds, and what is written of it."""

    frequency: float
    """Hz."""
    note: Note
    """As the maker writes it."""
    off: float = 0.0
    """Cents from that note in equal temperament."""
    words: str = ""
    """What it is, where several are compared: "wanted", "plays", the name of a scale."""
    holes: tuple[tuple[Finger, HoleState], ...] = ()


@dataclass(frozen=True, slots=True)
class Sounded:
    """One note in a score."""

    pitch: Pitch
    beat: int
    """The first it sounds on, from 0."""
    beats: int = 1
    part: int = MELODY


@dataclass(frozen=True, slots=True)
class Score:
    """Notes in the order they begin, and what they are called together."""

    notes: tuple[Sounded, ...]
    title: str = ""
    tempo: float = 60.0
    """Beats a minute."""
    reference: float = 440.0
    """Hz of A4."""
    vibrato: float = 0.0
    """Cents up and down; for the samples only."""

    @property
    def beats(self) -> int:
        """Beats from the beginning to the end of the last note."""
        return max((note.beat + note.beats for note in self.notes), default=0)

    def events(self) -> tuple[Event, ...]:
        """The notes in seconds."""
        beat = 60.0 / self.tempo
        return tuple(
            Event(note.pitch.frequency, note.beat * beat, note.beats * beat, _LOUDNESS[note.part])
            for note in self.notes
        )


def pitched(
    frequency: float,
    reference: float,
    note: Note | None = None,
    words: str = "",
    holes: tuple[tuple[Finger, HoleState], ...] = (),
    names: Names = SHARPS,
) -> Pitch:
    """Pitch of a frequency (Hz), written ``note`` or the nearest of ``names``; its cents are worked out."""
    written = note or nearest_note(frequency, reference, names)[0]
    off = cents_between(note_frequency(written, reference), frequency)
    return Pitch(frequency, written, off, words, holes)


def ordered(voices: Sequence[Sequence[Pitch]], order: Order) -> tuple[tuple[Pitch, ...], ...]:
    """Voices in an order of pitch, that of the first voice; all keep step where they are of one length.

    Up and down again plays the top note once.
    """
    lengths = {len(voice) for voice in voices}
    if len(lengths) != 1:
        return tuple(_turned(voice, _places(voice, order)) for voice in voices)
    places = _places(voices[0], order)
    return tuple(_turned(voice, places) for voice in voices)


def in_turn(voices: Sequence[Sequence[Pitch]], by: Turns = "note") -> tuple[Sounded, ...]:
    """Notes one a beat: of several voices each note in all of them, or one voice whole after the other.

    A beat of rest lies between what belongs together. Voices of one length are asked for by note.
    """
    groups = list(zip(*voices, strict=True)) if by == "note" else [tuple(voice) for voice in voices]
    rest = int(len(voices) > 1)
    notes, beat = [], 0
    for group in groups:
        for pitch in group:
            notes.append(Sounded(pitch, beat))
            beat += 1
        beat += rest
    return tuple(notes)


def together(voices: Sequence[Sequence[Pitch]], beats: int = 3) -> tuple[Sounded, ...]:
    """Every voice as one chord, one after the other."""
    rest = int(len(voices) > 1)
    return tuple(
        Sounded(pitch, place * (beats + rest), beats) for place, voice in enumerate(voices) for pitch in voice
    )


def over(notes: Sequence[Sounded], drone: Pitch) -> tuple[Sounded, ...]:
    """Notes with one held under all of them."""
    end = max((note.beat + note.beats for note in notes), default=0)
    return (*notes, Sounded(drone, 0, end, DRONE)) if end else ()


def _places(voice: Sequence[Pitch], order: Order) -> list[int]:
    places = list(range(len(voice)))
    if order == "listed":
        return places
    rising = sorted(places, key=lambda place: voice[place].frequency)
    if order == "up":
        return rising
    return rising[::-1] if order == "down" else [*rising, *rising[-2::-1]]


def _turned(voice: Sequence[Pitch], places: Sequence[int]) -> tuple[Pitch, ...]:
    return tuple(voice[place] for place in places)
