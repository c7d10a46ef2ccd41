"""What the site carries: vendored files as recorded, scripts that work from a folder, little of the theme."""

import hashlib
import re
from pathlib import Path

import pytest

from slowfolio.resources import site_sources_folder

SOURCES = site_sources_folder()
ASSETS = SOURCES / "theme" / "assets"
SCRIPTS = sorted((ASSETS / "js").glob("*.js"))
VENDORED = [(SOURCES / "VENDOR.md", SOURCES)]
BROWSER_VENDOR = Path(__file__).parent / "browser" / "vendor"


@pytest.mark.parametrize(
    ("record", "folder"), [*VENDORED, (BROWSER_VENDOR / "VENDOR.md", BROWSER_VENDOR)], ids=["site", "tests"]
)
def test_vendored_files_are_the_ones_recorded(record: Path, folder: Path) -> None:
    rows = re.findall(r"^\| (\S+) \| npm: .* \| ([0-9a-f]{64}) \|$", record.read_text("utf-8"), re.MULTILINE)
    assert rows
    for name, digest in rows:
        assert hashlib.sha256((folder / name).read_bytes()).hexdigest() == digest, name
    licences = re.findall(r"\((\S*LICENSE\.txt)\)", record.read_text("utf-8"))
    assert len(licences) == len(rows)
    assert all((folder / licence).is_file() for licence in licences)


@pytest.mark.parametrize("script", SCRIPTS, ids=lambda path: path.name)
def test_scripts_use_nothing_that_a_page_in_a_folder_lacks(script: Path) -> None:
    """Modules, fetch and eval do not work from file:// or under the policy."""
    code = re.sub(r"//[^\n]*|/\*.*?\*/", "", script.read_text("utf-8"), flags=re.DOTALL)
    for word in (
        r"\bimport\b(?!Scripts)",
        r"\bexport\b",
        r"\bfetch\(",
        r"\beval\(",
        r"new Function",
        r"innerHTML",
    ):
        assert re.search(word, code) is None, f"{word} in {script.name}"


@pytest.mark.parametrize("script", SCRIPTS, ids=lambda path: path.name)
def test_scripts_are_small_and_say_what_they_are_for(script: Path) -> None:
    text = script.read_text("utf-8")
    assert text.startswith("// ")
    assert "@ts-check" in text
    assert len(text) < 9_000


def test_stored_settings_carry_our_prefix() -> None:
    """localStorage of a page in a folder is shared by every page in any folder."""
    for script in SCRIPTS:
        if script.name not in ("theme-scope.js", "settings.js", "pit-store.js"):
            assert "localStorage" not in script.read_text("utf-8"), script.name
    assert 'const PREFIX = "slowfolio.cook."' in (ASSETS / "js" / "pit-store.js").read_text("utf-8")
    assert 'const prefix = "slowfolio."' in (ASSETS / "js" / "settings.js").read_text("utf-8")


def test_only_one_style_sheet_names_the_theme_s_selectors() -> None:
    for sheet in (ASSETS / "css").glob("*.css"):
        found = re.findall(r"\.md-[a-z_-]+", sheet.read_text("utf-8"))
        allowed = (
            {".md-search", ".md-skip", ".md-typeset"} if sheet.name in ("print.css", "page.css") else set()
        )
        if sheet.name != "theme.css":
            assert set(found) <= allowed, f"{sheet.name}: {set(found) - allowed}"


def test_colours_are_written_in_one_sheet_only() -> None:
    for sheet in (ASSETS / "css").glob("*.css"):
        if sheet.name not in ("tokens.css", "print.css"):
            assert re.findall(r"#[0-9a-fA-F]{3,8}\b|rgb\(", sheet.read_text("utf-8")) == [], sheet.name


def test_the_dark_colours_are_the_same_by_choice_and_by_device() -> None:
    css = (ASSETS / "css" / "tokens.css").read_text("utf-8")
    chosen = css.split(':root[data-scheme="dark"] {')[1].split("}")[0]
    device = css.split(":root:not([data-scheme]) {")[1].split("}")[0]
    assert re.findall(r"(--[\w-]+): ([^;]+);", chosen) == re.findall(r"(--[\w-]+): ([^;]+);", device)


def luminance(colour: str) -> float:
    """Relative luminance, WCAG 2.2."""
    parts = (int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5))
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_text_and_lines_stand_out_from_the_page(scheme: str) -> None:
    """WCAG 1.4.3 and 1.4.11: text 4.5 to 1 (ours 7), lines of charts and controls 3 to 1."""
    css = (ASSETS / "css" / "tokens.css").read_text("utf-8")
    block = css.split(':root[data-scheme="dark"] {')[1 if scheme == "dark" else 0]
    colours = dict(re.findall(r"--([\w-]+): (#[0-9a-fA-F]{6});", block.split("}\n\n/*")[0]))
    paper = luminance(colours["paper"])

    def contrast(name: str) -> float:
        light, dark = sorted((luminance(colours[name]), paper), reverse=True)
        return (light + 0.05) / (dark + 0.05)

    for name in ("ink", "ink-soft", "accent"):
        assert contrast(name) >= 7.0, name
    for name in ("chart-thick", "chart-thin", "chart-pit", "rule-control"):
        assert contrast(name) >= 3.0, name


def test_every_override_of_the_theme_is_listed() -> None:
    listed = (SOURCES / "theme" / "README.md").read_text("utf-8")
    theme = SOURCES / "theme"
    for template in theme.rglob("*.html"):
        assert f"`{template.relative_to(theme)}`" in listed


def test_the_pages_of_the_site_name_no_other_host() -> None:
    for page in (SOURCES / "pages").glob("*.md"):
        assert re.findall(r"https?://(?!192\.168)", page.read_text("utf-8")) == [], page.name


@pytest.mark.parametrize("sheet", sorted((ASSETS / "css").glob("*.css")), ids=lambda path: path.name)
def test_the_display_face_never_shows_its_tabular_figures(sheet: Path) -> None:
    """Its tabular nought has no bold weight, so that a clock would show thin noughts among bold figures."""
    for block in re.findall(r"\{[^{}]*\}", sheet.read_text("utf-8")):
        if "font-family: var(--display)" in block:
            assert "font-variant-numeric: lining-nums;" in block, block
