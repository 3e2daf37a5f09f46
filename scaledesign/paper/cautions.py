"""What can hurt when a flute is made, and whom to ask: the lines that stand wherever the work is told.

Apart from lists and sheets because the words are the same wherever they stand. Each caution names the
hazard, the usual protection and the authority. No exposure limit stands here: limits change and differ
by country, and the authority named has the one in force. A safety data sheet, local rules and licensed
practice come first.
"""

from __future__ import annotations

import re

from scaledesign.values import dataclass

COMMON_PRACTICE = "common practice, no source"


@dataclass(frozen=True, slots=True)
class Caution:
    """One hazard: ``text`` for the maker, ``source`` for who wants to check it."""

    hazard: str
    text: str
    source: str
    brief: str = ""
    """The same in a line, for where there is no room; '' where there always is."""


DRILLING = Caution(
    "Drilling",
    "Clamp the tube and back it with scrap, wear eye protection, keep sleeves and hair away from the bit. "
    "Start small and step up; a bit that breaks through can grab.",
    COMMON_PRACTICE,
    "Clamp and back the tube, cover your eyes, no sleeve near the bit.",
)
DUST = Caution(
    "Dust",
    "Breathing wood dust can cause asthma, and hardwood dust cancer of the nose. Draw it off where it is "
    "made, wear a fitted mask meant for fine dust, wipe up damp instead of blowing. Treat bamboo dust alike. "
    "The limits in force: your health and safety authority (in Britain HSE, in the United States OSHA).",
    "HSE, wood dust page; for bamboo " + COMMON_PRACTICE,
    "Draw it off, wear a fitted mask, wipe up damp.",
)
HOT_TOOLS = Caution(
    "Hot tools",
    "Burn holes outdoors or with the smoke drawn off, on a surface that cannot burn, extinguisher at hand; "
    "stay until tube and tool are cold. Never burn oleander, yew or treated cane: the smoke can poison. "
    "Ask your fire service about hot work.",
    COMMON_PRACTICE + "; for the watch afterwards 29 CFR 1910.252, from memory",
    "If you burn it: outdoors, smoke drawn off, extinguisher at hand.",
)
SAWING = Caution(
    "Sawing",
    "Clamp the tube on both sides of the cut, hands behind the saw; saw with fine teeth and a little long, "
    "then sand to length with the tube moving over the paper. Wrap bamboo and cane, which split.",
    COMMON_PRACTICE,
    "Clamp both sides of the cut, hands behind the saw; wrap what splits.",
)
FILES = Caution(
    "Files and knives",
    "A file needs a handle on its tang. Cut away from the hand that holds the tube, and let no chip fall "
    "into the bore; do not blow chips out toward your eyes.",
    COMMON_PRACTICE,
    "A handle on the file; cut away from your hand.",
)
FILLING = Caution(
    "Fillers and glues",
    "Instant glue (cyanoacrylate) gives off a vapour that irritates eyes and lungs and bonds skin at once; "
    "epoxy that has not hardened can cause allergy. Gloves, fresh air, eyes covered; never with a cloth, "
    "which it can heat until it smokes. What the lips or fingers touch must be cured through and fit for "
    "it. Read the safety data sheet first.",
    COMMON_PRACTICE + "; for the vapour and the heat in cloth from memory of makers' data sheets",
    "Gloves, fresh air, eyes covered; cured through before lips or fingers.",
)

# Patterns of a material's name, and what is known of it.
_BY_MATERIAL: tuple[tuple[tuple[str, ...], Caution], ...] = (
    (
        ("oleander",),
        Caution(
            "Oleander",
            "Do not use it. Every part holds heart poisons, the sap irritates, and poisoning by its smoke "
            "is reported. Ask a poison centre.",
            "Cornell University, poisonous plants; Fuller & McClintock 1986",
        ),
    ),
    (
        ("yew", "taxus"),
        Caution(
            "Yew",
            "All of the tree but the red seed coat is poisonous and acts on the heart. Do not put it to the "
            "mouth, do not burn it; no dust on skin or food. Ask a poison centre.",
            "Canadian poisonous plants database; HSE Woodworking Sheet 30",
        ),
    ),
    (
        ("cedar", "thuja"),
        Caution(
            "Cedar",
            "Western red cedar dust holds plicatic acid, which gives some people asthma. Stop at the first "
            "wheeze or cough and see a doctor; ask HSE or OSHA.",
            "Oasys occupational asthma database; OSHA, wood dust",
        ),
    ),
    (
        ("walnut", "birch", "mahogany", "teak"),
        Caution(
            "This wood",
            "Dust of walnut, birch, mahogany and teak is suspected of causing cancer. Mask and extraction "
            "are not optional here. Ask OSHA or HSE.",
            "OSHA, wood dust",
        ),
    ),
    (
        ("oak", "beech"),
        Caution(
            "This wood",
            "Dust of oak and beech is a confirmed cause of cancer. Mask and extraction are not optional "
            "here. Ask OSHA or HSE.",
            "OSHA, wood dust",
        ),
    ),
    (
        ("rosewood", "dalbergia", "blackwood", "cocobolo", "palisander"),
        Caution(
            "Rosewood",
            "The name covers up to thirty kinds; find out which one you have before you cut it. "
            "Trade in Dalbergia across borders is controlled; ask your CITES office before you sell abroad.",
            "HSE Woodworking Sheet 30, rev. 1; CITES Appendix II, annotation #15",
        ),
    ),
    (
        (r"\btin", "brass", "copper", "steel", "silver", "alumin", "metal", r"\bnickel"),
        Caution(
            "Metal",
            "Thin sheet grabs and spins: clamp the tube over a rod of wood that fits it, drill slowly, no "
            "gloves near a turning bit. Edges and chips cut: smooth every hole inside and out. Solder "
            "without lead near the mouth. Ask HSE or OSHA.",
            COMMON_PRACTICE,
        ),
    ),
    (
        ("plastic", "pvc", r"\babs\b", "acryl", "polycarbonate", "perspex", "vinyl", "resin"),
        Caution(
            "Plastic",
            "Never burn holes in it: the smoke poisons, that of PVC holds hydrochloric acid. Drill slowly "
            "and cool, catch the chips. For the mouth take pipe that is sold for drinking water. "
            "Ask a poison centre.",
            COMMON_PRACTICE + "; for PVC from memory",
        ),
    ),
    (
        ("cane", "reed", "arundo"),
        Caution(
            "Cane",
            "Bought garden cane may be treated against insects: do not put treated cane to the mouth and do "
            "not burn it. Ask the seller for the safety data sheet.",
            COMMON_PRACTICE,
        ),
    ),
)
UNKNOWN_MATERIAL = Caution(
    "Material",
    "None is stated. Find out what the tube is before you cut it: trade names of woods mislead, and some "
    "woods and canes are poisonous.",
    "HSE Woodworking Sheet 30, rev. 1",
)


_AT_WORK: dict[str, tuple[Caution, ...]] = {
    "cut": (SAWING, DUST),
    "drill": (DRILLING, DUST, HOT_TOOLS),
    "open": (DRILLING, DUST, HOT_TOOLS),
    "file": (FILES, DUST),
    "undercut": (FILES, DUST),
    "fill": (FILLING, DUST),
}


def at_work(kind: str, material: str) -> tuple[Caution, ...]:
    """What can hurt at one step of the bench (``Step.kind``), and what is known of the ``material``.

    None where nothing is cut, drilled or filled.
    """
    found = _AT_WORK.get(kind, ())
    return (*found, *_of_material(material)) if found else ()


def cautions(material: str) -> tuple[Caution, ...]:
    """Drilling, dust and hot tools, and what is known of the ``material`` as the maker calls it."""
    return (*_of_material(material), DRILLING, DUST, HOT_TOOLS)


def _of_material(material: str) -> tuple[Caution, ...]:
    name = material.casefold()
    named = tuple(caution for words, caution in _BY_MATERIAL if any(re.search(word, name) for word in words))
    return named if name.strip() else (UNKNOWN_MATERIAL,)
