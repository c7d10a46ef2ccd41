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
@click.option(
    "--zip",
    "archive",
    type=click.Path(path_type=Path),
    help="Also pack the site into this one file, to copy to a tablet or a laptop.",
)
@click.option(
    "--dask", "cluster", metavar="ADDRESS", help="Compute on this Dask cluster: tcp://host:8786 (extra dask)."
)
def command(
    book: Path, out_dir: Path | None, docs_dir: Path | None, archive: Path | None, cluster: str | None
) -> None:
    """Build the site of BOOK (default: methods).

    The old site stands until the new one is whole. A book with errors is not built: run `slowfolio check`.
    """
    if docs_dir is not None and (out_dir is not None or archive is not None):
        raise click.UsageError("--export-docs goes alone: it writes no site")

    from slowfolio.enrich.cluster import NoCluster, enrich_on
    from slowfolio.site.build import SiteNotBuilt, build_site, export_docs
    from slowfolio.site.load import BookNotReady
    from slowfolio.site.offline import zip_site

    try:
        if cluster is not None:
            enrich_on(cluster, book)
        if docs_dir is not None:
            click.echo(f"exported to {export_docs(book, docs_dir)}")
        else:
            site = build_site(book, out_dir or Path("site"))
            click.echo(f"built {site}")
            if archive is not None:
                click.echo(f"packed {zip_site(site, archive)}")
    except (BookNotReady, NoCluster, SiteNotBuilt) as error:
        raise click.ClickException(str(error)) from error
