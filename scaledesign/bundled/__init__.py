"""The bundled plug-ins, importable as ``scaledesign.bundled.<name>`` from a checkout and from a wheel.

Apart because a plug-in must keep one module name wherever its file lies. Nothing else belongs here.
"""

from scaledesign.locations import PLUGINS

__path__ = [str(PLUGINS)]
