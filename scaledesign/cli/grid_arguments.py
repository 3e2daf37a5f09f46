"""Arguments of the command that opens the screen; standard library only."""

from __future__ import annotations

from scaledesign.cli.options import Commands, add_design, new_command


def add(commands: Commands) -> None:
    """Add it to the tree."""
    command = new_command(
        commands, "grid", "grid_command:grid",
        "open a flute on the screen, true on every edit; the same as no command at all",
        (
            "scaledesign grid", "scaledesign grid flute.toml", "scaledesign grid --example night-heron",
            "scaledesign grid --browser flute.toml",
        ),
    )  # fmt: skip
    add_design(command, required=False)
    command.add_argument("--no-colour", action="store_true", help="no colours, as with NO_COLOR set")
    command.add_argument("--ascii", action="store_true", help="draw with plain letters only")
    command.add_argument(
        "--browser", action="store_true", help="in a browser on this computer; needs the extra [browser]"
    )
    command.add_argument(
        "--port", type=int, metavar="N", help="port for --browser (default: any that is free)"
    )
