"""Where to set the sprinkler and for how long: positions and minutes for a field, with a bound that no plan can undercut.

What the sprinkler does not reach gets a bucket: see `by_hand`.
"""

from __future__ import annotations

from dibble._dibble import MOST_TREES, BucketList, Placement
from dibble.placement import by_hand
from dibble.placement.by_hand import Crew, bucket_list, liters_for
from dibble.placement.request import Alleys, FieldMap, Grid, Hydrant, Prices, place, read_map

__all__ = [
    "MOST_TREES",
    "Alleys",
    "BucketList",
    "Crew",
    "FieldMap",
    "Grid",
    "Hydrant",
    "Placement",
    "Prices",
    "bucket_list",
    "by_hand",
    "liters_for",
    "place",
    "read_map",
]
