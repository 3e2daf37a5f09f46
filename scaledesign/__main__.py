"""``python -m scaledesign``: the command line without the installed script."""

from __future__ import annotations

import sys

from scaledesign.cli import main

if __name__ == "__main__":
    sys.exit(main())
