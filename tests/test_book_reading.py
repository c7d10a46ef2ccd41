"""Reading gives SI dataclasses with the place of every value; one mistake gives one finding."""

from datetime import date
from pathlib import Path

import pytest

from book_cases import METHOD, TODAY, check, codes_of, copy_good_book, only, spoil
from slowfolio.book import reading
from slowfolio.book.files import CardFile
from slowfolio.book.findings import Severity, close_match
from slowfolio.book.model import Book, Mark, Method, Status
from slowfolio.book.reading import read_book
from slowfolio.book.syntax import read_document
from slowfolio.provenance import Provenance
from slowfolio.units import Range, System


@pytest.fixture
def root(tmp_path: Path) -> Path:
    return copy_good_book(tmp_path)


def good_book(root: Path) -> Book:
    book = check(root).book
    assert book is not None
    return book


def the_method(root: Path) -> Method:
    return good_book(root).methods["boat-humid-hold"]


# --- values -----------------------------------------------------------------------------------------


def test_the_book_card_is_read_in_si(root: Path) -> None:
    card = good_book(root).card
    assert card.altitude_m == 120.0
    assert card.units_first is System.US
    assert card.room_temp_c == pytest.approx((70 - 32) / 1.8)
    assert card.room_humidity == 0.5


def test_quantities_of_a_method_are_si(root: Path) -> None:
    """Exact by definition: 1 lb = 0.45359237 kg, degrees C = (degrees F - 32) / 1.8."""
    method = the_method(root)
    assert method.status is Status.HOUSE_STANDARD
    assert method.reviewed == date(2026, 10, 3)
    assert method.piece.weight_kg == Range(12 * 0.45359237, 15 * 0.45359237)
    assert method.piece.thickness_m is not None
    assert method.piece.thickness_m.low == pytest.approx(0.080)
    assert method.piece.thickness_m.high == pytest.approx(0.095)
    assert method.stages[1].until.core_temp_c == pytest.approx((176 - 32) / 1.8)
    assert method.stages[1].until.at_most_s == 8 * 3600
    assert method.stages[0].until.time_s == 4 * 3600
    assert method.hold is not None
    assert method.hold.relative_humidity is None
    assert method.hold.for_s == 36000
    assert method.expected["bark"].level == "crisp"
    assert method.expected["bark"].provenance is Provenance.PRACTICE


def test_what_may_be_left_out_has_its_stated_default(root: Path) -> None:
    stage = the_method(root).stages[1]
    assert (stage.pit, stage.fat_side, stage.water_pan) == (None, "up", False)
    assert (stage.spritz, stage.open_every_s, stage.cautions) == (None, None, ())


def test_parameters_of_equipment_are_si_with_their_source(root: Path) -> None:
    book = good_book(root)
    pit, cut = book.pits["offset-stick-burner"], book.cuts["packer-brisket"]
    assert pit.volume_m3.value == pytest.approx(0.4)
    assert pit.air_exchange_per_s.value == pytest.approx(120 / 3600)
    assert pit.radiant_below_k.value == pytest.approx(-15 / 1.8)
    assert pit.smoke.value == 1.0
    assert pit.volume_m3.source == "common practice"
    assert book.cuts["turkey-breast"].collagen_rate.value == 4.0
    assert [region.name for region in cut.regions] == ["flat", "point"]
    assert book.wraps["foil-boat"].top.permeance_kg_s_m2_pa is None
    bottom = book.wraps["foil-boat"].bottom
    assert bottom.permeance_kg_s_m2_pa is not None
    assert bottom.permeance_kg_s_m2_pa.value == 0.0
    assert bottom.contact_w_m2_k is not None
    assert bottom.contact_w_m2_k.value == 120.0
    assert book.holders["combi-oven"].relative_humidity == Range(0.3, 1.0)
    assert book.holders["insulated-box"].power_w is None


def test_every_value_knows_its_line_and_column(root: Path) -> None:
    origin = the_method(root).origin
    assert origin.file == METHOD
    assert origin.at("stages", 1, "until", "core_temperature") == Mark(32, 31, 37)
    assert origin.at("stages", 1, "until", "not written") == origin.at("stages", 1, "until")
    lines = (root / METHOD).read_text("utf-8").splitlines()
    for path, mark in origin.marks.items():
        assert 1 <= mark.line <= len(lines), path
        assert 1 <= mark.column <= len(lines[mark.line - 1]), path


def test_scalars_are_read_as_yaml_1_2_reads_them() -> None:
    """YAML 1.2.2, section 10.3, core schema."""
    text = (
        "a: yes\nb: 1e3\nc: 2026-10-03\nd: ~\ne: True\nf: '010'\ng: 0o17x\nh: -3\ni: 1_000\nj: .5\nk: null\n"
        "l: FALSE\nm: \nn: =\no: 12e03\n"
    )
    document = read_document(CardFile("wraps/x.yaml", "wrap", text.encode()))
    assert document.faults == []
    assert document.data == {
        "a": "yes",
        "b": 1000.0,
        "c": "2026-10-03",
        "d": None,
        "e": True,
        "f": "010",
        "g": "0o17x",
        "h": -3,
        "i": "1_000",
        "j": 0.5,
        "k": None,
        "l": False,
        "m": None,
        "n": "=",
        "o": 12000.0,
    }


# --- one mistake, one finding -----------------------------------------------------------------------


@pytest.mark.parametrize(
    ("file", "old", "new", "code"),
    [
        ("wraps/foil-boat.yaml", "kind: tray", "kind: [tray", "yaml-bracket"),
        ("wraps/foil-boat.yaml", "kind: tray", "kind: trey", "unknown-word"),
        ("wraps/foil-boat.yaml", "kind: tray", "kind: foil", "wrap-kind-disagrees"),
        ("wraps/foil-boat.yaml", "id: foil-boat", "id: boat", "id-not-file-name"),
        ("cuts/packer-brisket.yaml", "weight: 10–18 lb", "weight: 10", "bad-quantity"),
        ("holders/humidity-cabinet.yaml", "heated: true", "heated: yes", "yes-no-for-true-false"),
    ],
)
def test_a_broken_card_brings_no_findings_to_the_cards_that_refer_to_it(
    root: Path, file: str, old: str, new: str, code: str
) -> None:
    if old.startswith("weight"):
        spoil(root, file, f"\n{old}", f"\n{new}")
    else:
        spoil(root, file, old, new)
    result = check(root)
    assert (only(result).code, only(result).file) == (code, file)
    assert result.book is not None
    assert result.book.methods == {}, "a method with a broken card cannot be computed"


def test_a_broken_book_card_leaves_no_book_but_the_cards_are_still_checked(root: Path) -> None:
    spoil(root, "book.yaml", "authority: us-retail", "authority: us")
    spoil(root, METHOD, "revision: 3", "revision: 0")
    result = check(root)
    assert result.book is None
    assert codes_of(result) == ["unknown-word", "number-out-of-range"]


def test_warnings_and_notes_leave_the_card_in_the_book(root: Path) -> None:
    spoil(root, METHOD, "status: house standard", "status: withdrawn")
    result = check(root)
    assert only(result).severity is Severity.NOTE
    assert result.errors == ()
    assert result.book is not None
    assert set(result.book.methods) == {"boat-humid-hold"}


def test_all_findings_of_a_stage_come_at_once_in_the_order_of_the_file(root: Path) -> None:
    spoil(root, METHOD, "revision: 3", "revision: 0")
    spoil(root, METHOD, "level: crisp", "level: crispy")
    spoil(root, METHOD, "  for: 10 h", "  for: 10")
    spoil(root, "wraps/none.yaml", "kind: none", "kind: nune")
    result = check(root)
    assert codes_of(result) == ["number-out-of-range", "bad-quantity", "unknown-word", "unknown-word"]
    assert [finding.file for finding in result.findings] == [METHOD] * 3 + ["wraps/none.yaml"]


def test_the_second_card_of_an_id_is_named_and_the_first_stays(root: Path) -> None:
    (root / "cards" / "other").mkdir()
    (root / "cards" / "other" / "boat-humid-hold.yaml").write_bytes((root / METHOD).read_bytes())
    result = check(root)
    assert codes_of(result)[0] == "duplicate-id"
    assert result.findings[0].file == "cards/other/boat-humid-hold.yaml"
    assert result.book is not None
    assert result.book.methods["boat-humid-hold"].origin.file == METHOD


def test_butter_in_the_wrap_makes_milk_a_carried_allergen(root: Path) -> None:
    spoil(root, METHOD, "    wrap: foil-boat\n", "    wrap: butter-paper\n")
    spoil(root, METHOD, "\nallergens: [mustard]", "\nallergens: [mustard, milk]")
    assert check(root).findings == ()


def test_wheat_may_be_listed_with_its_eu_name_too(root: Path) -> None:
    spoil(root, METHOD, "1/2 cup}", "1/2 cup, allergens: [wheat]}")
    spoil(root, METHOD, "\nallergens: [mustard]", "\nallergens: [mustard, wheat, cereals with gluten]")
    assert check(root).findings == ()


def test_a_dry_hot_hold_dries_the_bark_after_foil(root: Path) -> None:
    spoil(root, METHOD, "    wrap: foil-boat\n", "    wrap: foil-tight\n")
    assert codes_of(check(root)) == ["crisp-after-steam-tight-wrap"]
    spoil(
        root,
        METHOD,
        "holder: humidity-cabinet\n  air_temperature: 150 °F",
        "holder: dry-oven\n  air_temperature: 180 °F",
    )
    assert check(root).findings == ()


def test_a_method_for_pieces_of_very_different_weight_is_pointed_out(root: Path) -> None:
    spoil(root, "cuts/packer-brisket.yaml", "weight: 10–18 lb", "weight: 10–30 lb")
    spoil(root, METHOD, "  weight: 12–15 lb", "  weight: 11–23 lb")
    spoil(root, METHOD, "  thickness: 80–95 mm", "  thickness: 50–95 mm")
    assert [(each.code, each.mark.line) for each in check(root).findings] == [
        ("range-too-wide", 12),
        ("range-too-wide", 13),
    ]


def test_a_fuel_may_be_said_in_fewer_words(root: Path) -> None:
    spoil(root, METHOD, "fuel: seasoned oak splits", "fuel: oak")
    assert check(root).findings == ()


def test_the_day_of_the_check_can_be_set(root: Path) -> None:
    assert codes_of(read_book(root, today=date(2027, 4, 3))) == []
    assert codes_of(read_book(root, today=date(2027, 4, 4))) == ["review-overdue"]


# --- rules of authorities ---------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("temperature", "at_most", "codes"),
    [
        ("129 °F", "3 h", ["hold-below-hot-limit"]),
        ("130 °F", "4 h", []),
        ("130 °F", "5 h", ["hold-too-long-below-140"]),
        ("135 °F", "8 h", []),
        ("135 °F", "9 h", ["hold-too-long-below-140"]),
        ("140 °F", "14 h", []),
        ("60 °C", "14 h", []),
    ],
)
def test_the_hot_hold_floor_is_that_of_the_food_code_and_nacmcf(
    root: Path, temperature: str, at_most: str, codes: list[str]
) -> None:
    """US FDA Food Code 2022 3-501.16(A)(1); NACMCF 2002 by the FSIS stabilization guideline of 2021."""
    spoil(root, METHOD, "  air_temperature: 150 °F", f"  air_temperature: {temperature}")
    spoil(root, METHOD, "  for: 10 h\n  at_most: 14 h", f"  for: 2 h\n  at_most: {at_most}")
    assert codes_of(check(root)) == codes


@pytest.mark.parametrize(
    ("target", "codes"), [("164 °F", ["poultry-below-165"]), ("165 °F", []), ("74 °C", [])]
)
def test_poultry_is_finished_at_165_f(root: Path, target: str, codes: list[str]) -> None:
    """US FDA Food Code 2022 3-401.11(A)(3)."""
    (root / "cards" / "turkey").mkdir()
    turkey = root / "cards" / "turkey" / "boat-humid-hold.yaml"
    (root / METHOD).rename(turkey)
    for old, new in (
        ("cut: packer-brisket", "cut: turkey-breast"),
        ("  weight: 12–15 lb\n  thickness: 80–95 mm", "  weight: 5–7 lb"),
        ("{core_temperature: 176 °F, at_most: 8 h}", "{core_temperature: 150 °F}"),
        ("{probe_tender_from: 198 °F, at_most: 6 h}", f"{{core_temperature: {target}}}"),
        ("{core_temperature: 165 °F, at_most: 90 min}", "{time: 10 min}"),
    ):
        spoil(root, "cards/turkey/boat-humid-hold.yaml", old, new)
    assert codes_of(check(root)) == codes


# --- digest -----------------------------------------------------------------------------------------


def test_the_digest_changes_with_any_card_the_day_and_nothing_else(root: Path) -> None:
    digest = check(root).digest
    assert check(root).digest == digest
    assert read_book(root, today=date(2026, 11, 26)).digest != digest
    (root / "README.md").write_text("no card", "utf-8")
    assert check(root).digest == digest
    spoil(root, "wraps/none.yaml", "it drips", "it drips.")
    assert check(root).digest != digest


def test_a_known_digest_gives_the_same_book_without_checking(
    root: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    checked = check(root)
    monkeypatch.setattr(reading, "stage_faults", None)
    trusted = read_book(root, today=TODAY, known_good={checked.digest}.__contains__)
    assert trusted.book == checked.book
    assert trusted.digest == checked.digest


def test_an_unknown_digest_is_checked(root: Path) -> None:
    digest = check(root).digest
    spoil(root, METHOD, "revision: 3", "revision: 0")
    assert codes_of(read_book(root, today=TODAY, known_good={digest}.__contains__)) == ["number-out-of-range"]


def test_a_root_that_is_no_folder_is_an_error(tmp_path: Path) -> None:
    with pytest.raises(NotADirectoryError):
        read_book(tmp_path / "nowhere")


# --- did you mean -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("word", "meant"),
    [
        ("taget", "target"),
        ("pit_temprature", "pit_temperature"),
        ("air-temperature", "air_temperature"),
        ("Foil Boat", "foil-boat"),
        ("brisket-packer", "packer-brisket"),
        ("pit", "pit_temperature"),
        ("pi", None),
        ("zebra", None),
        ("", None),
        ("x" * 500, None),
    ],
)
def test_a_close_word_is_suggested(word: str, meant: str | None) -> None:
    options = ["target", "pit_temperature", "air_temperature", "foil-boat", "packer-brisket"]
    assert close_match(word, options) == meant


@pytest.mark.parametrize("nothing", ["{}", "[]", "~", '""', "0"])
def test_an_end_with_nothing_in_it_is_reported_once(root: Path, nothing: str) -> None:
    spoil(root, METHOD, "until: {time: 4 h}", f"until: {nothing}")
    assert only(check(root)).mark.line == 24
