"""What the frame around every page shows of the book, and the policy that the browser enforces.

Read by the templates of `site_src/theme` as `config.extra.slowfolio`.
"""

from typing import Any

from slowfolio.site.pages import Site

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
    """The frame's values. `live` pages, served for editing, carry no policy: live reload is an inline script."""
    return {
        "kitchen": site.kitchen,
        "units_first": site.units_first,
        "imprint": f"Made with slowfolio {site.version}. Figures are computed or cited, not a verdict on safety: "
        "local code and your inspector decide.",
        "footer": FOOTER,
        "content_security_policy": "" if live else CONTENT_SECURITY_POLICY,
    }
