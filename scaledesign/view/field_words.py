"""Words for the fields of the form: what a maker calls each, and what it is for.

Text only, apart from the form (``setup.py``) that reads and writes the values.
"""

from __future__ import annotations

from collections.abc import Mapping

FieldPath = tuple[str, ...]
"""Table, key and, in a table inside a table, the key there."""


def _in(table: str, *names: str) -> tuple[FieldPath, ...]:
    return tuple((table, *name.split(".")) for name in names)


SECTIONS: tuple[tuple[str, tuple[FieldPath, ...]], ...] = (
    ("Flute", (("", "name"), *_in("instrument", "mouth", "material"), ("", "units"), ("", "notes"))),
    ("Tube", _in("tube", "bore", "wall", "length", "locked", "blank", "foot", "avoid", "chamber.length",
                 "chamber.wall")),
    ("Tuning", _in("tuning", "tonic", "scale", "degrees", "reference", "tolerance")
     + _in("instrument", "system")),
    ("Voicing", _in("voicing", "added_length", "uncertainty", "cavity", "drift", "window.length",
                    "window.width", "window.wall", "window.flue_length", "window.flue_height",
                    "embouchure.length", "embouchure.width", "embouchure.wall", "embouchure.covered")),
    ("Air", _in("air", "temperature", "humidity", "altitude", "pressure", "breath")),
    ("Shop and hands", _in("shop", "bits", "smallest", "largest", "share_of_bore", "wood", "hand")
     + _in("instrument", "pad")),
    ("How well you measure", _in("uncertainty", "bore", "wall", "at", "diameter", "length", "temperature",
                                 "tuner", "model")),
)  # fmt: skip
"""Headings and what stands under them, in the order a maker needs them."""

LABELS: Mapping[FieldPath, tuple[str, str]] = {
    ("", "name"): ("name", "What you call this flute; it stands on the chart you give away."),
    ("", "units"): ("units", "mm or in: what numbers without a unit are in, and what the lists show."),
    ("", "notes"): ("notes", "Anything you want to remember of this flute."),
    ("instrument", "mouth"): (
        "mouth",
        (
            "How it is blown: duct (a block and a window make the edge), notch, rim (blown across the end), "
            "transverse; open is no mouth at all, to check the acoustics."
        ),
    ),
    ("instrument", "system"): (
        "fingering system",
        (
            "How many fingers and in which order they lift. It fills in the rows of a new flute and places "
            "holes that no row opens."
        ),
    ),
    ("instrument", "material"): ("material", "Bamboo, cane, cedar: chooses the cautions on the hole list."),
    ("instrument", "pad"): (
        "finger pad",
        (
            "How far a finger dips into a hole it closes, as a share of the hole's radius: 0 lies flush, 0.5 "
            "is usual."
        ),
    ),
    ("tube", "bore"): (
        "bore",
        (
            "Inside diameter. Where it changes, write places and diameters: [[0, 16.1], [200, 15.8]], from "
            "the sounding edge; three numbers for an oval."
        ),
    ),
    ("tube", "wall"): (
        "wall",
        "Thickness of the wall: how deep the holes are. Places and sizes as for the bore.",
    ),
    ("tube", "length"): (
        "length",
        "From the sounding edge to the foot. Type one and it is yours: no solve moves the foot.",
    ),
    ("tube", "locked"): ("foot is cut", "yes: the foot stays where it is. no: the solver may move it."),
    ("tube", "blank"): (
        "longest possible",
        (
            "The most your tube allows, from sounding edge to the raw end; leave it empty where it does not "
            "limit."
        ),
    ),
    ("tube", "foot"): (
        "foot",
        (
            "open; flanged (it ends in a wide disc); stopped; or the width of the hole in a node left at the "
            "foot."
        ),
    ),
    ("tube", "avoid"): (
        "keep clear",
        "Stretches where no hole may go, a node or a crack: 171..176, 300..306, from the sounding edge.",
    ),
    ("tube", "chamber", "length"): (
        "slow-air chamber",
        "Length of the chamber before the plug. Needed to measure from the cut end, and for drawings.",
    ),
    ("tube", "chamber", "wall"): ("plug", "Thickness of the plug between chamber and bore."),
    ("tuning", "tonic"): (
        "key",
        "The lowest note of the scale, all holes closed. Changing it rewrites every row, degree by degree.",
    ),
    ("tuning", "scale"): (
        "scale",
        (
            "{turn} goes through the scales, {edit} lets you type one. Rows follow degree by degree and keep "
            "their fingerings."
        ),
    ),
    ("tuning", "degrees"): (
        "own degrees",
        "A tuning of your own in place of the scale, separated by commas: 1, 6/5, 498 c, 3/2, 9/5.",
    ),
    ("tuning", "reference"): ("A4 in Hz", "What your tuner calls A4: 440, or 442, or 432."),
    ("tuning", "tolerance"): ("tolerance", "Cents a note may be off before it is marked sharp or flat."),
    ("voicing", "added_length"): (
        "added length",
        (
            "How much tube the mouth is worth. Blowing the bare tube finds it out; empty: estimated from the "
            "mouth."
        ),
    ),
    ("voicing", "uncertainty"): ("how sure", "How far off the added length may be: one standard deviation."),
    ("voicing", "cavity"): (
        "cavity",
        "Length of bore behind the window or embouchure, to the block or stopper.",
    ),
    ("voicing", "drift"): (
        "drift",
        (
            "How the added length changes toward the high notes, per kHz squared. Leave it 0 unless you have "
            "measured overblown notes."
        ),
    ),
    ("voicing", "window", "length"): ("window, along", "From the end of the flue to the sounding edge."),
    ("voicing", "window", "width"): ("window, across", "Width of the window."),
    ("voicing", "window", "wall"): ("window, deep", "Thickness of the wall at the window."),
    ("voicing", "window", "flue_length"): ("flue, long", "Length of the wind way."),
    ("voicing", "window", "flue_height"): ("flue, high", "Height of the wind way where the air leaves it."),
    ("voicing", "embouchure", "length"): (
        "blowhole, along",
        "Embouchure hole, notch or rim, along the tube.",
    ),
    ("voicing", "embouchure", "width"): ("blowhole, across", "The same, across the tube."),
    ("voicing", "embouchure", "wall"): (
        "blowhole, deep",
        "Depth of the embouchure hole: wall and lip plate.",
    ),
    ("voicing", "embouchure", "covered"): (
        "lip covers",
        "Share of it that your lip covers: 0.33 is a third.",
    ),
    ("air", "temperature"): ("room", "Temperature of the room you play in: 22 °C or 72 °F."),
    ("air", "humidity"): ("humidity", "Relative humidity of the room in percent; it matters little."),
    ("air", "altitude"): ("altitude", "Height above the sea, 250 m or 820 ft; it matters little."),
    ("air", "pressure"): ("air pressure", "98.4 kPa, in place of the altitude, if you know it."),
    ("air", "breath"): ("breath", "1: played warm. 0: still air at room temperature, for checks."),
    ("shop", "bits"): (
        "bits",
        "Your box of drill bits: a set by name, or your own list of widths, [5, 5.5, 6].",
    ),
    ("shop", "smallest"): ("smallest hole", "No hole is made narrower: small holes give weak notes."),
    ("shop", "largest"): ("largest hole", "No hole is made wider: a finger must close it."),
    ("shop", "share_of_bore"): (
        "share of the bore",
        "The widest hole as a share of the bore: 0.75 is usual.",
    ),
    ("shop", "wood"): (
        "least wood",
        "Wood that must be left between the edges of two holes, along the outside.",
    ),
    ("shop", "hand"): (
        "hand",
        (
            "Who plays it: small, medium, large, or your own reach: "
            "{ spread = [30, 28, 30], gap = 60, pad = 15 }."
        ),
    ),
    ("uncertainty", "bore"): ("bore", "How far off your bore may be; leave it empty for what is usual."),
    ("uncertainty", "wall"): ("wall", "How far off your wall may be."),
    ("uncertainty", "at"): ("place of a hole", "How far from its mark your drill lands."),
    ("uncertainty", "diameter"): ("width of a hole", "How far off the width of a drilled hole may be."),
    ("uncertainty", "length"): ("cut", "How far off your saw may be."),
    ("uncertainty", "temperature"): ("temperature", "How well you know how warm the air in the bore is."),
    ("uncertainty", "tuner"): ("tuner", "Cents that a reading of your tuner wavers."),
    ("uncertainty", "model"): ("the model", "Cents that the acoustics leave out."),
}
