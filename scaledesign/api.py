"""The names that plug-ins may use, and nothing else.

A plug-in imports from here only; whatever is here keeps its meaning, whatever is not may move. The hooks are
described in ``extend/hookspecs.py``; ``check_plugin`` is what a plug-in's own tests should call.
"""

from scaledesign.errors import QuantityError
from scaledesign.extend.conformance import check_plugin
from scaledesign.extend.hookspecs import RegisterFingering, RegisterScale, RegisterSystem, hookimpl
from scaledesign.extend.registry import catalogue
from scaledesign.model.scale import EQUAL, Scale, scale_of_degrees
from scaledesign.model.system import Fingering, Slot, System

__all__ = [
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
