"""A block from above as plain SVG, black on white: where the sprinkler stands, in which order and for how long."""

from __future__ import annotations

from html import escape
from math import cos, hypot, pi, sin
from typing import Any

WIDTH = 640.0
"""Width of the drawing in its own units; it scales with the page."""

TALLEST = 225.0
"""Height of the block in the drawing at most, in the same units: a page has room for its table too."""

LOW = 150.0
"""The same where the table is long."""

MARGIN = 26.0
"""Room around the block for its labels."""

SAME_SPOT = 8.0
"""Positions nearer to each other than this in the drawing stand on one spot."""

BAR_M = {"us": (30.48, "100 ft"), "si": (25.0, "25 m")}
"""The scale bar."""


def svg(block: str, sets: dict[str, Any], units: str, *, low: bool = False) -> str:
    """Return the map of a block with sets; nothing where no outline or no set is known."""
    outline, placed = sets["outline_m"], sets["sets"]
    if not outline or not placed:
        return ""
    hydrants = [at for _, at in sets["hydrants"]]
    shown = [*outline, *((s["x_m"], s["y_m"]) for s in placed), *(at for at in hydrants if _near(at, outline))]
    west, east = min(x for x, _ in shown), max(x for x, _ in shown)
    south, north = min(y for _, y in shown), max(y for _, y in shown)
    scale = min((WIDTH - 2 * MARGIN) / max(east - west, 1.0), (LOW if low else TALLEST) / max(north - south, 1.0))
    left = 0.5 * (WIDTH - scale * (east - west))
    height = 2 * MARGIN + scale * (north - south) + 22

    def at(place: tuple[float, float] | list[float]) -> tuple[float, float]:
        return left + scale * (place[0] - west), MARGIN + scale * (north - place[1])

    parts = [_outline(at, outline)]
    first = sets.get("first_tree")
    taken: list[Box] = []
    if first is not None:
        parts.append(_first_tree(at((first["x_m"], first["y_m"])), first["along_deg"], height, taken))
    radius = scale * sets["head"]["radius_m"]
    parts += [_throw(at((s["x_m"], s["y_m"])), radius, s["arc_deg"]) for s in placed]
    parts += [_cross(at((t["x_m"], t["y_m"]))) for t in sets["short"]]
    parts += [_hydrant(at(place), name) for name, place in sets["hydrants"] if _near(place, outline)]
    discs = _apart([at((s["x_m"], s["y_m"])) for s in placed])
    taken += [_box_of_disc(*center) for center, _ in discs]
    parts += [_stand(center, s, taken, to_left=to_left) for s, (center, to_left) in zip(placed, discs, strict=True)]
    parts.append(_scale(scale, height, units))
    words = "; ".join(f"set {s['number']} at row {s['row']}, tree {s['tree']}, {_minutes(s)}" for s in placed)
    short = f"; {len(sets['short'])} trees out of reach or short, marked x" if sets["short"] else ""
    rows = f"; row 1, tree 1 is marked, trees count towards {first['along_deg']:.0f} degrees" if first is not None else ""
    label = escape(f"Map of {block}, north up: {words}{short}{rows}")
    return f'<svg class="map" viewBox="0 0 {WIDTH:.0f} {height:.0f}" role="img" aria-label="{label}">{"".join(parts)}</svg>'


def _near(place: Any, outline: Any) -> bool:
    """Tell whether it is near enough to the block to be drawn."""
    size = max(hypot(x - outline[0][0], y - outline[0][1]) for x, y in outline)
    return bool(min(hypot(place[0] - x, place[1] - y) for x, y in outline) < 0.6 * size)


def _outline(at: Any, outline: Any) -> str:
    points = " ".join(f"{x:.1f},{y:.1f}" for x, y in map(at, outline))
    return f'<polygon points="{points}" fill="#f2f2f2" stroke="#000" stroke-width="2.5"/>'


def _throw(center: tuple[float, float], radius: float, arc: Any) -> str:
    """Draw where the water of a set ends, a sector for a part circle (compass degrees)."""
    x, y = center
    style = 'fill="none" stroke="#000" stroke-width="0.9" stroke-dasharray="2 5"'
    if arc is None or arc[0] >= 360:
        return f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{radius:.1f}" {style}/>'
    ends = [(arc[1] + side * arc[0] / 2) * pi / 180 for side in (-1, 1)]
    (x1, y1), (x2, y2) = ((x + radius * sin(a), y - radius * cos(a)) for a in ends)
    large = int(arc[0] > 180)
    return f'<path d="M{x:.1f} {y:.1f} L{x1:.1f} {y1:.1f} A{radius:.1f} {radius:.1f} 0 {large} 1 {x2:.1f} {y2:.1f} z" {style}/>'


def _cross(center: tuple[float, float]) -> str:
    x, y = center
    return f'<path d="M{x - 3:.1f} {y - 3:.1f} l6 6 m0 -6 l-6 6" stroke="#000" stroke-width="1.4"/>'


def _hydrant(center: tuple[float, float], name: str) -> str:
    x, y = center
    square = f'<rect x="{x - 6:.1f}" y="{y - 6:.1f}" width="12" height="12" fill="#fff" stroke="#000" stroke-width="2.5"/>'
    return square + _text(x + 10, y + 18, f"hydrant {name}", 15, end=x > 0.75 * WIDTH)


def _first_tree(center: tuple[float, float], along_deg: float, height: float, taken: list[Box]) -> str:
    """Draw an arrow along row 1 from its first tree, with its words beside the block."""
    x, y = center
    a = along_deg * pi / 180
    tip, side = (sin(a), -cos(a)), (cos(a), sin(a))
    x2, y2 = x + 34 * tip[0], y + 34 * tip[1]
    barbs = [(x2 - 9 * tip[0] + s * 5 * side[0], y2 - 9 * tip[1] + s * 5 * side[1]) for s in (-1, 1)]
    head = f'<path d="M{x2:.1f} {y2:.1f} L{barbs[0][0]:.1f} {barbs[0][1]:.1f} L{barbs[1][0]:.1f} {barbs[1][1]:.1f} z" fill="#000"/>'
    line = f'<circle cx="{x:.1f}" cy="{y:.1f}" r="4"/><path d="M{x:.1f} {y:.1f} L{x2:.1f} {y2:.1f}" stroke="#000" stroke-width="2"/>'
    words = "row 1, tree 1"
    wide = 7.0 * len(words)
    to_left = x < 0.5 * WIDTH
    if abs(tip[1]) > abs(tip[0]) and (x - 12 - wide > 0 if to_left else x + 12 + wide < WIDTH):
        at, end = (x - 12 if to_left else x + 12, y + 5), to_left  # beside the end of a row that runs up or down
    else:
        at, end = (x - 4 if to_left else x + 4, y + 19 if y > 0.5 * (height - 22) else y - 9), not to_left
    taken.append((at[0] - wide if end else at[0], at[1] - 12, at[0] if end else at[0] + wide, at[1] + 3))
    return line + head + _text(*at, words, 14, end=end)


Box = tuple[float, float, float, float]


def _box_of_disc(x: float, y: float) -> Box:
    return x - 16, y - 16, x + 16, y + 16


def _apart(centers: list[tuple[float, float]]) -> list[tuple[tuple[float, float], bool]]:
    """Return where the discs go, those of one spot side by side, and which of them have their minutes to the left."""
    discs = []
    for k, (x, y) in enumerate(centers):
        same = [j for j, (u, v) in enumerate(centers) if hypot(u - x, v - y) < SAME_SPOT]
        place = same.index(k)
        discs.append(((x + 32 * (place - (len(same) - 1) / 2), y), len(same) > 1 and place == 0))
    return discs


def _stand(center: tuple[float, float], one: dict[str, Any], taken: list[Box], *, to_left: bool) -> str:
    """Draw a position: its number in a disc, its minutes beside it where nothing else stands."""
    x, y = center
    words = _minutes(one)
    wide = 9.0 * len(words)
    right, left = (x + 20, y + 6, False), (x - 20, y + 6, True)
    above, below = (x - wide / 2, y - 21, False), (x - wide / 2, y + 32, False)

    def box(place: tuple[float, float, bool]) -> Box:
        begin = place[0] - wide if place[2] else place[0]
        return begin, place[1] - 14, begin + wide, place[1] + 3

    def free(place: tuple[float, float, bool]) -> bool:
        a = box(place)
        apart = all(a[2] < b[0] or b[2] < a[0] or a[3] < b[1] or b[3] < a[1] for b in taken)
        return apart and a[0] > 0 and a[2] < WIDTH

    sides = (left, above, below, right) if to_left else (right, left, above, below)
    label = next((place for place in sides if free(place)), sides[0])
    taken.append(box(label))
    disc = f'<circle cx="{x:.1f}" cy="{y:.1f}" r="15" fill="#000"/>'
    number = f'<text x="{x:.1f}" y="{y + 7:.1f}" font-size="20" font-weight="bold" fill="#fff" text-anchor="middle">{one["number"]}</text>'
    return disc + number + _text(label[0], label[1], words, 17, end=label[2])


def _text(x: float, y: float, words: str, size: int, *, end: bool) -> str:
    halo = 'stroke="#fff" stroke-width="4" paint-order="stroke"'
    anchor = "end" if end else "start"
    return f'<text x="{x:.1f}" y="{y:.1f}" font-size="{size}" {halo} text-anchor="{anchor}">{escape(words)}</text>'


def _minutes(one: dict[str, Any]) -> str:
    again = f" in {one['runs']} pulses" if one["runs"] > 1 else ""
    return f"{one['run_min']:.0f} min{again}"


def _scale(scale: float, height: float, units: str) -> str:
    meters, words = BAR_M[units]
    y = height - 10
    bar = f'<path d="M{MARGIN:.1f} {y - 4:.1f} v8 m0 -4 h{scale * meters:.1f} m0 -4 v8" stroke="#000" stroke-width="2" fill="none"/>'
    arrow = f'<path d="M{WIDTH - MARGIN:.1f} {y + 6:.1f} v-24 l-6 9 m6 -9 l6 9" stroke="#000" stroke-width="2" fill="none"/>'
    words_at = _text(MARGIN + scale * meters + 8, y + 5, words, 15, end=False)
    return bar + words_at + arrow + _text(WIDTH - MARGIN - 12, y + 5, "north", 15, end=True)
