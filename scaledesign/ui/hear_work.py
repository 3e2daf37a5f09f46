"""What is heard while the grid is open: the rows in hand, the scale, what was wanted beside what it plays.

Apart from the loudspeaker, which knows no flute, and from the app, which has all the rest.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from scaledesign.ui.loudspeaker import Loudspeaker
from scaledesign.view import hearing
from scaledesign.view.desk import Desk
from scaledesign.view.listing import Tune

if TYPE_CHECKING:
    from scaledesign.ui.app import GridApp

SILENCE = "Silence."
ELSEWHERE = "{print} writes the notes to a file instead."
"""What to do where this machine plays nothing."""


class HearWork:
    """The loudspeaker of the grid."""

    def __init__(self, app: GridApp) -> None:
        self._app = app
        self.loudspeaker = Loudspeaker(self._tell)

    def rows(self) -> None:
        """The selected rows as they will play; again: silence."""
        self._play(hearing.of_rows)

    def scale(self) -> None:
        """The rows of the scale as they will play; again: silence."""
        self._play(hearing.of_scale)

    def wanted(self) -> None:
        """Each selected row as it is wanted, then as it will play; again: silence."""
        self._play(hearing.of_wanted)

    def say(self, tune: Tune) -> str:
        """Play a tune of a list, or stop it, and say which."""
        return tune.words if self.loudspeaker.toggle(tune) else SILENCE

    def stop(self) -> None:
        """Silence."""
        self.loudspeaker.stop()

    def _play(self, what: Callable[[Desk], Tune | str]) -> None:
        main = self._app.main
        tune = what(main.desk)
        if isinstance(tune, str):
            main.show(main.desk.saying(tune, "faint"))
        else:
            main.show(main.desk.saying(self.say(tune)))

    def _tell(self, problem: str) -> None:
        """From the loudspeaker's thread."""
        self._app.call_later(self._failed, problem)

    def _failed(self, problem: str) -> None:
        self._app.say(f"{problem}. {ELSEWHERE}")
        tell = getattr(self._app.screen, "tell", None)
        if tell is not None:
            tell(f"{problem}.")
