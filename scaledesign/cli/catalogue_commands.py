"""scales, systems and plugins: what there is to choose from, and what was switched off.

Apart from the design commands because no design is read here.
"""

from __future__ import annotations

import argparse

from scaledesign.cli.as_json import print_json
from scaledesign.cli.exit_codes import OK
from scaledesign.extend.registry import catalogue
from scaledesign.paper.text import paragraph

INDENT = "    "


def scales(args: argparse.Namespace) -> int:
    """List the scales."""
    found = catalogue().scales()
    if args.json:
        print_json(
            {
                "scales": [
                    {
                        "name": scale.name,
                        "also": list(scale.also),
                        "cents": list(scale.cents),
                        "period_cents": scale.period,
                        "words": scale.words,
                        "source": scale.source,
                    }
                    for scale in found
                ]
            }
        )
        return OK
    for scale in found:
        print(", ".join((scale.name, *scale.also)))
        print(paragraph(scale.words, INDENT))
        cents = " ".join(f"{cents:.0f}" for cents in (*scale.cents, scale.period))
        print(paragraph(f"{len(scale.cents)} notes: cents {cents}", INDENT))
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


def plugins(args: argparse.Namespace) -> int:
    """List the plug-ins and how each fared."""
    found = catalogue().plugins()
    if args.json:
        print_json(
            {
                "plugins": [
                    {
                        "name": plugin.name,
                        "origin": plugin.origin,
                        "where": plugin.where,
                        "version": plugin.version,
                        "ok": plugin.ok,
                        "problem": plugin.problem,
                        "hooks": list(plugin.hooks),
                        "contributes": list(plugin.contributes),
                    }
                    for plugin in found
                ]
            }
        )
        return OK
    for plugin in found:
        print(f"{plugin.name} ({plugin.origin}{' ' + plugin.version if plugin.version else ''})")
        state = ", ".join(plugin.contributes) if plugin.ok else f"switched off: {plugin.problem}"
        print(paragraph(state, INDENT))
    return OK
