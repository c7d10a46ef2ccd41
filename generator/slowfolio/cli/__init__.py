"""The command line: one module for each command, imported when it runs, so that help comes at once.

A command's module holds a click command called `command`. Exit codes: 0 good, 1 findings, 2 misuse.
"""

from difflib import get_close_matches
from importlib import import_module
from importlib.util import find_spec

import click

from slowfolio import __version__

COMMANDS = {
    "check": "Check the cards of a book.",
    "build": "Build the site of a book into a folder.",
    "serve": "Show the site while cards are edited.",
    "init": "Start a new book.",
    "new": "Start a new card.",
    "simulate": "Compute a method for a piece and its equipment.",
    "hold": "Work out the settings of a holder.",
    "plan": "Work out a schedule backwards from serving.",
    "compare": "Compare methods by what they compute to.",
    "diff": "Show what a change does to the computed outcome.",
    "tasting": "Design a tasting, or analyse one.",
    "log": "Import a recorded cook, or compare it with its forecast.",
    "air": "Work out humid air from any two readings.",
}


class LazyGroup(click.Group):
    """A group that lists its commands from a table and imports one only to run it."""

    def list_commands(self, ctx: click.Context) -> list[str]:  # noqa: ARG002
        """The commands this copy has, in the order of the table."""
        return [name for name in COMMANDS if find_spec(_module(name)) is not None]

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """Import the command's module; None, and so a usage error, for a name that is no command."""
        if cmd_name not in self.list_commands(ctx):
            return None
        command = import_module(_module(cmd_name)).command
        assert isinstance(command, click.Command)
        return command

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """Find the command asked for; a misspelt one is a usage error that names the one meant."""
        known = self.list_commands(ctx)
        meant = get_close_matches(args[0], known, n=1)
        if args[0] not in known and meant:
            ctx.fail(f"there is no command {args[0]}; did you mean {meant[0]}?")
        return super().resolve_command(ctx, args)

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """Write the table of commands without importing any of them."""
        with formatter.section("Commands"):
            formatter.write_dl([(name, COMMANDS[name]) for name in self.list_commands(ctx)])


def _module(name: str) -> str:
    return f"{__name__}.{name}"


@click.group(cls=LazyGroup, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, prog_name="slowfolio", message="%(prog)s %(version)s")
def main() -> None:
    """A book of long, slow smoke-cooking methods: checked, computed and built into an offline site."""
