"""`python -m slowfolio`."""

from slowfolio.cli import main

main(prog_name="slowfolio")
