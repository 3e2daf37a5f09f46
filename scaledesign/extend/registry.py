"""The registry: has every plug-in asked what it offers, and admits it or switches it off.

Apart from finding (``finding.py``), asking (``asking.py``) and what comes out (``catalogue.py``). Here it is
seen whether offers go together. One that fails costs a line in the report and nothing else. Nothing happens
on import of this module.
"""

from __future__ import annotations

from pathlib import Path

from scaledesign import locations
from scaledesign.errors import UnknownNameError
from scaledesign.extend import isolation, switches
from scaledesign.extend.asking import Offer, ask
from scaledesign.extend.catalogue import Catalogue, comparable, names_of, nearest
from scaledesign.extend.finding import Candidate, candidate, candidates
from scaledesign.extend.scale_files import ScaleFiles
from scaledesign.model.system import states

TIME_LIMIT = 2.0
"""s: what importing a plug-in may take, and what asking it what it offers may take."""


def catalogue(
    *,
    blocked: tuple[str, ...] = (),
    folders: tuple[Path, ...] | None = None,
    extra: tuple[Path | Candidate, ...] = (),
    time_limit: float | None = None,
) -> Catalogue:
    """Catalogue of everything that plug-ins and scale files offer.

    Parameters
    ----------
    blocked : names of plug-ins to leave out
    folders : user folders with plug-ins and scale files; None: those of ``locations.user_folders``, without
        the plug-ins that the user switched off
    extra : plug-ins, files or package folders, to add; each stands in for any other of its name
    time_limit : s, what importing a plug-in, and asking it what it offers, may take; None: ``TIME_LIMIT``

    Raises
    ------
    UnknownNameError
        when a blocked plug-in does not exist.
    """
    own = locations.user_folders() if folders is None else folders
    added = tuple(candidate(one) if isinstance(one, Path) else one for one in extra)
    theirs = {comparable(one.name) for one in added}
    found = tuple(one for one in candidates(own) if comparable(one.name) not in theirs)
    known = tuple(one.name for one in found)
    for name in blocked:
        if name not in known:
            raise UnknownNameError("plug-in", name, known, nearest(name, known))
    off, unread = switches.switched_off() if folders is None else (frozenset(), None)
    offers: list[Offer] = []
    with isolation.parted_streams():
        for one in found:
            taken = {offer.candidate.name for offer in offers}
            offers.append(_offer(one, taken, blocked, off, time_limit or TIME_LIMIT))
        offers.extend(ask(one, time_limit or TIME_LIMIT) for one in added)
    while _switch_one_off(offers):
        pass
    admitted = [offer for offer in offers if not offer.problem]
    scales = tuple(scale for offer in admitted for scale in offer.scales)
    return Catalogue(
        scales,
        tuple(system for offer in admitted for system in offer.systems),
        tuple(fingering for offer in admitted for fingering in offer.fingerings),
        tuple(offer.status() for offer in offers),
        (unread,) if unread else (),
        ScaleFiles((locations.SCALES, *own), scales),
    )


def _offer(
    one: Candidate, taken: set[str], blocked: tuple[str, ...], off: frozenset[str], time_limit: float
) -> Offer:
    """What one plug-in offers; one that is off is not even imported."""
    if one.name in blocked:
        return Offer(one, problem="is switched off by name", off=True)
    if comparable(one.name) in off:
        return Offer(one, problem=f"you did that; scaledesign plugins on {one.name}", off=True)
    if one.name in taken:
        return Offer(one, problem="has the name of another plug-in")
    return ask(one, time_limit)


def _switch_one_off(offers: list[Offer]) -> bool:
    """Find the first plug-in whose offer does not go with the others', name its problem; False if none."""
    admitted = [offer for offer in offers if not offer.problem]
    for offer, problem in (*_clashes(admitted), *_strays(admitted)):
        offer.problem = problem
        return True
    return False


def _clashes(offers: list[Offer]) -> list[tuple[Offer, str]]:
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


def _strays(offers: list[Offer]) -> list[tuple[Offer, str]]:
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
