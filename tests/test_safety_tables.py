"""The data that travels with the package equals the reference tables it was taken from."""

import pytest

from safety_cases import DATA, REFERENCE, reference
from slowfolio.safety import allergens, cautions, come_up, growth, hazards, published
from slowfolio.safety.cooking import HEAVY_PIECE_KG, OVEN_MIN_C, OvenKind
from slowfolio.safety.cooling import FSIS_OPTIONS
from slowfolio.safety.history import SafetyInputError
from slowfolio.safety.standing import Confidence
from slowfolio.safety.tables import rows, source


@pytest.mark.parametrize("path", sorted(DATA.glob("*.csv")), ids=lambda path: path.stem)
def test_packaged_table_is_the_reference_table(path):
    assert path.read_text(encoding="utf-8") == (REFERENCE / path.name).read_text(encoding="utf-8")
    assert source(path.stem)
    assert len(rows(path.stem)) == len(reference(path.stem))


@pytest.mark.parametrize("jurisdiction", [allergens.US_LIST, allergens.EU_LIST], ids=lambda item: item.name)
def test_allergen_list_is_the_reference_list(jurisdiction):
    """FALCPA 2004 and FASTER Act 2021; Regulation (EU) 1169/2011 Annex II."""
    expected = [
        row["allergen"] for row in reference("allergens_us_eu") if row["jurisdiction"] == jurisdiction.name
    ]
    assert [wording for _, wording in jurisdiction.wording] == expected
    assert set(jurisdiction.short_names) <= allergens.SHORT_NAMES


def test_mustard_is_declared_in_europe_and_canada_but_not_in_the_us():
    assert allergens.declarable(allergens.EU_LIST, ["mustard"]) == ("mustard",)
    assert allergens.declarable(allergens.CANADA_LIST, ["mustard"]) == ("mustard",)
    assert allergens.declarable(allergens.US_LIST, ["mustard"]) == ()


def test_wheat_is_declared_as_a_cereal_with_gluten_in_europe():
    assert allergens.declarable(allergens.EU_LIST, ["wheat", "milk"]) == ("cereals with gluten", "milk")
    assert allergens.declarable(allergens.US_LIST, ["wheat", "milk"]) == ("milk", "wheat")


def test_unknown_allergen_is_refused_with_the_words_to_write():
    with pytest.raises(SafetyInputError, match=r"unknown allergen nuts: write one of celery"):
        allergens.declarable(allergens.US_LIST, ["nuts"])


def test_every_reference_caution_is_told_in_full_and_has_its_moment():
    expected = reference("handling_cautions")
    told = cautions.cautions()
    assert [item.topic for item in told] == [row["topic"] for row in expected]
    for item, row in zip(told, expected, strict=True):
        assert (item.summary, item.source, item.provenance) == (
            row["caution"],
            row["source"],
            row["provenance"],
        )
        assert item.moments
        assert len(item.text) > 30
    placed = {item.topic for moment in cautions.Moment for item in cautions.cautions_for(moment)}
    assert placed == {row["topic"] for row in expected}


def test_cautions_stand_at_the_steps_where_they_matter():
    topics = {moment: {item.topic for item in cautions.cautions_for(moment)} for moment in cautions.Moment}
    assert "burns" in topics[cautions.Moment.WRAPPING_AND_OPENING]
    assert "carbon monoxide" in topics[cautions.Moment.LIGHTING_THE_FIRE]
    assert "vulnerable people" in topics[cautions.Moment.HOLDING]
    assert {"thermometer ice point", "thermometer boiling point"} <= topics[
        cautions.Moment.CHECKING_THERMOMETERS
    ]


def test_unknown_caution_is_refused_with_the_topics_there_are():
    with pytest.raises(SafetyInputError, match=r"no caution on 'lightning'.*carbon monoxide"):
        cautions.caution("lightning")
    assert cautions.caution("ash").confidence is Confidence.MEDIUM


def test_growth_limits_equal_the_reference_table():
    for item, row in zip(hazards.growth_limits(), reference("pathogen_limits"), strict=True):
        assert item.organism == row["organism"]
        assert ("" if item.min_c is None else item.min_c) == (float(row["t_min_c"]) if row["t_min_c"] else "")
        assert ("" if item.max_c is None else item.max_c) == (float(row["t_max_c"]) if row["t_max_c"] else "")


def test_growth_models_equal_the_reference_table():
    """Juneja 2011, Le Marc 2008 and the one-step analyses of the Huang group."""
    table = {
        (row["model"].split(" (")[0], row["food"]): row for row in reference("perfringens_growth_models")
    }
    for model in (growth.BEEF, growth.CHICKEN, growth.PORK):
        row = table[("Juneja 2011", model.name)]
        figures = (model.b, model.min_c, model.c, model.max_c, model.q0)
        assert figures == tuple(
            float(row[key]) for key in ("b_or_muopt", "tmin_c", "c_or_topt", "tmax_c", "q0")
        )
    for model, food in ((growth.BRAISED_BEEF, "braised beef"), (growth.ROASTED_CHICKEN, "roasted chicken")):
        row = table[("Huang group", food)]
        figures = (model.best_rate_per_h, model.min_c, model.best_c, model.max_c)
        assert figures == tuple(float(row[key]) for key in ("b_or_muopt", "tmin_c", "c_or_topt", "tmax_c"))
    row = table[("Le Marc 2008", "bulk meat, T, NaCl%, pH")]
    assert (growth.BULK_MEAT.min_c, growth.BULK_MEAT.max_c) == (float(row["tmin_c"]), float(row["tmax_c"]))


def test_fsis_cooling_options_equal_the_reference_table():
    """Stabilization Guideline (Revised Appendix B): stage times, and the °C printed beside the °F."""
    table = {row["option"]: row for row in reference("fsis_cooling_options")}
    for option, rule in FSIS_OPTIONS.items():
        row = table[option]
        stages = [float(row[key]) for key in ("stage1_max_h", "stage2_max_h") if row[key]]
        assert [limit.at_most_s / 3600 for limit in rule.limits] == stages
    first = FSIS_OPTIONS["1"].limits
    assert f"({first[0].from_c}C)" in table["1"]["stage1"]
    assert f"({first[0].to_c}C)" in table["1"]["stage1"]
    assert f"({first[1].to_c}C)" in table["1"]["stage2"]
    assert f"({FSIS_OPTIONS['2'].limits[1].to_c}C)" in table["2"]["stage2"]
    assert f"({FSIS_OPTIONS['3 (cured)'].limits[1].to_c}C)" in table["3 (cured)"]["stage2"]


def test_oven_table_equals_the_reference_table():
    """US Food Code 3-401.11(B)(1)."""
    table = {row["oven_type"]: row for row in reference("fda_food_code_oven_table")}
    for kind in (OvenKind.STILL_DRY, OvenKind.CONVECTION):
        printed = [table[kind.value][column] for column in ("roast_lt_10lb_4p5kg", "roast_ge_10lb_4p5kg")]
        ours = [f">={temp * 1.8 + 32:.0f}F ({temp:.0f}C)" for temp in OVEN_MIN_C[kind]]
        assert ours == printed
    assert table["high humidity"]["roast_lt_10lb_4p5kg"] == "<=250F (121C)"
    assert pytest.approx(10 * 0.45359237, abs=0.005) == HEAVY_PIECE_KG


def test_code_sections_and_humidity_options_are_listed_in_full():
    sections = published.food_code_sections()
    expected = reference("fda_food_code_rules")
    assert [item.section for item in sections] == [row["section"] for row in expected]
    assert [item.provenance for item in sections] == [row["provenance"] for row in expected]
    hold = next(item for item in sections if item.section == "3-501.16(A)(1)")
    assert (hold.temp_f, hold.time) == ("135 (130 roasts)", "no time limit in the rule")
    options = published.humidity_options()
    assert [item.requirement for item in options] == [
        row["requirement"] for row in reference("fsis_humidity_options_2021")
    ]
    assert published.food_code_source()
    assert published.humidity_source().startswith("FSIS Cooking Guideline")


def test_come_up_rule_and_gaps_are_those_of_the_guideline():
    """FSIS Cooking Guideline 2021, pp. 23-24 and Table 5, gaps 3 and 6."""
    table = {row["option"]: row for row in reference("fsis_humidity_options_2021")}
    assert "between 50 and 130F is <=6 h" in table["CUT option"]["requirement"]
    for gap in (come_up.DRY_HEAT_GAP, come_up.LONG_COME_UP_GAP):
        assert f"scientific gap {gap.number}" in table
    assert "longer than 6 h" in table["scientific gap 6"]["requirement"]
    assert "brisket" in come_up.LONG_COME_UP_GAP.text
