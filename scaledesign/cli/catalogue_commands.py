"""systems: the fingering systems there are to choose from.

Apart from the design commands because no design is read here.
"""

from __future__ import annotations

import argparse

from scaledesign.cli.as_json import print_json
from scaledesign.cli.exit_codes import OK
from scaledesign.extend.registry import catalogue
from scaledesign.paper.text import paragraph

INDENT = "    "


def systems(args: argparse.Namespace) -> int:
    """List the fingering systems."""
    found = catalogue().systems()
    if args.json:
        print_json(
            {
                "systems": [
                    {
                        "name": system.name,
                        "fingers": [slot.finger for slot in system.slots],
                        "home_scale": system.home,
                        "degrees": list(system.degrees),
                        "opening": list(system.opening),
                        "words": system.words,
                        "source": system.source,
                    }
                    for system in found
                ]
            }
        )
        return OK
    for system in found:
        print(system.name)
        print(paragraph(system.words, INDENT))
        fingers = " ".join(slot.finger for slot in system.slots)
        notes = " or ".join(str(count) for count in system.degrees)
        print(paragraph(f"fingers {fingers}; scales of {notes} notes, at home in {system.home}", INDENT))
    return OK
