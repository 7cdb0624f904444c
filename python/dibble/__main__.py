"""The command: `plan` plans a farm's week, `demo` writes a farm to begin with, `log` a season log, `soil-tests` reads a lab's file."""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Sequence

from dibble import __version__, _demo, _log, _plan, _soil_tests
from dibble.errors import DibbleError

REFUSED = 1
INTERRUPTED = 130  # as shells have it for Ctrl-C


def parser() -> argparse.ArgumentParser:
    """Return what reads the command's arguments."""
    top = argparse.ArgumentParser(prog="python -m dibble", description="Water and food for young conifers: how dry, when, how much.")
    top.add_argument("--version", action="version", version=f"dibble {__version__}")
    commands = top.add_subparsers(dest="command", required=True, metavar="COMMAND")
    _plan.add(commands)
    _demo.add(commands)
    _log.add(commands)
    _soil_tests.add(commands)
    return top


def printed(page: str) -> int:
    """Print the page; return the exit code."""
    try:
        sys.stdout.write(page)
        sys.stdout.flush()
    except BrokenPipeError:  # the reader of a pipe has seen enough
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    except UnicodeEncodeError as error:
        sign = ascii(error.object[error.start])
        print(f"dibble: this terminal cannot show {sign}. Set PYTHONIOENCODING=utf-8, or write with --out.", file=sys.stderr)
        return REFUSED
    except OSError as error:
        print(f"dibble: cannot print: {error.strerror or error}. Give another place for the output.", file=sys.stderr)
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())  # or the interpreter tries again at its end
        return REFUSED
    return 0


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command; return its exit code."""
    top = parser()
    given = top.parse_args(arguments)
    given.check(top, given)
    try:
        return printed(given.run(given))
    except DibbleError as error:
        print(f"dibble: {error}", file=sys.stderr)
        return REFUSED
    except KeyboardInterrupt:
        return INTERRUPTED


if __name__ == "__main__":
    sys.exit(main())
