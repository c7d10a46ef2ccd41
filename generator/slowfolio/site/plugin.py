"""The MkDocs plug-in `slowfolio`: an adapter that feeds the site's pages, and nothing else.

Pages are virtual files; nothing generated is written beside the sources. All content comes from `load_site`.
"""

from collections.abc import Callable
from pathlib import Path
from typing import Any

from mkdocs.config import config_options
from mkdocs.config.base import Config
from mkdocs.config.defaults import MkDocsConfig
from mkdocs.exceptions import PluginError
from mkdocs.livereload import LiveReloadServer
from mkdocs.plugins import BasePlugin, event_priority
from mkdocs.structure.files import File, Files
from mkdocs.structure.pages import Page
from mkdocs.structure.toc import AnchorLink, TableOfContents
from mkdocs.utils.templates import TemplateContext

from slowfolio.site.frame import frame_options, page_meta, site_name
from slowfolio.site.load import BookNotReady, load_site
from slowfolio.site.outline import searched
from slowfolio.site.value import PageSpec, Site


class SlowfolioConfig(Config):  # type: ignore[no-untyped-call]  # MkDocs leaves its base untyped
    """Options of the plug-in in mkdocs.yml."""

    book = config_options.Type(str, default="../methods")
    """The folder of the book, from mkdocs.yml."""


class SlowfolioPlugin(BasePlugin[SlowfolioConfig]):  # type: ignore[no-untyped-call]
    """Feeds the pages of a book to MkDocs. `source`, where set, gives the site instead of the book option."""

    source: Callable[[], Site] | None = None
    serving = False

    def on_startup(self, *, command: str, dirty: bool) -> None:  # noqa: ARG002 - MkDocs names its arguments
        """Remember whether pages are served for editing: live reload needs an inline script."""
        self.serving = command == "serve"

    def on_config(self, config: MkDocsConfig) -> MkDocsConfig:
        """Read the book and give the frame what it shows of it."""
        try:
            site = self.source() if self.source else load_site(self._book(config))
        except BookNotReady as error:
            raise PluginError(str(error)) from error
        self.pages: dict[str, PageSpec] = {page.uri: page for page in site.pages}
        self.files = site.files
        config.site_name = site_name(site)
        config.extra["slowfolio"] = frame_options(site, live=self.serving)
        return config

    def on_files(self, files: Files, *, config: MkDocsConfig) -> Files:
        """Add a virtual file for every page."""
        for uri, page in self.pages.items():
            if uri in files.src_uris:
                raise PluginError(
                    f"{uri} is both a page of the book and a file in {config.docs_dir}: rename the file"
                )
            file = File.generated(config, uri, content="")
            file.edit_uri = page.source_card or None
            files.append(file)
        for uri, content in self.files.items():
            files.append(File.generated(config, uri, content=content))
        return files

    def on_page_markdown(self, markdown: str, *, page: Page, **_: Any) -> str:
        """Give a page of the book its title and what search and head need."""
        if (spec := self.pages.get(page.file.src_uri)) is not None:
            page.meta.update(page_meta(spec))
        return markdown

    def on_page_content(self, html: str, *, page: Page, **_: Any) -> str:
        """Give the search what it should read of a page of the book; charts and tables would only slow it."""
        if (spec := self.pages.get(page.file.src_uri)) is None:
            return html
        page.toc = TableOfContents([AnchorLink(text, anchor, 2) for anchor, text in spec.outline.headings])
        page.present_anchor_ids = set(spec.outline.ids)
        return searched(spec.html)

    @event_priority(-100)  # after the search has read the page
    def on_page_context(self, context: TemplateContext, *, page: Page, **_: Any) -> TemplateContext:
        """Put the whole page in the place of what the search has read."""
        if (spec := self.pages.get(page.file.src_uri)) is not None:
            page.content = spec.html
        return context

    def on_serve(self, server: LiveReloadServer, *, config: MkDocsConfig, **_: Any) -> LiveReloadServer:
        """Rebuild when a card changes."""
        server.watch(str(self._book(config)))
        return server

    def _book(self, config: MkDocsConfig) -> Path:
        return Path(config.config_file_path).parent / self.config.book
