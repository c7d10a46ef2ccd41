"""Kill by heat against every printed row, the published equivalents and the worked checks."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from safety_cases import reference
from slowfolio.safety.history import SafetyInputError
from slowfolio.safety.lethality import (
    CREDIT_FLOOR_C,
    LISTERIA,
    ROAST_ENVELOPE,
    MeatTarget,
    celsius,
    listeria_equivalent_s,
    log_reduction_text,
    log_reductions,
    organisms,
    poultry_table,
    roast_table,
    table_for,
    time_of_log_reductions_s,
)
from slowfolio.safety.piece import Piece, Species, species_of

MEAT = reference("fsis_appendix_a_meat_2021")
ROAST_CHART = reference("fda_food_code_roast_time_temp")
POULTRY = [
    (species, row)
    for species in (Species.CHICKEN, Species.TURKEY)
    for row in reference(f"fsis_appendix_a_{species.value}_2021")
]


@pytest.mark.parametrize(
    ("target", "column"),
    [
        (MeatTarget.ROAST_6_5_LOG, "time_s_6p5log"),
        (MeatTarget.MEAT_7_LOG, "time_s_7log"),
        (MeatTarget.MEAT_5_LOG, "time_s_5log"),
    ],
)
def test_every_row_of_the_meat_table_is_met(target, column):
    """FSIS Cooking Guideline 2021, Tables 2 and 6."""
    temps = [celsius(float(row["temp_f"])) for row in MEAT]
    assert roast_table(target).time_needed_s(temps) == pytest.approx([float(row[column]) for row in MEAT])


def test_every_row_of_the_food_code_roast_chart_is_met():
    """US Food Code 3-401.11(B)(2): seventeen rows from 130 °F for 112 min to 158 °F at once."""
    temps = [celsius(float(row["temp_f"])) for row in ROAST_CHART]
    needed = roast_table().time_needed_s(temps)
    assert needed == pytest.approx([float(row["time_s"]) for row in ROAST_CHART])
    assert len(ROAST_CHART) == 17


def test_food_code_rows_are_met_at_the_celsius_they_print_to_the_tables_rounding():
    """Printed °C are rounded to 0.1, which moves the time by up to 2 %: the printed unit still comes out."""
    for row in ROAST_CHART:
        needed = float(roast_table().time_needed_s(float(row["temp_c_printed"])))
        unit = 60.0 if row["time_unit"] == "min" else 1.0
        assert abs(needed / unit - float(row["time_value"])) <= 0.5 + 0.025 * float(row["time_value"])


def test_a_cook_that_dwells_as_each_row_asks_reaches_the_target():
    for row in MEAT[:-3]:
        temp, time = celsius(float(row["temp_f"])), float(row["time_s_6p5log"])
        assert log_reductions(roast_table(), [0.0, time], [temp, temp])[0] == pytest.approx(6.5)
        assert log_reductions(roast_table(), [0.0, 0.98 * time], [temp, temp])[0] < 6.5


@pytest.mark.parametrize(("species", "row"), POULTRY, ids=lambda item: getattr(item, "value", ""))
def test_every_cell_of_the_poultry_tables_is_met(species, row):
    """FSIS Cooking Guideline 2021, Tables 3 and 4, 7-log, all fat contents and printed dips."""
    table = poultry_table(species, float(row["fat_pct"]))
    assert float(table.time_needed_s(celsius(float(row["temp_f"])))) == pytest.approx(
        float(row["time_s_7log"])
    )


def test_poultry_is_interpolated_in_fat_and_temperature():
    lean, fat = (poultry_table(Species.CHICKEN, pct) for pct in (3.0, 4.0))
    between = poultry_table(Species.CHICKEN, 3.5)
    temps = [celsius(value) for value in (136.0, 140.5, 150.25, 157.0)]
    product = lean.time_needed_s(temps) * fat.time_needed_s(temps)
    assert between.time_needed_s(temps) == pytest.approx(np.sqrt(product), rel=1e-9)
    rows = lean.time_needed_s([celsius(140.0), celsius(141.0)])
    assert float(lean.time_needed_s(celsius(140.5))) == pytest.approx(float(np.sqrt(rows[0] * rows[1])))


def test_unknown_or_high_fat_takes_the_12_per_cent_column():
    """FSIS Cooking Guideline 2021, Tables 3 and 4: rule printed with the tables."""
    temps = [celsius(value) for value in range(136, 166)]
    twelve = poultry_table(Species.TURKEY, 12.0).time_needed_s(temps)
    assert (poultry_table(Species.TURKEY, None).time_needed_s(temps) == twelve).all()
    assert (poultry_table(Species.TURKEY, 18.0).time_needed_s(temps) == twelve).all()
    lean = poultry_table(Species.TURKEY, 0.2).time_needed_s(temps)
    assert (lean == poultry_table(Species.TURKEY, 1.0).time_needed_s(temps)).all()


@pytest.mark.parametrize("fat", [1.0, 4.5, 12.0, None])
def test_other_birds_take_the_longer_of_chicken_and_turkey(fat):
    """FSIS Cooking Guideline 2021: rule printed with the tables."""
    temps = [celsius(value) for value in range(136, 166)]
    chicken, turkey = (
        poultry_table(species, fat).time_needed_s(temps) for species in (Species.CHICKEN, Species.TURKEY)
    )
    assert poultry_table(Species.DUCK, fat).time_needed_s(temps) == pytest.approx(np.maximum(chicken, turkey))


def test_where_one_fat_column_is_instant_and_the_next_is_not_the_printed_time_stands():
    """Chicken at 162 °F: 0 s up to 6 % fat, 9.6 s at 7 %."""
    assert float(poultry_table(Species.CHICKEN, 6.0).time_needed_s(celsius(162))) == 0.0
    assert float(poultry_table(Species.CHICKEN, 6.1).time_needed_s(celsius(162))) == pytest.approx(9.6)


def test_worked_check_half_an_hour_at_138_f():
    """30 min at 138 °F: 9.7 log by the envelope; table row 18 min for 6.5 log, so 10.8 log."""
    temp = [celsius(138.0)] * 2
    assert log_reductions(ROAST_ENVELOPE, [0, 1800], temp)[0] == pytest.approx(9.7, abs=0.05)
    assert log_reductions(roast_table(), [0, 1800], temp)[0] == pytest.approx(10.8, abs=0.05)
    assert float(ROAST_ENVELOPE.decimal_time_s(celsius(138.0))) / 60 == pytest.approx(3.09, abs=0.01)


def test_worked_check_twelve_minutes_at_60_c():
    """140 °F for 12 min: 6.5 log by the table, 12 / 1.951 = 6.15 by the envelope."""
    assert log_reductions(roast_table(), [0, 720], [60.0, 60.0])[0] == pytest.approx(6.5)
    assert log_reductions(ROAST_ENVELOPE, [0, 720], [60.0, 60.0])[0] == pytest.approx(12 / 1.951, rel=1e-6)


def test_envelope_equals_the_fitted_line_of_the_reference():
    row = next(row for row in reference("fsis_lethality_fits") if "ENVELOPE roast 6.5-log" in row["table"])
    assert ROAST_ENVELOPE.d_ref_s / 60 == pytest.approx(float(row["D_140F_min"]))
    assert ROAST_ENVELOPE.z_k == pytest.approx(float(row["z_c"]), abs=0.001)
    assert float(ROAST_ENVELOPE.decimal_time_s(celsius(130.0))) / 60 == pytest.approx(
        float(row["D_130F_min"]), rel=1e-3
    )


def test_envelope_is_never_shorter_than_a_printed_row_and_142_f_binds():
    timed = [row for row in MEAT if float(row["time_s_6p5log"]) > 0]
    printed = np.array([float(row["time_s_6p5log"]) for row in timed])
    line = 6.5 * ROAST_ENVELOPE.decimal_time_s([celsius(float(row["temp_f"])) for row in timed])
    assert (line >= printed).all()
    assert timed[int(np.argmin(line / printed))]["temp_f"] == "142"


@pytest.mark.parametrize("row", reference("listeria_uk_equivalents"), ids=lambda row: row["temp_c"])
def test_uk_and_eu_listeria_equivalents(row):
    """70 °C for 2 min, z 7.5 °C; rounded figures of the UK Food Standards Agency (recalled)."""
    computed = float(listeria_equivalent_s(float(row["temp_c"])))
    assert computed == pytest.approx(float(row["computed_s"]), abs=0.05)
    value, unit = row["fsa_rounded"].split()
    assert computed == pytest.approx(float(value) * (60 if unit == "min" else 1), rel=0.15)


def test_two_minutes_at_70_c_are_six_logs_of_listeria():
    assert log_reductions(LISTERIA, [0, 120], [70.0, 70.0])[0] == pytest.approx(6.0)


@pytest.mark.parametrize("kill", [roast_table(), ROAST_ENVELOPE, LISTERIA], ids=lambda kill: kill.name)
def test_nothing_is_credited_below_the_lowest_row(kill):
    assert log_reductions(kill, [0, 1e6], [CREDIT_FLOOR_C - 0.05] * 2)[0] == 0.0
    assert log_reductions(kill, [0, 3600], [CREDIT_FLOOR_C] * 2)[0] > 0.0


def test_poultry_is_not_credited_below_its_own_lowest_row():
    assert log_reductions(poultry_table(Species.CHICKEN, 5.0), [0, 1e6], [57.5, 57.5])[0] == 0.0


def test_the_target_is_met_on_arrival_where_the_table_asks_for_no_time():
    time, temp = [0.0, 1.0, 2.0], [20.0, 70.0, 20.0]
    assert log_reductions(roast_table(), time, temp)[0] >= 6.5
    assert log_reductions(roast_table(), time, [20.0, 69.9, 20.0])[0] < 6.5


def test_fast_and_slow_courses_are_integrated_the_same_however_they_are_sampled():
    coarse = log_reductions(roast_table(), [0.0, 7200.0], [40.0, 64.0])
    time = np.linspace(0.0, 7200.0, 5001)
    fine = log_reductions(roast_table(), time, 40.0 + 24.0 * time / 7200.0)
    assert coarse == pytest.approx(fine, rel=2e-3)


def test_integral_of_a_straight_rise_has_its_closed_form():
    """∫ 10^((T - 60)/z)/D dt over T = a + bt is z/(b D ln 10) · the difference of the exponentials."""
    rate = 10.0 / 3600.0
    span = 10 ** (5.0 / ROAST_ENVELOPE.z_k) - 10 ** (-5.0 / ROAST_ENVELOPE.z_k)
    expected = ROAST_ENVELOPE.z_k / (rate * ROAST_ENVELOPE.d_ref_s * np.log(10)) * span
    assert log_reductions(ROAST_ENVELOPE, [0, 3600], [55.0, 65.0])[0] == pytest.approx(expected, rel=1e-3)


def test_time_of_the_target_lies_where_the_sum_reaches_it():
    time, temp = [0.0, 3600.0], [[60.0, 60.0], [54.0, 54.0]]
    moments = time_of_log_reductions_s(
        roast_table(), np.linspace(0, 3600, 361), np.tile([[60.0], [54.0]], 361), target_log=6.5
    )
    assert moments[0] == pytest.approx(720.0, abs=10.0)
    assert moments[1] == np.inf
    assert log_reductions(roast_table(), time, temp)[1] == 0.0


@given(st.floats(54.5, 69.0), st.floats(0.0, 0.9))
def test_hotter_never_needs_longer(temp, step):
    needed = roast_table().time_needed_s([temp, temp + step])
    assert needed[1] <= needed[0]


@given(st.lists(st.floats(0.0, 95.0), min_size=4, max_size=12), st.floats(0.0, 3.0))
def test_a_hotter_course_never_kills_less(temps, warmer):
    time = np.arange(len(temps)) * 300.0
    for kill in (roast_table(), ROAST_ENVELOPE, LISTERIA):
        cool, warm = log_reductions(kill, time, [temps, [temp + warmer for temp in temps]])
        assert warm >= cool * (1 - 2e-3) - 1e-9


def test_members_are_judged_one_by_one():
    time = np.linspace(0.0, 3600.0, 30)
    temps = np.linspace(50.0, 70.0, 7)[:, None] * np.ones(30)
    together = log_reductions(roast_table(), time, temps)
    alone = [log_reductions(roast_table(), time, temp)[0] for temp in temps]
    assert together == pytest.approx(alone)
    assert together.shape == (7,)


def test_log_reductions_are_shown_rounded_down_and_capped():
    assert log_reduction_text(6.49) == "6.4 log"
    assert log_reduction_text(6.5) == "6.5 log"
    assert log_reduction_text(7.0) == "7.0 log"
    assert log_reduction_text(7.01) == "> 7 log"
    assert log_reduction_text(4000.0) == "> 7 log"


def test_birds_have_a_7_log_target_and_other_meat_6_5():
    assert table_for(Species.TURKEY, 3.0).target_log == 7.0
    assert {
        table_for(item).target_log for item in Species if item not in {"chicken", "turkey", "duck", "goose"}
    } == {6.5}


def test_toxin_and_spores_are_named_as_not_removed_by_the_cook():
    notes = {item.name: item for item in organisms(Species.BEEF)}
    assert notes["Staphylococcus aureus toxin"].kill is None
    assert "survive" in notes["Spores of Clostridium perfringens and Bacillus cereus"].note
    assert notes["Salmonella"].target_log == 6.5


def test_bad_input_is_refused():
    with pytest.raises(SafetyInputError, match="is not poultry: use the roast table"):
        poultry_table(Species.BEEF, 5.0)
    with pytest.raises(SafetyInputError, match="give °C"):
        roast_table().time_needed_s(float("nan"))
    with pytest.raises(SafetyInputError, match="write one of beef, veal"):
        species_of("dragon")
    with pytest.raises(SafetyInputError, match="give 0 to 100 per cent"):
        Piece(Species.BEEF, 5.0, fat_pct=140.0)
    with pytest.raises(SafetyInputError, match="give a weight from 0"):
        Piece(Species.BEEF, float("nan"))
    assert species_of(" Turkey ") is Species.TURKEY
