"""`slowfolio build`: check, compute what changed, build the site, swap it in whole."""

from pathlib import Path

import click


@click.command("build")
@click.argument("book", type=click.Path(path_type=Path), default="methods")
@click.option(
    "--out", "out_dir", type=click.Path(path_type=Path), help="Folder of the site.  [default: site]"
)
@click.option(
    "--export-docs",
    "docs_dir",
    type=click.Path(path_type=Path),
    help="Write the same pages as a plain MkDocs project to this new folder instead.",
)
def command(book: Path, out_dir: Path | None, docs_dir: Path | None) -> None:
    """Build the site of BOOK (default: methods).

    The old site stands until the new one is whole. A book with errors is not built: run `slowfolio check`.
    """
    if out_dir is not None and docs_dir is not None:
        raise click.UsageError("give either --out or --export-docs")

    from slowfolio.site.build import SiteNotBuilt, build_site, export_docs
    from slowfolio.site.load import BookNotReady

    try:
        if docs_dir is not None:
            click.echo(f"exported to {export_docs(book, docs_dir)}")
        else:
            click.echo(f"built {build_site(book, out_dir or Path('site'))}")
    except (BookNotReady, SiteNotBuilt) as error:
        raise click.ClickException(str(error)) from error
