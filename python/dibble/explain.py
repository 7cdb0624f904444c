"""Answers taken apart: what was reckoned, by which formula, from which numbers, and where the formula stands."""

from __future__ import annotations

from dibble._dibble import Explanation, Step

__all__ = ["Explanation", "Step"]
