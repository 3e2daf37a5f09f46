"""The registry: imports each plug-in, asks it what it offers, and admits or switches it off.

Apart from finding (``finding.py``) and from what comes out (``catalogue.py``). Bundled and third-party
plug-ins come through the same door. Each is imported and asked by itself, in a daemon thread with a time
limit, so that one that raises or hangs costs a line in the report and nothing else; a thread that hangs is
left behind, for Python cannot end it. Nothing happens on import of this module.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TypeVar

import pluggy

from scaledesign import locations
from scaledesign.errors import PluginError, ScaleError, UnknownNameError
from scaledesign.extend import hookspecs
from scaledesign.extend.catalogue import Catalogue, PluginStatus, comparable, names_of, nearest
from scaledesign.extend.finding import Candidate, candidates
from scaledesign.extend.hookspecs import PROJECT
from scaledesign.files import scale_file
from scaledesign.model.scale import Scale
from scaledesign.model.system import Fingering, System, states

HOOKS = ("register_scales", "register_systems", "register_cross_fingerings")
"""In the order in which they are called."""
TIME_LIMIT = 2.0
"""s: what importing a plug-in, and asking it what it offers, may take."""

Kind = TypeVar("Kind")


def catalogue(
    *, blocked: tuple[str, ...] = (), folders: tuple[Path, ...] | None = None, time_limit: float = TIME_LIMIT
) -> Catalogue:
    """Catalogue of everything that plug-ins and scale files offer.

    Parameters
    ----------
    blocked : names of plug-ins to leave out
    folders : user folders with plug-ins and scale files; None: those of ``locations.user_folders``
    time_limit : float, s, what importing a plug-in, and asking it what it offers, may take

    Raises
    ------
    UnknownNameError
        when a blocked plug-in does not exist.
    """
    own = locations.user_folders() if folders is None else folders
    found = candidates(own)
    known = tuple(candidate.name for candidate in found)
    for name in blocked:
        if name not in known:
            raise UnknownNameError("plug-in", name, known, nearest(name, known))
    offers = _asked(found, blocked, time_limit)
    while _switch_one_off(offers):
        pass
    admitted = [offer for offer in offers if not offer.problem]
    scales = [scale for offer in admitted for scale in offer.scales]
    refused = _read_scale_files((locations.SCALES, *own), scales)
    return Catalogue(
        tuple(scales),
        tuple(system for offer in admitted for system in offer.systems),
        tuple(fingering for offer in admitted for fingering in offer.fingerings),
        (*(offer.status() for offer in offers), *refused),
    )


@dataclass(slots=True)
class _Offer:
    """One plug-in on its way through the door, and what it handed over."""

    candidate: Candidate
    plugin: object = None
    hooks: tuple[str, ...] = ()
    scales: tuple[Scale, ...] = ()
    systems: tuple[System, ...] = ()
    fingerings: tuple[tuple[str, Fingering], ...] = ()
    seconds: float = 0.0
    problem: str = ""

    def status(self) -> PluginStatus:
        found = self.candidate
        contributes = (
            *(f"scale {scale.name}" for scale in self.scales),
            *(f"system {system.name}" for system in self.systems),
            *(f"fingering {fingering.holes} for {name}" for name, fingering in self.fingerings),
        )
        return PluginStatus(
            name=found.name,
            origin=found.origin,
            where=found.where,
            version=found.version or str(getattr(self.plugin, "__version__", "")),
            ok=not self.problem,
            problem=self.problem,
            seconds=self.seconds,
            hooks=self.hooks,
            contributes=() if self.problem else contributes,
        )


def _asked(found: tuple[Candidate, ...], blocked: tuple[str, ...], time_limit: float) -> list[_Offer]:
    """Import every plug-in and ask it what it offers, one by one."""
    manager = pluggy.PluginManager(PROJECT)
    manager.add_hookspecs(hookspecs)
    offers = [_Offer(candidate) for candidate in found]
    for offer in offers:
        start = time.perf_counter()
        if offer.candidate.name in blocked:
            offer.problem = "is switched off by name"
            continue
        try:
            _ask(manager, offer, time_limit)
        except PluginError as error:
            offer.problem = error.problem
        offer.seconds = time.perf_counter() - start
    return offers


def _ask(manager: pluggy.PluginManager, offer: _Offer, time_limit: float) -> None:
    """Import one plug-in, call its hooks, keep what they register; ``PluginError`` says what went wrong."""
    name = offer.candidate.name
    if manager.has_plugin(name):
        raise PluginError(name, "has the name of another plug-in")
    plugin = offer.plugin = _within(time_limit, name, "import", offer.candidate.load)
    try:
        manager.register(plugin, name)
        manager.check_pending()
    except (pluggy.PluginValidationError, ValueError) as error:
        manager.unregister(name=name)
        reason = str(error).partition(" in plugin ")[0].partition("\n")[0]
        raise PluginError(name, f"has hooks that do not fit ({reason})") from None
    called = {caller.name for caller in manager.get_hookcallers(plugin) or ()}
    offer.hooks = tuple(hook for hook in HOOKS if hook in called)
    if not offer.hooks:
        raise PluginError(name, "has no hook; mark one with @hookimpl")
    given: dict[str, list[tuple[object, ...]]] = {hook: [] for hook in HOOKS}
    others = [other for other in manager.get_plugins() if other is not plugin]

    def ask() -> None:
        for hook in offer.hooks:
            manager.subset_hook_caller(hook, others)(
                register=lambda *things, into=given[hook]: into.append(things)
            )

    _within(time_limit, name, "answer", ask)
    offer.scales = tuple(_checked(name, things, Scale) for things in given["register_scales"])
    offer.systems = tuple(_checked(name, things, System) for things in given["register_systems"])
    offer.fingerings = tuple(
        (_checked(name, things[:1], str), _checked(name, things[1:], Fingering))
        for things in given["register_cross_fingerings"]
    )


def _within(limit: float, name: str, what: str, function: Callable[[], object]) -> object:
    """Result of ``function``, called in a daemon thread; ``PluginError`` when it raises or takes too long."""
    result: list[object] = []
    raised: list[BaseException] = []

    def run() -> None:
        try:
            result.append(function())
        except BaseException as error:  # noqa: BLE001  a plug-in may raise anything, SystemExit too
            raised.append(error)

    thread = threading.Thread(target=run, name=f"plug-in {name}", daemon=True)
    thread.start()
    thread.join(limit)
    if raised:
        said = f": {raised[0]}" if str(raised[0]) else ""
        raise PluginError(name, f"failed to {what} ({type(raised[0]).__name__}{said})")
    if not result:
        raise PluginError(name, f"took longer than {limit:g} s to {what}")
    return result[0]


def _checked(name: str, things: tuple[object, ...], kind: type[Kind]) -> Kind:
    """The one thing handed over, which must be of ``kind``."""
    if len(things) == 1 and isinstance(things[0], kind):
        return things[0]
    shown = ", ".join(map(repr, things))
    raise PluginError(
        name, f"registers {shown if len(shown) < 80 else shown[:77] + '...'} for a {kind.__name__}"
    )


def _switch_one_off(offers: list[_Offer]) -> bool:
    """Find the first plug-in whose offer does not go with the others', name its problem; False if none."""
    admitted = [offer for offer in offers if not offer.problem]
    for offer, problem in (*_clashes(admitted), *_strays(admitted)):
        offer.problem = problem
        return True
    return False


def _clashes(offers: list[_Offer]) -> list[tuple[_Offer, str]]:
    """Offers with a name that an earlier one has taken."""
    taken: dict[tuple[str, str], str] = {}
    found = []
    for offer in offers:
        names = [("scale", name) for scale in offer.scales for name in names_of(scale)]
        names += [("system", name) for system in offer.systems for name in names_of(system)]
        for kind, name in names:
            if (kind, name) in taken:
                found.append((offer, f"offers a {kind} {name!r}, which {taken[kind, name]!r} offers already"))
            taken.setdefault((kind, name), offer.candidate.name)
    return found


def _strays(offers: list[_Offer]) -> list[tuple[_Offer, str]]:
    """Offers with a cross-fingering for a system that is not there, or has another number of holes."""
    systems = {comparable(system.name): system for offer in offers for system in offer.systems}
    found = []
    for offer in offers:
        for name, fingering in offer.fingerings:
            system = systems.get(comparable(name))
            if system is None:
                close = nearest(name, tuple(systems))
                hint = f"; did it mean {close!r}?" if close else ""
                found.append((offer, f"offers a fingering for the unknown system {name!r}{hint}"))
            elif len(states(fingering.holes)) != len(system.slots):
                found.append(
                    (offer, f"offers {fingering.holes!r} for {name!r}, which has {len(system.slots)} holes")
                )
    return found


def _read_scale_files(folders: tuple[Path, ...], scales: list[Scale]) -> list[PluginStatus]:
    """Add the scale files of ``folders`` to ``scales``; a line for each that cannot be used."""
    refused = []
    taken = {name for scale in scales for name in names_of(scale)}
    for path in (path for folder in folders for path in sorted(folder.glob("*.toml"))):
        try:
            scale = scale_file.load(path)
        except ScaleError as error:
            refused.append(_refusal(path, str(error)))
            continue
        if clash := taken.intersection(names_of(scale)):
            refused.append(_refusal(path, f"the name {min(clash)!r} is taken by another scale"))
            continue
        taken.update(names_of(scale))
        scales.append(scale)
    return refused


def _refusal(path: Path, problem: str) -> PluginStatus:
    return PluginStatus(path.stem, "scale file", str(path), ok=False, problem=problem)
