"""A season of the ledger."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from dibble._plot.look import INK, PALE, WATER, bare, pyplot, scale
from dibble.errors import MissingError

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from dibble._dibble import Season

TEN_PERCENT = 1.2815515655446004
"""From the middle to the 10 and 90 % points of a normal distribution."""


def season(season: Season, column: str | int | None = None, *, allowed_depletion: float | None = None, units: str = "si") -> Figure:
    """Draw one column of a season: rain and water given above, depletion against its limit and stress days below."""
    plt = pyplot()
    wanted = ("rain_mm", "irrigation_mm", "depletion_mm", "depletion_sd_mm", "taw_mm", "ks")
    missing = [name for name in wanted if name not in season.daily]
    if missing:
        message = f"the series {', '.join(missing)} were not kept. Run the season with record='all' to draw it."
        raise MissingError(message)
    by, unit = scale("depth", units)
    rain, given, depletion, sd, holds = (season.series(name, column) * by for name in wanted[:-1])
    ks = season.series("ks", column)
    dates = season.dates

    figure: Figure
    figure, (above, below) = plt.subplots(2, 1, sharex=True, figsize=(9.0, 5.4), height_ratios=(1.0, 1.6), layout="constrained")
    above.bar(dates, rain, width=0.9, color=WATER, label="rain")
    above.bar(dates, given, width=0.9, bottom=rain, color="white", edgecolor=INK, hatch="////", label="water given")
    above.set_ylabel(f"a day's water, {unit}")
    above.set_ylim(0.0, 1.05 * max(float((rain + given).max()), by))

    low = np.clip(depletion - TEN_PERCENT * sd, 0.0, holds)
    high = np.clip(depletion + TEN_PERCENT * sd, 0.0, holds)
    below.fill_between(dates, low, high, color=PALE, alpha=0.6, linewidth=0, label="10 to 90 % of the ledger's doubt")
    below.plot(dates, depletion, color=INK, linewidth=1.6, label="depletion of the root zone")
    below.plot(dates, holds, color=INK, linewidth=1.0, linestyle=":", label="all that roots can take")
    if allowed_depletion is not None:
        below.plot(dates, allowed_depletion * holds, color=WATER, linewidth=1.4, linestyle="--", label="water at")
    stressed = ks < 1.0 - 1e-9
    if stressed.any():
        bottom = np.full(int(stressed.sum()), 1.06 * float(holds.max()))
        below.scatter(dates[stressed], bottom, marker="|", s=36, color=INK, label="day of stress")
    below.set_ylim(1.12 * float(holds.max()), 0.0)  # dry is down
    below.set_ylabel(f"short of field capacity, {unit}")
    name = season.columns[column or 0] if not isinstance(column, str) else column
    below.set_title(f"{name}: dry is down", loc="left", fontsize="medium")
    for axes in (above, below):
        bare(axes)
        axes.margins(x=0.01)
    figure.legend(loc="outside lower center", frameon=False, ncols=3, fontsize="small")
    return figure
