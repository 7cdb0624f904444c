"""Drawings of results; needs matplotlib (``pip install dibble[plot]``), which is imported at the first drawing."""

from __future__ import annotations

from dibble._plot.block import block
from dibble._plot.ledger import season
from dibble._plot.pump import system
from dibble._plot.water import profile, spacing

__all__ = ["block", "profile", "season", "spacing", "system"]
