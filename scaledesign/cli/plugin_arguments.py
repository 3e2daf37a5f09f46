"""Arguments of the command that looks after plug-ins; standard library only."""

from __future__ import annotations

import argparse

from scaledesign.cli.options import Commands, Parser, add_json, new_command

RUN = "plugins_command"


def add(commands: Commands) -> None:
    """Add ``plugins`` to the tree; without a further word it lists."""
    plugins = new_command(
        commands,
        "plugins",
        f"{RUN}:show",
        "list the plug-ins and how each fared; begin one, check one, switch it off or on",
        (
            "scaledesign plugins",
            'scaledesign plugins new "reed scales"',
            "scaledesign plugins check reed scales",
            "scaledesign plugins off reed scales",
        ),
    )
    add_json(plugins)
    # no metavar: the words themselves stand in the usage, and in the shells' completion
    actions = plugins.add_subparsers(title="actions", required=False, parser_class=Parser)
    new = _action(
        actions,
        "new",
        "write a plug-in to begin with, and its test; nothing is written over",
        (
            'scaledesign plugins new "reed scales"',
            'scaledesign plugins new "reed scales" --package --into ~/work',
        ),
    )
    new.add_argument("name", nargs="+", metavar="NAME", help="what you call it")
    new.add_argument(
        "--into",
        metavar="FOLDER",
        help="where it goes (default: your folder of plug-ins; with --package the folder you are in)",
    )
    new.add_argument("--package", action="store_true", help="a folder of its own, to install and pass on")
    check = _action(
        actions,
        "check",
        "say what is wrong with a plug-in, a sentence each; 3 to the shell if anything is",
        ("scaledesign plugins check reed scales", "scaledesign plugins check ./reed-scales --json"),
    )
    check.add_argument(
        "name", nargs="+", metavar="NAME", help="its name; or the path of a file, or of a package's folder"
    )
    for name, words in (
        ("off", "switch a plug-in off: from then on it is not even imported"),
        ("on", "switch a plug-in on again"),
    ):
        switch = _action(actions, name, words, (f"scaledesign plugins {name} reed scales",))
        switch.add_argument("name", nargs="+", metavar="NAME", help="as scaledesign plugins shows it")


def _action(actions: Commands, name: str, words: str, examples: tuple[str, ...]) -> Parser:
    action = new_command(actions, name, f"{RUN}:{name}", words, examples)
    # no default: that would take back a --json which stands before the action
    action.add_argument(
        "--json", action="store_true", default=argparse.SUPPRESS, help="one JSON object for programs"
    )
    return action
