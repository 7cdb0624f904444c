"""A sprinkler's profile, and evenness against spacing."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from dibble._plot.look import INK, PALE, WATER, bare, pyplot, scale

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from dibble.sprinkler import SpacingStudy, Sprinkler


def profile(sprinkler: Sprinkler, *, units: str = "si") -> Figure:
    """Draw the rate along a radius, and its mean over the wetted circle."""
    plt = pyplot()
    length, rate = scale("length", units), scale("rate", units)
    name = sprinkler.profile
    distance = np.linspace(0.0, sprinkler.radius_m, 401)
    figure: Figure
    figure, axes = plt.subplots(figsize=(7.0, 3.8), layout="constrained")
    axes.fill_between(distance * length.by, sprinkler.rate_mm_h(distance) * rate.by, color=WATER, alpha=0.25, linewidth=0)
    axes.plot(distance * length.by, sprinkler.rate_mm_h(distance) * rate.by, color=WATER, linewidth=2.0, label="rate")
    if not isinstance(name, str):
        cans = name.distances_m[name.distances_m <= sprinkler.radius_m]
        axes.plot(cans * length.by, sprinkler.rate_mm_h(cans) * rate.by, "o", color=INK, markersize=5, label="cans")
    mean = sprinkler.mean_rate_mm_h * rate.by
    axes.axhline(mean, color=INK, linewidth=1.2, linestyle="--", label=f"mean over one circle, {mean:.2g} {rate.unit}")
    axes.set_xlabel(f"distance from the sprinkler, {length.unit}")
    axes.set_ylabel(f"rate, {rate.unit}")
    axes.set_xlim(0.0, 1.02 * sprinkler.radius_m * length.by)
    axes.set_ylim(bottom=0.0)
    flow = scale("flow", units)
    what = name if isinstance(name, str) else "as caught in cans"
    axes.set_title(f"{what}, {sprinkler.flow_l_min * flow.by:.0f} {flow.unit}, in calm air", loc="left", fontsize="medium")
    axes.legend(frameon=False, fontsize="small")
    bare(axes)
    return figure


def spacing(study: SpacingStudy, *, units: str = "si") -> Figure:
    """Draw CU and DU against the spacing, with the rate over the ground below."""
    plt = pyplot()
    length, rate = scale("length", units), scale("rate", units)
    order = np.argsort(study.over_diameter)
    share, cu, du, fall = (column[order] for column in (study.over_diameter, study.cu_pct, study.du_pct, study.rate_mm_h))
    mark = None if len(share) > 25 else "o"
    figure: Figure
    figure, (above, below) = plt.subplots(2, 1, sharex=True, figsize=(7.0, 5.0), height_ratios=(2.0, 1.0), layout="constrained")
    above.plot(share, cu, color=INK, linewidth=1.8, marker=mark, markersize=4, label="CU")
    above.plot(share, du, color=WATER, linewidth=1.8, linestyle="--", marker=mark and "s", markersize=4, label="DU of the low quarter")
    above.set_ylabel("evenness, %")
    above.set_ylim(min(50.0, max(0.0, float(np.nanmin(du)) - 5.0)), 101.0)
    above.grid(axis="y", color=PALE, linewidth=0.5)
    above.legend(frameon=False, fontsize="small", loc="lower left")
    below.plot(share, fall * rate.by, color=INK, linewidth=1.4, linestyle=":", marker=mark and "^", markersize=4)
    below.set_ylabel(f"rate, {rate.unit}")
    below.set_ylim(bottom=0.0)
    below.set_xlabel("spacing over wetted diameter")
    diameter = float(study.spacing_m[0] / study.over_diameter[0]) * length.by
    top = above.secondary_xaxis("top", functions=(lambda x: x * diameter, lambda x: x / diameter))
    top.set_xlabel(f"spacing, {length.unit}")
    above.margins(x=0.01)
    bare(below)
    above.spines["right"].set_visible(False)
    return figure
