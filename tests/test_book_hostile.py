"""Files that no cook writes: each gets a finding that says what it is, and none leads out of the book."""

import os
import re
import stat
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from book_cases import GOOD_BOOK, METHOD, check, codes_of, copy_good_book, only
from slowfolio.book import files, reading
from slowfolio.book.files import SIZE_LIMIT, CardFile, FileFault
from slowfolio.book.findings import Finding
from slowfolio.book.syntax import DEPTH_LIMIT, VALUES_LIMIT, read_document

GOOD_FILES = [each for each in files.read_files(GOOD_BOOK) if isinstance(each, CardFile)]
GOOD = (GOOD_BOOK / METHOD).read_bytes()


def finding_for(root: Path, blob: bytes) -> Finding:
    """The one finding of a book whose method is these bytes."""
    (root / METHOD).write_bytes(blob)
    return only(check(root))


@pytest.fixture
def root(tmp_path: Path) -> Path:
    return copy_good_book(tmp_path)


def test_a_file_of_fifty_megabytes_is_refused_unread(root: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with (root / METHOD).open("wb") as file:
        file.truncate(50_000_000)
    read: list[int] = []
    real_read = os.read
    monkeypatch.setattr(files.os, "read", lambda fd, size: read.append(size) or real_read(fd, size))
    finding = only(check(root))
    assert (finding.code, finding.file) == ("file-too-large", METHOD)
    assert "50.0 MB" in finding.message
    assert max(read) <= SIZE_LIMIT + 1


def test_a_byte_that_is_not_utf8_is_named_with_its_line_and_column(root: Path) -> None:
    finding = finding_for(root, GOOD.replace("250 °F".encode(), "250 °F".encode("latin-1")))
    assert (finding.code, finding.mark.line, finding.mark.column) == ("not-utf-8", 23, 26)
    assert "0xb0" in finding.message
    assert "pit_temperature: 250 " in finding.excerpt


def test_utf16_is_named(root: Path) -> None:
    finding = finding_for(root, GOOD.decode().encode("utf-16"))
    assert finding.code == "not-utf-8"
    assert "UTF-16" in finding.message


def test_a_byte_order_mark_is_welcome(root: Path) -> None:
    (root / METHOD).write_bytes(b"\xef\xbb\xbf" + GOOD)
    assert check(root).findings == ()


def test_windows_line_ends_are_welcome_and_keep_their_lines(root: Path) -> None:
    (root / METHOD).write_bytes(GOOD.replace(b"\n", b"\r\n"))
    assert check(root).findings == ()
    finding = finding_for(root, GOOD.replace(b"revision: 3", b"revision: 0").replace(b"\n", b"\r\n"))
    assert (finding.mark.line, finding.mark.column) == (7, 11)
    assert finding.excerpt == "revision: 0"


@pytest.mark.parametrize(("character", "name"), [(b"\0", "NUL"), (b"\x1b", "U+001B"), (b"\x7f", "U+007F")])
def test_a_control_character_is_named_and_shown_harmlessly(root: Path, character: bytes, name: str) -> None:
    finding = finding_for(root, GOOD.replace(b"Pit lead", b"Pit" + character + b"lead"))
    assert (finding.code, finding.mark.line, finding.mark.column) == ("control-character", 6, 11)
    assert name in finding.message


@pytest.mark.parametrize("blob", [b"", b"\n\n", b"# only a comment\n", b"---\n", b"\xef\xbb\xbf"])
def test_an_empty_card_is_said_to_be_empty(root: Path, blob: bytes) -> None:
    assert finding_for(root, blob).code == "file-empty"


@pytest.mark.parametrize("blob", [b"just a text\n", b"[a, b]\n", b"12\n", b"false\n"])
def test_a_card_that_is_no_group_of_keys_is_told_so(root: Path, blob: bytes) -> None:
    finding = finding_for(root, blob)
    assert finding.code == "wrong-type"
    assert "group of keys" in finding.message


def test_a_bomb_of_aliases_is_refused_at_every_anchor_without_being_opened(root: Path) -> None:
    lines = ["a: &a [x, x, x, x, x, x, x, x, x]"]
    lines += [
        f"{new}: &{new} [{', '.join(['*' + old] * 9)}]"
        for old, new in zip("abcdefgh", "bcdefghi", strict=True)
    ]
    (root / METHOD).write_text("\n".join(lines), "utf-8")
    assert set(codes_of(check(root))) == {"yaml-anchor", "yaml-alias", "more-findings"}


@pytest.mark.parametrize(
    "text",
    [
        "a: " + "[" * 1000,
        "a: " + "[" * 1000 + "]" * 1000,
        "a: " + "{b: " * 500 + "1" + "}" * 500,
        "[" * 400_000,
        "- " * 5000 + "x",
        "\n".join(" " * depth + "a:" for depth in range(1000)),
        "? " * 2000,
    ],
    ids=["open", "closed", "braces", "hundreds-of-thousands", "dashes", "indents", "question-marks"],
)
def test_deep_nesting_ends_the_reading_of_the_card_only(root: Path, text: str) -> None:
    assert finding_for(root, text.encode()).code in {"nested-too-deep", "key-not-text"}


def test_nesting_up_to_the_limit_is_read() -> None:
    inside = DEPTH_LIMIT - 1
    card = CardFile("wraps/x.yaml", "wrap", ("a: " + "[" * inside + "]" * inside).encode())
    assert read_document(card).faults == []


def test_too_many_values_end_the_reading_of_the_card(root: Path) -> None:
    finding = finding_for(root, b"a: [" + b"1," * (VALUES_LIMIT + 5) + b"1]")
    assert finding.code == "too-many-values"


def test_a_flood_of_findings_is_cut_and_counted(root: Path) -> None:
    (root / METHOD).write_bytes(GOOD + b"".join(b"key%d: x\n" % number for number in range(80)))
    result = check(root)
    assert len(result.findings) == 51
    assert result.findings[-1].code == "more-findings"
    assert "more than 50" in result.findings[-1].message


@pytest.mark.parametrize(
    "items",
    ["x, [1]", "{a: 1}", "x"],
    ids=["texts-and-lists", "groups", "the-same-text"],
)
def test_a_list_of_thousands_of_odd_items_is_told_to_be_short(root: Path, items: str) -> None:
    (root / METHOD).write_bytes(GOOD + f"also_called: [{', '.join([items] * 6000)}]\n".encode())
    assert codes_of(check(root)).count("more-findings") <= 1
    assert "list-too-long" in codes_of(check(root))


def test_a_link_out_of_the_book_is_not_followed(root: Path, tmp_path: Path) -> None:
    secret = tmp_path / "secret.yaml"
    secret.write_text("title: hush", "utf-8")
    (root / "wraps" / "leak.yaml").symlink_to(secret)
    finding = only(check(root))
    assert (finding.code, finding.file, finding.excerpt) == ("file-outside-book", "wraps/leak.yaml", "")
    assert "hush" not in finding.message


def test_a_link_within_the_book_is_read(root: Path) -> None:
    (root / "wraps" / "none.yaml").rename(root / "wraps" / "bare.yaml")
    (root / "wraps" / "none.yaml").symlink_to("bare.yaml")
    finding = only(check(root))
    assert (finding.code, finding.file) == ("duplicate-id", "wraps/bare.yaml")


def test_links_that_lead_nowhere_or_round_in_circles_are_reported(root: Path) -> None:
    (root / "wraps" / "gone.yaml").symlink_to("not-there.yaml")
    (root / "wraps" / "round.yaml").symlink_to("round.yaml")
    assert codes_of(check(root)) == ["file-not-readable", "file-not-readable"]


def test_a_link_to_a_folder_is_not_followed(root: Path) -> None:
    (root / "wraps" / "again").symlink_to(root)
    assert codes_of(check(root)) == ["linked-folder"]


def test_folders_and_pipes_with_the_name_of_a_card_are_reported_without_waiting(root: Path) -> None:
    (root / "wraps" / "folder.yaml").mkdir()
    os.mkfifo(root / "wraps" / "pipe.yaml")
    result = check(root)
    assert codes_of(result) == ["file-not-regular", "file-not-regular"]


def test_a_file_without_read_permission_is_reported(root: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The right is taken away at the call, because tests may run as a user who may read everything."""
    closed = os.path.realpath(root / "wraps" / "none.yaml")
    real_open = os.open

    def refuse(path: str, flags: int) -> int:
        if path == closed:
            raise PermissionError(13, "Permission denied", path)
        return real_open(path, flags)

    monkeypatch.setattr(files.os, "open", refuse)
    finding = only(check(root))
    assert (finding.code, finding.file) == ("file-not-readable", "wraps/none.yaml")
    assert "right to read" in finding.message


def test_a_card_that_cannot_be_read_does_not_make_references_to_it_dangle(root: Path) -> None:
    with (root / "pits" / "offset-stick-burner.yaml").open("wb") as file:
        file.truncate(SIZE_LIMIT + 1)
    assert codes_of(check(root)) == ["file-too-large"]


@pytest.mark.parametrize(
    ("name", "code"),
    [
        ("wraps/paper.yml", "card-file-ending"),
        ("wraps/paper.YAML", "card-file-ending"),
        ("pits/drum.json", "card-file-ending"),
        ("stray.yaml", "card-outside-folders"),
        ("recipes/stray.yml", "card-outside-folders"),
    ],
)
def test_a_file_that_is_nearly_a_card_is_pointed_out(root: Path, name: str, code: str) -> None:
    path = root / name
    path.parent.mkdir(exist_ok=True)
    path.write_text("id: paper", "utf-8")
    finding = only(check(root))
    assert (finding.code, finding.file) == (code, name)


@pytest.mark.parametrize(
    "name",
    [
        "README.md",
        "LICENSE",
        ".hidden/x.yaml",
        "cooks/one.csv",
        "cooks/one.json",
        "tastings/one.txt",
        "wraps/.x.yaml",
        "cards/brisket/a.csv",
    ],
)
def test_the_ordinary_company_of_cards_is_left_alone(root: Path, name: str) -> None:
    path = root / name
    path.parent.mkdir(exist_ok=True)
    path.write_text("id: x", "utf-8")
    assert check(root).findings == ()


def test_a_folder_of_very_many_files_is_cut_short(root: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(files, "FILES_LIMIT", 3)
    assert "too-many-files" in codes_of(check(root))


def test_a_card_in_the_folder_of_another_kind_gets_one_finding(root: Path) -> None:
    (root / "pits" / "indoor-oven.yaml").rename(root / "wraps" / "indoor-oven.yaml")
    finding = only(check(root))
    assert finding.code == "card-in-wrong-folder"
    assert "pits/" in finding.help


def test_a_book_without_its_card_gives_no_book_and_says_so(root: Path) -> None:
    (root / "book.yaml").unlink()
    result = check(root)
    assert result.book is None
    assert codes_of(result) == ["book-card-missing"]


def test_file_names_that_are_no_text_are_shown_escaped(root: Path) -> None:
    odd = os.fsencode(root / "wraps") + b"/\xff\n\x1b.yaml"
    with open(odd, "wb") as file:
        file.write(b"id: x\n")
    assert all(finding.file.startswith("wraps/\\xff") for finding in check(root).findings)


def test_device_files_are_no_cards(root: Path) -> None:
    try:
        os.mknod(root / "wraps" / "zero.yaml", 0o600 | stat.S_IFCHR, os.makedev(1, 5))
    except PermissionError:
        pytest.skip("making a device needs more rights")
    assert codes_of(check(root)) == ["file-not-regular"]


# --- any quantity -----------------------------------------------------------------------------------

QUANTITY = re.compile(
    r"(?<![\w-])-?\d[\d.]*(?:–[\d.]+)?(?= ?(?:°F|%|lb|cm|mm|h|min|L|/h|m/s|m2|kg|W/K|W|perm|m)\b|(?= %))"
)
EXTREMES = ["0", "1e-9", "0.0001", "-1", "-40", "99999", "1e8", "0–0", "0–99999", "1–2"]
CARDS = sorted(path.relative_to(GOOD_BOOK).as_posix() for path in GOOD_BOOK.rglob("*.yaml"))


@settings(max_examples=250, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.sampled_from(CARDS), st.integers(0, 200), st.sampled_from(EXTREMES))
def test_no_figure_however_odd_raises(
    monkeypatch: pytest.MonkeyPatch, file: str, which: int, extreme: str
) -> None:
    text = (GOOD_BOOK / file).read_text("utf-8")
    places = list(QUANTITY.finditer(text))
    if not places:
        return
    place = places[which % len(places)]
    spoilt = text[: place.start()] + extreme + text[place.end() :]
    for finding in check_with(file, spoilt.encode(), monkeypatch).findings:
        assert "nan" not in finding.message.split()
        assert "inf" not in finding.message.split()


# --- anything at all --------------------------------------------------------------------------------


def check_bytes(blob: bytes, monkeypatch: pytest.MonkeyPatch) -> reading.ReadResult:
    """Check a book whose method is `blob`, without a disk."""
    return check_with(METHOD, blob, monkeypatch)


def check_with(file: str, blob: bytes, monkeypatch: pytest.MonkeyPatch) -> reading.ReadResult:
    """Check the good book with other bytes in one of its cards."""
    cards: list[CardFile | FileFault] = [
        CardFile(each.file, each.kind, blob if each.file == file else each.blob) for each in GOOD_FILES
    ]
    monkeypatch.setattr(reading, "read_files", lambda _root: iter(cards))
    return check(GOOD_BOOK)


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.binary(max_size=400))
def test_no_bytes_raise(monkeypatch: pytest.MonkeyPatch, blob: bytes) -> None:
    assert check_bytes(blob, monkeypatch).findings


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    st.integers(0, len(GOOD)),
    st.integers(0, 60),
    st.text(alphabet="\t\n -:[]{}&*!|>'\"%@`#,?~0123456789yesno°F.\u2028\x85é", max_size=12),
)
def test_no_slip_of_the_hand_raises_and_every_finding_lies_in_the_file(
    monkeypatch: pytest.MonkeyPatch, start: int, length: int, text: str
) -> None:
    blob = GOOD[:start] + text.encode() + GOOD[start + length :]
    result = check_bytes(blob, monkeypatch)
    for finding in result.findings:
        assert 1 <= finding.mark.line <= blob.count(b"\n") + 20
        assert finding.mark.column >= 1
        assert finding.mark.end_column > finding.mark.column
