"""The command line imports the room of the command that is asked for, and loses no command by it."""

from __future__ import annotations

import pytest
import typer.main

from intake.cli import ROOMS, command_line


def names(app: typer.Typer) -> list[str]:
    """The commands and groups that an application has."""
    found = typer.main.get_command(app)
    return list(found.commands)  # type: ignore[attr-defined]


@pytest.mark.parametrize("room", ROOMS)
def test_a_room_has_the_commands_that_its_names_say(room: str) -> None:
    """Asked for by any of its words, all of the room is there, and nothing else."""
    for word in ROOMS[room]:
        assert sorted(names(command_line(word))) == sorted(ROOMS[room])


@pytest.mark.parametrize("word", ["", "--help", "nonsense"])
def test_without_a_commands_name_all_are_there(word: str) -> None:
    """Help and the words for a slip of the keyboard know every command."""
    assert sorted(names(command_line(word))) == sorted(name for words in ROOMS.values() for name in words)
