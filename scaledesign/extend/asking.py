"""One plug-in, imported and asked what it offers.

Apart from the registry, which asks them all and sees what goes together, and from ``isolation.py``, which
calls a stranger's code. Bundled and third-party plug-ins come through this same door.
"""

from __future__ import annotations

import os
import re
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import field
from pathlib import Path
from typing import Any

import pluggy

from scaledesign.errors import PluginError
from scaledesign.extend import hookspecs, isolation
from scaledesign.extend.catalogue import PluginStatus
from scaledesign.extend.finding import Candidate
from scaledesign.extend.hookspecs import API_VERSION, HOOKS, PROJECT, Hook
from scaledesign.extend.isolation import Failure, one_line
from scaledesign.model.scale import Scale
from scaledesign.model.system import Fingering, System
from scaledesign.values import dataclass

SLOW = 0.5
"""s: from here on it is said that a plug-in takes long."""
MOST = 1000
"""Things that one plug-in may offer of a kind; notes of a scale; fingerings of a system."""
LONGEST_NAME = 60
LONGEST_WORDS = 1000
NEEDS = "NEEDS_API"
"""What a plug-in calls the version of the hooks that it needs."""
_hung: dict[str, str] = {}
"""What went wrong with those that had to be left behind, by where they lie: nobody waits for one twice."""
_NEEDS_LINE = re.compile(rb"^NEEDS_API\s*(?::\s*\w+\s*)?=\s*(\d+)", re.MULTILINE)


@dataclass(slots=True)
class Offer:
    """One plug-in on its way through the door, and what it handed over."""

    candidate: Candidate
    version: str = ""
    hooks: tuple[str, ...] = ()
    scales: tuple[Scale, ...] = ()
    systems: tuple[System, ...] = ()
    fingerings: tuple[tuple[str, Fingering], ...] = ()
    seconds: float = 0.0
    problem: str = ""
    off: bool = False
    remarks: tuple[str, ...] = ()

    def status(self) -> PluginStatus:
        """How it fared."""
        found = self.candidate
        contributes = (
            *(f"scale {scale.name}" for scale in self.scales),
            *(f"system {system.name}" for system in self.systems),
            *(f"fingering {fingering.holes} for {name}" for name, fingering in self.fingerings),
        )
        slow = f"takes {self.seconds:.1f} s to load; import heavy libraries late"
        return PluginStatus(
            name=found.name,
            origin=found.origin,
            where=found.where,
            version=found.version or self.version,
            ok=not self.problem,
            problem=self.problem,
            seconds=self.seconds,
            hooks=self.hooks,
            contributes=() if self.problem else contributes,
            remarks=(*((slow,) if self.seconds >= SLOW else ()), *self.remarks),
            off=self.off,
        )


def ask(candidate: Candidate, time_limit: float) -> Offer:
    """Import a plug-in, call its hooks, keep what they register; ``problem`` says what went wrong.

    Parameters
    ----------
    candidate : Candidate
    time_limit : float, s, for the import, and once more for the answer
    """
    if candidate.where in _hung:
        return Offer(candidate, problem=_hung[candidate.where])
    offer = Offer(candidate)
    start = time.perf_counter()
    try:
        with _same_folder(offer):
            _require_version(_stated_need(candidate))
            plugin = _guarded(offer, "import", candidate.load, time_limit)
            # pluggy, and looking at what is handed over, call a stranger's code too
            given = _guarded(offer, "answer", lambda: _answered(plugin, candidate.name), time_limit)
            offer.version, offer.hooks, (offer.scales, offer.systems, offer.fingerings) = given
    except PluginError as error:
        offer.problem = error.problem
    offer.seconds = time.perf_counter() - start
    return offer


@contextmanager
def _same_folder(offer: Offer) -> Iterator[None]:
    """Go back to the folder we are in: the names that the maker types are read from there."""
    here = _folder()
    try:
        yield
    finally:
        if here and _folder() != here:
            os.chdir(here)
            offer.remarks += ("changes the folder that the program is in; use Path(__file__).parent",)


def _folder() -> str:
    """The folder we are in; '' when that has been deleted."""
    with suppress(OSError):
        return str(Path.cwd())
    return ""


def _guarded(offer: Offer, what: str, function: Any, limit: float) -> Any:
    name = offer.candidate.name
    try:
        result, printed = isolation.call(function, limit, name)
    except Failure as failure:
        error = failure.error
        if error is None:
            problem = _hung[offer.candidate.where] = f"took longer than {limit:g} s to {what}"
            raise PluginError(name, problem) from None
        if type(error) is PluginError:
            raise PluginError(name, one_line(error.problem, 2 * isolation.LONGEST)) from None
        if isinstance(error, ImportError) and error.name == "scaledesign.api":
            raise PluginError(name, _not_in_the_api(failure.text)) from None
        raise PluginError(name, f"failed to {what} ({failure.text})") from None
    if printed:
        offer.remarks += (f"prints while it {what}s ({printed}); nobody sees it, take it out",)
    return result


def _not_in_the_api(text: str) -> str:
    missing = re.search(r"cannot import name '(\w+)'", text)
    what = f"{missing[1]!r}, which is not" if missing else "what is not"
    remedy = "mend the name, or get a newer scaledesign"
    return f"asks for {what} in scaledesign.api, version {API_VERSION}; {remedy}"


def _stated_need(candidate: Candidate) -> object:
    """Version of the hooks that a file says it needs, read without running it."""
    with suppress(OSError):
        if candidate.source and (found := _NEEDS_LINE.search(candidate.source.read_bytes())):
            return int(found[1])
    return 1


def _require_version(need: object) -> None:
    if type(need) is not int or need < 1:
        raise PluginError("", f"has a {NEEDS} that is no whole number from 1 on")
    if need > API_VERSION:
        raise PluginError(
            "",
            f"needs version {need} of the hooks and this scaledesign has {API_VERSION}; "
            "get a newer scaledesign",
        )


def _answered(plugin: object, name: str) -> tuple[str, tuple[str, ...], tuple[Any, ...]]:
    """Version, hooks, and what they registered: scales, systems, fingerings."""
    _require_version(getattr(plugin, NEEDS, 1))
    manager = pluggy.PluginManager(PROJECT)
    manager.add_hookspecs(hookspecs)
    try:
        manager.register(plugin, name)
        manager.check_pending()
    except (pluggy.PluginValidationError, ValueError) as error:
        reason = str(error).partition(" in plugin ")[0].partition("\n")[0]
        raise PluginError(name, f"has hooks that do not fit ({reason})") from None
    called = {caller.name for caller in manager.get_hookcallers(plugin) or ()}
    hooks = tuple(hook for hook in HOOKS if hook.name in called)
    if not hooks:
        raise PluginError(name, "has no hook; mark one with @hookimpl")
    given = {hook.name: _called(manager, hook, name) if hook in hooks else () for hook in HOOKS}
    fingerings = given["register_cross_fingerings"]
    return (
        one_line(getattr(plugin, "__version__", ""), LONGEST_NAME),
        tuple(hook.name for hook in hooks),
        (
            tuple(scale for (scale,) in given["register_scales"]),
            tuple(system for (system,) in given["register_systems"]),
            fingerings,
        ),
    )


@dataclass(slots=True)
class _Door:
    """What a hook calls to hand a thing over; closed once the hook has returned."""

    things: list[tuple[object, ...]] = field(default_factory=list)
    closed: bool = False
    crowded: bool = False

    def __call__(self, *things: object) -> None:
        if self.closed:
            return
        self.crowded = self.crowded or len(self.things) >= MOST
        if self.crowded:
            raise ValueError(f"more than {MOST} things")
        self.things.append(things)


def _called(manager: pluggy.PluginManager, hook: Hook, name: str) -> tuple[tuple[Any, ...], ...]:
    """What one hook registers, every thing of its kind."""
    door = _Door()
    returned: object = None
    try:
        returned = next(iter(getattr(manager.hook, hook.name)(register=door)), None)  # there is one at most
    except ValueError:
        if not door.crowded:
            raise
    finally:
        door.closed = True
    if door.crowded:
        raise PluginError(name, f"registers more than {MOST} things in {hook.name}")
    if returned is not None:
        getattr(returned, "close", lambda: None)()  # a coroutine that nobody awaits would complain
        raise PluginError(
            name,
            f"returns a {type(returned).__name__} from {hook.name}; call register for each thing instead",
        )
    return tuple(_checked(name, things, hook) for things in door.things)


def _checked(name: str, things: tuple[object, ...], hook: Hook) -> tuple[object, ...]:
    """What was handed over, which must be of the kinds that the hook takes, and of a size to be shown."""
    if tuple(map(type, things)) != hook.takes:
        wanted = " and ".join(_with_article(kind.__name__) for kind in hook.takes)
        shown = ", ".join(one_line(repr(thing), 77) for thing in things) or "nothing"
        raise PluginError(name, f"registers {one_line(shown, 80)} for {wanted}")
    for thing in things:
        if problem := _unfit(thing):
            raise PluginError(name, problem)
    return things


def _with_article(kind: str) -> str:
    return {"str": "a name", "System": "a System"}.get(kind, f"a {kind}")


def _unfit(thing: object) -> str:
    """What keeps a scale or a system off a screen, though it makes sense; '' if nothing."""
    if isinstance(thing, str):
        return "" if _is_name(thing) else f"names a system by {one_line(thing, LONGEST_NAME)!r}"
    if isinstance(thing, Fingering):
        return "" if _is_name(thing.holes) else f"offers a fingering of {len(thing.holes)} signs"
    assert isinstance(thing, Scale | System)
    names = (thing.name, *thing.also) if isinstance(thing, Scale) else (thing.name, thing.home)
    letters = (*thing.opening, *(other.holes for other in thing.others)) if isinstance(thing, System) else ()
    kind = f"offers a {type(thing).__name__.lower()} {one_line(thing.name, LONGEST_NAME)!r}"
    if not all(map(_is_name, (*names, *letters))):
        return f"{kind} with a name or a fingering that is no line of at most {LONGEST_NAME} signs"
    for text in (thing.words, thing.source):
        if len(text) > LONGEST_WORDS or not text.replace("\n", " ").isprintable():
            return f"{kind} with words or a source that are not text of at most {LONGEST_WORDS} signs"
    size = len(thing.cents) if isinstance(thing, Scale) else len(thing.opening) + len(thing.others)
    return f"{kind} with more than {MOST} notes or fingerings" if size > MOST else ""


def _is_name(text: str) -> bool:
    return len(text) <= LONGEST_NAME and text.isprintable()
