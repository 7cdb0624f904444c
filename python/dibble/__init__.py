"""Plantation agronomy for young conifers: how dry each tree is, when to water and how much."""

from __future__ import annotations

from dibble import (
    air,
    batch,
    cost,
    errors,
    et,
    explain,
    farm,
    fertility,
    geom,
    hydraulics,
    outlook,
    placement,
    record,
    schedule,
    soil,
    sprinkler,
    stand,
    sun,
    units,
    water,
    weather,
)
from dibble._dibble import __version__
from dibble.errors import DibbleError
from dibble.farm import plan

__all__ = [
    "DibbleError",
    "__version__",
    "air",
    "batch",
    "cost",
    "errors",
    "et",
    "explain",
    "farm",
    "fertility",
    "geom",
    "hydraulics",
    "outlook",
    "placement",
    "plan",
    "record",
    "schedule",
    "soil",
    "sprinkler",
    "stand",
    "sun",
    "units",
    "water",
    "weather",
]
