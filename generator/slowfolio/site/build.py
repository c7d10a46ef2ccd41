"""Build a site to a folder, swapped in whole, or serve it with live reload while cards are edited.

The new site grows in a fresh folder beside the old one and takes its place by renaming; whatever fails or is
killed before that leaves the old site standing. Called by `slowfolio build` and `slowfolio serve`.
"""

import logging
import os
import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from mkdocs.commands.build import build as mkdocs_build
from mkdocs.commands.serve import serve as mkdocs_serve
from mkdocs.config import load_config
from mkdocs.config.defaults import MkDocsConfig
from mkdocs.exceptions import MkDocsException

from slowfolio.resources import site_sources_folder
from slowfolio.site.export import write_docs
from slowfolio.site.load import load_site
from slowfolio.site.offline import add_offline_files
from slowfolio.site.plugin import SlowfolioPlugin
from slowfolio.site.value import Site

MARKER = ".slowfolio-site"
MARKER_TEXT = "This folder is a site built by slowfolio. A new build replaces it whole.\n"


class SiteNotBuilt(Exception):
    """The site could not be built or put in place. The message says what to do."""


def build_site(book_path: Path, out_dir: Path) -> Path:
    """Build the site of the book at `book_path` into `out_dir`; returns `out_dir`.

    Raises SiteNotBuilt, or BookNotReady where the book has errors; in both cases `out_dir` is as it was.
    """
    return write_site(load_site(book_path), out_dir)


def write_site(site: Site, out_dir: Path) -> Path:
    """Build a site value into `out_dir`, strictly: any warning is a failure."""
    target = out_dir.resolve()
    _refuse_foreign(target)
    target.parent.mkdir(parents=True, exist_ok=True)
    fresh = Path(tempfile.mkdtemp(prefix=f".{target.name}-", dir=target.parent))
    try:
        _run_mkdocs(site, fresh)
        add_offline_files(fresh, name=site.title)
        (fresh / MARKER).write_text(MARKER_TEXT, encoding="utf-8")
        fresh.chmod(0o755)
        _swap(fresh, target)
    except BaseException:
        shutil.rmtree(fresh, ignore_errors=True)
        raise
    return target


def export_docs(book_path: Path, folder: Path) -> Path:
    """Write the site of a book as a plain MkDocs project into a new folder; returns the folder."""
    try:
        return write_docs(load_site(book_path), folder)
    except OSError as error:
        raise SiteNotBuilt(f"nothing was exported: {error}") from error


def serve_site(book_path: Path, *, address: str = "localhost:8000") -> None:
    """Serve the book's site on this machine and rebuild it when a card, page or template changes."""
    surroundings = _environment(NO_MKDOCS_2_WARNING="1", SLOWFOLIO_BOOK=str(book_path.resolve()))
    with surroundings, _failures():
        mkdocs_serve(
            config_file=str(_config_file()),
            dev_addr=address,
            livereload=True,
            watch_theme=True,
            watch=[str(site_sources_folder() / "templates")],
        )


def _run_mkdocs(site: Site, out_dir: Path) -> None:
    with _environment(NO_MKDOCS_2_WARNING="1"), _failures():
        config = configured(site, out_dir)
        config.plugins.on_startup(command="build", dirty=False)
        mkdocs_build(config)
        config.plugins.on_shutdown()


def configured(site: Site, out_dir: Path) -> MkDocsConfig:
    """The configuration of site_src/mkdocs.yml for this site value and folder."""
    config = load_config(config_file=str(_config_file()), site_dir=str(out_dir), strict=True)
    plugin = config.plugins["slowfolio"]
    assert isinstance(plugin, SlowfolioPlugin)
    plugin.source = lambda: site
    return config


def _config_file() -> Path:
    return site_sources_folder() / "mkdocs.yml"


def _refuse_foreign(target: Path) -> None:
    """Never replace a folder that is not one of ours."""
    if target.is_file() or (target.is_dir() and any(target.iterdir()) and not (target / MARKER).is_file()):
        raise SiteNotBuilt(
            f"{target} is not empty and was not built by slowfolio, so it is left alone: "
            "name another folder with --out, or empty this one yourself"
        )


def _swap(fresh: Path, target: Path) -> None:
    """Put `fresh` in the place of `target` by renaming; the old folder goes last."""
    if not target.exists():
        fresh.rename(target)
        return
    old = Path(tempfile.mkdtemp(prefix=f".{target.name}-old-", dir=target.parent)) / "site"
    target.rename(old)
    try:
        fresh.rename(target)
    except OSError:
        old.rename(target)
        raise
    finally:
        shutil.rmtree(old.parent, ignore_errors=True)


@contextmanager
def _failures() -> Iterator[None]:
    """Turn a failure of MkDocs into one of ours, with everything that it warned of."""
    heard = _Heard(logging.WARNING)
    logger = logging.getLogger("mkdocs")
    logger.addHandler(heard)
    try:
        yield
    except MkDocsException as error:
        reasons = "\n".join(f"  {line}" for line in heard.lines or [str(error)])
        raise SiteNotBuilt(f"the site was not built:\n{reasons}") from error
    finally:
        logger.removeHandler(heard)


class _Heard(logging.Handler):
    """Keeps what MkDocs warns of; under strict building every warning is a reason."""

    def __init__(self, level: int) -> None:
        super().__init__(level)
        self.lines: list[str] = []

    def emit(self, record: logging.LogRecord) -> None:
        """Keep one warning."""
        self.lines.append(record.getMessage())


@contextmanager
def _environment(**wanted: str) -> Iterator[None]:
    """Set environment variables for a while. NO_MKDOCS_2_WARNING keeps the theme's notice out of our output;
    DEVELOPERS.md says what we do about it."""
    before = {name: os.environ.get(name) for name in wanted}
    os.environ.update(wanted)
    try:
        yield
    finally:
        for name, value in before.items():
            if value is None:
                os.environ.pop(name, None)
            else:
                os.environ[name] = value
