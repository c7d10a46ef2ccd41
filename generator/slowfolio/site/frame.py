"""What the frame around every page shows of the book, and the policy that the browser enforces.

The theme's templates do not escape, so every text of a book that goes there is escaped here, once.
"""

from typing import Any

from markupsafe import escape

from slowfolio.site.value import PageSpec, Site

CONTENT_SECURITY_POLICY = "; ".join(
    (
        "default-src 'none'",
        "script-src 'self'",
        "style-src 'self'",
        "img-src 'self' data:",
        "font-src 'self'",
        "connect-src 'self'",
        "worker-src 'self'",
        "manifest-src 'self'",
        "base-uri 'none'",
        "form-action 'none'",
    )
)

FOOTER = (
    ("Four ways to use this site", "help.html"),
    ("How the numbers are made", "numbers.html"),
    ("Contribute", "contribute.html"),
    ("Field reference", "fields.html"),
    ("What a check can find", "checks.html"),
)


def frame_options(site: Site, *, live: bool) -> dict[str, Any]:
    """The frame's values. `live` pages, served for editing, carry no policy, for the sake of live reload."""
    return {
        "kitchen": str(escape(site.kitchen)),
        "units_first": site.units_first,
        "version": site.version,
        "imprint": f"Made with slowfolio {site.version}. Figures are computed or cited and are no verdict on "
        "safety: local code and your inspector decide.",
        "footer": FOOTER,
        "content_security_policy": "" if live else CONTENT_SECURITY_POLICY,
        "offline": not live,
    }


def site_name(site: Site) -> str:
    """The name of the site, as HTML."""
    return str(escape(site.title))


def page_meta(page: PageSpec) -> dict[str, Any]:
    """What head and search need of a page, as HTML."""
    return {
        "title": str(escape(page.title)),
        "description": str(escape(page.description)),
        "search": {"boost": page.search_boost} if page.search_boost else {"exclude": True},
    }
