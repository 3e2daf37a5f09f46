"""Types of a dataclass's fields, asked while the program runs.

Edits may come from plug-ins and screens, where no type checker looked; a value of the wrong type
must become a sentence, not a traceback later on. Values only: what they mean is ``checks.py``'s.
"""

from __future__ import annotations

from dataclasses import fields, is_dataclass
from types import UnionType
from typing import Any, Literal, Union, get_args, get_origin, get_type_hints


def types_of(part: Any) -> dict[str, Any]:
    """Type of every field of a dataclass."""
    hints = get_type_hints(part)
    return {item.name: hints[item.name] for item in fields(part)}


def fits(value: object, hint: Any) -> bool:
    """Whether a value is of an annotated type; whole numbers pass as float, yes and no as neither."""
    origin, inner = get_origin(hint), get_args(hint)
    if origin in (UnionType, Union):
        return any(fits(value, one) for one in inner)
    if origin is Literal:
        return value in inner
    if origin is frozenset:
        return isinstance(value, frozenset) and all(fits(item, inner[0]) for item in value)
    if origin is tuple:
        if not isinstance(value, tuple):
            return False
        wanted = inner[:1] * len(value) if inner[1:] == (...,) else inner
        return len(value) == len(wanted) and all(map(fits, value, wanted))
    if hint in (int, float):
        numbers = (int, float) if hint is float else (int,)
        return isinstance(value, numbers) and not isinstance(value, bool)
    if is_dataclass(hint) and isinstance(hint, type):
        return isinstance(value, hint) and all(
            fits(getattr(value, name), one) for name, one in types_of(hint).items()
        )
    return isinstance(value, hint)


def told(hint: Any) -> str:
    """What a field takes, in words for a message."""
    if get_origin(hint) is Literal:
        return ", ".join(map(str, get_args(hint)))
    names = {float: "a number", int: "a whole number", str: "text", bool: "yes or no"}
    return names.get(hint) or str(hint).replace("typing.", "").replace("scaledesign.model.document.", "")
