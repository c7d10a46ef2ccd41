"""Wraps: what lies between the meat's faces and the pit.

A wrap is four numbers for each face: how easily vapour passes, how the outside radiates, how well heat
crosses the gap, and whether juice is kept. The wraps of the trade are built here as functions; cards may
give their own numbers. ``schedule.Stage`` carries one ``WrapModel``; ``cook`` applies it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from slowfolio.physics.errors import PhysicsInputError, require_between

BARE_EMISSIVITY = 0.92  # MEMORY: wet meat 0.95, browned or charred 0.90-0.95
FOIL_EMISSIVITY = 0.10  # MEMORY: bright foil 0.04-0.07, dull or greasy 0.1-0.3 (Incropera, table A.11)
PAPER_EMISSIVITY = 0.90  # MEMORY: paper 0.9
# Heat across the gap inside a wrap. CALIBRATED 4-150: still air of 1 mm conducts 28 W/(m² K); paper lies
# on with juice between (45), tight foil adds steam that condenses on it (80), a folded tray on a
# grate stands off under the meat (10, crumpled foil over 3 mm of air) and lies on at its sides (30).
PAPER_GAP_W_M2_K = 45.0
FOIL_GAP_W_M2_K = 80.0
TRAY_SIDE_GAP_W_M2_K = 30.0
TRAY_FLOOR_GAP_W_M2_K = 10.0
# Paper as used, in two layers and spotted by the drip. CALIBRATED 0.05e-9 to 3e-9 kg/(s m² Pa): one dry
# layer of kraft is 30-150 US perms, 1.7e-9 to 8.6e-9 (MEMORY, low); tuned to the trade's order of
# finishing, far below dry kraft: a measured permeance of paper in use would settle it.
DRY_PAPER_PERMEANCE = 0.12e-9
SOAKED_PAPER_PERMEANCE = 0.06e-9  # CALIBRATED 0.02e-9 to 1e-9: fat fills the pores of the paper
# Moist sides and juice dry through the rim between an open tray's side and the meat. CALIBRATED 2e-9 to
# 2e-8 (a bare face in still air is 2.5e-8): set with ``crust_cracking`` by what an open hold loses.
TRAY_SIDE_PERMEANCE = 8.0e-9
COVER_GAP_W_M2_K = 9.0  # CALIBRATED 5-20: some centimetres of steamy air under a pan's lid


@dataclass(frozen=True, slots=True)
class FaceCover:
    """What covers one face of the meat.

    ``permeance_kg_s_m2_pa``: vapour passed per area and pressure difference; 0 is tight, ``math.inf`` is
    bare. ``emissivity``: of the side that looks at the pit. ``gap_w_m2_k``: heat conductance from the
    meat's surface to that side; ``math.inf`` is bare or in full contact. ``retains_juice``: released juice
    and rendered fat stay with the meat instead of dripping.
    """

    permeance_kg_s_m2_pa: float = math.inf
    emissivity: float = BARE_EMISSIVITY
    gap_w_m2_k: float = math.inf
    retains_juice: bool = False

    def __post_init__(self) -> None:
        """Check the figures."""
        if math.isnan(self.permeance_kg_s_m2_pa) or self.permeance_kg_s_m2_pa < 0:
            raise PhysicsInputError(
                f"wrap permeance is {self.permeance_kg_s_m2_pa}: give 0 (tight) or a positive figure"
            )
        require_between("wrap emissivity", self.emissivity, low=0.01, high=1.0, unit="")
        if math.isnan(self.gap_w_m2_k) or self.gap_w_m2_k < 0.5:
            raise PhysicsInputError("wrap gap conductance must be at least 0.5 W/(m²·K)")


BARE = FaceCover()


@dataclass(frozen=True, slots=True)
class WrapModel:
    """Covers of the upper face, the lower face and the flanks (sides and ends) of the meat."""

    name: str
    upper: FaceCover = BARE
    lower: FaceCover = BARE
    flank: FaceCover = BARE


def no_wrap() -> WrapModel:
    """Return the bare state: every face open to the pit, juice drips away."""
    return WrapModel(name="no wrap")


def foil_tight(*, permeance_kg_s_m2_pa: float = 0.0) -> WrapModel:
    """Return foil crimped all round: no vapour leaves below boiling, juice is kept, hardly any radiation."""
    foil = FaceCover(permeance_kg_s_m2_pa, FOIL_EMISSIVITY, FOIL_GAP_W_M2_K, retains_juice=True)
    return WrapModel(name="foil, tight", upper=foil, lower=foil, flank=foil)


def foil_boat() -> WrapModel:
    """Return an open-topped foil tray round the underside and up the sides; the upper face stays bare."""
    under = FaceCover(0.0, FOIL_EMISSIVITY, TRAY_FLOOR_GAP_W_M2_K, retains_juice=True)
    side = FaceCover(TRAY_SIDE_PERMEANCE, FOIL_EMISSIVITY, TRAY_SIDE_GAP_W_M2_K, retains_juice=True)
    return WrapModel(name="foil boat", upper=BARE, lower=under, flank=side)


def butcher_paper(*, permeance_kg_s_m2_pa: float = DRY_PAPER_PERMEANCE) -> WrapModel:
    """Return dry uncoated paper all round: it breathes, radiates like the bark and soaks up the drip."""
    paper = FaceCover(permeance_kg_s_m2_pa, PAPER_EMISSIVITY, PAPER_GAP_W_M2_K, retains_juice=True)
    return WrapModel(name="butcher paper", upper=paper, lower=paper, flank=paper)


def soaked_paper(*, permeance_kg_s_m2_pa: float = SOAKED_PAPER_PERMEANCE) -> WrapModel:
    """Return paper soaked with tallow or clarified butter: tighter than dry paper, still not foil."""
    paper = FaceCover(permeance_kg_s_m2_pa, PAPER_EMISSIVITY, PAPER_GAP_W_M2_K, retains_juice=True)
    return WrapModel(name="paper soaked with fat", upper=paper, lower=paper, flank=paper)


def covered_pan() -> WrapModel:
    """Return a lidded pan: foil over the top with steamy air under it, metal below."""
    lid = FaceCover(2.0e-10, 0.2, COVER_GAP_W_M2_K, retains_juice=True)
    pan = FaceCover(0.0, 0.3, FOIL_GAP_W_M2_K, retains_juice=True)
    return WrapModel(name="covered pan", upper=lid, lower=pan, flank=lid)
