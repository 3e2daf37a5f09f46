"""Every door through which strangers' data comes, by name, and what is pushed through it."""

from __future__ import annotations

import re

from scaledesign.locations import EXAMPLES
from tests.fuzz import engine_doors as engine
from tests.fuzz import files_doors as files
from tests.fuzz import media_doors as media
from tests.fuzz import places_doors as places
from tests.fuzz import typed_doors as typed
from tests.fuzz.watch import Target

_KEYS = tuple(
    sorted(
        set(
            re.findall(
                r"^\[*(\w+)",
                "\n".join(path.read_text("utf-8") for path in EXAMPLES.glob("*.toml")),
                re.MULTILINE,
            )
        )
    )
)
WORDS = (
    *_KEYS, "notch", "rim", "transverse", "open", "flanged", "stopped", "front", "back", "none", "LT", "RT",
    "L4", "metric", "inch all",
    "large", "at", "diameter", "XXX", "H", "locked", "across", "steps", "also", "period", "kind", "in", "mm",
    "measured", "note", "filled",
)  # fmt: skip

TARGETS: dict[str, Target] = {
    target.name: target
    for target in (
        Target("design", files.design, files.designs, WORDS, 12, worst=files.worst_designs),
        Target("written", files.written, files.designs, WORDS, 4, worst=files.worst_designs),
        Target("saved", files.saved, files.designs, WORDS, 3),
        Target("scale", files.scale, files.scales, WORDS, 15, worst=files.worst_scales),
        Target(
            "start",
            files.start,
            lambda: (*files.scales()[:5], *files.designs()),
            WORDS,
            3,
            worst=files.worst_scales,
        ),
        Target("tuning", files.tuning, files.tunings, (), 8, worst=files.worst_tunings),
        Target("settings", files.chosen, lambda: (files.SETTINGS,), WORDS, 15, worst=files.worst_settings),
        Target("journal", files.kept_work, files.kept_examples, (), 30, worst=files.worst_kept),
        Target("remembered", files.noted, lambda: (files.STATE,), (), 10, worst=files.worst_settings),
        Target("switches", files.switched, lambda: (files.SWITCHES,), (), 40, worst=files.worst_switches),
        Target("shelf-notes", files.shelf_with_place, files.shelf_examples, (), 1.5, worst=files.worst_notes),
        Target("typed", typed.typed, typed.typed_examples, (), 300, worst=typed.worst_typed),
        Target(
            "names",
            typed.names,
            typed.named_examples,
            (),
            25,
            worst=lambda: (
                b"\x03" + b"A4 " * 300_000,
                *(bytes((n,)) + t[1:] for n in range(4) for t in typed.worst_typed()[:30]),
            ),
        ),
        Target("cell", typed.cell, typed.cell_examples, (), 1.5, worst=typed.worst_cells),
        Target("pasted", typed.pasted, typed.cell_examples, ("\t", "\n"), 1, worst=typed.worst_cells),
        Target("form", typed.form, typed.form_examples, (), 10, worst=typed.worst_form),
        Target("sound", media.sound, media.sounds, (), 15),
        Target("long-sound", media.sound, media.sounds, (), 0.1, seconds=20.0, worst=media.worst_sounds),
        Target("picture", media.picture, media.pictures, media.SVG_WORDS, 1, worst=media.worst_pictures),
        Target(
            "looked-into", media.looked_into, media.pictures, media.SVG_WORDS, 15, worst=media.worst_pictures
        ),
        Target("book", places.book, places.books, (), 0.6),
        Target(
            "arguments",
            places.arguments,
            places.command_lines,
            places.ARGUMENT_WORDS,
            0.5,
            seconds=20.0,
            apart=True,
        ),
        Target("filed", places.filed, places.filed_examples, (), 3),
        Target("offered", places.offered, places.offers, (), 6),
        Target("distributions", places.distributions, lambda: (places.POINTS,), (), 12),
        Target("foretold", engine.foretold, files.designs, WORDS, 1, seconds=20.0, worst=engine.worst_flutes),
        Target("planned", engine.planned, files.designs, WORDS, 0.2, seconds=20.0, worst=engine.worst_flutes),
        Target("printed", engine.printed, files.designs, WORDS, 0.3, seconds=20.0, worst=engine.worst_flutes),
    )
}
