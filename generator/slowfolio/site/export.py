"""The same site as a plain MkDocs project, without our plug-in: the way out to other builders.

Every page becomes a Markdown file that holds its finished HTML; hand-written pages, theme and assets are
copied. Called by `slowfolio build --export-docs` and by the benchmark as its plain baseline.
"""

import json
import shutil
from pathlib import Path
from typing import Any

import yaml

from slowfolio.resources import site_sources_folder
from slowfolio.site.frame import frame_options, page_meta, site_name
from slowfolio.site.value import PageSpec, Site


def write_docs(site: Site, folder: Path) -> Path:
    """Write the project into `folder`, which must be new or empty. Raises FileExistsError where it is not."""
    if folder.is_dir() and any(folder.iterdir()):
        raise FileExistsError(f"{folder} is not empty: name a new folder")
    sources = site_sources_folder()
    docs = folder / "docs"
    shutil.copytree(sources / "pages", docs)
    shutil.copytree(sources / "theme", folder / "theme")
    for page in site.pages:
        path = docs / page.uri
        if path.exists():
            raise FileExistsError(f"{page.uri} is both a page of the book and a hand-written page")
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(page_source(page), encoding="utf-8")
    for uri, content in site.files.items():
        path = docs / uri
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(content, encoding="utf-8")
    (folder / "mkdocs.yml").write_text(project_file(site, sources / "mkdocs.yml"), encoding="utf-8")
    return folder


def page_source(page: PageSpec) -> str:
    """A Markdown file with front matter and the page's HTML as it is."""
    return f"---\n{json.dumps(page_meta(page), ensure_ascii=False)}\n---\n\n{page.html}\n"


def project_file(site: Site, original: Path) -> str:
    """Our mkdocs.yml without our plug-in, with the values that the plug-in would have set."""
    project: dict[str, Any] = yaml.load(original.read_text("utf-8"), Loader=_PlainLoader)
    project["site_name"] = site_name(site)
    project["docs_dir"] = "docs"
    project["plugins"] = [plugin for plugin in project["plugins"] if "slowfolio" not in plugin]
    project["extra"]["slowfolio"] = frame_options(site, live=False)
    return yaml.safe_dump(_plain(project), allow_unicode=True, sort_keys=False)


class _PlainLoader(yaml.SafeLoader):
    """Reads mkdocs.yml without looking at the environment."""


_PlainLoader.add_constructor("!ENV", lambda _loader, _node: None)


def _plain(value: Any) -> Any:
    """Tuples as lists, so that any YAML reader takes the file."""
    if isinstance(value, dict):
        return {key: _plain(inner) for key, inner in value.items()}
    return [_plain(inner) for inner in value] if isinstance(value, (list, tuple)) else value
