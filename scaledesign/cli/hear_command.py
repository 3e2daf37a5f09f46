"""hear: a flute or a scale played, or written as sound, MIDI or notation.

Apart from ``voices``, which says what the notes are, and ``sounding``, which makes sound and files of them.
"""

from __future__ import annotations

import argparse
from collections.abc import Iterator, Sequence
from itertools import count
from pathlib import Path

from scaledesign.cli.as_json import print_json
from scaledesign.cli.exit_codes import OK
from scaledesign.cli.files import output_path, read_design
from scaledesign.cli.voices import (
    PLAYS,
    WANTED,
    Music,
    of_flute,
    of_scales,
    scale_named,
    written,
)
from scaledesign.errors import EditError, QuantityError, SilentError
from scaledesign.files import document_file
from scaledesign.model.pitch import Names, cents_between, format_reading, parse_note
from scaledesign.model.saying import begun
from scaledesign.model.spelling import names_like
from scaledesign.model.units import format_cents
from scaledesign.paper.report import blocks
from scaledesign.paper.text import WIDTH, paragraph, table
from scaledesign.sounding import score as scores
from scaledesign.sounding.melody import melody
from scaledesign.sounding.midi import midi_bytes
from scaledesign.sounding.musicxml import musicxml_text
from scaledesign.sounding.player import play
from scaledesign.sounding.score import Score
from scaledesign.sounding.wav import wav_bytes
from scaledesign.view.scale_files import scale_of_file

TONIC = "A4"
"""Where neither flute nor maker says another."""
TEMPI = (10.0, 600.0)
"""Beats a minute between which notes are notes."""
VIBRATO = 12.0
"""Cents up and down: common practice, no source."""
ENDINGS = (".wav", ".mid", ".midi", ".musicxml", ".xml")
NAMES = (WIDTH, 24, 18, 14, 10)
"""Letters of a scale's name over its column, fewer where many are heard."""
OWN_NAME = "notes"
"""What a file is called that is written because nothing can be played."""


def hear(args: argparse.Namespace) -> int:
    """Play the notes, or write them."""
    output = _output(args)
    if not TEMPI[0] <= args.tempo <= TEMPI[1]:
        raise QuantityError(
            f"--tempo {args.tempo:g}", "is no tempo", f"write {TEMPI[0]:g} to {TEMPI[1]:g} beats a minute"
        )
    music = _music(args)
    if len({len(voice) for voice in music.voices}) > 1 and not (args.whole or args.together):
        lengths = " and ".join(str(len(voice)) for voice in music.voices)
        raise EditError(f"{lengths} notes cannot be heard note by note", "add --whole")
    score = _score(args, music)
    if output:
        _write(output, score, args.midi)
    if args.json:
        print_json(_object(music, score))
        return OK
    print(_text(args, music, score), flush=True)
    if output:
        print(f"\nWritten to {output}.")
    else:
        _play(score)
    return OK


def _output(args: argparse.Namespace) -> Path | None:
    path = output_path(args)
    if path and path.suffix.lower() not in ENDINGS:
        raise EditError(
            f"{path} does not say by its ending what to write", "end it with .wav, .mid or .musicxml"
        )
    return path


def _music(args: argparse.Namespace) -> Music:
    key = parse_note(args.tonic) if args.tonic else None
    scales = [scale_named(name) for name in args.scale]
    if args.file and (found := scale_of_file(Path(args.file))):
        scales.insert(0, found)
    elif args.file or args.example:
        return of_flute(read_design(args), args.what or PLAYS, scales, key, args.rows)
    if args.what:
        raise EditError("--what asks for a flute", "name its design file, or leave it out")
    if not scales:
        raise EditError("there is nothing to hear", "name a design file, a scale file or --scale")
    return of_scales(scales, key or parse_note(TONIC), args.rows)


def _score(args: argparse.Namespace, music: Music) -> Score:
    voices = scores.ordered(music.voices, args.order)
    if args.together:
        notes = scores.together(voices)
    else:
        notes = scores.in_turn(voices, "whole" if args.whole else "note")
    reference = music.tuned.reference
    if args.drone:
        tonic = args.drone.strip().lower() == "tonic"
        frequency = music.tuned.target("1" if tonic else args.drone)
        note = music.tuned.tonic if tonic else written(args.drone, music.tuned)
        notes = scores.over(notes, scores.pitched(frequency, reference, note, names=_written(music)))
    vibrato = VIBRATO if args.vibrato else 0.0
    return Score(notes, music.title, args.tempo, reference, vibrato)


def _write(path: Path, score: Score, midi: str) -> None:
    ending = path.suffix.lower()
    if ending == ".wav":
        data = wav_bytes(melody(score.events(), vibrato=score.vibrato))
    elif ending in (".mid", ".midi"):
        data = midi_bytes(score, "tuning" if midi == "tuning" else "bend")
    else:
        data = musicxml_text(score).encode("utf-8")
    document_file.put_bytes(data, path)


def _play(score: Score) -> None:
    """Play it; where that is not to be had, it is written to a file of a free name, and said so."""
    samples = melody(score.events(), vibrato=score.vibrato)
    try:
        play(samples)
    except SilentError as error:
        path = next(path for path in _free_names() if not path.exists())
        document_file.put_bytes(wav_bytes(samples), path)
        said = f"{begun(error.problem)}; it was written to {path} instead."
        print(f"\n{paragraph(said)}")


def _free_names() -> Iterator[Path]:
    return (Path(f"{OWN_NAME}-{n}.wav" if n > 1 else f"{OWN_NAME}.wav") for n in count(1))


def _text(args: argparse.Namespace, music: Music, score: Score) -> str:
    """What is heard: a line a note, with what a tuner would show of each voice."""
    reference = music.tuned.reference
    names = _written(music)
    same = len(set(map(len, music.voices))) == 1
    rows, header = [], ["", "note", "fingering", *music.names]
    if same:
        header.append("apart" if len(music.voices) == 2 else "")
        for place, number in enumerate(music.numbers[0]):
            pitches = [voice[place] for voice in music.voices]
            apart = cents_between(pitches[0].frequency, pitches[1].frequency) if len(pitches) == 2 else None
            rows.append(
                (
                    str(number),
                    pitches[0].note.name,
                    music.fingerings[place] if music.fingerings else "",
                    *(format_reading(pitch.frequency, reference, names) for pitch in pitches),
                    "" if apart is None else format_cents(apart),
                )
            )
        shown = _fitting(header, rows)
    else:
        shown = "\n\n".join(
            table(
                ("", "note", name),
                [
                    (str(number), pitch.note.name, format_reading(pitch.frequency, reference, names))
                    for number, pitch in zip(numbers, voice, strict=True)
                ],
                "rlr",
            )
            for name, numbers, voice in zip(music.names, music.numbers, music.voices, strict=True)
        )
    return blocks(music.head, paragraph(_how(args, music, score)), shown, *map(paragraph, music.remarks))


def _written(music: Music) -> Names:
    """What notes are called: as those that are heard are written."""
    return names_like([pitch.note for voice in music.voices for pitch in voice])


def _fitting(header: Sequence[str], rows: Sequence[Sequence[str]]) -> str:
    """The table, with names cut as far as its lines need it; how it is heard says them whole."""
    shown = ""
    for most in NAMES:
        names = [name if len(name) <= most else f"{name[: most - 1]}…" for name in header]
        shown = table(names, rows, "rll" + "r" * (len(header) - 3))
        if max(map(len, shown.splitlines())) <= WIDTH:
            break
    return shown


def _how(args: argparse.Namespace, music: Music, score: Score) -> str:
    """In one sentence, how it is heard."""
    words = {WANTED: "as you wanted them", PLAYS: "as the flute plays them"}
    names = ", then ".join(words.get(name, f"in {name}") for name in music.names)
    if args.together:
        said = f"All at once: {names}."
    elif len(music.names) == 1:
        said = f"{len(music.voices[0])} notes, one after another, {names}."
    elif args.whole:
        said = f"One whole after the other: {names}."
    else:
        said = f"Note by note: {names}."
    held = [note.pitch.note.name for note in score.notes if note.part == scores.DRONE]
    return f"{said} {held[0]} is held under it." if held else said


def _object(music: Music, score: Score) -> dict[str, object]:
    beat = 60.0 / score.tempo
    return {
        "name": music.title,
        "reference_hz": score.reference,
        "beats_per_minute": score.tempo,
        "seconds": score.beats * beat,
        "notes": [
            {
                "note": note.pitch.note.name,
                "cents": note.pitch.off,
                "frequency_hz": note.pitch.frequency,
                "start_s": note.beat * beat,
                "length_s": note.beats * beat,
                "tuning": note.pitch.words,
                "held_under": note.part == scores.DRONE,
            }
            for note in score.notes
        ],
    }
