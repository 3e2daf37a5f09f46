"""The names that plug-ins may use, and nothing else.

A plug-in imports from here only; whatever is here keeps its meaning, whatever is not may move. The hooks are
described in ``extend/hookspecs.py``; ``check_plugin`` is what a plug-in's own tests should call.
``API_VERSION`` grows by one whenever something is added here or a hook is; a plug-in that needs it says so
with ``NEEDS_API``.
"""

from scaledesign.errors import QuantityError
from scaledesign.extend.conformance import check_plugin
from scaledesign.extend.hookspecs import (
    API_VERSION,
    RegisterFingering,
    RegisterScale,
    RegisterSystem,
    hookimpl,
)
from scaledesign.extend.registry import catalogue
from scaledesign.model.scale import EQUAL, Scale, scale_of_degrees
from scaledesign.model.system import Fingering, Slot, System

__all__ = [
    "API_VERSION",
    "EQUAL",
    "Fingering",
    "QuantityError",
    "RegisterFingering",
    "RegisterScale",
    "RegisterSystem",
    "Scale",
    "Slot",
    "System",
    "catalogue",
    "check_plugin",
    "hookimpl",
    "scale_of_degrees",
]
