"""What a plug-in must do to be welcome: one function for bundled and third-party tests alike.

Apart from the registry, which admits whatever makes sense; here a plug-in is held to more: words, sources,
and rows that come out right. Nothing here is called when the program runs.
"""

from __future__ import annotations

from scaledesign.errors import ScaledesignError
from scaledesign.extend.catalogue import Catalogue, PluginStatus
from scaledesign.model.pitch import cents_between, parse_note
from scaledesign.model.scale import Scale, Tuned
from scaledesign.model.system import System


def check_plugin(name: str, catalogue: Catalogue) -> tuple[str, ...]:
    """Everything that is not as it should be with the plug-in ``name``; empty when all is well.

    Parameters
    ----------
    name : str, as ``scaledesign plugins`` shows it
    catalogue : Catalogue, with the plug-in in it

    Examples
    --------
    In a plug-in's own tests::

        from scaledesign.api import catalogue, check_plugin

        def test_conformance():
            assert check_plugin("my scales", catalogue()) == ()
    """
    status = next((plugin for plugin in catalogue.plugins() if plugin.name == name), None)
    if status is None:
        return (f"no plug-in is named {name!r}",)
    if not status.ok:
        return (status.problem,)
    return (*_slow(status), *_offered_problems(status, catalogue))


def _slow(status: PluginStatus) -> tuple[str, ...]:
    return (
        ()
        if status.seconds < 0.5
        else (f"takes {status.seconds:.1f} s to load; import heavy libraries late",)
    )


def _offered_problems(status: PluginStatus, catalogue: Catalogue) -> tuple[str, ...]:
    problems = [] if status.contributes else ["offers nothing"]
    for scale in catalogue.scales():
        if f"scale {scale.name}" in status.contributes:
            problems += [f"scale {scale.name!r}: {problem}" for problem in scale_problems(scale)]
    for system in catalogue.systems():
        added = any(what.endswith(f" for {system.name}") for what in status.contributes)
        if f"system {system.name}" in status.contributes or added:
            problems += [
                f"system {system.name!r}: {problem}" for problem in system_problems(system, catalogue)
            ]
    return tuple(problems)


def scale_problems(scale: Scale) -> tuple[str, ...]:
    """What is not as it should be with one scale."""
    problems = [f"has no {what}" for what in ("words", "source") if not getattr(scale, what)]
    if scale.words and (not scale.words.endswith(".") or "\n" in scale.words):
        problems.append("has words that are not one line ending with a full stop")
    tuned = Tuned(scale, parse_note("A4"), 440.0)
    for degree, place in enumerate(scale.places):
        note = tuned.written(place).name
        off = cents_between(440.0, tuned.target(note)) - scale.cents[degree]
        if abs(off) > 1e-6:
            problems.append(f"plays degree {degree + 1}, written {note}, {off:.3f} cents off")
    return tuple(problems)


def system_problems(system: System, catalogue: Catalogue) -> tuple[str, ...]:
    """What is not as it should be with one system, its cross-fingerings included."""
    try:
        home = catalogue.scale(system.home)
        rows = catalogue.rows(system.name, home, parse_note("A4"), 440.0)
    except ScaledesignError as error:
        return (str(error),)
    problems = []
    if any(len(row.holes) != len(system.slots) for row in rows):
        problems.append("has a row with the wrong number of letters")
    played = [row for row in rows if row.role == "scale"]
    if len(played) != len(system.opening) or len({row.note for row in played}) != len(played):
        problems.append("does not play each note of its scale once with the role 'scale'")
    twice = len({(row.holes, row.register, row.open_share) for row in rows}) < len(rows)
    if twice:
        problems.append("gives one fingering in one register to two notes")
    return tuple(problems)
