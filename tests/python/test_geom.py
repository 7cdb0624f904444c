"""Exact areas against shapely, shapes of other packages, the plane, and what is refused."""

import pickle

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from dibble import geom
from dibble.errors import DibbleTypeError, InconsistentError, OutOfRangeError
from dibble.geom import Plane, Polygon, Round

SQUARE = [(0, 0), (100, 0), (100, 80), (0, 80)]
ODD = [(0, 0), (90, -10), (120, 40), (70, 35), (60, 90), (10, 70)]
HOLE = [(30, 20), (50, 20), (50, 40), (30, 40)]

# Corners of the polygon that stands for a circle, and how far its area falls short: 1 - sin(2π/n) n/2π.
CORNERS = 4 * 4096
DEFICIT = 1 - np.sin(2 * np.pi / CORNERS) * CORNERS / (2 * np.pi)


def fine(disc: Round) -> shapely.Geometry:
    """Give the patch as a polygon of many corners."""
    ring = shapely.Point(disc.center_xy_m).buffer(disc.outer_m, quad_segs=CORNERS // 4)
    if disc.inner_m:
        ring = ring.difference(shapely.Point(disc.center_xy_m).buffer(disc.inner_m, quad_segs=CORNERS // 4))
    if disc.arc_deg < 360:
        half = disc.arc_deg / 2
        bearings = np.radians(np.linspace(disc.facing_deg - half, disc.facing_deg + half, 721))
        far = 3 * disc.outer_m * np.column_stack([np.sin(bearings), np.cos(bearings)]) + disc.center_xy_m
        ring = ring.intersection(shapely.Polygon([disc.center_xy_m, *far]))
    return ring


@settings(max_examples=60, deadline=None)
@given(
    x=st.floats(-40, 160),
    y=st.floats(-40, 120),
    outer=st.floats(0.5, 90),
    inner=st.floats(0, 0.9),
    facing=st.floats(0, 360),
    arc=st.one_of(st.just(360.0), st.floats(1, 359)),
)
def test_areas_of_discs_annuli_and_sectors_within_a_polygon_are_shapelys(
    x: float, y: float, outer: float, inner: float, facing: float, arc: float
) -> None:
    patch = Round((x, y), outer, inner_m=inner * outer, facing_deg=facing, arc_deg=arc)
    field = Polygon(ODD, [HOLE])
    area = patch.area_within_m2(field)
    coarse = fine(patch).intersection(shapely.Polygon(ODD, [HOLE])).area
    # The fine polygon lies inside of the circle, so it is short by at most the deficit of both its circles.
    circles = np.pi * outer**2 * (1 + inner**2)
    assert -DEFICIT * circles - 1e-6 <= area - coarse <= DEFICIT * circles + 1e-6


def test_covered_areas_are_those_of_shapelys_unions() -> None:
    rng = np.random.default_rng(5)
    discs = [Round(at, radius) for at, radius in zip(rng.uniform(0, 90, (7, 2)), rng.uniform(8, 40, 7), strict=True)]
    union = shapely.union_all([fine(disc) for disc in discs])
    total = sum(disc.area_m2 for disc in discs)
    for polygon, shape in ((None, union), (Polygon(ODD), union.intersection(shapely.Polygon(ODD)))):
        covered = geom.covered_area_m2(discs, 1, polygon)
        assert abs(covered - shape.area) <= DEFICIT * total
    assert sum(geom.covered_area_m2(discs, times) for times in range(1, 8)) == pytest.approx(total, rel=1e-12)
    assert geom.covered_area_m2([Round((0, 0), 5), Round((6, 0), 5)], 2) == pytest.approx(geom.lens_area_m2(5, 5, 6), rel=1e-12)


def test_shapes_of_other_packages_come_in_and_go_out() -> None:
    plain = Polygon(ODD, [HOLE])
    shape = shapely.Polygon(ODD, [HOLE])
    feature = {"type": "Feature", "properties": {}, "geometry": shapely.geometry.mapping(shape)}
    high = shapely.force_3d(shape, 280.0)
    for given_shape in (shape, feature, {"type": "FeatureCollection", "features": [feature]}, shapely.MultiPolygon([shape]), high, plain):
        assert Polygon(given_shape) == plain
    assert shapely.geometry.shape(plain).equals(shape)
    assert plain.area_m2 == pytest.approx(shape.area, rel=1e-14)
    assert plain.extent_m == (0, -10, 120, 90)
    trees = np.random.default_rng(1).uniform(-20, 130, (200, 2))
    points = shapely.MultiPoint(trees)
    assert plain.contains(points).tolist() == [shape.contains(point) for point in points.geoms]
    assert plain.contains(list(points.geoms)).tolist() == plain.contains(trees).tolist()
    boundary = shapely.union_all([shape.exterior, *shape.interiors])
    assert np.allclose(plain.edge_distance_m(trees), [boundary.distance(point) for point in points.geoms], rtol=0, atol=1e-9)
    assert plain.contains((5.0, 5.0)).item() is True


def test_degrees_become_meters_by_the_plane_and_geojson_takes_them_back() -> None:
    plane = Plane(-84.70, 45.00)
    meters = Polygon(ODD, [HOLE])
    geojson = meters.to_geojson(plane)
    assert geojson["type"] == "Polygon"
    assert geojson["coordinates"][0][0] == geojson["coordinates"][0][-1]
    back = Polygon(geojson, plane=plane)
    assert np.allclose(back.outline, meters.outline, rtol=0, atol=1e-6)
    assert Polygon(shapely.geometry.shape(geojson), plane=plane) == back
    xy = plane.to_meters([(-84.70, 45.00), (-84.69, 45.01)])
    assert xy.shape == (2, 2)
    assert np.allclose(plane.to_degrees(xy), [(-84.70, 45.00), (-84.69, 45.01)], rtol=0, atol=1e-11)


def test_records_survive_json_pickle_and_repr() -> None:
    for record in (Polygon(ODD, [HOLE]), Plane(-84.7, 45), Round((1, 2), 3), Round((1, 2), 3, inner_m=1, facing_deg=90, arc_deg=120)):
        assert type(record).from_json(record.to_json()) == record
        assert pickle.loads(pickle.dumps(record)) == record
        assert eval(repr(record), vars(geom).copy()) == record


def message(call: object, *args: object, **named: object) -> str:
    """Give the whole message of a refusal."""
    with pytest.raises((DibbleTypeError, InconsistentError, OutOfRangeError)) as caught:
        call(*args, **named)  # type: ignore[operator]
    return str(caught.value)


def test_bad_outlines_are_refused() -> None:
    assert message(Polygon, [(0, 0), (60, 40), (60, 0), (0, 40)]) == (
        "the outline crosses itself: the edge from corner 1 meets the edge from corner 3 at (30, 20). "
        "Give the corners in order round the field."
    )
    assert message(Polygon, [(0, 0), (60, 0), (120, 0)]) == (
        "the outline encloses 0 m2. Give an outline with an area, in meters: longitude and latitude must be turned into meters first."
    )
    assert message(Polygon, [(0, 0), (60, np.nan), (60, 40)]).startswith("the outline, corner 2: y_m is NaN m: position must be from")
    assert message(Polygon, [(0, 0), (60, 0)]) == "the outline has 2 different corners. Give three or more."
    assert message(Polygon, SQUARE, [[(200, 200), (210, 200), (210, 210)]]) == (
        "hole 1 lies outside the outline. Leave it out, or check the order of x and y."
    )
    assert message(Polygon, [(0, 0, 0), (1, 0, 0), (1, 1, 0)]) == (
        "outline is an array of float64 with shape (3, 3): its last axis must be two numbers. Give x and y for each position."
    )
    two = shapely.MultiPolygon([shapely.Polygon(SQUARE), shapely.box(200, 0, 210, 10)])
    assert message(Polygon, two) == "outline holds 2 polygons: one is needed here. Make a Polygon of each."
    assert message(Polygon, shapely.Point(0, 0)) == "outline holds a Point: a polygon is needed. Give a Polygon or a MultiPolygon."
    assert message(Polygon, {"type": "Polygon", "coordinates": [[["a", 1]]]}) == (
        "outline is no shape: a position in its GeoJSON is not a pair of numbers. Give [x, y] for each."
    )
    assert message(Polygon, 5) == "outline is 5 (int): a pair of numbers is needed. Give x and y for each position."


def test_swapped_degrees_are_noticed() -> None:
    plane = Plane(-84.70, 45.00)
    swapped = [(45.000, -84.700), (45.001, -84.700), (45.001, -84.699)]
    assert message(Polygon, swapped, plane=plane) == (
        "the outline, corner 1: longitude 45, latitude -84.7 lies far from the farm, and the two exchanged lie on it. "
        "Give longitude first and latitude second, as GeoJSON does."
    )
    assert message(plane.to_meters, [(-84.7, 45.0), (-80.0, 45.0)]) == (
        "lon_lat_deg[1]: longitude -80, latitude 45 is more than 20 km from the origin at longitude -84.7, latitude 45. "
        "Take an origin on the farm."
    )


def test_bad_patches_are_refused() -> None:
    assert message(Round, (0, 0), 0) == "outer_m is 0 m: radius must be from 0.01 to 200 m. Give meters; 1 ft is 0.3048 m."
    assert message(Round, (0, 0), 5, arc_deg=400) == (
        "arc_deg is 400 deg: arc of a part circle must be from 1 to 360 deg. 360 is the full circle, 180 a half circle."
    )
    assert message(Round, [(0, 0), (1, 1)], 5) == "center_xy_m holds 2 positions. Give one, as (x, y) in meters."
    assert message(geom.covered_area_m2, [Round((0, 0), 5)], 0) == ("times is 0. All ground is covered 0 times or more; ask for 1 or more.")
