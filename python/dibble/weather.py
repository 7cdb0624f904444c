"""Weather: where it was measured, its records, and the complete days made from them."""

from __future__ import annotations

from dibble._dibble import Daily, GapReport, Site, Weather

__all__ = ["Daily", "GapReport", "Site", "Weather"]
