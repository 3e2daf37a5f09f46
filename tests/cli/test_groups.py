"""The table of groups, which saves building the whole tree, and what each group really adds."""

from __future__ import annotations

import argparse

import pytest

from scaledesign.cli.parser import GROUPS, HOMES, build_parser, parse


def commands_of(parser: argparse.ArgumentParser) -> tuple[str, ...]:
    (commands,) = (a for a in parser._actions if isinstance(a, argparse._SubParsersAction))
    return tuple(commands.choices)


@pytest.mark.parametrize("group", GROUPS)
def test_a_group_adds_its_commands(group: str) -> None:
    assert commands_of(build_parser([group])) == GROUPS[group]


def test_the_tree_holds_every_command_once() -> None:
    assert commands_of(build_parser()) == tuple(HOMES)
    assert len(HOMES) == sum(map(len, GROUPS.values()))


def test_a_command_is_read_alike_from_its_group_and_from_the_whole_tree() -> None:
    given = ["predict", "flute.toml", "--json"]
    assert parse(given) == build_parser().parse_args(given)
