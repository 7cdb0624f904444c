"""A block from above: the depth under each tree, where the sprinkler stands and in which order, which trees are short."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import TYPE_CHECKING, Any

import numpy as np

from dibble._plot.look import INK, PALE, WATER, Scale, bare, pyplot, scale
from dibble._types import Floats

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from dibble.geom import Polygon
    from dibble.placement import Placement

# From hardly any water to much: one color, told apart by its lightness alone.
_PALEST, _DARKEST = "#eef4f8", "#08304f"
# Width of the map on the page, in.
_WIDE = 6.4


def block(
    plan: Placement,
    *,
    field: Polygon,
    keep_out: Sequence[Polygon],
    stay_dry: Sequence[Polygon],
    trees_xy_m: Floats,
    hydrants_xy_m: Sequence[tuple[float, float]],
    radius_m: float,
    units: str = "si",
) -> Figure:
    """Draw a placement."""
    plt = pyplot()
    from matplotlib.colors import LinearSegmentedColormap

    length, depth = scale("length", units), scale("depth", units)
    west, south, east, north = (edge * length.by for edge in field.extent_m)
    tall = (north - south) / max(east - west, 1e-9)
    figure: Figure
    figure, axes = plt.subplots(figsize=(8.0, float(np.clip(_WIDE * tall, 2.0, 8.0)) + 1.4), layout="constrained")

    _area(axes, field, length, facecolor="#f7f7f4", edgecolor=INK, linewidth=1.2)
    for area in keep_out:
        _area(axes, area, length, facecolor="white", edgecolor=PALE, hatch="////", linewidth=0.8, label="keep out")
    for area in stay_dry:
        _area(axes, area, length, facecolor="white", edgecolor=INK, hatch="xxxx", linewidth=0.8, label="must stay dry")
    for number, stand in enumerate(plan.sets):
        reach = stand.get("radius_m") or radius_m
        circle = _ring(stand, reach) * length.by
        axes.plot(*circle.T, color=WATER, linewidth=0.8, linestyle=":", label="" if number else "wetted in calm air")

    trees, depths = np.asarray(trees_xy_m) * length.by, plan.depths_mm * depth.by
    # Dots as wide as 0.6 of what trees stand apart; a point is 1/72 in.
    apart = np.sqrt(field.area_m2 / max(len(trees), 1)) * length.by
    size = float(np.clip((0.6 * apart / (east - west) * _WIDE * 72.0) ** 2, 3.0, 90.0))
    shades = LinearSegmentedColormap.from_list("water", [_PALEST, WATER, _DARKEST])
    lacking = np.zeros(len(trees), dtype=bool)
    lacking[[tree["tree"] for tree in plan.short]] = True
    # The wettest few would make all others look alike; the color bar says that it goes on.
    top = max(float(np.percentile(depths, 98.0)), depth.by) if len(depths) else depth.by
    drawn = axes.scatter(
        *trees[~lacking].T,
        c=depths[~lacking],
        s=size,
        cmap=shades,
        vmin=0.0,
        vmax=top,
        edgecolors=INK,
        linewidths=0.3,
        zorder=3,
        label="tree",
    )
    if lacking.any():
        axes.scatter(
            *trees[lacking].T, marker="v", s=2.2 * size, color="white", edgecolors=INK, linewidths=1.1, zorder=4, label="short tree"
        )
    figure.colorbar(
        drawn,
        ax=axes,
        label=f"depth under each tree, {depth.unit}",
        shrink=0.8,
        pad=0.01,
        extend="max" if depths.max(initial=0.0) > top else "neither",
    )

    if hydrants_xy_m:
        at = np.asarray(hydrants_xy_m) * length.by
        axes.scatter(*at.T, marker="s", s=300, facecolors="none", edgecolors=INK, linewidths=1.6, zorder=6, label="hydrant")
    _stops(axes, plan.sets_xy_m * length.by, plan.minutes)
    room = 0.04 * max(east - west, north - south)
    axes.set_xlim(west - room, east + room)
    axes.set_ylim(south - room, north + room)
    axes.set_aspect("equal")
    axes.set_xlabel(f"east, {length.unit}")
    axes.set_ylabel(f"north, {length.unit}")
    handles, labels = axes.get_legend_handles_labels()
    once = dict(zip(labels, handles, strict=True))
    figure.legend(once.values(), once.keys(), loc="outside lower center", frameon=False, ncols=4, fontsize="small")
    bare(axes)
    return figure


def _area(axes: Any, polygon: Polygon, length: Scale, **look: Any) -> None:
    """Draw a polygon with its holes left out."""
    from matplotlib.patches import PathPatch
    from matplotlib.path import Path

    rings = [np.vstack([ring, ring[:1]]) * length.by for ring in (polygon.outline, *polygon.holes)]
    codes = [np.array([Path.MOVETO] + [Path.LINETO] * (len(ring) - 2) + [Path.CLOSEPOLY], dtype=np.uint8) for ring in rings]
    axes.add_patch(PathPatch(Path(np.vstack(rings), np.concatenate(codes)), **look))


def _ring(stand: dict[str, Any], reach: float) -> Floats:
    """Give the rim of what a set wets in calm air, closed over the sprinkler for a part circle."""
    arc = stand.get("arc")
    width, facing = (arc["arc_deg"], arc["facing_deg"]) if arc else (360.0, 0.0)
    bearing = np.radians(np.linspace(facing - width / 2, facing + width / 2, 181))
    center = np.array([stand["x_m"], stand["y_m"]])
    rim = center + reach * np.column_stack([np.sin(bearing), np.cos(bearing)])
    return np.vstack([center, rim, center]) if width < 360.0 else rim


def _stops(axes: Any, stops: Floats, minutes: Floats) -> None:
    """Draw where the sprinkler stands, in walking order, each with its number and minutes."""
    for a, b in pairwise(stops):
        if not np.array_equal(a, b):
            axes.annotate("", b, a, arrowprops={"arrowstyle": "->", "color": INK, "linewidth": 1.1, "shrinkA": 9, "shrinkB": 9}, zorder=5)
    # Two arcs from one place are two sets: one mark carries both.
    places: dict[tuple[float, float], list[int]] = {}
    for index, (east, north) in enumerate(stops.tolist()):
        places.setdefault((east, north), []).append(index)
    for first, (at, here) in enumerate(places.items()):
        label = "" if first else "set: number, minutes"
        axes.scatter(*at, s=190 if len(here) == 1 else 560, color=INK, edgecolors="white", linewidths=1.2, zorder=7, label=label)
        number = ",".join(str(index + 1) for index in here)
        size = 8 if len(here) == 1 else 6.5
        axes.annotate(number, at, color="white", ha="center", va="center", fontsize=size, fontweight="bold", zorder=8)
        axes.annotate(
            " + ".join(f"{minutes[index]:.0f}" for index in here) + " min",
            at,
            xytext=(0, -11),
            textcoords="offset points",
            ha="center",
            va="top",
            fontsize=7,
            zorder=8,
            bbox={"boxstyle": "round,pad=0.15", "facecolor": "white", "edgecolor": "none", "alpha": 0.85},
        )
