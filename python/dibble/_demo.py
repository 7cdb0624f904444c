"""`python -m dibble demo`: the demo farm's own files, to look at and to make one's own of."""

from __future__ import annotations

import argparse
import shlex
from pathlib import Path

from dibble import _files
from dibble._arguments import stated
from dibble.errors import FileError
from dibble.farm import Farm

EPILOG = """The folder gets farm.toml, with a word on every key that a farm file may hold, and weather.csv. Plan it, then write your
own farm into it: what you do not know yet stays out.

exit codes: 0 fine, 1 refused (the reason is on the error output), 2 wrong use of the command
"""


def add(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the subcommand to the command."""
    one = commands.add_parser(
        "demo",
        help="a farm file to begin with: every key, with a word on it",
        description="Write the demo farm's file, every key explained, and its weather into a new folder.",
        epilog=EPILOG,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    one.add_argument("folder", type=stated, metavar="FOLDER", help="a new folder, or an empty one; nothing is overwritten")
    one.set_defaults(check=lambda *_: None, run=run)


def run(given: argparse.Namespace) -> str:
    """Write the files; return what to print."""
    folder = _new(given.folder)
    _files.write([(folder / "farm.toml", Farm.demo_toml()), (folder / "weather.csv", Farm.demo_weather_csv())], folder)
    farm, weather = (shlex.quote(str(folder / name)) for name in ("farm.toml", "weather.csv"))
    return f"{folder} holds the demo farm: farm.toml and weather.csv. Its plan:\npython -m dibble plan {farm} --weather {weather}\n"


def _new(path: str) -> Path:
    """Return a folder that is not there yet, or has nothing in it."""
    folder = Path(path)
    try:
        held = sorted(inside.name for inside in folder.iterdir()) if folder.is_dir() else []
    except OSError as error:
        message = f"cannot look into the folder {folder}: {error.strerror or error}. Give a folder that you may read and write."
        raise FileError(message, name=str(folder)) from error
    if held:
        message = f"the folder {folder} is not empty: it holds {held[0]}. Give a new folder; nothing is overwritten."
        raise FileError(message, name=str(folder))
    return folder
