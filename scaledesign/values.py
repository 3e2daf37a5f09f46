"""``dataclass``, as in the standard library, its methods made when they are first used.

Apart because every start would pay otherwise: the standard library writes six methods of each frozen class
as text and compiles them where the class stands, and most classes make nothing in one run, or few things.
Here ``==``, ``hash``, ``repr`` and the refusal to change are functions that all classes share. The first
things of a class are filled in field by field; who makes ``FEW`` gets a compiled ``__init__``. The fields are
the standard library's, so that ``fields``, ``replace``, ``asdict`` and ``match`` know these classes.

Of ``field`` it knows ``default``, ``default_factory``, ``kw_only``, ``compare`` and ``repr``. No other module
of ours is imported here.
"""

from __future__ import annotations

import dataclasses
import inspect
from operator import attrgetter
from types import MemberDescriptorType, SimpleNamespace
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from dataclasses import dataclass
else:

    def dataclass(cls=None, /, *, frozen=False, slots=False, eq=True):
        """Make a class of values; see ``dataclasses.dataclass``."""
        if cls is None:
            return lambda cls: dataclass(cls, frozen=frozen, slots=slots, eq=eq)
        fields = _fields(cls)
        own = set(cls.__dict__)
        if slots:
            cls = _with_slots(cls, fields)
        methods = {
            "__init__": _Init(cls, frozen),
            "__repr__": _repr,
            "__match_args__": tuple(field.name for field in fields.values() if not field.kw_only),
        }
        if eq:
            compared = (field.name for field in fields.values() if field.compare)
            methods |= {"_compared": attrgetter("__class__", *compared), "__eq__": _eq}
            methods["__hash__"] = _hash if frozen else None
        if frozen:
            methods |= {"__setattr__": _refuse_to_set, "__delattr__": _refuse_to_delete}
            if slots:
                methods |= {"__getstate__": _state, "__setstate__": _restore}
        for name, method in methods.items():
            if name not in own:
                setattr(cls, name, method)
        cls.__dataclass_fields__ = fields
        cls.__dataclass_params__ = SimpleNamespace(
            init=True, repr=True, eq=eq, order=False, unsafe_hash=False, frozen=frozen
        )
        return cls


__all__ = ["dataclass"]

FEW = 40
"""Things that are filled in field by field before ``__init__`` is compiled: that takes as long as to fill in
some fifty."""


def _fields(cls: Any) -> dict[str, Any]:
    """The fields of a class, those it inherits first; a usual value stays where the class has it."""
    fields: dict[str, Any] = {}
    for parent in cls.__mro__[-1:0:-1]:
        fields |= getattr(parent, "__dataclass_fields__", {})
    for name, kind in inspect.get_annotations(cls).items():
        if "ClassVar" in str(kind):
            continue
        stated = cls.__dict__.get(name, dataclasses.MISSING)
        if isinstance(stated, MemberDescriptorType):  # a slot is no usual value
            stated = dataclasses.MISSING
        field: Any
        if isinstance(stated, dataclasses.Field):
            field = stated
            if field.default is dataclasses.MISSING:
                delattr(cls, name)
            else:
                setattr(cls, name, field.default)
        else:
            field = dataclasses.field(default=stated)
        field.name, field.type = name, kind
        field._field_type = _PLAIN
        field.kw_only = field.kw_only is True
        fields[name] = field
    return fields


_PLAIN = dataclasses.fields(dataclasses.make_dataclass("_Sample", ["one"]))[0]._field_type  # type: ignore[attr-defined]
"""How the standard library knows a field that is neither a class variable nor for ``__init__`` alone."""


def _with_slots(cls: Any, fields: dict[str, Any]) -> Any:
    """The class anew, its own fields as slots: a class gets these only as it is made."""
    there = {name for parent in cls.__mro__[1:-1] for name in parent.__dict__.get("__slots__", ())}
    members = {
        name: thing
        for name, thing in cls.__dict__.items()
        if name not in fields and name not in ("__dict__", "__weakref__")
    }
    members["__slots__"] = tuple(name for name in fields if name not in there)
    made = type(cls)(cls.__name__, cls.__bases__, members)
    made.__qualname__ = cls.__qualname__
    return made


class _Init:
    """``__init__`` of one class, until it has been compiled and stands in place of this."""

    def __init__(self, cls: Any, frozen: bool) -> None:
        self.cls, self.frozen, self.made = cls, frozen, 0
        self.plan: list[Any] = []

    def __get__(self, thing: object, kind: type) -> Any:
        if self.made == FEW or not isinstance(thing, self.cls):  # who asks for the signature has the class
            written = self._compile()
            return written if thing is None else written.__get__(thing, kind)
        self.made += 1
        return lambda *given, **named: self._fill(thing, given, named)

    def _compile(self) -> Any:
        made: Any = _written(self.cls, self.frozen)
        self.cls.__init__ = made
        return made

    def _fill(self, thing: Any, given: tuple[object, ...], named: dict[str, object]) -> None:
        """Fill in one thing; what does not fit is left to the compiled ``__init__``, which says so."""
        if not self.plan:
            self.plan = sorted(dataclasses.fields(self.cls), key=lambda field: bool(field.kw_only))
        set_field, missing, taken = object.__setattr__, dataclasses.MISSING, 0
        for place, field in enumerate(self.plan):
            name = field.name
            if place < len(given) and not field.kw_only and name not in named:
                value = given[place]
                taken += 1
            elif name in named:
                value = named[name]
                taken += 1
            elif field.default is not missing:
                value = field.default
            elif field.default_factory is not missing:
                value = field.default_factory()
            else:
                self._compile()(thing, *given, **named)
                return
            set_field(thing, name, value)
        if taken != len(given) + len(named):
            self._compile()(thing, *given, **named)
            return
        if hasattr(self.cls, "__post_init__"):
            thing.__post_init__()


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
