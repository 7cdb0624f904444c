"""What may be asked of `place`, and the call."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from typing import Any, Literal, NamedTuple, TypedDict, cast

import numpy.typing as npt

from dibble import _dibble, _gate, _long
from dibble._dibble import Placement, Plane, Polygon, Sprinkler, System
from dibble._gate import count, items, one_number, text, texts, thread_count
from dibble._types import Floats, Number, Numbers, Positions, Shape
from dibble.errors import DibbleTypeError, OutOfRangeError, UnknownNameError

__all__ = ["Alleys", "FieldMap", "Grid", "Hydrant", "Prices", "place", "read_map"]


class Grid(NamedTuple):
    """The sprinkler may stand on a square grid, whose lines run in a direction (compass degrees)."""

    spacing_m: Number
    facing_deg: Number = 0.0


class Alleys(NamedTuple):
    """The sprinkler may stand along alleys, each given by two corners or more, at equal steps of at most `step_m`."""

    lines: Sequence[Positions]
    step_m: Number


class Hydrant(NamedTuple):
    """An outlet, with the hose that can be laid from it.

    xy_m : its place, m east and north. hose_m : length of hose from it, m. name : what it is called, or None.
    """

    xy_m: Positions
    hose_m: Number
    name: str | None = None


class FieldMap(NamedTuple):
    """A map in meters of its plane: what `place` takes."""

    plane: Plane
    outline: Polygon
    keep_out: list[Polygon]
    stay_dry: list[Polygon]
    trees_xy_m: Floats
    labels: list[str]
    hydrants: list[Hydrant]


class Prices(TypedDict, total=False):
    """What counts beside minutes, in minutes of work; what is left out keeps its usual value (our judgment)."""

    pump_min: float
    drained_min_per_m3: float
    beside_min_per_m3: float
    keep_out_min_per_m3: float
    short_min_per_mm: float


class _Asked(NamedTuple):
    """What may be said beside field, sprinkler, trees and depth."""

    keep_out: list[Polygon]
    stay_dry: list[Polygon]
    hold_mm: Numbers | None
    cap_mm: Numbers | None
    per_set_mm: Numbers | None
    labels: list[str]
    ground_m2: Number | None
    positions: Literal["anywhere"] | Grid | Alleys | Positions
    hydrants: list[Hydrant]
    hose_run: str
    row_direction_deg: Number
    system: System | None
    section_m: Number | None
    edge_arcs_deg: npt.ArrayLike
    move_min: Number | None
    longest_min: Number | None
    prices: Prices
    seed: int
    work: int | None
    n_threads: int | None


def place(
    field: Polygon | Shape,
    sprinkler: Sprinkler,
    trees_xy_m: Positions,
    target_mm: Numbers,
    *,
    keep_out: Sequence[Polygon | Shape] = (),
    stay_dry: Sequence[Polygon | Shape] = (),
    positions: Literal["anywhere"] | Grid | Alleys | Positions = "anywhere",
    hydrants: Sequence[Hydrant | tuple[Any, ...]] = (),
    hose_run: Literal["straight", "along_rows"] = "straight",
    row_direction_deg: Number = 0.0,
    system: System | None = None,
    section_m: Number | None = None,
    hold_mm: Numbers | None = None,
    cap_mm: Numbers | None = None,
    per_set_mm: Numbers | None = None,
    labels: Sequence[str] = (),
    ground_m2: Number | None = None,
    edge_arcs_deg: npt.ArrayLike = (),
    move_min: Number | None = None,
    longest_min: Number | None = None,
    prices: Prices | None = None,
    seed: int = 0,
    work: int | None = None,
    n_threads: int | None = None,
    plane: Plane | None = None,
    progress: _long.Progress = None,
) -> Placement:
    """Choose positions and minutes that give every reachable tree its depth at the least pump time, move time and priced waste.

    The same question gets the same answer, on any number of threads. Ctrl-C stops it.

    Parameters
    ----------
    field : Polygon or shape
        Outline with its holes; anything that `geom.Polygon` takes. The sprinkler stands inside; water outside is waste.
    sprinkler : Sprinkler
        The sprinkler, with wind and spray loss.
    trees_xy_m : array-like or points
        Where the trees stand, `[n, 2]`, up to 20,000.
    target_mm : float or array-like
        Depth that each tree should get; 0.8 to 0.9 of what its ground lacks leaves room for unevenness.
    keep_out, stay_dry : sequence of Polygon or shape
        Areas where the sprinkler may not stand and water is waste at a price of its own; areas that no drop may reach.
    positions : "anywhere", Grid, Alleys, or array-like
        Where the sprinkler may stand; up to 2,000 places with their arcs.
    hydrants : sequence of Hydrant or tuple
        Outlets and their hose, as `Hydrant` or its fields in a tuple; none if every position can be reached.
    hose_run : {"straight", "along_rows"}
        How the hose runs: straight, or along the headland and down an alley in the direction of the rows.
    row_direction_deg : float
        Direction of the rows, compass degrees.
    system : System, optional
        Pump, hoses and nozzle: the flow at each position then comes from the duty point there, its last hose being as long as
        the run; flow and radius are the sprinkler's if not given.
    section_m : float, optional
        Length of a section of that hose; all of it lies out if not given.
    hold_mm : float or array-like, optional
        Depth that the ground of each tree holds; more sinks past its roots. The target over 0.85 if not given.
    cap_mm, per_set_mm : float or array-like, optional
        Depth that no tree may get more of, in all and from one set.
    labels : sequence of str
        Names of the trees.
    ground_m2 : float, optional
        Ground that one tree stands for; the block's area over its trees if not given.
    edge_arcs_deg : array-like
        Widths of part circles that may be set near an edge, facing inwards.
    move_min, longest_min : float, optional
        Work of moving to a position and starting there, 20 min if not given; longest time at one, 240 min.
    prices : Prices, optional
        What counts beside minutes.
    seed, work : int, optional
        Of the search; more work may find a better plan.
    n_threads : int, optional
        `DIBBLE_NUM_THREADS` if not given, else one for each core.
    plane : Plane, optional
        Given, all shapes and positions of the call but those of `Polygon` are longitude and latitude. Answers are in meters.
    progress : bool or callable, optional
        A bar (needs tqdm), or a function of (done, total).

    Returns
    -------
    Placement
        sets_xy_m, minutes, depths_mm, short, cost, bound, gap; `print` it, `plot` it.

    Raises
    ------
    DibbleError
        Trees outside the outline, no position in reach of a hydrant (says which is how far short), too many trees or positions, a
        value out of range, positions that wet no tree (says how far the nearest is).

    References
    ----------
    Own search; the bound is a Lagrangian relaxation that holds for any prices.

    Examples
    --------
    >>> from dibble.placement import place
    >>> from dibble.sprinkler import Sprinkler
    >>> trees = [(2 + 4 * i, 2 + 4 * j) for i in range(8) for j in range(6)]
    >>> plan = place([(0, 0), (32, 0), (32, 24), (0, 24)], Sprinkler(flow_l_min=300, radius_m=34), trees, 15)
    >>> plan
    <Placement: 1 set for 48 trees, 0 short>
    """
    if plane is not None and not isinstance(plane, Plane):
        raise DibbleTypeError(f"plane is of class {type(plane).__name__}: a Plane is needed.", name="plane")

    def polygon(shape: Polygon | Shape) -> Polygon:
        return shape if isinstance(shape, Polygon) else Polygon(shape, plane=plane)

    def meters(places: Positions) -> Positions:
        return places if plane is None else plane.to_meters(places)

    if isinstance(positions, Alleys):
        positions = Alleys([meters(line) for line in items("lines", positions.lines, "alleys")], positions.step_m)
    elif not isinstance(positions, (str, Grid)):
        positions = meters(positions)
    asked = _Asked(
        keep_out=[polygon(area) for area in items("keep_out", keep_out, "areas")],
        stay_dry=[polygon(area) for area in items("stay_dry", stay_dry, "areas")],
        hold_mm=hold_mm,
        cap_mm=cap_mm,
        per_set_mm=per_set_mm,
        labels=texts("labels", labels),
        ground_m2=ground_m2,
        positions=positions,
        hydrants=[_hydrant(hydrant, meters) for hydrant in items("hydrants", hydrants, "hydrants")],
        hose_run=text("hose_run", hose_run),
        row_direction_deg=row_direction_deg,
        system=system,
        section_m=section_m,
        edge_arcs_deg=edge_arcs_deg,
        move_min=move_min,
        longest_min=longest_min,
        prices=_prices(prices),
        seed=count("seed", seed) or 0,
        work=count("work", work),
        n_threads=thread_count(n_threads),
    )
    with _long.reporting(progress, "step") as report:
        return _dibble.place(polygon(field), sprinkler, meters(trees_xy_m), target_mm, asked, report)


def _hydrant(given: Any, meters: Callable[[Positions], Positions]) -> Hydrant:
    """Return a hydrant; its fields in a plain sequence will do."""
    try:
        hydrant = given if isinstance(given, Hydrant) else Hydrant(*given)
    except TypeError as error:
        message = f"hydrants hold {_gate.brief(given)}: a Hydrant, or its place and hose, is needed, as in Hydrant((0, 0), hose_m=90)."
        raise DibbleTypeError(message, name="hydrants") from error
    name = None if hydrant.name is None else text("name of a hydrant", hydrant.name)
    return Hydrant(meters(hydrant.xy_m), hydrant.hose_m, name)


def _prices(given: Any) -> Prices:
    """Return prices as plain floats by their names."""
    if given is None:
        return {}
    if not isinstance(given, Mapping):
        raise DibbleTypeError(f"prices is of class {type(given).__name__}: a dict is needed, as in {{'pump_min': 1.0}}.", name="prices")
    known = list(Prices.__annotations__)
    for name in given:
        if name not in known:
            message = f'prices "{name}" is not known. Known are: {", ".join(known)}.'
            raise UnknownNameError(message, name="prices", value=str(name))
    return cast("Prices", {name: _price(f"prices.{name}", price) for name, price in given.items()})


def _price(name: str, value: Any) -> float:
    price = one_number(name, value)
    if not math.isfinite(price):
        raise OutOfRangeError(f"{name} is {price}: a finite number is needed, 0 for no price.", name=name, value=price)
    return price


def read_map(text: str, origin: Plane | None = None) -> FieldMap:
    """Read a block, its trees and hydrants from GeoJSON (RFC 7946).

    Features say what they are by the property `kind`: "outline", "keep_out", "stay_dry", "tree", "hydrant" (with `hose_m`).
    Without it, polygons are outlines and points are trees; a tree's or hydrant's `name` is kept.

    Parameters
    ----------
    text : str
        A feature collection, a feature or a bare geometry.
    origin : Plane, optional
        Where meters begin, such as the farm's site; the first corner of the outline if not given.

    Returns
    -------
    FieldMap
        plane, outline, keep_out, stay_dry, trees_xy_m, labels, hydrants.

    Raises
    ------
    DibbleError
        Text that is no GeoJSON, not one outline, longitude and latitude exchanged, rings that cross themselves.

    References
    ----------
    RFC 7946; distances within 5 km of the origin come out at most 2 mm short.

    Examples
    --------
    >>> from dibble.placement import read_map
    >>> corners = "[[[-84.70, 45.00], [-84.699, 45.00], [-84.699, 45.001], [-84.70, 45.00]]]"
    >>> field = read_map('{"type": "Polygon", "coordinates": ' + corners + "}")
    >>> round(field.outline.area_m2)  # 78.8 m by 111.1 m, half of it
    4381
    """
    plane, outline, keep_out, stay_dry, trees, labels, hydrants = _dibble.read_map(_gate.text("text", text), origin)
    return FieldMap(plane, outline, keep_out, stay_dry, trees, labels, [Hydrant(*row) for row in hydrants])
