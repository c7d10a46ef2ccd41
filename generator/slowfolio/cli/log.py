"""`slowfolio log`: recorded cooks, imported, held against their forecast, learnt from.

The subcommands live in modules of their own.
"""

import click

from slowfolio.cli.log_against import against_command
from slowfolio.cli.log_fit import fit_command
from slowfolio.cli.log_import import import_command


@click.group("log")
def command() -> None:
    """Import a recorded cook, hold it against its forecast, learn from it what a pit or holder is like."""


command.add_command(import_command)
command.add_command(against_command)
command.add_command(fit_command)
