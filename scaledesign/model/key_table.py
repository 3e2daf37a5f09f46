"""What each key of a MIDI keyboard sounds, made of a tuning, and a tuning made of that.

Apart from the bytes that carry it (``files/midi_tuning.py``) and from scales, which know notes and no keys.

Which key sounds what: the key of the tonic sounds the tonic. Where a scale has no more degrees than its
period has semitones, each degree has the key nearest to where it is written, each a key of its own, and the
keys between sound their equal-tempered distance from the tonic, as the notes between do on a flute. A scale
of more degrees has one after the other on the keys upward from the tonic, and downward.
"""

from __future__ import annotations

import math
from dataclasses import replace

from scaledesign.errors import QuantityError
from scaledesign.model.pitch import OCTAVE, SHARPS, Note, note_frequency, raised
from scaledesign.model.saying import listed
from scaledesign.model.scale import Scale, Tuned
from scaledesign.values import dataclass

KEYS = 128
STEPS = 16384
"""Of a semitone: as fine as a tuning message is."""
HIGHEST = KEYS - 2 / STEPS
"""Semitones: the last value but one, for the last means that nothing changes."""
ALIKE = 0.02
"""cents: rounding may move an interval of the table by less than that."""
LONGEST = 72
"""Keys in a period that is looked for."""
WIDEST = 2 * OCTAVE
"""cents: no wider period is looked for."""
ENOUGH = KEYS // 4
"""Pairs of keys that have to agree before a table is said to repeat."""
A4, HZ = 69, 440.0


@dataclass(frozen=True, slots=True)
class KeyTable:
    """A tuning of all keys: ``semitones`` (128,), A4 at 440 Hz being 69; None: a key is left as it is."""

    name: str
    semitones: tuple[float | None, ...]
    program: int = 0
    """Number of the tuning in the instrument, 0 to 127."""

    def height(self, key: int) -> float:
        """Semitones of a key; equal temperament where the table leaves it as it is."""
        value = self.semitones[key]
        return float(key) if value is None else value

    def frequency(self, key: int) -> float:
        """Hz of a key."""
        return hertz(self.height(key))


def hertz(semitones: float) -> float:
    """Frequency (Hz) at a height where A4 at 440 Hz is 69."""
    return float(HZ * 2.0 ** ((semitones - A4) / 12.0))


def height_of(frequency: float) -> float:
    """Semitones of a frequency (Hz), A4 at 440 Hz being 69."""
    return A4 + 12.0 * math.log2(frequency / HZ)


def table_of(tuned: Tuned, name: str = "", program: int = 0, *, every: bool = False) -> KeyTable:
    """What each key sounds in a tuning, to the step of the messages; None where they do not reach.

    ``every``: a degree on every key from the tonic on, however few they are.
    """
    tonic = math.floor(tuned.tonic.midi + 0.5)
    at_zero = height_of(note_frequency(tuned.tonic, tuned.reference))
    keys = keys_of(tuned.scale, every=every)
    count = len(keys) if every else max(tuned.scale.span, len(keys))
    heights = [at_zero + _cents(tuned.scale, keys, count, key - tonic) / 100.0 for key in range(KEYS)]
    steps = [round(height * STEPS) for height in heights]
    return KeyTable(
        name or tuned.scale.name,
        tuple(step / STEPS if 0 <= step <= HIGHEST * STEPS else None for step in steps),
        program,
    )


def keys_of(scale: Scale, *, every: bool = False) -> tuple[int, ...]:
    """Key of each degree, counted from the tonic's: rising, no two alike."""
    if every or len(scale.cents) > scale.span:
        return tuple(range(len(scale.cents)))
    keys: list[int] = []
    for place, cents in zip(scale.places, scale.cents, strict=True):
        nearest = _nearest_key(place, cents, scale.places)
        keys.append(max(nearest, keys[-1] + 1) if keys else 0)
    ceiling = scale.span
    for index in reversed(range(len(keys))):
        keys[index] = ceiling = min(keys[index], ceiling - 1)
    return tuple(keys)


def tuned_of(
    table: KeyTable, tonic: Note, source: str, keys: int | None = None
) -> tuple[Tuned, tuple[str, ...]]:
    """Tuning of a table over the key of ``tonic``, and what is to be said of it.

    The degrees are the keys up to where the tuning repeats: ``keys`` further on, or, where that is None, at
    the octave if there is one, else 12 keys up or where the table repeats. The reference is such that the
    tonic sounds what its key sounds.

    Raises
    ------
    QuantityError : there is no such key, or the keys above it do not rise to a period
    """
    first = round(tonic.midi)
    count = _period_keys(table) if keys is None else keys
    if tonic.midi != first or not 0 <= first < KEYS:
        raise QuantityError(
            tonic.name, "is no key of a MIDI keyboard", "write C0 to G9, without quarter tones"
        )
    if not 1 <= count <= LONGEST or first + count >= KEYS:
        raise QuantityError(
            str(count),
            f"there are not so many keys above {tonic.name}",
            f"write 1 to {min(LONGEST, KEYS - 1 - first)}",
        )
    base = table.height(first)
    above = [100.0 * (table.height(first + key) - base) for key in range(count + 1)]
    period = above.pop()
    if period < 100.0:
        raise QuantityError(
            f"{period:g} c",
            f"is all that the {count} keys above {tonic.name} rise",
            "give another tonic, or say after how many keys the tuning repeats",
        )
    within = sorted((cents, key) for key, cents in enumerate(above) if 0.0 <= cents < period)
    kept = [pair for index, pair in enumerate(within) if index == 0 or pair[0] - within[index - 1][0] > ALIKE]
    degrees = tuple(cents for cents, _ in kept)
    words = f"{len(degrees)} degrees read from a MIDI tuning, {tonic.name} its tonic."
    scale = Scale(table.name, degrees, period, source=source, words=words)
    places = tuple(float(key) for _, key in kept)
    if count == scale.span and scale.places != places and list(places) == sorted(places):
        scale = replace(scale, steps=places)
    reference = raised(table.frequency(first), -100.0 * (tonic.midi - A4))
    return Tuned(scale, tonic, reference), _remarks(table, first, count, {key for _, key in kept})


def key_name(key: int) -> str:
    """Note of a key, with sharps: ``"C4"`` is key 60."""
    return f"{SHARPS[key % 12]}{key // 12 - 1}"


def _nearest_key(place: float, cents: float, taken: tuple[float, ...]) -> int:
    """Key of a degree; of one written between two keys the nearer, if it is no other degree's."""
    low = math.floor(place)
    if low == place:
        return low
    near, far = (low + 1, low) if cents >= 100.0 * place else (low, low + 1)
    return far if near in taken and far not in taken else near


def _cents(scale: Scale, keys: tuple[int, ...], count: int, key: int) -> float:
    """Cents above the tonic of a key counted from the tonic's; degrees are at ``keys`` of every ``count``."""
    periods, rest = divmod(key, count)
    if rest in keys:
        return scale.cents[keys.index(rest)] + periods * scale.period
    return 100.0 * key


def _period_keys(table: KeyTable) -> int:
    """After how many keys a table repeats; 12 where it does not."""
    told = table.semitones
    repeats = {}
    for count in range(1, LONGEST + 1):
        pairs = [(low, high) for low, high in zip(told, told[count:], strict=False)]
        sizes = [100.0 * (high - low) for low, high in pairs if low is not None and high is not None]
        if len(sizes) >= ENOUGH and max(sizes) - min(sizes) <= ALIKE and 100.0 <= sizes[0] <= WIDEST:
            repeats[count] = sizes[0]
    octaves = [count for count, size in repeats.items() if abs(size - OCTAVE) <= ALIKE]
    if octaves:
        return octaves[0]
    return 12 if 12 in repeats or not repeats else min(repeats)


def _remarks(table: KeyTable, first: int, count: int, kept: set[int]) -> tuple[str, ...]:
    said = []
    untold = [key for key in range(first, first + count) if table.semitones[key] is None]
    if untold:
        said.append(f"The file says nothing of {_names(untold)}: taken as equal-tempered.")
    dropped = [first + key for key in range(count) if key not in kept]
    if dropped:
        it = "it sounds another degree, or lies" if len(dropped) == 1 else "they sound other degrees, or lie"
        said.append(f"Left out: {_names(dropped)}, for {it} outside the period.")
    return tuple(said)


def _names(keys: list[int]) -> str:
    names = [key_name(key) for key in keys]
    return listed(names)
