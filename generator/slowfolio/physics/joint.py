"""The piece of meat as the engine sees it: columns along its length, lanes across, nodes through its depth.

Cut shapes, the dimensions that follow from the weight, and the grid live here; time stepping and heat
exchange with the pit do not. ``forecast`` builds a ``Joint`` from a cut card and hands it to
``cook.simulate``.

The joint is symmetric about its long axis: a *lane* stands for the strips on both sides of it. Node 0 is
at the face that carries the fat cap, the last node at the lean face; which of them looks up is the
schedule's matter.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, field
from functools import cache

import numpy as np

from slowfolio.physics.errors import PhysicsInputError, require_between
from slowfolio.physics.meat import SEPARABLE_FAT, Array, Composition, FatKind, density_kg_m3

# Inner lane's share of the half width. COMPUTED: with two lanes, 0.6 keeps the brick check within 2 %.
INNER_LANE_SHARE = 0.6
# Part of the parabola's lift from lane mean to axis that is applied. CALIBRATED: two and four lanes finish
# alike, and the brick check stays within 1.8 %.
AXIS_LIFT = 0.6
# Where the thin part is probed, of the length; CALIBRATED: the middle of a packer's flat.
THIN_STATION = 0.3
# From this part of the greatest thickness on a place counts as thickest. CALIBRATED: within a probe's aim.
AS_GOOD_AS_THICKEST = 0.98
# Depth of the outermost nodes, the crust that dries and browns as one. CALIBRATED 0.8-2 mm: of a dry rub.
CRUST_M = 0.0013
# Their share of the half depth before grading. CALIBRATED: so 16 and 32 nodes agree best on bark and finish.
CRUST_SHARE = 0.35


@dataclass(frozen=True, slots=True)
class CutShape:
    """A cut's form and make-up, free of its weight.

    ``length_ratio``, ``width_ratio``: overall length and width over the greatest thickness.
    ``thickness_profile``: thickness over the greatest thickness at evenly spaced stations from the thin end
    (a packer's flat) to the thick end (its point); one value means an even slab.
    ``edge_ratio``: thickness of the outer strips over that of the middle (1 = square edges).
    ``thin_part`` / ``thick_part``: composition without the fat cap; ``thick_from`` is the fraction of the
    length where the thick part (point) begins; 1.0 means the whole piece is ``thin_part``.
    ``fat_cap_thickness_m`` and ``fat_cap_cover`` (0..1 of the face). ``bone_fraction`` of the mass is inert.
    ``collagen_factor`` multiplies the gelatinisation rate (young pork and lamb convert faster than beef);
    ``tender_conversion`` is the collagen conversion at which a probe slides in (0 = no collagen criterion).
    """

    name: str
    length_ratio: float
    width_ratio: float
    thickness_profile: tuple[float, ...]
    thin_part: Composition
    thick_part: Composition
    edge_ratio: float = 1.0
    thick_from: float = 1.0
    fat_cap_thickness_m: float = 0.0
    fat_cap_cover: float = 0.0
    fat: FatKind = FatKind.BEEF
    bone_fraction: float = 0.0
    collagen_factor: float = 1.0
    tender_conversion: float = 0.40

    def __post_init__(self) -> None:
        """Check the ratios."""
        require_between("length over thickness", self.length_ratio, low=0.5, high=50.0, unit="")
        require_between("width over thickness", self.width_ratio, low=0.5, high=50.0, unit="")
        require_between("edge ratio", self.edge_ratio, low=0.1, high=1.0, unit="")
        require_between("start of the thick part", self.thick_from, low=0.0, high=1.0, unit="of the length")
        require_between("fat cap thickness", self.fat_cap_thickness_m, low=0.0, high=0.05, unit="m")
        require_between("fat cap cover", self.fat_cap_cover, low=0.0, high=1.0, unit="of the face")
        require_between("bone fraction", self.bone_fraction, low=0.0, high=0.6, unit="of the mass")
        require_between("collagen factor", self.collagen_factor, low=0.1, high=10.0, unit="")
        require_between("tender conversion", self.tender_conversion, low=0.0, high=0.95, unit="")
        if not self.thickness_profile:
            raise PhysicsInputError("the thickness profile is empty: give at least one value, such as (1.0,)")
        for value in self.thickness_profile:
            require_between("thickness profile", value, low=0.05, high=1.0, unit="of the greatest thickness")


@dataclass(frozen=True, slots=True)
class Place:
    """A station on the long axis, read from up to three inner cells by ``weights`` that add up to 1."""

    cells: tuple[int, ...]
    weights: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Joint:
    """A piece on its grid: N depth nodes, K = columns x lanes cells in plan (column-major: k =
    column·lanes+lane).

    Masses are kg per node, shape (N, K), and add up to ``weight_kg``. Lengths in m, areas in m².
    """

    shape: CutShape
    weight_kg: float
    length_m: float
    width_m: float
    thickness_m: float
    columns: int
    lanes: int
    node_fraction: Array  # (N,) thickness of each node over that of its column; adds up to 1
    column_thickness_m: Array  # (K,)
    plan_area_m2: Array  # (K,) both mirrored strips together
    flank_area_m2: Array  # (K,) area of side and end faces, 0 for inner cells
    flank_distance_m: Array  # (K,) from the cell's middle to its flank
    pitch_m: float  # length of one column
    lane_width_m: Array  # (L,) both mirrored strips together
    lane_distance_m: Array  # (L-1,) between the middles of neighbouring lanes
    water_kg: Array  # (N, K)
    protein_kg: Array  # (N, K)
    fat_kg: Array  # (N, K)
    ash_kg: Array  # (N, K) ash and bone
    cap_fat_kg: Array  # (N, K) the part of fat_kg that belongs to the cap
    core: Place  # where the thick part is probed
    thin: Place  # where the thin part is probed
    thick_part: Array  # (K,) the part of each cell that belongs to the thick part (point), 0..1
    depth_edges: Array = field(init=False)  # (N+1,) node edges: cap face -1, depth middle 0, lean face 1
    depth_moments: Array = field(
        init=False
    )  # (N,) mean over each node of (x/half thickness)² from the middle
    node_depth: Array = field(init=False)  # (N,) relative depth of node middles below the fat-cap face, 0..1

    def __post_init__(self) -> None:
        """Lay out the depth."""
        depth = np.concatenate(([0.0], np.cumsum(self.node_fraction)))
        object.__setattr__(self, "depth_edges", depth * 2.0 - 1.0)
        object.__setattr__(self, "depth_moments", square_moments(depth * 2.0 - 1.0))
        object.__setattr__(self, "node_depth", 0.5 * (depth[1:] + depth[:-1]))

    @property
    def nodes(self) -> int:
        """Number of depth nodes."""
        return int(self.node_fraction.size)

    @property
    def cells(self) -> int:
        """Number of cells in plan."""
        return int(self.plan_area_m2.size)

    def at(self, values: Array, place: Place) -> Array:
        """Return ``values`` (N, K, ...) beside the long axis at ``place``, in the inner lane, (N, ...)."""
        return weighted(values, zip(place.cells, place.weights, strict=True))

    def axis_weights(self, place: Place) -> tuple[tuple[int, float], ...]:
        """Return the cells and their weights, adding up to 1, that give a value on the long axis at
        ``place``.
        """
        lift = axis_lift(self.lanes) if self.lanes > 1 else 0.0
        inner = [
            (cell, weight * (1.0 + lift)) for cell, weight in zip(place.cells, place.weights, strict=True)
        ]
        outer = [(cell + 1, -weight * lift) for cell, weight in zip(place.cells, place.weights, strict=True)]
        return tuple(inner + outer if self.lanes > 1 else inner)

    def on_axis(self, values: Array, place: Place) -> Array:
        """Return ``values`` (N, K, ...) on the long axis at ``place``, shape (N, ...).

        Cells hold lane means; the parabola through the two inner lanes gives the value on the axis, damped by
        AXIS_LIFT because early in a cook the profile is flatter than a parabola.
        """
        return weighted(values, self.axis_weights(place))

    def in_the_middle(self, values: Array, place: Place) -> Array:
        """Return ``values`` (N, K, ...) on the axis in the middle of the depth at ``place``, shape (...)."""
        line = self.on_axis(values, place)
        half = self.nodes // 2
        if self.nodes % 2:
            return np.asarray(line[half], dtype=np.float64)
        inner, outer = self.depth_moments[half], self.depth_moments[half + 1]
        near = 0.5 * (line[half - 1] + line[half])
        far = 0.5 * (line[half - 2] + line[half + 1])
        return np.asarray(near - (far - near) * inner / (outer - inner), dtype=np.float64)

    @property
    def column_positions(self) -> Array:
        """Relative position of each column's middle along the length, thin end 0, thick end 1, shape (C,)."""
        return np.asarray((np.arange(self.columns) + 0.5) / self.columns, dtype=np.float64)


def weighted(values: Array, weights: Iterable[tuple[int, float]]) -> Array:
    """Return the sum of ``values`` (N, K, ...) of cells times their weights, shape (N, ...)."""
    return np.asarray(sum(values[:, cell] * weight for cell, weight in weights), dtype=np.float64)


@cache
def axis_lift(lanes: int) -> float:
    """Return by which part of the step from inner to next lane the axis lies beyond the inner lane's mean."""
    inner, outer = square_moments(lane_edges(lanes))[:2]
    return float(AXIS_LIFT * inner / (outer - inner))


def square_moments(edges: Array) -> Array:
    """Return the mean of x² between successive ``edges``."""
    return np.asarray(np.diff(edges**3) / (3.0 * np.diff(edges)), dtype=np.float64)


def parabola_stretch(edges: Array, middle_distance: Array) -> Array:
    """Return conduction distances between cells over ``middle_distance``, one for each inner edge.

    Cells hold mean temperatures. In a piece that heats evenly from both sides the profile is a parabola;
    these distances make the flux between such means exact on a graded grid (COMPUTED: difference of the
    means of x² over the slope 2x at the edge). An edge in the very middle passes no flux and keeps its
    plain distance.
    """
    moments, inner = square_moments(edges), edges[1:-1]
    off_middle = np.abs(inner) > 1e-9
    exact = np.diff(moments) / np.where(off_middle, 2.0 * inner, 1.0)
    return np.asarray(np.where(off_middle, exact / middle_distance, 1.0), dtype=np.float64)


def node_fractions(nodes: int, thickness_m: float) -> Array:
    """Return thicknesses (adding up to 1) of ``nodes`` depth nodes crowded towards both faces (tanh
    grading), the outermost CRUST_M thick where the piece is ``thickness_m`` thick.

    The outermost node is the crust that exchanges vapour with the air: it must not thin out with the number
    of nodes or with the piece, or it would dry and brown another way.
    """
    wanted = min(CRUST_M / thickness_m, 0.99 * CRUST_SHARE / 2.0)
    low, high = 1e-3, 12.0
    for _ in range(50):
        grading = 0.5 * (low + high)
        thicker = 0.5 - 0.5 * math.tanh(grading * (1.0 - CRUST_SHARE)) / math.tanh(grading) > wanted
        low, high = (grading, high) if thicker else (low, grading)
    inner = (1.0 - CRUST_SHARE) * np.linspace(-1.0, 1.0, nodes - 1)
    edges = np.tanh(grading * np.concatenate(([-1.0], inner, [1.0]))) / math.tanh(grading)
    return np.asarray(np.diff(edges) / 2.0, dtype=np.float64)


def column_profile(shape: CutShape, columns: int) -> Array:
    """Return the mean relative thickness of each of ``columns`` equal lengths, thin end first."""
    stations = np.linspace(0.0, 1.0, len(shape.thickness_profile))
    fine = (np.arange(columns * 20) + 0.5) / (columns * 20)
    profile = np.interp(fine, stations, shape.thickness_profile)
    return np.asarray(profile.reshape(columns, 20).mean(axis=1), dtype=np.float64)


def thickest_station(shape: CutShape) -> float:
    """Return where along the length (0 thin end .. 1 thick end) the thick part is probed.

    It is the place nearest to the middle of the length where the piece is as good as at its thickest.
    """
    along = np.linspace(0.0, 1.0, 1001)
    stations = np.linspace(0.0, 1.0, len(shape.thickness_profile))
    profile = np.interp(along, stations, shape.thickness_profile)
    thick = along[profile >= AS_GOOD_AS_THICKEST * profile.max()]
    return float(thick[np.argmin(np.abs(thick - 0.5))])


def place_at(station: float, *, columns: int, lanes: int) -> Place:
    """Return the place at ``station`` (0..1 of the length), read from the three columns nearest to it.

    Columns hold means; the parabola with the means of all three gives the value at the station (COMPUTED).
    """
    position = station * columns - 0.5
    if columns < 3:
        share = min(max(position, 0.0), columns - 1.0)
        return Place((0, (columns - 1) * lanes), (1.0 - share, share))
    middle = min(max(round(position), 1), columns - 2)
    off = position - middle
    bend = 0.5 * (off * off - 1.0 / 12.0)
    cells = tuple(column * lanes for column in (middle - 1, middle, middle + 1))
    return Place(cells, (bend - 0.5 * off, 1.0 - 2.0 * bend, bend + 0.5 * off))


def lane_edges(lanes: int) -> Array:
    """Return the edges of the lanes over the half width, from the axis (0) to the side (1)."""
    if lanes == 2:
        return np.array([0.0, INNER_LANE_SHARE, 1.0])
    return np.linspace(0.0, 1.0, lanes + 1)


def edge_profile(shape: CutShape, lanes: int) -> Array:
    """Return the mean thickness of each lane over that on the axis: ``edge_ratio`` past INNER_LANE_SHARE."""
    edges = lane_edges(lanes)
    beyond = np.maximum(edges - INNER_LANE_SHARE, 0.0)
    return np.asarray(1.0 - (1.0 - shape.edge_ratio) * np.diff(beyond) / np.diff(edges), dtype=np.float64)


def build_joint(
    shape: CutShape,
    weight_kg: float,
    thickness_m: float | None = None,
    *,
    columns: int = 6,
    lanes: int = 2,
    nodes: int = 16,
) -> Joint:
    """Return the joint of ``shape`` that weighs ``weight_kg``, on its grid.

    Dimensions follow from the weight: all lengths scale with the cube root of weight over density. Where
    ``thickness_m`` (the greatest thickness) is given, length and width give way so that the weight still
    holds. Raises PhysicsInputError for a weight outside 0.2-25 kg, a thickness outside 10-300 mm or a grid
    too coarse.
    """
    require_between("weight", weight_kg, low=0.2, high=25.0, unit="kg")
    if not (1 <= columns <= 40 and 1 <= lanes <= 10 and 4 <= nodes <= 200):
        raise PhysicsInputError("the grid must have 1-40 columns, 1-10 lanes and 4-200 depth nodes")
    profile = column_profile(shape, columns)
    half_lanes = np.diff(lane_edges(lanes))
    edge = edge_profile(shape, lanes)
    thick_share = share_beyond(shape.thick_from, columns)
    relative = profile[:, None] * edge[None, :]  # (C, L) thickness over the greatest
    fill = float((relative * half_lanes[None, :]).sum() / columns)
    density = mean_density_kg_m3(shape, thick_share, profile)
    volume = weight_kg / density
    if thickness_m is None:
        greatest = (volume / (shape.length_ratio * shape.width_ratio * fill)) ** (1.0 / 3.0)
        length, width = shape.length_ratio * greatest, shape.width_ratio * greatest
    else:
        greatest = require_between("thickness", thickness_m, low=0.010, high=0.300, unit="m")
        stretch = math.sqrt(volume / (greatest * fill) / (shape.length_ratio * shape.width_ratio))
        length, width = shape.length_ratio * stretch, shape.width_ratio * stretch
    thickness = (greatest * relative).reshape(-1)
    plan = np.broadcast_to(length / columns * half_lanes * width, (columns, lanes)).reshape(-1).copy()
    fractions = node_fractions(nodes, greatest)
    masses = node_masses(shape, thickness, plan, fractions, np.repeat(thick_share, lanes))
    scale = weight_kg / sum(float(m.sum()) for m in masses[:4])
    water, protein, fat, ash, cap = (m * scale for m in masses)
    lane_width = half_lanes * width
    lane_distance = np.diff(0.5 * (lane_edges(lanes)[1:] + lane_edges(lanes)[:-1])) * width / 2.0
    flank_area, flank_distance = cell_flanks(columns, lanes, length, width, thickness)
    return Joint(
        shape=shape,
        weight_kg=weight_kg,
        length_m=length,
        width_m=width,
        thickness_m=greatest,
        columns=columns,
        lanes=lanes,
        node_fraction=fractions,
        column_thickness_m=thickness,
        plan_area_m2=plan * scale,
        flank_area_m2=flank_area,
        flank_distance_m=flank_distance,
        pitch_m=length / columns,
        lane_width_m=lane_width,
        lane_distance_m=lane_distance,
        water_kg=water,
        protein_kg=protein,
        fat_kg=fat,
        ash_kg=ash,
        cap_fat_kg=cap,
        core=place_at(thickest_station(shape), columns=columns, lanes=lanes),
        thin=place_at(THIN_STATION, columns=columns, lanes=lanes),
        thick_part=np.repeat(thick_share, lanes),
    )


def share_beyond(station: float, columns: int) -> Array:
    """Return how much of each column lies beyond ``station`` (0..1 of the length), 0..1, shape (C,)."""
    return np.clip(np.arange(1, columns + 1) - station * columns, 0.0, 1.0)


def mean_density_kg_m3(shape: CutShape, thick_share: Array, profile: Array) -> float:
    """Return the density of the whole piece at 20 °C, cap left out (the cap is a small part of the
    volume).
    """
    thin, thick = density_kg_m3(shape.thin_part), density_kg_m3(shape.thick_part)
    return float(np.average(thin + (thick - thin) * thick_share, weights=profile))


def node_masses(
    shape: CutShape, thickness: Array, plan: Array, fractions: Array, thick_share: Array
) -> tuple[Array, Array, Array, Array, Array]:
    """Return water, protein, fat, ash and cap fat of each node, kg, each of shape (N, K).

    The cap replaces meat from node 0 down to its thickness over its cover of the face.
    """
    depth_edges = np.concatenate(([0.0], np.cumsum(fractions)))[:, None] * thickness[None, :]
    overlap = np.clip(shape.fat_cap_thickness_m - depth_edges[:-1], 0.0, np.diff(depth_edges, axis=0))
    cap_share = shape.fat_cap_cover * overlap / np.diff(depth_edges, axis=0)
    thin, thick = shape.thin_part.fractions(), shape.thick_part.fractions()
    lean = thin[:, None] + (thick - thin)[:, None] * thick_share[None, :]  # (4, K)
    lean = lean * (1.0 - shape.bone_fraction)
    lean[3] += shape.bone_fraction
    cap = SEPARABLE_FAT.fractions()
    density = density_kg_m3(shape.thin_part) + thick_share * (
        density_kg_m3(shape.thick_part) - density_kg_m3(shape.thin_part)
    )
    volume = fractions[:, None] * (thickness * plan)[None, :]
    meat_mass = volume * (1.0 - cap_share) * density[None, :]
    cap_mass = volume * cap_share * density_kg_m3(SEPARABLE_FAT)
    parts = [meat_mass * lean[i][None, :] + cap_mass * cap[i] for i in range(4)]
    return parts[0], parts[1], parts[2], parts[3], cap_mass * cap[2]


def cell_flanks(
    columns: int, lanes: int, length: float, width: float, thickness: Array
) -> tuple[Array, Array]:
    """Return each cell's side-and-end area and the area-weighted distance from its middle to those faces."""
    pitch = length / columns
    edges = lane_edges(lanes) * width / 2.0
    area = np.zeros(columns * lanes)
    conductance = np.zeros(columns * lanes)
    column_moments = square_moments(np.linspace(-1.0, 1.0, columns + 1))
    end_reach = 0.5 * float(1.0 - column_moments[0]) * length / 2.0
    for column in range(columns):
        for lane in range(lanes):
            here = column * lanes + lane
            if lane == lanes - 1:
                side = 2.0 * pitch * thickness[here]
                reach = 0.5 * float(1.0 - square_moments(lane_edges(lanes))[-1]) * width / 2.0
                area[here] += side
                conductance[here] += side / reach
            ends = (column == 0) + (column == columns - 1)
            if ends:
                end = ends * 2.0 * float(edges[lane + 1] - edges[lane]) * thickness[here]
                area[here] += end
                conductance[here] += end / end_reach
    distance = np.divide(area, conductance, out=np.ones_like(area), where=conductance > 0)
    return area, distance
