"""The group of commands: each is imported when it is asked for, so that `leeward --version` is quick."""

from importlib import import_module

import click

COMMANDS = {
    "parts": "what each part of a board was taken to be, and why",
    "review": "what hot air on a part will do to the board around it",
    "shields": "what to cover round a part and with what, as a list or true-size drawing",
    "survey": "every part of a board as a target, ranked; a gate for CI",
    "calibrate": "fit the model to a thermocouple run, or plan one",
    "bench": "print the default bench file, or check and sum up yours",
    "schema": "print the JSON Schema of a document",
}


class Commands(click.Group):
    """A group whose commands live in modules of their own names."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Return the names of the commands."""
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """Return a command by its name, None where there is none."""
        if cmd_name not in COMMANDS:
            return None
        command = getattr(import_module(f"leeward.cli.{cmd_name}"), cmd_name)
        return command if isinstance(command, click.Command) else None

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """Write the list of commands without importing any."""
        with formatter.section("Commands"):
            formatter.write_dl(list(COMMANDS.items()))
