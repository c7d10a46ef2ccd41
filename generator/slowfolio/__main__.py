"""`python -m slowfolio`: the command line."""

from slowfolio.cli import main

main(prog_name="slowfolio")
