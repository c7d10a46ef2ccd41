"""What changed: from version control, never slow, its gaps said in words; a valid feed; reviews, evidence."""

import shutil
from dataclasses import replace
from datetime import date, datetime
from pathlib import Path
from xml.etree import ElementTree

import pytest
from click.testing import CliRunner

import changes_fixture
import site_fixture
from atom_rules import atom_faults
from book_cases import GOOD_BOOK
from git_cases import commit, edit, git, set_pit, under_git
from slowfolio.book.model import Book, Layer, Method, Status
from slowfolio.changes import history as past
from slowfolio.changes.feed import ATOM, feed_text, printable, summary
from slowfolio.changes.history import History, history_of
from slowfolio.cli import main
from slowfolio.enrich import pipeline
from slowfolio.enrich.cache import Cache
from slowfolio.enrich.house_standard import house_standard_findings
from slowfolio.site.changes_page import changes_page, due_words
from slowfolio.site.links import Links
from slowfolio.site.pages import BuildInfo, build_pages, changes_feed, page_uris
from slowfolio.units import System

TODAY = date(2026, 11, 25)


@pytest.fixture
def cache(tmp_path: Path) -> Cache:
    return Cache(tmp_path / "cache")


@pytest.fixture
def root(tmp_path: Path) -> Path:
    """A book with four recorded changes: made, a sentence, hotter, a wrap."""
    root = under_git(tmp_path / "project")
    edit(root / "cards" / "brisket" / "foil-tight.yaml", "title: ", "title: Our ")
    commit(root.parent, "A sentence")
    set_pit(root / "cards" / "brisket" / "foil-tight.yaml", "261 °F")
    commit(root.parent, "Hotter <b>smoke</b> & more")
    return root


def kept_result(key: str, cache: Cache, finish_h: float) -> None:
    """An invented result in the cache, as a build or a diff would leave it."""
    some = next(iter(site_fixture.results().values()))
    middle = finish_h * 3600.0
    pull = replace(some.pull, value=middle, low=middle - 1800.0, high=middle + 1800.0)
    cache.write(key, replace(some, method="foil-tight", pull=pull))


# --- history ----------------------------------------------------------------------------------------


def test_each_change_names_the_methods_it_touched_and_the_fields(root: Path, cache: Cache) -> None:
    hotter, sentence, first = history_of(root, cache).changes
    assert [each.method for each in hotter.methods] == ["foil-tight"]
    assert [(f.before, f.after) for f in hotter.methods[0].through] == [("250 °F", "261 °F")]
    assert sentence.methods == ()
    assert first.parent is None


def test_a_difference_is_shown_once_both_results_are_kept_and_nothing_is_computed_for_it(
    root: Path, cache: Cache
) -> None:
    (touched,) = history_of(root, cache).changes[0].methods
    assert history_of(root, cache).changes[0].effects == {}
    kept_result(touched.before_key, cache, 12.0)
    kept_result(touched.after_key, cache, 10.0)
    change = history_of(root, cache).changes[0]
    (line,) = summary(change, System.US)
    assert line.endswith(": finish sooner (−2 h)")


def test_what_a_commit_touched_is_found_once(
    root: Path, cache: Cache, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = history_of(root, cache)

    def never(*_: object) -> object:
        raise AssertionError("the cards of a past revision were read again")

    monkeypatch.setattr(past, "side_at", never)
    assert history_of(root, cache) == before


def test_without_version_control_the_page_says_what_is_missing(
    root: Path, cache: Cache, monkeypatch: pytest.MonkeyPatch
) -> None:
    (root.parent / ".git").rename(root.parent / "was-git")
    assert "is not under version control" in history_of(root, cache).missing
    monkeypatch.setenv("PATH", "")
    assert "git is not installed" in history_of(root, cache).missing
    assert history_of(root, cache).changes == ()


def test_in_a_shallow_clone_it_says_how_to_get_the_rest(root: Path, tmp_path: Path, cache: Cache) -> None:
    git(tmp_path, "clone", "-q", "--depth", "1", root.parent.as_uri(), "shallow")
    found = history_of(tmp_path / "shallow" / "methods", cache)
    assert len(found.changes) == 1
    assert "git fetch --unshallow" in found.missing


# --- feed -------------------------------------------------------------------------------------------


def test_the_feed_has_what_rfc_4287_asks_for(root: Path, cache: Cache) -> None:
    """RFC 4287 (2005), 4.1.1 and 4.1.2: id, title, updated, and an author; ids are IRIs, dates RFC 3339."""
    history = history_of(root, cache)
    text = feed_text(
        history,
        title="A <book>",
        author="Our kitchen",
        page="changes.html",
        own="changes.xml",
        system=System.US,
    )
    assert atom_faults(text) == []
    feed = ElementTree.fromstring(text.encode())
    assert feed.tag == f"{{{ATOM}}}feed"
    entries = feed.findall(f"{{{ATOM}}}entry")
    assert len(entries) == len(history.changes)
    for element in (feed, *entries):
        for name in ("id", "title", "updated"):
            assert len(element.findall(f"{{{ATOM}}}{name}")) == 1
        assert element.findtext(f"{{{ATOM}}}id", "").startswith("urn:uuid:")
        assert datetime.fromisoformat(element.findtext(f"{{{ATOM}}}updated", "")).tzinfo is not None
    ids = [element.findtext(f"{{{ATOM}}}id") for element in (feed, *entries)]
    assert len(set(ids)) == len(ids)
    assert feed.findtext(f"{{{ATOM}}}author/{{{ATOM}}}name") == "Our kitchen"
    assert "Pit lead" not in text, "who recorded a change stays in version control"
    assert [link.get("rel") for link in feed.findall(f"{{{ATOM}}}link")] == ["self", "alternate"]
    assert entries[0].findtext(f"{{{ATOM}}}title") == "Hotter <b>smoke</b> & more"


def test_a_feed_of_nothing_is_a_feed() -> None:
    text = changes_feed(site_fixture.book(), History(missing="none"))
    assert atom_faults(text) == []
    feed = ElementTree.fromstring(text.encode())
    assert feed.findall(f"{{{ATOM}}}entry") == []
    assert feed.findtext(f"{{{ATOM}}}updated") == "1970-01-01T00:00:00+00:00"


def test_a_feed_of_a_book_that_nobody_owns_has_an_author(root: Path, cache: Cache) -> None:
    book = site_fixture.book()
    unowned = replace(book, card=replace(book.card, owner=""))
    assert atom_faults(changes_feed(unowned, history_of(root, cache))) == []


@pytest.mark.parametrize(
    ("old", "new", "fault"),
    [
        ("<updated>", "<updated>on ", "3.3"),
        ("<id>urn:uuid:", "<id>", "4.2.6"),
        ("<author><name>Pit lead</name></author>", "", "4.1.1"),
        ('rel="self"', 'rel="alternate"', "4.1.1"),
        ("<title>", "<subject>x</subject><title>", "4.1"),
    ],
)
def test_the_rules_a_feed_is_held_against_see_what_is_wrong(old: str, new: str, fault: str) -> None:
    text = changes_feed(site_fixture.book(), changes_fixture.history())
    assert any(each.startswith(fault) for each in atom_faults(text.replace(old, new)))


@pytest.mark.parametrize(
    "words",
    [
        "No history is shown: git is not installed, so no earlier revision can be read.",
        "This is a shallow clone: older changes were not fetched; git fetch --unshallow gets them.",
    ],
)
def test_the_page_says_what_is_missing_of_the_history(words: str) -> None:
    build = BuildInfo("0.0.test", history=History(missing=words))
    pages = {page.uri: page.html for page in build_pages(site_fixture.book(), {}, build)}
    assert words in pages["changes.md"]


def test_a_subject_cannot_break_the_feed() -> None:
    assert printable("a\x00b\x1bc\ufffed") == "abcd"


# --- reviews, standards -----------------------------------------------------------------------------


def book_with(**changes: object) -> tuple[Book, Method]:
    book = site_fixture.book()
    method = replace(next(iter(book.methods.values())), **changes)  # type: ignore[arg-type]
    return replace(book, methods={**book.methods, method.id: method}), method


def test_overdue_reviews_come_first_and_say_by_how_much() -> None:
    book, method = book_with(review_by=date(2026, 11, 20), status=Status.ON_TRIAL)
    page = changes_page(book, {}, History(), TODAY, Links.to(page_uris(book)))
    assert page.reviews[0].method.text == method.title
    assert page.reviews[0].words == "overdue by 5 days"
    later = changes_page(book, {}, History(), date(2026, 1, 1), Links.to(page_uris(book)))
    assert method.title not in {row.method.text for row in later.reviews}


@pytest.mark.parametrize(
    ("days", "words"), [(-1, "overdue by 1 day"), (0, "due today"), (1, "due in 1 day"), (9, "due in 9 days")]
)
def test_when_a_review_is_due_is_said_in_days(days: int, words: str) -> None:
    assert due_words(days) == words


def test_a_house_standard_without_evidence_needs_a_waiver_and_a_waiver_a_reason_to_stand() -> None:
    book, method = book_with(status=Status.HOUSE_STANDARD, waiver="")
    found = [each for each in house_standard_findings(book, {}) if each.file == method.origin.file]
    assert [each.code for each in found] == ["house-standard-without-evidence"]
    assert "graded one cook" in found[0].message
    book, method = book_with(status=Status.HOUSE_STANDARD, waiver="Cooked this way for years.")
    assert [each for each in house_standard_findings(book, {}) if each.file == method.origin.file] == []
    page = changes_page(book, {}, History(), TODAY, Links.to(page_uris(book)))
    assert any("Waived: Cooked this way for years" in row.evidence for row in page.standards)
    book, method = book_with(status=Status.DRAFT, waiver="Cooked this way for years.")
    found = [each for each in house_standard_findings(book, {}) if each.file == method.origin.file]
    assert [each.code for each in found] == ["waiver-not-needed"]


def test_house_standards_of_the_base_are_left_to_its_keepers() -> None:
    book, method = book_with(status=Status.HOUSE_STANDARD, waiver="")
    theirs = replace(method, origin=replace(method.origin, layer=Layer.INHERITED))
    only = replace(book, methods={theirs.id: theirs})
    assert list(house_standard_findings(only, {})) == []


def test_check_with_computation_tells_a_house_standard_that_rests_on_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The tasting of the good book settles nothing; what its cooks compute to is not asked here."""
    monkeypatch.setenv("SLOWFOLIO_CACHE", str(tmp_path / "cache"))
    monkeypatch.setattr(pipeline, "enrich_book", lambda *_: pipeline.Enriched({}, {}, {}, (), ()))
    root = Path(shutil.copytree(GOOD_BOOK, tmp_path / "book"))
    asked = ["check", str(root), "--computed", "--strict"]
    found = CliRunner().invoke(main, asked)
    assert found.exit_code == 1
    assert "house-standard-without-evidence: a house standard of this book rests on a tasting" in found.output
    card = next((root / "cards").rglob("*.yaml"))
    card.write_text(f"{card.read_text('utf-8')}waiver: Cooked this way every Saturday since 2019.\n", "utf-8")
    assert "house-standard-without-evidence" not in CliRunner().invoke(main, asked).output
