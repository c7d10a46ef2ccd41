"""The page on the numbers: rows of the validation table as stored, misses called so, this build's figures."""

import json
import re
from html import unescape
from pathlib import Path

import pytest

import site_fixture
from slowfolio.physics import ENGINE_VERSION
from slowfolio.physics.calibration import CONSTANTS, DEFAULT_CALIBRATION, Calibration
from slowfolio.physics.validation import Check, load_checks
from slowfolio.provenance import Provenance
from slowfolio.site import numbers_page as numbers
from slowfolio.site.calibrated_choices import MARK, calibrated_choices, choices_in, merged
from slowfolio.site.links import Links
from slowfolio.site.model_equations import equations
from slowfolio.site.pages import BuildInfo, build_pages, page_uris
from slowfolio.site.reference_pages import constants_page

PACKAGE = Path(numbers.__file__).parents[1]


@pytest.fixture(scope="module")
def html() -> str:
    pages = build_pages(site_fixture.book(), {}, BuildInfo("0.0.test"))
    return next(page.html for page in pages if page.uri == numbers.NUMBERS)


def words(html: str) -> str:
    return unescape(" ".join(re.sub(r"<[^>]*>", " ", html).split()))


def check(
    ours: float, *, unit: str = "h", low: float = 2.0, high: float = 4.0, tolerance: float = 0.25
) -> Check:
    return Check("case", "figure", "what", unit, low, high, ours, tolerance, "published", "source", "remark")


# --- the validation table ---------------------------------------------------------------------------


def test_every_row_of_the_table_is_on_the_page_once(html: str) -> None:
    text = words(html)
    groups = numbers.check_groups(load_checks())
    shown = [row for group in groups for row in group.rows]
    assert len(shown) == len(load_checks())
    for row in shown:
        assert row.what in text
        assert row.source in text
    assert len(re.findall(r'class="checks__pair"', html)) == len(shown)


def test_misses_are_marked_as_misses_and_counted(html: str) -> None:
    figures = numbers.forecast_figures({})
    forecasts = [row for row in figures.rows if not row.met] if figures else []
    missed = [*(row for row in load_checks() if not row.met), *forecasts]
    assert len(re.findall(r'class="checks__missed"', html)) == len(missed)
    assert len(re.findall(r"<strong>Missed</?strong|<strong>Missed\.", html)) == len(missed)
    assert numbers.finding(numbers.check_groups(load_checks())) in words(html)


@pytest.mark.parametrize(
    ("ours", "said", "met"),
    [
        (3.0, "inside", True),
        (4.2, "0.2 h above; we allow 0.2 h", True),
        (4.6, "0.6 h above; we allow 0.2 h", False),
        (1.5, "0.5 h below; we allow 0.2 h", False),
    ],
)
def test_a_difference_is_said_with_its_side_and_what_is_allowed(ours: float, said: str, met: bool) -> None:
    row = numbers.check_row(check(ours))
    assert (row.difference.us, row.met) == (said, met)


def test_temperatures_stand_in_both_units_and_their_differences_too() -> None:
    """10 K are 18 °F."""
    row = numbers.check_row(check(60.0, unit="°C", low=40.0, high=50.0, tolerance=0.0))
    assert (row.theirs.us, row.ours.us) == ("104.0 to 122.0 °F", "140.0 °F")
    assert (row.difference.us, row.difference.metric) == ("18.0 °F above", "10.0 °C above")


@pytest.mark.parametrize(
    ("ours", "said"),
    [
        ((3.0,), "All 1 figures are met."),
        ((3.0, 9.0), "1 of 2 figures are met; 1 is missed, and marked as such."),
    ],
)
def test_the_finding_counts_what_is_met(ours: tuple[float, ...], said: str) -> None:
    assert numbers.finding(numbers.check_groups(tuple(check(each) for each in ours))) == said


def test_every_origin_a_row_can_have_has_a_place_on_the_page() -> None:
    assert {kind for kind, _, _ in numbers.KINDS} <= {origin.value for origin in Provenance}
    assert {row.provenance for row in load_checks()} <= {kind for kind, _, _ in numbers.KINDS}


# --- equations, spread, constants -------------------------------------------------------------------


def test_equations_carry_the_engine_s_own_figures(html: str) -> None:
    text = words(html)
    for law in equations(DEFAULT_CALIBRATION):
        assert law.source
        assert all(formula in text for formula in law.formulas)
    before, after = (
        next(law for law in equations(constants) if law.name == "Juice let go")
        for constants in (DEFAULT_CALIBRATION, Calibration(release_time_s=600.0))
    )
    assert "τ = 30 min" in before.formulas[1]
    assert "τ = 10 min" in after.formulas[1]


def test_the_page_names_engine_members_and_what_is_not_known(html: str) -> None:
    text = words(html)
    assert f"cook engine {ENGINE_VERSION}" in text
    assert f"{numbers.MEMBERS} simulated cooks a method" in text
    assert "What the model does not know" in text
    assert not re.search(r"\bsafe\b", text, re.IGNORECASE)


def test_eight_in_ten_of_a_log_normal_input_lie_where_the_page_says() -> None:
    """The 90th percentile of the standard normal is 1.2816: exp(1.2816 · 0.06) = 1.08."""
    said = {
        row.words: row.middle_8_in_10
        for row in numbers.numbers_page("0", {}, Links.to(page_uris(site_fixture.book()))).spreads
    }
    assert said["thickness of the piece"] == "× 0.93 to × 1.08"
    assert said["where the probe sits"] == "± 8 % of the thickness"


def test_every_constant_of_the_engine_is_listed_with_range_and_reason() -> None:
    page = constants_page(DEFAULT_CALIBRATION, CONSTANTS)
    assert len(page.rows) == len(CONSTANTS)
    assert all(row.reason and row.low and row.high for row in page.rows)


def test_constants_are_named_without_their_units_and_written_without_exponents() -> None:
    page = constants_page(DEFAULT_CALIBRATION, CONSTANTS)
    for row in page.rows:
        assert "_" not in row.name
        assert row.name[:1].isupper()
        assert not re.search(r"\b(s|c|kg|m2|mol|per)$", row.name), row.name
        assert not re.search(r"\de[+-]?\d", " ".join((row.value, row.low, row.high)))
    said = {row.name: f"{row.value} {row.unit}" for row in page.rows}
    assert said["Moisture diffusivity"].startswith("5 × 10⁻¹¹ m²/s")
    assert said["Release time"] == "1\u2009800 s"


def test_forecasts_name_methods_by_their_titles() -> None:
    titles = {"butcher-paper": "Packer brisket in butcher paper"}
    said = numbers.with_title("butcher-paper, hotter pit, readings at 3 h: middle error", titles)
    assert said == "Packer brisket in butcher paper, hotter pit, readings at 3 h: middle error"
    assert numbers.with_title("three methods, before the cook", titles) == "three methods, before the cook"


def test_every_module_that_calls_a_constant_calibrated_has_it_on_the_page() -> None:
    """The mark at the start of a line of a docstring, or in a comment beside a constant, is never lost."""
    listed = sum(len(list(choices_in(file.read_text("utf-8")))) for file in PACKAGE.rglob("*.py"))
    marked = 0
    pattern = re.compile(rf'^[A-Z][A-Z0-9_]*(: \w+)? = .*# .*{MARK}|^"""[^"]*{MARK}', re.MULTILINE)
    for file in PACKAGE.rglob("*.py"):
        marked += len(pattern.findall(file.read_text("utf-8")))
    assert listed >= marked > 60


def test_a_choice_is_read_with_value_and_reason() -> None:
    source = '''
# Two of a kind. CALIBRATED 1 to 5: believed.
ONE_K = 2.0
OTHER_K = 3.0
PLAIN = 4
BESIDE = 0.5  # CALIBRATED: said beside
AFTER = (1, 2)
"""Said after it (CALIBRATED)."""
'''
    found = [(one.name, one.value, one.reason) for one in merged(choices_in(source))]
    assert found == [
        ("one k, other k, plain", "2.0, 3.0, 4", "Two of a kind. Believable range 1 to 5: believed."),
        ("beside", "0.5", "Said beside."),
        ("after", "(1, 2)", "Said after it."),
    ]


def test_no_choice_shows_a_programmer_s_mark() -> None:
    for room in calibrated_choices():
        for choice in room.choices:
            assert MARK not in choice.reason
            assert "`" not in choice.reason
            assert not re.search(r"\([;,:.]|[.:,] \.|\(\)", choice.reason), choice


# --- forecasts --------------------------------------------------------------------------------------


def test_forecast_figures_stand_on_the_page_once_they_are_there(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    row = {
        "what": "P10–P90 before the cook",
        "asked": "75–85 %",
        "found": "91 %",
        "met": False,
        "remark": "wide",
    }
    kept = {"engine": "9.9", "note": "Simulated cooks.", "rows": [row]}
    (tmp_path / numbers.FORECAST_FIGURES).write_text(json.dumps(kept), "utf-8")
    monkeypatch.setattr(numbers, "files", lambda _: tmp_path)
    pages = build_pages(site_fixture.book(), {}, BuildInfo("0.0.test"))
    text = words(next(page.html for page in pages if page.uri == numbers.NUMBERS))
    assert "How forecasts hold" in text
    assert "P10–P90 before the cook wide 75–85 % 91 % Missed" in text


def test_without_forecast_figures_the_page_has_no_empty_place(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(numbers, "files", lambda _: tmp_path)
    pages = build_pages(site_fixture.book(), {}, BuildInfo("0.0.test"))
    assert "How forecasts hold" not in next(page.html for page in pages if page.uri == numbers.NUMBERS)
