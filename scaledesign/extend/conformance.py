"""What a plug-in must do to be welcome: one function for bundled and third-party tests alike.

Apart from the registry, which admits whatever makes sense; here a plug-in is held to more: words, sources,
a version, rows that come out right, the same answer every time. Nothing here is called when the program runs.
"""

from __future__ import annotations

from pathlib import Path

from scaledesign.errors import PluginError, ScaledesignError
from scaledesign.extend.catalogue import Catalogue, PluginStatus, comparable, nearest
from scaledesign.extend.finding import Candidate, candidate, readable
from scaledesign.extend.hookspecs import PROJECT
from scaledesign.extend.registry import catalogue as build
from scaledesign.files.own_files import get
from scaledesign.files.toml_text import parsed
from scaledesign.model.pitch import cents_between, parse_note
from scaledesign.model.scale import Scale, Tuned
from scaledesign.model.system import System


def check_plugin(plugin: str | Path, catalogue: Catalogue | None = None) -> tuple[str, ...]:
    """Everything that is not as it should be with a plug-in, a sentence each; empty when all is well.

    Parameters
    ----------
    plugin : name, as ``scaledesign plugins`` shows it; or path of a file or a package folder, or of a folder
        with a ``pyproject.toml`` that names such ones, whether or not they are installed
    catalogue : Catalogue with the plug-in in it, when it is given by name; None: as the program builds it,
        twice, to see that the answers are the same

    Examples
    --------
    In a plug-in's own tests::

        from pathlib import Path

        from scaledesign.api import check_plugin

        def test_it_passes_every_check():
            assert check_plugin(Path(__file__).parents[1] / "my_scales.py") == ()
    """
    try:
        extra = plugins_at(plugin) if isinstance(plugin, Path) else ()
    except PluginError as error:
        return (error.problem,)
    found = catalogue or build(extra=extra)
    names = tuple(one.name for one in extra) or (str(plugin),)
    again = None if catalogue else build(extra=extra)
    problems = [(name, problem) for name in names for problem in _problems(name, found, again)]
    return tuple(f"{name}: {problem}" if len(names) > 1 else problem for name, problem in problems)


def plugins_at(path: Path) -> tuple[Candidate, ...]:
    """The plug-ins at a path: itself, or those that its ``pyproject.toml`` names.

    Raises
    ------
    PluginError
        when there is none.
    """
    project = path / "pyproject.toml"
    if path.suffix == ".py" or (path / "__init__.py").is_file():
        if path.exists():
            return (candidate(path),)
        raise PluginError(path.name, f"there is no file {path}")
    if not project.is_file():
        raise PluginError(path.name, f"{path} is no plug-in: a .py file, or a folder with a pyproject.toml")
    try:
        points = parsed(get(project).decode("utf-8"))["project"]["entry-points"][PROJECT]
        return tuple(
            candidate(_module_at(path, str(value)), readable(name)) for name, value in points.items()
        )
    except (KeyError, TypeError, AttributeError):
        text = f"{project} names no plug-in under [project.entry-points.{PROJECT}]"
    except (OSError, ValueError) as error:
        text = f"{project} cannot be read ({error})"
    raise PluginError(path.name, text)


def _module_at(project: Path, value: str) -> Path:
    """File or package folder of a module that an entry point names."""
    for start in (project, project / "src"):
        for path in (start / f"{value}.py", start / value):
            if path.is_file() or (path / "__init__.py").is_file():
                return path
    raise PluginError(value, f"{value!r} is no module beside pyproject.toml; install it and check it by name")


def _problems(name: str, catalogue: Catalogue, again: Catalogue | None) -> tuple[str, ...]:
    status = _status(name, catalogue)
    if status is None:
        close = nearest(name, tuple(plugin.name for plugin in catalogue.plugins()))
        return (f"no plug-in is named {name!r}{f'; did you mean {close!r}?' if close else ''}",)
    if not status.ok:
        return (f"is switched off: {status.problem}" if status.off else status.problem,)
    problems = [*status.remarks]
    if not status.version and status.origin != "bundled":
        problems.append('has no version; write __version__ = "0.1"')
    problems += _offered_problems(status, catalogue)
    if again is not None:
        second = _status(name, again)
        if second is None or not second.ok:
            problems.append(f"fails when it is asked again: {second.problem if second else 'is gone'}")
        elif _offered(status, catalogue) != _offered(second, again):
            problems.append("offers something else when it is asked again")
    return tuple(problems)


def _status(name: str, catalogue: Catalogue) -> PluginStatus | None:
    same = [plugin for plugin in catalogue.plugins() if comparable(plugin.name) == comparable(name)]
    return next(iter(same), None)


def _offered(status: PluginStatus, catalogue: Catalogue) -> tuple[object, ...]:
    scales = [scale for scale in catalogue.scales() if f"scale {scale.name}" in status.contributes]
    systems = [system for system in catalogue.systems() if f"system {system.name}" in status.contributes]
    return (status.contributes, scales, systems)


def _offered_problems(status: PluginStatus, catalogue: Catalogue) -> list[str]:
    problems = [] if status.contributes else ["offers nothing"]
    for scale in catalogue.scales():
        if f"scale {scale.name}" in status.contributes:
            problems += [f"scale {scale.name!r}: {problem}" for problem in scale_problems(scale)]
    for system in catalogue.systems():
        # a fingering may name its system in other letters
        added = any(
            comparable(what).endswith(f" for {comparable(system.name)}") for what in status.contributes
        )
        if f"system {system.name}" in status.contributes or added:
            problems += [
                f"system {system.name!r}: {problem}" for problem in system_problems(system, catalogue)
            ]
    return problems


def scale_problems(scale: Scale) -> tuple[str, ...]:
    """What is not as it should be with one scale."""
    problems = [f"has no {what}" for what in ("words", "source") if not getattr(scale, what)]
    problems += _word_problems(scale.words)
    tuned = Tuned(scale, parse_note("A4"), 440.0)
    for degree, place in enumerate(scale.places):
        note = tuned.written(place).name
        off = cents_between(440.0, tuned.target(note)) - scale.cents[degree]
        if abs(off) > 1e-6:
            problems.append(f"plays degree {degree + 1}, written {note}, {off:.3f} cents off")
    return tuple(problems)


def system_problems(system: System, catalogue: Catalogue) -> tuple[str, ...]:
    """What is not as it should be with one system, its cross-fingerings included."""
    problems = _word_problems(system.words)
    try:
        home = catalogue.scale(system.home)
        rows = catalogue.rows(system.name, home, parse_note("A4"), 440.0)
    except ScaledesignError as error:
        return (*problems, str(error))
    played = [row for row in rows if row.role == "scale"]
    if len(played) != len(system.opening) or len({row.note for row in played}) != len(played):
        problems.append("does not play each note of its scale once with the role 'scale'")
    if any(other.degree > len(home.cents) for other in system.others):
        problems.append(f"has a fingering for a degree that {home.name!r} does not have")
    fingered = [(row.holes, row.register, row.open_share) for row in rows]
    twice = {"".join(each[0]) for each in fingered if fingered.count(each) > 1}
    problems += [f"gives the fingering {holes} in one register to two notes" for holes in sorted(twice)]
    return tuple(problems)


def _word_problems(words: str) -> list[str]:
    if words and (not words.endswith(".") or "\n" in words):
        return ["has words that are not one line ending with a full stop"]
    return []
