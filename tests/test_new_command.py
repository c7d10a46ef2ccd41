"""`slowfolio new`: what it writes passes check and rules as written, is commented, overwrites nothing."""

import os
import pty
import shutil
import subprocess
import sys
from datetime import date
from functools import partial
from itertools import product
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from slowfolio.book.findings import Severity
from slowfolio.book.model import Book
from slowfolio.book.reading import read_book
from slowfolio.cli import main
from slowfolio.drafts import knobs, trial
from slowfolio.drafts.card_text import card_text
from slowfolio.drafts.choices import Choices
from slowfolio.drafts.equipment_draft import equipment_data
from slowfolio.drafts.method_draft import method_data, months_after, weights_text
from slowfolio.drafts.places import card_file
from slowfolio.units import System

STARTER = Path(__file__).parents[1] / "methods"
TODAY = date(2026, 11, 25)
FEW = 12


@pytest.fixture
def root(tmp_path: Path) -> Path:
    """The equipment and cuts of the starter book, without its methods."""
    for name in ("cuts", "pits", "wraps", "holders"):
        shutil.copytree(STARTER / name, tmp_path / "methods" / name)
    shutil.copy(STARTER / "book.yaml", tmp_path / "methods" / "book.yaml")
    return tmp_path / "methods"


@pytest.fixture(autouse=True)
def few_cooks(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """The command as it is, with fewer and coarser simulated cooks, and no terminal to ask at."""
    monkeypatch.setattr(trial, "draft_method", partial(trial.draft_method, members=FEW))
    monkeypatch.setattr(trial, "STEP_S", trial.SCOUT_STEP_S)
    monkeypatch.setenv("SLOWFOLIO_CACHE", str(tmp_path / "cache"))


def book_in(root: Path) -> Book:
    book = read_book(root, today=TODAY).book
    assert book is not None
    return book


def run(root: Path, *arguments: str) -> Result:
    return CliRunner().invoke(main, ["new", *arguments, "--book", str(root)])


# --- methods ----------------------------------------------------------------------------------------

COMBINATIONS = [
    ("packer-brisket", "offset-stick-burner", "foil-boat", "humidity-cabinet"),
    ("pork-spare-ribs", "kettle-or-drum", "foil-tight", "insulated-box"),
    ("lamb-shoulder", "electric-cabinet", "paper-clarified-butter", "dry-oven"),
    ("chuck-roll", "vertical-water-smoker", "pan-covered", "none"),
    ("turkey-breast", "pellet-pit", "none", "none"),
    ("turkey-breast", "offset-stick-burner", "foil-boat", "warming-cabinet-dry"),
    ("pork-shoulder", "indoor-oven", "foil-tight", "countertop-roaster"),
]
"""Each kind of wrap, pit and holder that was ever hard to pass: bare and boated poultry, foil in an oven."""


@pytest.mark.parametrize(("cut", "pit", "wrap", "holder"), COMBINATIONS)
def test_a_new_method_passes_check_and_rules_as_written(
    root: Path, cut: str, pit: str, wrap: str, holder: str
) -> None:
    result = run(root, "method", "--cut", cut, "--pit", pit, "--wrap", wrap, "--holder", holder)
    assert result.exit_code == 0, result.output
    reading = read_book(root, today=date.today())
    assert reading.findings == ()
    assert reading.book is not None
    (method,) = reading.book.methods.values()
    assert (method.cut, method.pit, method.stages[-1].wrap) == (cut, pit, wrap)
    assert (method.hold.holder if method.hold else "none") == holder
    assert trial.first_missed(method, reading.book, FEW) is None


def test_poultry_that_lags_behind_its_probe_says_to_read_it_in_four_places(root: Path) -> None:
    """The probe is set past 165 °F so that the coldest spot gets there: Food Code 3-401.11(A)(3)."""
    book = book_in(root)
    cut, pit, wrap = book.cuts["turkey-breast"], book.pits["pellet-pit"], book.wraps["none"]
    choices = Choices("x", "X", "Pit lead", cut, pit, wrap, None, TODAY, System.US)
    first = knobs.first_knobs(choices, book)
    hotter = knobs.hotter_core(first, 5.0, choices)
    assert hotter is not None
    usual, lagging = (
        method_data(choices, each, book)["stages"][-1]["look_for"][0] for each in (first, hotter)
    )
    assert usual.startswith("165 °F at the thickest part")
    assert lagging.startswith("165 °F or above at the lowest of four readings")


def test_a_new_method_says_above_every_field_what_it_is(root: Path) -> None:
    run(root, "method", "--cut", "pork-spare-ribs", "--pit", "pellet-pit")
    (path,) = (root / "cards").rglob("*.yaml")
    assert_commented(path.read_text("utf-8"))


def assert_commented(text: str) -> None:
    """The line for editors comes first, and every field of the card has a comment right above it."""
    lines = text.splitlines()
    assert lines[0].startswith("# yaml-language-server: $schema=")
    fields = [number for number, line in enumerate(lines) if line and not line.startswith(("#", " "))]
    assert len(fields) > 7
    assert [lines[number] for number in fields if not lines[number - 1].startswith("#")] == []


def test_the_schema_named_in_a_new_card_is_there(root: Path) -> None:
    run(root, "wrap", "--like", "paper-dry")
    path = root / "wraps" / "our-paper-dry.yaml"
    named = path.read_text("utf-8").splitlines()[0].partition("$schema=")[2]
    assert (path.parent / named).resolve().name == "wrap.schema.json"
    assert (path.parent / named).resolve().is_file()


def test_it_never_writes_over_a_card(root: Path) -> None:
    arguments = ("pit", "--like", "pellet-pit", "--id", "ours")
    assert run(root, *arguments).exit_code == 0
    before = (root / "pits" / "ours.yaml").read_bytes()
    again = run(root, *arguments, "--title", "Another")
    assert again.exit_code == 1
    assert "is there already; choose another --id" in again.output
    assert (root / "pits" / "ours.yaml").read_bytes() == before


def test_a_second_method_of_the_same_choices_gets_a_name_of_its_own(root: Path) -> None:
    arguments = ("method", "--cut", "pork-spare-ribs", "--pit", "pellet-pit")
    assert [run(root, *arguments).exit_code for _ in range(2)] == [0, 0]
    assert set(book_in(root).methods) == {"pork-spare-ribs-none", "pork-spare-ribs-none-2"}


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("method",), "say which cut with --cut"),
        (("method", "--cut", "pork-sholder", "--pit", "pellet-pit"), "did you mean pork-shoulder?"),
        (("method", "--cut", "pork-shoulder", "--pit", "pellet-pit", "--id", "../../x"), "is no id"),
        (("pit", "--like", "pellet-pit", "--set", "volum=3 L"), "did you mean volume?"),
        (("pit", "--like", "pellet-pit", "--set", "volume"), "--set takes a field and its text"),
        (("wrap", "--like", "paper-dry", "--set", "steam_tight=perhaps"), "true or false"),
        (("wrap", "--like", "paper-dry", "--set", "top=x"), "has fields of its own"),
    ],
)
def test_misuse_says_what_to_write_instead(root: Path, arguments: tuple[str, ...], said: str) -> None:
    result = run(root, *arguments)
    assert result.exit_code == 2
    assert said in result.output


def test_a_card_that_would_not_pass_is_not_written(root: Path) -> None:
    result = run(root, "pit", "--like", "pellet-pit", "--id", "ours", "--set", "volume=3 kg")
    assert result.exit_code == 1
    assert '"3 kg" is a mass' in result.output
    assert not (root / "pits" / "ours.yaml").exists()


@pytest.mark.parametrize(
    ("changed", "method", "said"),
    [
        (
            ("pit", "--like", "electric-cabinet", "--set", "pit_temperature=130–150 °F"),
            ("--cut", "packer-brisket", "--pit", "ours"),
            ("goes to 150 °F (66 °C)", "done at 195 °F (91 °C)", "choose --pit ", "pellet-pit"),
        ),
        (
            ("holder", "--like", "dry-oven", "--set", "air_temperature=100–130 °F"),
            ("--cut", "packer-brisket", "--pit", "pellet-pit", "--holder", "ours"),
            ("goes to 130 °F (54 °C)", "hot-hold floor of 135 °F", "combi-oven", "or --holder none"),
        ),
    ],
)
def test_what_cannot_meet_the_rules_is_refused_with_the_reason_and_what_to_choose_instead(
    root: Path, changed: tuple[str, ...], method: tuple[str, ...], said: tuple[str, ...]
) -> None:
    assert run(root, *changed, "--id", "ours").exit_code == 0
    result = run(root, "method", *method)
    assert result.exit_code == 1
    assert "no card was written" in result.output
    assert [words for words in said if words not in result.output] == []
    assert not list(root.glob("cards/**/*.yaml"))


@pytest.mark.parametrize(
    ("part", "wrap", "said"),
    [
        (knobs.Part.CORE, "none", "choose --wrap foil-tight, pan-covered"),
        (knobs.Part.CORE, "foil-tight", "choose --pit "),
        (knobs.Part.PACE, "none", "choose --pit "),
        (knobs.Part.HOLD, "none", "or --holder none"),
    ],
)
def test_where_every_setting_was_tried_the_refusal_says_what_was_missed_and_what_to_choose(
    root: Path, part: knobs.Part, wrap: str, said: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(trial, "first_missed", lambda *_: knobs.Missed(part, "too cool by the rule", 3.0))
    chosen = ("--cut", "turkey-breast", "--pit", "ceramic-pit", "--wrap", wrap, "--holder", "dry-oven")
    result = run(root, "method", *chosen)
    assert result.exit_code == 1
    assert "no card was written: too cool by the rule" in result.output
    assert said in result.output
    assert not list(root.glob("cards/**/*.yaml"))


@pytest.mark.parametrize("part", knobs.Part)
def test_turning_comes_to_an_end_whatever_is_missed(root: Path, part: knobs.Part) -> None:
    book = book_in(root)
    for cut, wrap, pit, holder in product(
        book.cuts.values(), book.wraps.values(), book.pits.values(), (None, *book.holders.values())
    ):
        choices = Choices("x", "X", "Pit lead", cut, pit, wrap, holder, TODAY, System.US)
        seen = [knobs.first_knobs(choices, book)]
        while (turned := knobs.turned(seen[-1], knobs.Missed(part, "", 9.0), choices, book)) is not None:
            assert turned not in seen
            seen.append(turned)
        assert len(seen) < trial.MOST_TRIES
        assert all(pit.pit_temp_c.low <= each.finish_c <= pit.pit_temp_c.high for each in seen)


# --- other kinds ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("kind", "folder", "like"),
    [
        ("pit", "pits", "offset-stick-burner"),
        ("holder", "holders", "combi-oven"),
        ("wrap", "wraps", "foil-boat"),
        ("cut", "cuts", "packer-brisket"),
    ],
)
def test_a_card_taken_over_passes_and_says_where_its_figures_come_from(
    root: Path, kind: str, folder: str, like: str
) -> None:
    result = run(root, kind, "--like", like)
    assert result.exit_code == 0, result.output
    assert read_book(root, today=TODAY).findings == ()
    text = (root / folder / f"our-{like}.yaml").read_text("utf-8")
    assert f"taken over from {like}" in text
    assert "also_called" not in text
    assert_commented(text)


def test_any_card_of_equipment_can_be_taken_over(root: Path) -> None:
    for (kind, name), data in read_book(root, today=TODAY).texts.items():
        if kind in {"pit", "holder", "wrap", "cut"}:
            ours = equipment_data(kind, data, card_id=f"our-{name}", title=f"Our {name}", changes={})
            path = root / card_file(kind, f"our-{name}")
            path.write_text(card_text(kind, ours, schema_at="x"), "utf-8")
    after = read_book(root, today=TODAY)
    assert after.findings == ()
    assert after.book is not None
    assert {"our-pellet-pit", "our-combi-oven"} <= {*after.book.pits, *after.book.holders}


def test_a_new_tasting_is_a_commented_card_that_passes(
    root: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A note says that no sheet is in yet; with --strict only warnings and errors count."""
    shutil.copytree(STARTER / "cards", root / "cards")
    monkeypatch.chdir(tmp_path)
    products = ("--product", "boat=foil-boat-dry-hold", "--product", "paper=butcher-paper")
    result = CliRunner().invoke(main, ["new", "tasting", "--question", "differ", *products])
    assert result.exit_code == 0, result.output
    assert_commented((root / "tastings" / "differ-boat-paper.yaml").read_text("utf-8"))
    found = [each for each in read_book(root, today=date.today()).findings if "tastings/" in each.file]
    assert {each.severity for each in found} <= {Severity.NOTE}


def test_a_new_cook_is_a_commented_card_that_passes(root: Path) -> None:
    shutil.copytree(STARTER / "cards", root / "cards")
    log = STARTER / "cooks" / "alder-boat-one.csv"
    result = run(root, "cook", str(log), "--method", "foil-boat-humid-hold", "--out-id", "first")
    assert result.exit_code == 0, result.output
    assert_commented((root / "cooks" / "first.yaml").read_text("utf-8"))
    assert [each for each in read_book(root, today=TODAY).findings if "cooks/" in each.file] == []


def test_a_figure_that_is_set_is_the_authors_claim(root: Path) -> None:
    run(root, "pit", "--like", "pellet-pit", "--id", "ours", "--set", "volume=310 L")
    volume = book_in(root).pits["ours"].volume_m3
    assert volume.value == pytest.approx(0.31)
    assert (volume.provenance.value, volume.source[:15]) == ("claimed", "our own figure;")


# --- questions --------------------------------------------------------------------------------------


def test_on_a_terminal_it_asks_for_what_no_option_gives(root: Path) -> None:
    """A real terminal: the answers are typed, an empty one takes the default shown."""
    master, slave = pty.openpty()
    os.write(master, b"pellet-pit\nYard pit\nyard-pit\nThe pit in the yard.\n")
    command = [sys.executable, "-m", "slowfolio", "new", "pit", "--book", str(root)]
    done = subprocess.run(command, stdin=slave, capture_output=True, text=True, timeout=60, check=False)
    assert done.returncode == 0, done.stderr
    assert "Title [Our pellet-fed pit]" in done.stderr
    os.close(master)
    os.close(slave)
    pit = book_in(root).pits["yard-pit"]
    assert (pit.title, pit.summary) == ("Yard pit", "The pit in the yard.")


# --- the parts --------------------------------------------------------------------------------------


def test_a_card_written_out_reads_back_as_it_was(root: Path) -> None:
    book = book_in(root)
    for kind, cards in (
        ("pit", book.pits),
        ("holder", book.holders),
        ("wrap", book.wraps),
        ("cut", book.cuts),
    ):
        for card in cards.values():
            data = trial.card_data(kind, book, card)
            (root / card.origin.file).write_text(card_text(kind, data, schema_at="x"), "utf-8")
    after = read_book(root, today=TODAY)
    assert after.findings == ()
    again = after.book
    assert again is not None
    for name, pit in book.pits.items():
        assert again.pits[name].air_exchange_per_s == pit.air_exchange_per_s
        assert again.pits[name].set_up == pit.set_up


def test_weights_are_round_and_within_the_cut(root: Path) -> None:
    cut = book_in(root).cuts["packer-brisket"]
    assert weights_text(cut, System.US) == "12–15 lb"
    assert weights_text(cut, System.METRIC) == "5.4–6.9 kg"


def test_a_review_falls_due_on_a_day_that_exists() -> None:
    assert months_after(date(2026, 8, 31), 6) == date(2027, 2, 28)
    assert months_after(date(2026, 6, 15), 6) == date(2026, 12, 15)
