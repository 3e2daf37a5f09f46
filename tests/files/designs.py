"""Random designs for property tests: every field at work, every cross check satisfied."""

from dataclasses import replace
from datetime import datetime, timedelta, timezone

from hypothesis import strategies as st

from scaledesign.model.bits import NAMES as BITS
from scaledesign.model.document import (
    AirSetting,
    Chamber,
    Design,
    Embouchure,
    Foot,
    Hand,
    Hole,
    Instrument,
    Learned,
    LogEntry,
    Row,
    Shop,
    Station,
    Tube,
    Tuning,
    Uncertainty,
    Voicing,
    Window,
)

TEXT = st.text(st.characters(exclude_categories=["Cs"]), max_size=20)
SMALL = st.floats(0.001, 0.05)
SHARE = st.floats(0.01, 0.9)
NOTES = st.sampled_from(["A4", "Bb4", "F#5", "C~5", "523.3 Hz", "3/2", "702 c"])
READINGS = st.sampled_from(["", "A4 -4", "438.9 Hz", "Bb4"])
ZONES = st.one_of(st.none(), st.builds(lambda m: timezone(timedelta(minutes=m)), st.integers(-700, 700)))


def maybe(strategy):
    return st.one_of(st.none(), strategy)


def stations(low, high, length):
    one = st.builds(lambda value: (Station(0.0, value),), st.floats(low, high))
    several = st.lists(
        st.tuples(SHARE, st.floats(low, high), maybe(st.floats(low, high))), min_size=2, max_size=5
    )
    return st.one_of(
        one,
        several.map(
            lambda items: tuple(Station(x * length, v, a) for x, v, a in sorted(items, key=lambda i: i[0]))
        ),
    ).filter(lambda items: len({s.x for s in items}) == len(items))


@st.composite
def tubes(draw):
    length = draw(st.floats(0.2, 0.9))
    return Tube(
        length=length,
        bore=draw(stations(0.012, 0.03, length)),
        wall=draw(stations(0.001, 0.008, length)),
        foot=draw(st.sampled_from([Foot(), Foot("flanged"), Foot("stopped"), Foot("node", 0.0071)])),
        locked=draw(st.booleans()),
        blank=draw(maybe(st.floats(length, 1.5))),
        avoid=draw(st.lists(st.tuples(st.floats(0, 0.1), st.floats(0.2, 0.4)), max_size=2).map(tuple)),
        chamber=draw(maybe(st.builds(Chamber, SMALL, st.sampled_from([0.0, 0.005])))),
    )


@st.composite
def holes(draw, length, count):
    made = []
    for index in range(count):
        room = length / (count + 1)
        across = draw(maybe(st.floats(0.002, 0.006)))
        made.append(
            Hole(
                at=room * (index + 1 + draw(st.floats(-0.1, 0.1))),
                diameter=draw(st.floats(0.1, 0.6)) * min(room, 0.015),
                across=across,
                side=draw(st.sampled_from([0.0, 180.0, 12.5, -90.0])),
                finger=draw(st.sampled_from(["L1", "L2", "R1", "R4", "LT", "none"])),
                wall=draw(maybe(SMALL)),
                slant=draw(st.floats(-60, 60)),
                undercut=draw(st.sampled_from([0.0, 0.001])),
                drilled=draw(st.booleans()),
                locked=frozenset(draw(st.sets(st.sampled_from(["at", "diameter"])))),
            )
        )
    return tuple(made)


def rows(letters):
    return st.builds(
        Row,
        note=NOTES,
        holes=fingerings(letters),
        cents=st.floats(-100, 100),
        register=st.integers(1, 3),
        weight=st.floats(0, 10),
        role=st.sampled_from(["scale", "chromatic", "alternate"]),
        open_share=SHARE,
        measured=READINGS,
    )


def fingerings(letters):
    return st.tuples(*[st.sampled_from("XOH")] * letters)


def entries(letters, holes):
    return st.builds(
        LogEntry,
        when=st.datetimes(datetime(1900, 1, 1), datetime(2200, 1, 1), timezones=ZONES),
        event=st.sampled_from(["cut", "drilled", "opened", "filled", "measured", "note"]),
        holes=st.one_of(st.just(()), fingerings(letters)),
        measured=READINGS,
        temperature=maybe(st.floats(-20, 60)),
        length=maybe(st.floats(0.1, 2)),
        register=maybe(st.integers(1, 3)),
        drilled=st.one_of(st.just(()), st.tuples(*[st.sampled_from("XO")] * letters)),
        hole=maybe(st.integers(0, holes - 1)) if holes else st.none(),
        at=maybe(st.floats(0, 2)),
        diameter=maybe(st.floats(0, 0.1)),
        undercut=maybe(st.floats(0, 0.01)),
        was=maybe(st.floats(0, 0.1)),
        note=TEXT,
    )


VOICINGS = st.builds(
    Voicing,
    added_length=maybe(st.floats(0, 0.2)),
    cavity=st.floats(0, 0.1),
    drift=st.floats(-0.01, 0.01),
    uncertainty=maybe(SMALL),
    calibrated=st.booleans(),
    window=maybe(st.builds(Window, SMALL, SMALL, maybe(SMALL), maybe(SMALL), maybe(SMALL))),
    embouchure=maybe(st.builds(Embouchure, SMALL, SMALL, maybe(SMALL), maybe(SHARE))),
)
LEARNED = st.builds(
    Learned,
    bore=st.floats(-0.01, 0.01),
    wall=st.floats(-0.01, 0.01),
    warmth=st.floats(-5, 5),
    stated_length=maybe(st.floats(0, 0.2)),
    stated_uncertainty=maybe(SMALL),
    stated_drift=st.floats(-0.01, 0.01),
    left_out=st.sampled_from(["", "row 1 (A4 -4)"]),
)
AIRS = st.builds(
    AirSetting,
    temperature=st.floats(-20, 60),
    humidity=st.floats(0, 100),
    altitude=st.floats(-500, 9000),
    pressure=maybe(st.floats(30e3, 120e3)),
    breath=st.floats(0, 1),
)
TUNINGS = st.builds(
    Tuning,
    reference=st.floats(200, 900),
    tonic=st.sampled_from(["A4", "Bb3", "F#4"]),
    scale=TEXT,
    degrees=st.sampled_from([(), ("1", "6/5", "498 c", "3/2")]),
    tolerance=st.floats(0.1, 50),
)
SHOPS = st.builds(
    Shop,
    bits=st.one_of(st.sampled_from(BITS), st.lists(SMALL, min_size=1, max_size=5).map(tuple)),
    smallest=st.floats(0.001, 0.004),
    largest=st.floats(0.005, 0.02),
    share_of_bore=SHARE,
    wood=SMALL,
    hand=st.one_of(
        st.sampled_from(["small", "medium", "large"]),
        st.builds(Hand, st.tuples(SMALL, SMALL, SMALL), SMALL, SMALL),
    ),
)
UNCERTAINTIES = st.builds(Uncertainty, *[maybe(st.floats(0, 0.01))] * 5, *[maybe(st.floats(0, 20))] * 3)
INSTRUMENTS = st.builds(
    Instrument,
    mouth=st.sampled_from(["duct", "notch", "rim", "transverse", "open"]),
    system=TEXT,
    pad=st.floats(0, 2),
    material=TEXT,
)


@st.composite
def designs(draw):
    """A random design that passes every check."""
    tube = draw(tubes())
    made = draw(holes(tube.length, draw(st.integers(0, 7))))
    letters = sum(hole.finger != "none" for hole in made)
    return Design(
        tube=tube,
        instrument=draw(INSTRUMENTS),
        units=draw(st.sampled_from(["mm", "in"])),
        name=draw(TEXT),
        notes=draw(TEXT),
        voicing=draw(VOICINGS),
        learned=draw(LEARNED),
        air=draw(AIRS),
        tuning=draw(TUNINGS),
        shop=draw(SHOPS),
        uncertainty=draw(UNCERTAINTIES),
        holes=made,
        rows=draw(st.lists(rows(letters), max_size=4).map(tuple)),
        log=draw(st.lists(entries(letters, len(made)), max_size=3).map(tuple)),
    )


PARTS = (
    "tube",
    "instrument",
    "units",
    "name",
    "notes",
    "voicing",
    "learned",
    "air",
    "tuning",
    "shop",
    "uncertainty",
    "log",
)


@st.composite
def edited(draw, design, other):
    """``design`` with some parts of ``other``, and holes and rows shuffled, dropped, repeated, changed."""
    names = draw(st.sets(st.sampled_from(PARTS)))
    # holes, rows and log hang together by their letters, and holes by the tube they are in
    if "tube" in names or "log" in names:
        design = replace(design, tube=other.tube, holes=other.holes, rows=other.rows, log=other.log)
    design = replace(design, **{name: getattr(other, name) for name in names})
    kept = list(draw(st.permutations(design.rows)))[: draw(st.integers(0, len(design.rows)))]
    letters = len(design.fingered())
    kept += draw(st.lists(rows(letters), max_size=2))
    moved = tuple(draw(st.permutations(kept)))
    drilled = tuple(replace(hole, drilled=draw(st.booleans())) for hole in design.holes)
    return replace(design, rows=moved, holes=drilled)
