"""Shapes of other packages: the corners and points in `__geo_interface__` and in GeoJSON."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

import numpy as np

from dibble import _gate
from dibble._types import Floats
from dibble.errors import DibbleTypeError

# Features in collections in features: nobody needs more.
_DEEPEST = 32


def is_shape(value: Any) -> bool:
    """Say whether a value is a GeoJSON dict or has `__geo_interface__`."""
    return isinstance(value, Mapping) or hasattr(value, "__geo_interface__")


def rings(outline: Any, holes: Any = None) -> list[Floats]:
    """Return the outline and the holes of one polygon, each laid out flat."""
    if not is_shape(outline):
        inner = [] if holes is None else _gate.items("holes", holes, "rings")
        return [_ring("outline", outline), *(_ring(f"holes[{i}]", hole) for i, hole in enumerate(inner))]
    found = polygons("outline", outline)
    if len(found) != 1:
        message = f"outline holds {len(found)} polygons: one is needed here. Make a Polygon of each."
        raise DibbleTypeError(message, name="outline")
    if holes is not None:
        message = "holes are given beside a shape, which has its own. Give the corners of the outline, or leave holes out."
        raise DibbleTypeError(message, name="holes")
    return found[0]


def polygons(name: str, value: Any) -> list[list[Floats]]:
    """Return the rings of every polygon in a shape, each laid out flat."""
    found: list[list[Floats]] = []
    for geometry in _geometries(name, value):
        kind, coordinates = geometry.get("type"), geometry.get("coordinates")
        if kind == "Polygon":
            found.append([_flat(name, ring) for ring in _parts(name, coordinates)])
        elif kind == "MultiPolygon":
            found.extend([_flat(name, ring) for ring in _parts(name, part)] for part in _parts(name, coordinates))
        else:
            message = f"{name} holds a {kind}: a polygon is needed. Give a Polygon or a MultiPolygon."
            raise DibbleTypeError(message, name=name)
    return found


def points(name: str, value: Any) -> Floats:
    """Return the points in a shape as an array `[n, 2]`; a single point gives `[2]`."""
    pairs: list[Floats] = []
    geometries = list(_geometries(name, value))
    for geometry in geometries:
        kind, coordinates = geometry.get("type"), geometry.get("coordinates")
        if kind == "Point":
            pairs.append(_flat(name, [coordinates]))
        elif kind == "MultiPoint":
            pairs.append(_flat(name, _parts(name, coordinates)))
        else:
            message = f"{name} holds a {kind}: points are needed. Give a Point or a MultiPoint."
            raise DibbleTypeError(message, name=name)
    if len(geometries) == 1 and geometries[0].get("type") == "Point":
        return pairs[0]
    return np.concatenate(pairs).reshape(-1, 2) if pairs else np.empty((0, 2))


def _geometries(name: str, value: Any, depth: int = 0) -> Iterator[Mapping[str, Any]]:
    """Yield the plain geometries in a shape, whatever holds them."""
    shape = getattr(value, "__geo_interface__", value)
    if not isinstance(shape, Mapping) or "type" not in shape:
        message = f"{name} is no shape: its GeoJSON has no type. Give a GeoJSON dict or anything with __geo_interface__."
        raise DibbleTypeError(message, name=name)
    if depth > _DEEPEST:
        message = f"{name} is no shape: its features and collections are nested too deep, or hold themselves. Give a plain geometry."
        raise DibbleTypeError(message, name=name)
    if shape["type"] == "Feature":
        yield from _geometries(name, shape.get("geometry"), depth + 1)
    elif shape["type"] == "FeatureCollection":
        for feature in _parts(name, shape.get("features")):
            yield from _geometries(name, feature, depth + 1)
    elif shape["type"] == "GeometryCollection":
        for part in _parts(name, shape.get("geometries")):
            yield from _geometries(name, part, depth + 1)
    else:
        yield shape


def _parts(name: str, value: Any) -> Sequence[Any]:
    if isinstance(value, Sequence) and not isinstance(value, str):
        return value
    message = f"{name} is no shape: a list is missing from its GeoJSON. Give a GeoJSON dict or anything with __geo_interface__."
    raise DibbleTypeError(message, name=name)


def _flat(name: str, positions: Any) -> Floats:
    """Lay positions out flat; a height, the third number that GeoJSON permits, is left out."""
    try:
        pairs = [(float(place[0]), float(place[1])) for place in positions]
    except (TypeError, ValueError, IndexError, KeyError) as error:
        message = f"{name} is no shape: a position in its GeoJSON is not a pair of numbers. Give [x, y] for each."
        raise DibbleTypeError(message, name=name) from error
    return np.array(pairs, dtype=np.float64).reshape(-1)


def _ring(name: str, corners: Any) -> Floats:
    return _gate.positions(name, corners)[1]
