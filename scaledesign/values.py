"""``dataclass``, as in the standard library, its methods made when they are first used.

Apart because every start would pay otherwise: the standard library writes six methods of each frozen class
as text and compiles them where the class stands, and most classes make nothing in one run. Here the fields,
the slots and what is wrong with them are still the standard library's, so that ``fields``, ``replace``,
``asdict`` and ``match`` know these classes. ``==``, ``hash``, ``repr`` and the refusal to change are
functions that all classes share; ``__init__`` is compiled when the first thing of its class is made.

Of ``field`` it knows ``default``, ``default_factory``, ``kw_only``, ``compare`` and ``repr``. No other module
of ours is imported here.
"""

from __future__ import annotations

import dataclasses
from operator import attrgetter
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from dataclasses import dataclass
else:

    def dataclass(cls=None, /, *, frozen=False, slots=False, eq=True):
        """Make a class of values; see ``dataclasses.dataclass``."""
        if cls is None:
            return lambda cls: dataclass(cls, frozen=frozen, slots=slots, eq=eq)
        own = set(cls.__dict__)
        cls = dataclasses.dataclass(init=False, repr=False, eq=False, slots=slots)(cls)
        methods = {"__init__": _Init(cls, frozen), "__repr__": _repr}
        if eq:
            compared = (field.name for field in dataclasses.fields(cls) if field.compare)
            methods |= {"_compared": attrgetter("__class__", *compared), "__eq__": _eq}
            methods["__hash__"] = _hash if frozen else None
        if frozen:
            methods |= {"__setattr__": _refuse_to_set, "__delattr__": _refuse_to_delete}
            if slots:
                methods |= {"__getstate__": _state, "__setstate__": _restore}
        for name, method in methods.items():
            if name not in own:
                setattr(cls, name, method)
        return cls


__all__ = ["dataclass"]


class _Init:
    """``__init__`` of one class: compiled, and put in place of this, when it is first looked at."""

    def __init__(self, cls: Any, frozen: bool) -> None:
        self.cls, self.frozen = cls, frozen

    def __get__(self, thing: object, kind: type) -> Any:
        made: Any = _written(self.cls, self.frozen)
        self.cls.__init__ = made
        return made if thing is None else made.__get__(thing, kind)


def _written(cls: Any, frozen: bool) -> object:
    """The function that fills in every field, from its text."""
    known: dict[str, object] = {"_set": object.__setattr__, "_left_out": dataclasses.MISSING}
    by_place, by_name, body = ["self"], ["*"], []
    for field in dataclasses.fields(cls):
        name = value = field.name
        taken = name
        if field.default_factory is not dataclasses.MISSING:
            known[f"_make_{name}"] = field.default_factory
            taken, value = f"{name}=_left_out", f"_make_{name}() if {name} is _left_out else {name}"
        elif field.default is not dataclasses.MISSING:
            known[f"_usual_{name}"] = field.default
            taken = f"{name}=_usual_{name}"
        (by_name if field.kw_only else by_place).append(taken)
        body.append(f"_set(self, {name!r}, {value})" if frozen else f"self.{name} = {value}")
    if hasattr(cls, "__post_init__"):
        body.append("self.__post_init__()")
    arguments = ", ".join(by_place + (by_name if by_name[1:] else []))
    exec(f"def __init__({arguments}):\n  " + "\n  ".join(body or ["pass"]), known)
    made: Any = known["__init__"]
    made.__qualname__, made.__module__ = f"{cls.__qualname__}.__init__", cls.__module__
    return made


def _repr(self: Any) -> str:
    said = (f"{field.name}={getattr(self, field.name)!r}" for field in dataclasses.fields(self) if field.repr)
    return f"{type(self).__qualname__}({', '.join(said)})"


def _eq(self: Any, other: Any) -> Any:
    if type(other) is not type(self):
        return NotImplemented
    return self._compared(self) == self._compared(other)


def _hash(self: Any) -> int:
    return hash(self._compared(self))


def _refuse_to_set(self: object, name: str, value: object) -> None:
    raise dataclasses.FrozenInstanceError(f"cannot assign to field {name!r}")


def _refuse_to_delete(self: object, name: str) -> None:
    raise dataclasses.FrozenInstanceError(f"cannot delete field {name!r}")


def _state(self: Any) -> list[object]:
    return [getattr(self, field.name) for field in dataclasses.fields(self)]


def _restore(self: Any, state: list[object]) -> None:
    for field, value in zip(dataclasses.fields(self), state, strict=True):
        object.__setattr__(self, field.name, value)
