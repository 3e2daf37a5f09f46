"""What failed to load is told in the grid."""

from __future__ import annotations

import pytest

from scaledesign.extend.catalogue import PluginStatus
from scaledesign.view.help import why_lines
from scaledesign.view.remarks import plugin_remarks
from scaledesign.workshop import ask
from tests.view.working import opened, words

STATUSES = (
    PluginStatus("good", "folder", "good.py"),
    PluginStatus("bad", "folder", "bad.py", ok=False, problem="ImportError: no module named frobs"),
    PluginStatus("quiet", "folder", "quiet.py", ok=False, problem="you did that", off=True),
    PluginStatus("mine", "scale file", "mine.toml", ok=False, problem="cents = x: that is no number."),
)


def test_a_plug_in_that_was_left_out_is_told_of(monkeypatch: pytest.MonkeyPatch) -> None:
    class Offers:
        """Only what is asked here."""

        @staticmethod
        def plugins() -> tuple[PluginStatus, ...]:
            return STATUSES

    desk = opened()
    monkeypatch.setattr(ask, "offers", Offers)
    assert plugin_remarks() == (
        "The plug-in bad was left out: ImportError: no module named frobs. scaledesign plugins tells more.",
        "The scale file mine was left out: cents = x: that is no number. scaledesign plugins tells more.",
    )
    assert "bad was left out" in words(*why_lines(desk, 200))
