"""Arguments of the commands that concern the program itself; standard library only."""

from __future__ import annotations

from scaledesign.cli.options import Commands, add_force, add_json, new_command


def add(commands: Commands) -> None:
    """Add them to the tree."""
    _add_accuracy(commands)
    _add_completion(commands)


def _add_accuracy(commands: Commands) -> None:
    command = new_command(
        commands,
        "accuracy",
        "accuracy_command:accuracy",
        "say how far off the program is, published case by published case",
        ("scaledesign accuracy", "scaledesign accuracy | less", "scaledesign accuracy -o accuracy.md"),
    )
    form = command.add_mutually_exclusive_group()
    add_json(form)
    form.add_argument("-o", "--output", metavar="OUT", help="write the page to this file, as Markdown")
    add_force(command)


def _add_completion(commands: Commands) -> None:
    command = new_command(
        commands,
        "completion",
        "completion:completion",
        "print the script that lets your shell complete these commands",
        (
            "scaledesign completion bash > ~/.local/share/bash-completion/completions/scaledesign",
            "scaledesign completion zsh > ~/.zfunc/_scaledesign   (a folder in your fpath)",
            "scaledesign completion fish > ~/.config/fish/completions/scaledesign.fish",
        ),
    )
    command.add_argument("shell", choices=("bash", "zsh", "fish"))
