"""A line of text whose keys keep their order when many come at once.

Textual runs the keys that move in an input and take out of it a moment after the letters: of "ab", Backspace,
"c" typed ahead, Backspace would take the c. Here each key does what it means when it comes. Knows no cell and
no dialog.
"""

from __future__ import annotations

from contextlib import suppress

from textual import events
from textual.actions import SkipAction
from textual.binding import Binding
from textual.widgets import Input

OWN = {
    key: binding.action
    for binding in Input.BINDINGS
    if isinstance(binding, Binding) and binding.action != "submit"
    for key in binding.key.split(",")
}
"""Keys of any line of text: they move in it and take out of it."""


class TextLine(Input):
    """An input, on one line of the screen."""

    DEFAULT_CSS = """
    TextLine:nocolor { text-style: underline; }
    TextLine:nocolor > .input--cursor { text-style: reverse; }
    TextLine:nocolor > .input--placeholder { text-style: dim underline; }
    """

    def follow(self, event: events.Key) -> bool:
        """Whether a key is one of a line of text; it has then done what it means."""
        if event.key in OWN:
            name, stretched, _ = OWN[event.key].partition("(")
            with suppress(SkipAction):  # there is nothing to copy, or to take out
                getattr(self, f"action_{name}")(*([True] if stretched else []))
        elif event.is_printable and event.character:
            self.replace(event.character, *self.selection)
        else:
            return False
        return True

    def on_key(self, event: events.Key) -> None:
        """Follow the key at once; what it does not mean here goes on to the screen."""
        if self.follow(event):
            event.stop()
            event.prevent_default()
