"""scales, systems and plugins: what there is to choose from, and what was switched off.

Apart from the design commands because no design is read here.
"""

from __future__ import annotations

import argparse

from scaledesign.cli.as_json import print_json
from scaledesign.cli.exit_codes import OK
from scaledesign.extend.registry import catalogue
from scaledesign.paper.text import paragraph


def scales(args: argparse.Namespace) -> int:
    """List the scales."""
    found = catalogue().scales()
    if args.json:
        print_json(
            {
                "scales": [
                    {
                        "name": scale.name,
                        "cents": list(scale.cents),
                        "period_cents": scale.period,
                        "source": scale.source,
                        "words": scale.words,
                    }
                    for scale in found
                ]
            }
        )
        return OK
    for scale in found:
        steps = " ".join(f"{cents:.0f}" for cents in (*scale.cents, scale.period))
        print(scale.name)
        print(paragraph(f"{scale.words} Cents: {steps}.", indent="    "))
    return OK


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
                        "degrees": system.degrees,
                        "words": system.words,
                    }
                    for system in found
                ]
            }
        )
        return OK
    for system in found:
        print(system.name)
        fingers = " ".join(slot.finger for slot in system.slots)
        print(paragraph(f"{system.words} Fingers: {fingers}.", indent="    "))
    return OK
