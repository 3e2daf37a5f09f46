"""Going to the bench from the grid: one screen on the same desk, and the door to every task there."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from scaledesign.ui.app import GridApp


class BenchWork:
    """What the actions of the bench open."""

    def __init__(self, app: GridApp) -> None:
        self._app = app

    def bench(self) -> None:
        """The next step, large."""
        from scaledesign.ui.bench_screen import BenchScreen

        app = self._app
        app.push_screen(BenchScreen(app.look, app.keys, lambda: app.main.desk, app.main.show))

    def tasks(self) -> None:
        """Everything there is to do at the bench, to choose from."""
        from scaledesign.ui import dialogs

        app = self._app
        app.push_screen(
            dialogs.bench_tasks(app.look, app.main.desk, app.keys),
            lambda name: app.main.do(name) if name else None,
        )
