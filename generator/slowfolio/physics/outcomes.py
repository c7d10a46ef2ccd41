"""What the state of a cooked joint means to an eater: scales from 0 to 100 and the quantities behind them.

Each scale is a documented function of the state; the scales are CALIBRATED (a choice: no panel was
measured), the quantities they rest on are computed. ``recording`` calls this room at stage ends and at the
end of a cook.
"""

from __future__ import annotations

import numpy as np

from slowfolio.physics.calibration import Calibration
from slowfolio.physics.grid import Grid
from slowfolio.physics.joint import Joint, share_beyond
from slowfolio.physics.meat import Array
from slowfolio.physics.results import Outcomes
from slowfolio.physics.state import CAP, FLANK, LEAN, CookState

# Tenderness against collagen conversion, for beef with a probe-tender conversion of 0.40: below 0.25 tough,
# 0.25-0.40 chewy, 0.40-0.65 probe tender, 0.65-0.85 pulls apart, above over-soft (bands CALIBRATED).
TENDERNESS_SCALE = ((0.0, 0.25, 0.40, 0.65, 0.85, 1.0), (0.0, 30.0, 60.0, 85.0, 95.0, 100.0))
# Crispness against water activity: glassy below 0.4-0.5, leathery to 0.8, soft above 0.85 (MEMORY of
# crisp-food literature, low confidence).
CRISPNESS_SCALE = ((0.0, 0.45, 0.65, 0.80, 0.90, 1.0), (100.0, 90.0, 65.0, 40.0, 12.0, 0.0))
# Water over water and dry lean: raw lean 0.77; 0.48 is jerky-like, 0.72 rare roast (CALIBRATED).
JUICY_FROM, JUICY_TO = 0.48, 0.72
# Hours of full wood smoke on a wet face that give 63 on the smoke scale (CALIBRATED).
SMOKE_SCALE_H = 2.5
# Smoke dose called 1 in ``Outcomes.smoke_uptake``.
SMOKE_UNIT_H = 4.0
# A node counts as crust when drier than this, kg/kg dry lean (water activity about 0.9 at 80 °C); cooked meat
# below the crust holds 1.2-1.8.
CRUST_MOISTURE = 0.60
FULL_CRUST_M = 0.004  # CALIBRATED: a crust this thick counts as full
FACE_WEIGHTS = (0.75, 0.25)  # of the upper and the lower face in what is tasted


def tenderness_of(converted: Array, tender_conversion: float) -> Array:
    """Return tenderness 0-100 for a collagen conversion, scaled so that ``tender_conversion`` scores 60."""
    scaled = converted * (0.40 / tender_conversion)
    return np.asarray(np.interp(scaled, *TENDERNESS_SCALE), dtype=np.float64)


def crispness_of(activity: Array) -> Array:
    """Return crispness 0-100 for the water activity of the crust."""
    return np.asarray(np.interp(activity, *CRISPNESS_SCALE), dtype=np.float64)


def crust_activity(state: CookState, joint: Joint, cap_up: Array) -> Array:
    """Return the water activity of the upper face's crust, juice film counted, mean over the face, shape
    (M,).
    """
    area = joint.plan_area_m2[:, None]
    cover = state.cover[:FLANK]
    wet = cover * 0.99 + (1.0 - cover) * state.activity[:FLANK]
    upper = np.where(cap_up > 0.5, wet[CAP], wet[LEAN])
    return np.asarray((upper * area).sum(axis=0) / area.sum(), dtype=np.float64)


def face_mean(values: Array, joint: Joint, cap_up: Array) -> Array:
    """Return ``values`` (3, K, M) averaged over both faces with the taster's weights, shape (M,)."""
    area = joint.plan_area_m2[:, None]
    means = (values[:FLANK] * area).sum(axis=1) / area.sum()
    upper = np.where(cap_up > 0.5, means[CAP], means[LEAN])
    lower = np.where(cap_up > 0.5, means[LEAN], means[CAP])
    return np.asarray(FACE_WEIGHTS[0] * upper + FACE_WEIGHTS[1] * lower, dtype=np.float64)


def crust_thickness_m(state: CookState, grid: Grid) -> Array:
    """Return how deep each of both faces has dried, shape (3, K, M): nodes count by their dryness.

    A node counts fully at 0.15 kg/kg dry lean and not at all at CRUST_MOISTURE.
    """
    moisture = state.water_kg / state.dry_kg
    dried = np.clip((CRUST_MOISTURE - moisture) / (CRUST_MOISTURE - 0.15), 0.0, 1.0) * grid.node_m
    half = dried.shape[0] // 2
    crust = np.zeros_like(state.surface_c)
    crust[CAP] = dried[:half].sum(axis=0)
    crust[LEAN] = dried[half:].sum(axis=0)
    return crust


def moisture_of_part(state: CookState, weight: Array) -> Array:
    """Return the water mass fraction of the cells weighted by ``weight`` (K,), shape (M,)."""
    water = (state.water_kg * weight[:, None]).sum(axis=(0, 1))
    total = ((state.water_kg + state.dry_kg + state.fat_kg) * weight[:, None]).sum(axis=(0, 1))
    return np.asarray(water / total, dtype=np.float64)


def lean_moisture(state: CookState, weight: Array) -> Array:
    """Return water over water and protein of the cells weighted by ``weight`` (K,), shape (M,)."""
    water = (state.water_kg * weight[:, None]).sum(axis=(0, 1))
    lean = ((state.water_kg + state.protein_kg) * weight[:, None]).sum(axis=(0, 1))
    return np.asarray(water / lean, dtype=np.float64)


def rendered_part(state: CookState, share: Array) -> Array:
    """Return the rendered part of the fat of which ``share`` (N, K) of each node's counts, shape (M,)."""
    raw = (state.raw_fat_kg * share[..., None]).sum(axis=(0, 1))
    left = (state.fat_kg * share[..., None]).sum(axis=(0, 1))
    return np.asarray(np.where(raw > 0, 1.0 - left / np.maximum(raw, 1e-12), 0.0), dtype=np.float64)


def part_weights(joint: Joint) -> tuple[Array, Array]:
    """Return the cell weights (K,) of the thick and of the thin part; a piece of one part splits at half
    length.
    """
    thick = joint.thick_part
    if not 0.0 < thick.mean() < 1.0:
        thick = np.repeat(share_beyond(0.5, joint.columns), joint.lanes)
    return thick, 1.0 - thick


def outcomes_of(
    state: CookState, grid: Grid, joint: Joint, cap_up: Array, *, calibration: Calibration
) -> Outcomes:
    """Return all outcomes of ``state``; ``cap_up`` (M,) tells which way the fat cap looked last.

    - bark = 40 browning + 30 crust thickness + 30 crispness, each 0..1; browning counts as 1 - exp(-1.5 B).
    - rendering = rendered fat over what could render, cap 60 and seam fat 40 in the hundred.
    - juiciness = lean moisture between JUICY_FROM and JUICY_TO, the drier part counting 60 in the hundred,
    plus up to 12 for gelatin, which holds juice on the tongue.
    - smoke = 1 - exp(-dose / SMOKE_SCALE_H).
    - tenderness = collagen scale of the thick part (60) and the thin part (40 in the hundred); for a cut
    without collagen criterion, how far the flesh is from overcooked.
    - evenness = 100 less the differences in crust and moisture between faces and between thick and thin part.
    """
    thick, thin = part_weights(joint)
    area = joint.plan_area_m2[:, None]
    activity = crust_activity(state, joint, cap_up)
    crisp = crispness_of(activity)
    crust = crust_thickness_m(state, grid)
    crust_mean = face_mean(crust, joint, cap_up)
    browning = face_mean(state.browning, joint, cap_up)
    brown = 1.0 - np.exp(-1.5 * browning)
    bark = 40.0 * brown + 30.0 * np.minimum(crust_mean / FULL_CRUST_M, 1.0) + 0.30 * crisp
    cap_share = joint.cap_fat_kg / np.maximum(joint.fat_kg, 1e-12)
    cap_rendered = rendered_part(state, cap_share)
    seam_rendered = rendered_part(state, 1.0 - cap_share)
    has_cap = float(joint.cap_fat_kg.sum() > 0.0)
    cap_part = np.minimum(cap_rendered / calibration.cap_renderable, 1.0)
    seam_part = np.minimum(seam_rendered / calibration.seam_renderable, 1.0)
    rendering = 100.0 * (has_cap * (0.6 * cap_part + 0.4 * seam_part) + (1.0 - has_cap) * seam_part)
    lean_thick, lean_thin = lean_moisture(state, thick), lean_moisture(state, thin)
    worst = 0.6 * np.minimum(lean_thick, lean_thin) + 0.4 * np.maximum(lean_thick, lean_thin)
    collagen_thick = mean_in(state.converted, thick, joint)
    collagen_thin = mean_in(state.converted, thin, joint)
    gelatin = 12.0 * np.minimum(0.5 * (collagen_thick + collagen_thin), 1.0)
    juicy = np.clip(100.0 * (worst - JUICY_FROM) / (JUICY_TO - JUICY_FROM) + gelatin, 0.0, 100.0)
    dose = face_mean(state.smoke, joint, cap_up)
    water_kept = state.water_kg.sum(axis=(0, 1)) / state.raw_water_kg.sum(axis=(0, 1))
    if joint.shape.tender_conversion > 0.0:
        soft = joint.shape.tender_conversion
        tender = 0.6 * tenderness_of(collagen_thick, soft) + 0.4 * tenderness_of(collagen_thin, soft)
    else:
        tender = 100.0 * np.clip((water_kept - 0.45) / 0.45, 0.0, 1.0)
    fat = state.raw_fat_kg.sum(axis=(0, 1))
    bark_by_face = 1.0 - np.exp(-1.5 * (state.browning[:FLANK] * area).sum(axis=1) / area.sum())
    uneven = 50.0 * np.abs(bark_by_face[CAP] - bark_by_face[LEAN])
    uneven += 300.0 * np.abs(lean_thick - lean_thin)
    return Outcomes(
        bark=bark,
        rendering=rendering,
        juiciness=juicy,
        smoke=100.0 * (1.0 - np.exp(-dose / SMOKE_SCALE_H)),
        tenderness=tender,
        evenness=np.clip(100.0 - uneven, 0.0, 100.0),
        crispness=crisp,
        crust_thickness_m=crust_mean,
        crust_water_activity=activity,
        browning=browning,
        ring_depth_m=face_mean(state.ring_m, joint, cap_up),
        collagen=collagen_thick,
        collagen_thin=collagen_thin,
        fat_rendered=np.asarray(1.0 - state.fat_kg.sum(axis=(0, 1)) / np.maximum(fat, 1e-12)),
        cap_fat_rendered=cap_rendered,
        white_band_m=joint.shape.fat_cap_thickness_m * (1.0 - cap_part) * np.ones_like(cap_part),
        moisture_thick=moisture_of_part(state, thick),
        moisture_thin=moisture_of_part(state, thin),
        water_kept=np.asarray(water_kept, dtype=np.float64),
        smoke_uptake=dose / SMOKE_UNIT_H,
    )


def mean_in(values: Array, weight: Array, joint: Joint) -> Array:
    """Return ``values`` (N, K, M) averaged by volume over the cells weighted by ``weight`` (K,), shape
    (M,).
    """
    volume = joint.node_fraction[:, None] * (joint.column_thickness_m * joint.plan_area_m2 * weight)
    return np.asarray((values * volume[..., None]).sum(axis=(0, 1)) / volume.sum(), dtype=np.float64)


def mean_over_depth(line: Array, joint: Joint) -> Array:
    """Return ``line`` (N, M) of one cell averaged over its depth, shape (M,)."""
    return np.asarray((line * joint.node_fraction[:, None]).sum(axis=0), dtype=np.float64)
