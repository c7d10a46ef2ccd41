"""Where the schemas, the site sources and the shared book are: in a wheel, or at the root of a checkout.

Only finds folders; reads nothing. Called by the book (schemas), the site (pages, theme) and the commands.
"""

from pathlib import Path

PACKAGE = Path(__file__).resolve().parent
PACKAGED_DATA = PACKAGE / "_data"
CHECKOUT = PACKAGE.parent.parent


def schema_folder() -> Path:
    """The folder of the JSON Schemas, one file a kind of card."""
    return _folder("schema")


def site_sources_folder() -> Path:
    """The folder of the hand-written pages, theme and assets."""
    return _folder("site_src")


def shared_book_folder() -> Path | None:
    """The folder of the book that comes with the program; None in a copy without one."""
    folders = (PACKAGED_DATA / "methods", CHECKOUT / "methods")
    return next((folder for folder in folders if folder.is_dir()), None)


def _folder(name: str) -> Path:
    for candidate in (PACKAGED_DATA / name, CHECKOUT / name):
        if candidate.is_dir():
            return candidate
    raise FileNotFoundError(
        f"this copy of slowfolio has no {name} folder: neither {PACKAGED_DATA / name} nor {CHECKOUT / name};"
        " install it again"
    )
