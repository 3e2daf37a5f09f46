"""Inputs that lead where none led before: atheris makes them, watching which lines of the package they reach.

Apart from ``run.py``, which starts this as a process of its own (``--guided``): the package has to be
imported under atheris's eyes, and libFuzzer in it ends the process by itself. Faults are noted, and it
goes on. Linux only, and Python before 3.14: there are no other wheels.
"""

from __future__ import annotations

import argparse
import os
import sys
import tempfile
import time
from pathlib import Path

import atheris

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
sys.path.insert(0, str(Path(__file__).parent.parent.parent))

with atheris.instrument_imports(
    include=["scaledesign.files", "scaledesign.model", "scaledesign.listening", "tomllib"]
):
    import scaledesign.files.document_file
    import scaledesign.files.journal
    import scaledesign.files.midi_tuning
    import scaledesign.files.remembered
    import scaledesign.files.scale_file
    import scaledesign.files.settings
    import scaledesign.listening.sound_file
    import scaledesign.model.degrees
    import scaledesign.model.hands
    import scaledesign.model.stretches
    import scaledesign.paper.own_picture
    import scaledesign.view.setup  # noqa: F401 - imported here so that it is traced

from tests.fuzz.run import Campaign, report
from tests.fuzz.targets import TARGETS

LONGEST = 20_000
"""Bytes of an input."""
KEPT = 500
"""Inputs from one writing of the totals to the next."""


def main() -> None:
    """Run what ``run.py`` was told; it ends the process."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--target", required=True, choices=sorted(TARGETS))
    parser.add_argument("--inputs", type=int, required=True)
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--minutes", type=float, default=10.0)
    parser.add_argument("--totals", type=Path)
    parser.add_argument("--faults", type=Path, required=True)
    args = parser.parse_args()
    target = TARGETS[args.target]
    place = Path(tempfile.mkdtemp())
    corpus = place / "corpus"
    corpus.mkdir()
    for number, data in enumerate(target.examples()):
        (corpus / str(number)).write_bytes(data)
    campaign = Campaign(args.totals, args.faults, place, whole=False)
    folder = campaign.enter(target)
    tally = campaign.tally(target)
    until, done = time.monotonic() + 60.0 * args.minutes, 0

    def one(data: bytes) -> None:
        nonlocal done
        campaign.push(target, data, folder)
        tally.guided += 1
        done += 1
        if done % KEPT == 0:
            campaign.save()
        if done >= args.inputs or time.monotonic() > until:
            campaign.save()
            report(campaign, as_json=False)
            sys.stdout.flush()
            os._exit(min(100, len(tally.faults)))

    atheris.Setup(
        ["guided", f"-seed={args.seed + 1}", f"-max_len={LONGEST}", "-timeout=0", "-rss_limit_mb=0",
         "-verbosity=0", str(corpus)],
        one,
    )  # fmt: skip
    atheris.Fuzz()


if __name__ == "__main__":
    main()
