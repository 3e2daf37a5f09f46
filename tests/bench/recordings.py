"""How well a recording is listened to: ``python tests/bench/recordings.py [--json]``.

Made-up takes of a flute (``tests/listening/playing.py``: breath, vibrato, slides, octave jumps, a room,
cut-off peaks; each goes through a file) are listened to and held against what was played. Beside it what the
tracker says by itself, the middle of its moments over the very stretch of the note; and whether notes are
given to the right rows when the whole flute lies off by what its prediction allows. The keys of the whole
count takes of 10 dB and more; the take of 5 dB is told by itself.
"""

from __future__ import annotations

import json
import sys
import tempfile
import time
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parent.parent.parent))

from scaledesign.files import document_file
from scaledesign.listening.sound_file import read
from scaledesign.listening.tracker import track
from scaledesign.locations import EXAMPLES
from scaledesign.model.pitch import raised
from scaledesign.workshop.heard_rows import awaited, paired
from tests.listening.playing import Truth
from tests.listening.takes import HIGH, LOW, Score, measured, takes

COUNTED = 10.0
"""dB of breath from which a take counts into the whole."""
FLUTES = 60
"""Performances of each example whose notes are given to rows."""


def numbers(scores: list[Score]) -> dict[str, float]:
    """What is said of some takes together."""
    off = np.abs([cents for score in scores for cents in score.off])
    return {
        "notes": sum(score.notes for score in scores),
        "missed": sum(score.missed for score in scores),
        "strays": sum(score.strays for score in scores),
        "octave_errors": sum(score.octaves for score in scores),
        "median_error_cents": float(np.median(off)),
        "p95_error_cents": float(np.percentile(off, 95)),
        "worst_error_cents": float(off.max()),
        "mean_error_cents": float(np.mean([cents for score in scores for cents in score.off])),
    }


def tracker_alone(path: Path, truths: list[Truth]) -> list[float]:
    """Cents by which the middle of the tracker's moments lies off, where the program is told the stretch."""
    along = track(read(path), LOW, HIGH)
    off = []
    for truth in truths:
        inside = (along.time > truth.start) & (along.time < truth.end) & (along.frequency > 0)
        if inside.any():
            off.append(1200 * np.log2(float(np.median(along.frequency[inside])) / truth.frequency))
    return off


def rows() -> dict[str, float]:
    """Notes of flutes drawn from their own doubts, played with skips, repeats and strays, given to rows."""
    rng = np.random.default_rng(7)
    right = wrong = left = strays = stray_taken = 0
    for path in sorted(EXAMPLES.glob("*.toml")):
        design = document_file.load(path)
        among = awaited(design)
        scale = [i for i in np.argsort(among.frequency) if design.rows[i].role == "scale"]
        for number in range(FLUTES):
            shift = rng.standard_normal()
            played: list[int | None] = [
                i for i in scale if rng.random() > 0.15 for _ in range(1 + (rng.random() < 0.2))
            ]
            heard = [
                raised(
                    float(among.frequency[i]), shift * among.common[i] + among.own[i] * rng.standard_normal()
                )
                for i in played
            ]
            if number % 2 and len(heard) > 3:
                heard.insert(3, raised(heard[2], rng.uniform(-500, 500)))
                played.insert(3, None)
            for true, note in zip(played, paired(heard, among).notes, strict=True):
                if true is None:
                    strays += 1
                    stray_taken += note.place is not None
                elif note.place is None:
                    left += 1
                elif note.place == true:
                    right += 1
                else:
                    wrong += 1
    return {
        "notes": right + wrong + left,
        "right": right,
        "wrong": wrong,
        "left_out": left,
        "strays": strays,
        "strays_given_to_a_row": stray_taken,
    }


def bench() -> dict[str, object]:
    by_take, counted, alone, heard_seconds, took = {}, [], [], 0.0, 0.0
    with tempfile.TemporaryDirectory() as folder:
        for seed, take in enumerate(takes()):
            path, truths = take.recorded(Path(folder), 100 * seed)
            begun = time.process_time()
            score = measured(path, truths)
            took += time.process_time() - begun
            heard_seconds += truths[-1].end
            by_take[take.name] = numbers([score])
            if take.breath >= COUNTED:
                counted.append(score)
                alone += tracker_alone(path, truths)
    off = np.abs(alone)
    return numbers(counted) | {
        "tracker_alone_median_error_cents": float(np.median(off)),
        "tracker_alone_p95_error_cents": float(np.percentile(off, 95)),
        "cpu_seconds_a_minute": 60 * took / heard_seconds,
        "rows": rows(),
        "takes": by_take,
    }


def main() -> None:
    found = bench()
    if "--json" in sys.argv[1:]:
        print(json.dumps(found, indent=2))
        return
    for name, one in {**found["takes"], "all of 10 dB and more": found}.items():  # type: ignore[dict-item]
        print(
            f"{name:22} {one['notes']:4d} notes  {one['missed']} missed  {one['strays']} strays  "
            f"{one['octave_errors']} octaves  median {one['median_error_cents']:5.2f}  "
            f"95 % {one['p95_error_cents']:5.2f}  worst {one['worst_error_cents']:5.2f} cents"
        )
    print(f"the tracker alone: median {found['tracker_alone_median_error_cents']:.2f}, "
          f"95 % {found['tracker_alone_p95_error_cents']:.2f} cents")  # fmt: skip
    print(f"{found['cpu_seconds_a_minute']:.1f} s of a processor for a minute heard")
    print(f"rows: {found['rows']}")


if __name__ == "__main__":
    main()
