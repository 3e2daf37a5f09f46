"""The report is worked out once; the tests of the page only read it."""

from __future__ import annotations

import pytest

from scaledesign.accuracy.report import Report, report


@pytest.fixture(scope="session")
def worked_out() -> Report:
    return report()
