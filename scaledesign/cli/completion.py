"""Shell completion: scripts for bash, zsh and fish, written from the argument tree.

Apart because it only walks ``parser.py``; a new command or option is completed without a word here.
The scripts hold the words themselves: pressing Tab never starts Python.
"""

from __future__ import annotations

import argparse

from scaledesign.cli.exit_codes import OK
from scaledesign.cli.parser import build_parser
from scaledesign.values import dataclass


@dataclass(frozen=True, slots=True)
class Option:
    """One option: its spellings, whether a value follows, the values if they are known, its help."""

    flags: tuple[str, ...]
    takes_value: bool
    choices: tuple[str, ...]
    words: str


@dataclass(frozen=True, slots=True)
class Command:
    """One command: its options, and the words or files that may follow."""

    name: str
    words: str
    options: tuple[Option, ...]
    choices: tuple[str, ...]
    """Fixed words for its argument; empty where it takes files or nothing."""
    takes_files: bool


def completion(args: argparse.Namespace) -> int:
    """Print the script for ``args.shell``."""
    write = {"bash": bash_script, "zsh": zsh_script, "fish": fish_script}[args.shell]
    print(write(command_tree()), end="")
    return OK


def command_tree() -> tuple[Command, ...]:
    """Read the commands back from the parser."""
    (subparsers,) = (a for a in build_parser()._actions if isinstance(a, argparse._SubParsersAction))
    words = {choice.dest: choice.help or "" for choice in subparsers._choices_actions}
    return tuple(_command(name, words[name], parser) for name, parser in subparsers.choices.items())


def _command(name: str, words: str, parser: argparse.ArgumentParser) -> Command:
    options = tuple(
        Option(
            flags=tuple(action.option_strings),
            takes_value=action.nargs != 0,
            choices=tuple(map(str, action.choices or ())),
            words=action.help or "",
        )
        for action in parser._actions
        if action.option_strings
    )
    arguments = [action for action in parser._actions if not action.option_strings]
    choices = tuple(str(choice) for action in arguments for choice in action.choices or ())
    return Command(name, words, options, choices, bool(arguments) and not choices)


def bash_script(commands: tuple[Command, ...]) -> str:
    """Completion for bash: a function and its ``complete`` line."""
    lines = [
        "# Completion for scaledesign in bash.",
        "_scaledesign() {",
        '    local word="${COMP_WORDS[COMP_CWORD]}" before="${COMP_WORDS[COMP_CWORD-1]}"',
        "    COMPREPLY=()",
        '    if [ "$COMP_CWORD" -eq 1 ]; then',
        f'        COMPREPLY=($(compgen -W {_quote(_names(commands))} -- "$word"))',
        "        return",
        "    fi",
        '    case "${COMP_WORDS[1]} $before" in',
    ]
    for command in commands:
        for option in command.options:
            if option.takes_value:
                patterns = "|".join(f'"{command.name} {flag}"' for flag in option.flags)
                reply = (
                    f'COMPREPLY=($(compgen -W {_quote(" ".join(option.choices))} -- "$word"))'
                    if option.choices
                    else 'COMPREPLY=($(compgen -f -- "$word"))'
                )
                lines.append(f"        {patterns}) {reply}; return ;;")
    lines += ["    esac", '    case "${COMP_WORDS[1]}" in']
    for command in commands:
        words = " ".join([*(flag for option in command.options for flag in option.flags), *command.choices])
        files = ' $(compgen -f -- "$word")' if command.takes_files else ""
        lines.append(
            f'        {command.name}) COMPREPLY=($(compgen -W {_quote(words)} -- "$word"){files}) ;;'
        )
    lines += ["    esac", "}", "complete -o filenames -F _scaledesign scaledesign", ""]
    return "\n".join(lines)


def zsh_script(commands: tuple[Command, ...]) -> str:
    """Completion for zsh: an autoloaded function, also usable with ``source``."""
    lines = [
        "#compdef scaledesign",
        "# Completion for scaledesign in zsh.",
        "_scaledesign() {",
        "    local -a commands",
        "    commands=(",
        *(f"        {_quote(f'{command.name}:{_plain(command.words)}')}" for command in commands),
        "    )",
        "    if (( CURRENT == 2 )); then",
        "        _describe command commands",
        "        return",
        "    fi",
        "    local command=$words[2]",
        "    shift words",
        "    (( CURRENT-- ))",
        "    case $command in",
    ]
    for command in commands:
        specs = [spec for option in command.options for spec in _zsh_specs(option)]
        if command.choices:
            specs.append(_quote(f"1:word:({' '.join(command.choices)})"))
        elif command.takes_files:
            specs.append(_quote("*:file:_files"))
        lines.append(f"        {command.name}) _arguments {' '.join(specs)} ;;")
    lines += [
        "    esac",
        "}",
        'if [ "$funcstack[1]" = "_scaledesign" ]; then',
        '    _scaledesign "$@"',
        "else",
        "    compdef _scaledesign scaledesign",
        "fi",
        "",
    ]
    return "\n".join(lines)


def _zsh_specs(option: Option) -> list[str]:
    value = ""
    if option.takes_value:
        value = f":value:({' '.join(option.choices)})" if option.choices else ":value:_files"
    return [_quote(f"{flag}[{_plain(option.words)}]{value}") for flag in option.flags]


def fish_script(commands: tuple[Command, ...]) -> str:
    """Completion for fish: one ``complete`` line a word."""
    lines = ["# Completion for scaledesign in fish.", "complete -c scaledesign -f"]
    lines += [
        f"complete -c scaledesign -n __fish_use_subcommand -a {command.name} "
        f"-d {_quote(_plain(command.words))}"
        for command in commands
    ]
    for command in commands:
        inside = f"complete -c scaledesign -n '__fish_seen_subcommand_from {command.name}'"
        for option in command.options:
            flags = " ".join(
                f"-l {flag[2:]}" if flag.startswith("--") else f"-s {flag[1:]}" for flag in option.flags
            )
            value = ""
            if option.takes_value:
                value = f" -x -a {_quote(' '.join(option.choices))}" if option.choices else " -r -F"
            lines.append(f"{inside} {flags}{value} -d {_quote(_plain(option.words))}")
        if command.choices:
            lines.append(f"{inside} -a {_quote(' '.join(command.choices))}")
        elif command.takes_files:
            lines.append(f"{inside} -F")
    return "\n".join([*lines, ""])


def _names(commands: tuple[Command, ...]) -> str:
    return " ".join(command.name for command in commands)


def _quote(text: str) -> str:
    """In single quotes, as all three shells read them."""
    return "'" + text.replace("'", "'\\''") + "'"


def _plain(text: str) -> str:
    """A description without the signs that zsh's own format uses."""
    for sign in "[]:'\"`$":
        text = text.replace(sign, " ")
    return " ".join(text.split())
