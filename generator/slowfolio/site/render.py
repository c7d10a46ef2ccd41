"""Page models to HTML through the templates of `site_src/templates`.

Templates hold layout only. Autoescape is on and undefined names raise: the text of a card can never become
markup, and a renamed field cannot leave a hole in a page.
"""

from functools import cache
from pathlib import Path

from jinja2 import Environment, FileSystemLoader, StrictUndefined

from slowfolio.resources import site_sources_folder


def render(template: str, page: object) -> str:
    """The HTML of a page model."""
    return _environment(site_sources_folder() / "templates").get_template(template).render(page=page)


@cache
def _environment(folder: Path) -> Environment:
    return Environment(
        loader=FileSystemLoader(folder),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
