"""Plug-ins for tests: written to a folder of their own, or installed as a distribution."""

from __future__ import annotations

import sys
import textwrap
from collections.abc import Callable
from pathlib import Path

import pytest

from scaledesign.extend.catalogue import Catalogue, PluginStatus
from scaledesign.extend.registry import catalogue


@pytest.fixture
def write(tmp_path: Path) -> Callable[[str, str], Path]:
    """Write a plug-in of one file into the test's own folder."""

    def write_one(name: str, code: str) -> Path:
        path = tmp_path / f"{name}.py"
        path.write_text("from scaledesign.api import *\n" + textwrap.dedent(code), encoding="utf-8")
        return path

    return write_one


@pytest.fixture
def built(tmp_path: Path) -> Callable[..., Catalogue]:
    """Build the catalogue with the test's own folder as the only user folder."""

    def build(*, blocked: tuple[str, ...] = (), time_limit: float = 2.0) -> Catalogue:
        return catalogue(blocked=blocked, folders=(tmp_path,), time_limit=time_limit)

    return build


@pytest.fixture
def install(tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch) -> Callable[..., None]:
    """Install a distribution of one module with an entry point into a folder on the path."""
    site = tmp_path_factory.mktemp("site")
    monkeypatch.syspath_prepend(str(site))
    modules = set(sys.modules)

    def install_one(module: str, code: str, version: str = "3.0") -> None:
        text = "from scaledesign.api import *\n" + textwrap.dedent(code)
        (site / f"{module}.py").write_text(text, encoding="utf-8")
        info = site / f"{module}-{version}.dist-info"
        info.mkdir()
        metadata = f"Metadata-Version: 2.1\nName: {module}\nVersion: {version}\n"
        (info / "METADATA").write_text(metadata, encoding="utf-8")
        points = f"[scaledesign]\n{module.replace('_', ' ')} = {module}\n"
        (info / "entry_points.txt").write_text(points, encoding="utf-8")
        monkeypatch.delitem(sys.modules, module, raising=False)

    yield install_one
    for name in set(sys.modules) - modules:
        if str(getattr(sys.modules[name], "__file__", "")).startswith(str(site)):
            del sys.modules[name]


@pytest.fixture
def status() -> Callable[[Catalogue, str], PluginStatus]:
    """How the plug-in of a name fared; there must be one."""

    def of(found: Catalogue, name: str) -> PluginStatus:
        (one,) = (plugin for plugin in found.plugins() if plugin.name == name)
        return one

    return of
