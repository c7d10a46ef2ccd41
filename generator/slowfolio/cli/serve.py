"""`slowfolio serve`: the site on this machine, rebuilt while cards are edited."""

from pathlib import Path

import click


@click.command("serve")
@click.argument("book", type=click.Path(path_type=Path), default="methods")
@click.option("--address", default="localhost:8000", show_default=True, help="Host and port to listen on.")
def command(book: Path, address: str) -> None:
    """Serve the site of BOOK (default: methods) and rebuild it when a card changes."""
    from slowfolio.site.build import SiteNotBuilt, serve_site
    from slowfolio.site.load import BookNotReady

    try:
        serve_site(book, address=address)
    except (BookNotReady, SiteNotBuilt) as error:
        raise click.ClickException(str(error)) from error
