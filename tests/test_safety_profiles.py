"""Authority profiles equal the reference table; a house may tighten them and never loosen them."""

import dataclasses
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from safety_cases import HOUR, reference
from slowfolio.safety.history import SafetyInputError
from slowfolio.safety.house import HouseRules, LooserThanAuthorityError, stricter
from slowfolio.safety.profiles import PROFILES, profile
from slowfolio.safety.rules import Binding, EndPoints, PieceClass

ROW_OF = {
    "us-retail": "US FDA Food Code 2022",
    "us-consumer": "US USDA consumer",
    "uk": "UK (England/Wales/NI)",
    "eu": "EU",
    "canada": "Canada (Retail & Food Services Code / provinces)",
    "australia": "Australia (FSANZ 3.2.2)",
    "new-zealand": "New Zealand (MPI)",
}


@pytest.fixture(scope="module")
def table():
    return {row["profile"]: row for row in reference("authority_profiles")}


def test_the_seven_authorities_of_the_book_schema_are_there():
    assert set(PROFILES) == set(ROW_OF)
    assert all(item.id == name for name, item in PROFILES.items())


@pytest.mark.parametrize("name", ROW_OF)
def test_hot_hold_floor_and_cold_limit_equal_the_reference(name, table):
    row = table[ROW_OF[name]]
    item = profile(name)
    assert item.hot_hold_min_c == float(row["hot_hold_min_c"])
    assert item.hot_hold_min_f == float(row["hot_hold_min_f"])
    cold = row["cold_max_c"]
    assert item.cold_max_c == (None if cold == "(no EU figure)" else float(cold))


@pytest.mark.parametrize("name", ROW_OF)
def test_reheating_temperature_equals_the_reference(name, table):
    row = table[ROW_OF[name]]
    rule = profile(name).reheat
    if not row["reheat_c"]:
        assert rule is None
    else:
        assert rule is not None
        assert (70.0 if rule.temp_c is None else rule.temp_c) == float(row["reheat_c"])
        assert (rule.within_s is not None) == ("within 2 h" in row["reheat_time"])
        assert rule.hold_s == (15.0 if "15 s" in row["reheat_time"] else 0.0)


@pytest.mark.parametrize("name", ["us-retail", "canada", "australia", "new-zealand"])
def test_two_step_cooling_equals_the_reference(name, table):
    row = table[ROW_OF[name]]
    limits = profile(name).cooling.limits
    assert profile(name).cooling.binding is Binding.RULE
    for number, limit in enumerate(limits, start=1):
        span = row[f"cool_stage{number}"].removesuffix(" total")
        assert f"{limit.from_c:g}->{limit.to_c:g}" == span
        assert limit.at_most_s == float(row[f"cool_stage{number}_h"]) * HOUR


def test_authorities_without_a_cooling_figure_only_advise(table):
    for name in ("uk", "eu"):
        assert table[ROW_OF[name]]["cool_stage2_h"] == ""
        assert profile(name).cooling.binding is Binding.ADVICE
    assert "63->10C in <2 h" in table["EU"]["source"]
    assert profile("eu").cooling.limits[0].at_most_s == 2 * HOUR


@pytest.mark.parametrize(
    ("name", "hours", "pattern"),
    [
        ("us-retail", 4, r"TPHC 4 h"),
        ("us-consumer", 2, r"^2 h at room temp; 1 h if >90F \(32C\)"),
        ("uk", 2, r"below 63C once for <=2 h"),
        ("canada", 2, r"discard after 2 h"),
        ("australia", 4, r">4 h discard"),
        ("new-zealand", 4, r"2 h/4 h rule"),
    ],
)
def test_time_below_the_floor_equals_the_reference(name, hours, pattern, table):
    allowance = profile(name).allowance
    assert re.search(pattern, table[ROW_OF[name]]["out_of_temperature_rule"])
    assert allowance is not None
    assert allowance.at_most_s == hours * HOUR
    assert allowance.once == (name == "uk")
    assert (allowance.in_warm_air_s == HOUR) == (name == "us-consumer")


def test_only_us_retail_relies_on_a_lower_floor_for_roasts(table):
    assert [item.id for item in PROFILES.values() if item.roast_hold_min_c is not None] == ["us-retail"]
    assert table[ROW_OF["us-retail"]]["hot_hold_roast_exception_c"].startswith("54 (130F)")
    assert profile("us-retail").roast_hold_min_c == 54.0


def test_us_retail_cooking_end_points_equal_the_food_code_rows():
    """Food Code 2022, 3-401.11(A)(1)-(3), as transcribed in the reference table."""
    rules = {row["section"]: row for row in reference("fda_food_code_rules")}
    cooking = profile("us-retail").cooking
    opened = cooking[PieceClass.OPENED].standard
    assert isinstance(opened, EndPoints)
    assert [option.temp_c for option in opened.options] == [
        float(text) for text in rules["3-401.11(A)(2)"]["temp_c"].split("|")
    ]
    assert [option.hold_s for option in opened.options] == [180.0, 60.0, 17.0, 0.0]
    assert rules["3-401.11(A)(2)"]["time"] == "3 min|1 min|17 s|<1 s"
    poultry = cooking[PieceClass.POULTRY].standard
    assert isinstance(poultry, EndPoints)
    assert poultry.options[0].temp_c == float(rules["3-401.11(A)(3)"]["temp_c"])
    intact = cooking[PieceClass.INTACT].standard
    assert isinstance(intact, EndPoints)
    assert (intact.options[0].temp_c, intact.options[0].hold_s) == (63.0, 15.0)


@pytest.mark.parametrize("item", PROFILES.values(), ids=lambda item: item.id)
def test_every_rule_of_a_profile_carries_its_citation(item):
    citations = [item.citation, item.hot_hold, item.cold, item.cooling.citation, item.allergens.citation]
    citations += [rule.citation for rule in item.cooking.values()]
    citations += [item.allowance.citation] if item.allowance else []
    citations += [item.reheat.citation] if item.reheat else []
    for citation in citations:
        assert citation.authority
        assert citation.section
        assert citation.edition


def test_unknown_authority_is_refused_with_the_names_there_are():
    with pytest.raises(
        SafetyInputError, match=r"no authority 'mars': write one of us-retail, us-consumer, uk"
    ):
        profile("mars")


def test_a_house_may_be_stricter():
    base = profile("us-retail")
    house = stricter(
        base,
        HouseRules(
            hot_hold_min_c=63.0,
            below_floor_at_most_s=0.0,
            cold_max_c=3.0,
            reheat_c=80.0,
            reheat_within_s=HOUR,
            cool_within_s=(1.5 * HOUR, 5 * HOUR),
        ),
    )
    assert (house.hot_hold_min_c, house.roast_hold_min_c, house.cold_max_c) == (63.0, 63.0, 3.0)
    assert house.allowance is not None
    assert house.allowance.at_most_s == 0.0
    assert house.reheat is not None
    assert (house.reheat.temp_c, house.reheat.within_s) == (80.0, HOUR)
    assert [limit.at_most_s for limit in house.cooling.limits] == [1.5 * HOUR, 5 * HOUR]
    assert house.cooking is base.cooking


@pytest.mark.parametrize(
    ("name", "rules"),
    [
        ("us-retail", HouseRules(hot_hold_min_c=56.8)),
        ("us-retail", HouseRules(roast_hold_min_c=53.0)),
        ("us-consumer", HouseRules(roast_hold_min_c=54.0)),
        ("uk", HouseRules(hot_hold_min_c=60.0)),
        ("uk", HouseRules(below_floor_at_most_s=2.5 * HOUR)),
        ("eu", HouseRules(below_floor_at_most_s=HOUR)),
        ("canada", HouseRules(cold_max_c=5.0)),
        ("canada", HouseRules(reheat_c=70.0)),
        ("canada", HouseRules(reheat_within_s=3 * HOUR)),
        ("australia", HouseRules(cool_within_s=(2 * HOUR, 4.1 * HOUR))),
        ("uk", HouseRules(reheat_c=65.0)),
        ("us-retail", HouseRules(hot_hold_min_c=float("nan"))),
    ],
)
def test_a_house_may_never_be_looser(name, rules):
    with pytest.raises(LooserThanAuthorityError, match=r"looser than .*: write "):
        stricter(profile(name), rules)


@pytest.mark.parametrize(
    ("name", "fahrenheit"),
    [("us-retail", {"reheat_c": 165.0, "hot_hold_min_c": 135.0, "cold_max_c": 41.0}),
     ("us-consumer", {"cold_max_c": 40.0, "hot_hold_min_c": 140.0})],
)  # fmt: skip
def test_an_authority_s_own_figure_in_the_other_unit_changes_nothing_that_matters(name, fahrenheit):
    """The Food Code prints 165 °F beside 74 °C, which is 165.2 °F; USDA 40 °F, which is 4.44 °C."""
    base = profile(name)
    rules = HouseRules(**{key: (value - 32.0) / 1.8 for key, value in fahrenheit.items()})
    house = stricter(base, rules)
    assert house.reheat == base.reheat
    assert house.cold_max_c == base.cold_max_c
    assert base.hot_hold_min_c <= house.hot_hold_min_c < base.hot_hold_min_c + 0.3


def test_a_house_figure_names_the_book_and_the_rule_it_tightens():
    house = stricter(profile("us-retail"), HouseRules(hot_hold_min_c=60.0, cool_within_s=(HOUR, 5 * HOUR)))
    assert str(house.hot_hold) == (
        "this book's own limit, stricter than US FDA Food Code, 3-501.16(A)(1) (2022)"
    )
    assert "3-501.14(A)" in str(house.cooling.citation)
    assert house.allowance == profile("us-retail").allowance
    assert house.reheat == profile("us-retail").reheat


def test_a_house_that_reheats_hotter_than_the_reference_process_keeps_its_two_minutes():
    house = stricter(profile("uk"), HouseRules(reheat_c=75.0))
    assert house.reheat is not None
    assert (house.reheat.temp_c, house.reheat.hold_s) == (75.0, 120.0)


def test_a_tighter_time_below_the_floor_is_said_in_its_condition():
    house = stricter(profile("uk"), HouseRules(below_floor_at_most_s=0.5 * HOUR))
    assert house.allowance is not None
    assert house.allowance.condition.endswith("at most 30 min in this book")


def test_cooling_times_must_fit_the_steps_of_the_authority():
    with pytest.raises(
        SafetyInputError, match=r"cools in 2 steps \(60 to 21 °C; 21 to 5 °C\): give one time"
    ):
        stricter(profile("australia"), HouseRules(cool_within_s=(HOUR,)))


def test_a_reheating_figure_needs_a_rule_to_tighten():
    with pytest.raises(SafetyInputError, match="sets no reheating figure"):
        stricter(profile("eu"), HouseRules(reheat_c=75.0))


@given(
    name=st.sampled_from(sorted(PROFILES)),
    floor=st.none() | st.floats(40.0, 90.0),
    cold=st.none() | st.floats(-2.0, 12.0),
)
def test_whatever_is_accepted_is_at_least_as_strict(name, floor, cold):
    base = profile(name)
    try:
        house = stricter(base, HouseRules(hot_hold_min_c=floor, cold_max_c=cold))
    except LooserThanAuthorityError:
        loose_floor = floor is not None and floor < base.hot_hold_min_c
        loose_cold = cold is not None and (
            cold < 0 or (base.cold_max_c is not None and cold > base.cold_max_c)
        )
        assert loose_floor or loose_cold
        return
    assert house.hot_hold_min_c >= base.hot_hold_min_c
    assert base.cold_max_c is None or (house.cold_max_c is not None and house.cold_max_c <= base.cold_max_c)


def test_no_house_rules_change_nothing():
    for item in PROFILES.values():
        assert stricter(item, HouseRules()) == item


def test_profiles_are_frozen():
    with pytest.raises(dataclasses.FrozenInstanceError):
        profile("uk").hot_hold_min_c = 50.0  # type: ignore[misc]
