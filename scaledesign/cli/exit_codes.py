"""What the command line returns to a script; printed by ``scaledesign --help``.

Apart so that the help text, the commands and the tests read one list.
"""

from __future__ import annotations

OK = 0
NOT_MET = 1
USAGE = 2
CANNOT_USE = 3
INTERNAL = 4
INTERRUPTED = 130
PIPE_CLOSED = 141

MEANINGS = {
    OK: "done",
    NOT_MET: "done, but not every note comes out; it says which",
    USAGE: "the arguments are not understood",
    CANNOT_USE: "a file, a name or a value cannot be used",
    INTERNAL: "a fault of the program's own; please report it",
    INTERRUPTED: "stopped from the keyboard",
    PIPE_CLOSED: "the reader of the output went away",
}
