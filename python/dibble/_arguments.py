"""Kinds of arguments that the subcommands share."""

from __future__ import annotations

import argparse


def stated(text: str) -> str:
    """Refuse an empty argument: a shell variable that is not set would otherwise count as an option left out."""
    if not text.strip():
        message = "it is empty; give a value, or leave it out"
        raise argparse.ArgumentTypeError(message)
    return text
