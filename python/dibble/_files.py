"""Files that appear whole or not at all."""

from __future__ import annotations

import contextlib
import errno
import os
import tempfile
from collections.abc import Iterable
from pathlib import Path

from dibble import _gate
from dibble.errors import DibbleTypeError, FileError


def named(name: str, path: str | os.PathLike[str]) -> Path:
    """Return a path that the system can be asked for."""
    if not isinstance(path, (str, os.PathLike)):
        message = f"{name} is {_gate.shown(path)}: a path is needed, as text or pathlib.Path."
        raise DibbleTypeError(message, name=name)
    place = Path(path)
    try:
        if b"\0" not in os.fsencode(place):
            return place
        why = "it holds a zero character"
    except UnicodeEncodeError:
        why = "it holds half a character"
    message = f"{name} {str(place)!a} is no path: {why}. Give the path of a file."
    raise FileError(message, name=name)


def unwritable(path: Path, error: OSError) -> FileError:
    """Return the reason why a file was not written."""
    message = f"cannot write {path}: {error.strerror or error}. Give a file in a folder that exists and that you may write to."
    return FileError(message, name=str(path))


def make(place: Path, made: list[Path]) -> None:
    """Make a folder, and those above it; those that were not there before come into `made`."""
    try:
        for folder in (*reversed(place.parents), place):
            if not folder.is_dir():
                folder.mkdir(exist_ok=True)
                made.append(folder)
    except OSError as error:
        why = "there is a file of that name" if isinstance(error, FileExistsError) else error.strerror or error
        message = f"cannot make the folder {place}: {why}. Give a folder that you may write to."
        raise FileError(message, name=str(place)) from error


def draft(path: Path, text: str | Iterable[str]) -> Path:
    """Write a file's draft beside it, so that the last step is one renaming on one disk; nothing is left of a failed one."""
    with tempfile.NamedTemporaryFile("w", encoding="utf-8", newline="\n", dir=path.parent, delete=False) as file:
        drafted = Path(file.name)
        try:
            file.writelines([text] if isinstance(text, str) else text)
            file.flush()
        except BaseException:
            drafted.unlink(missing_ok=True)
            raise
    return drafted


def write(texts: Iterable[tuple[Path, str | Iterable[str]]], folder: Path | None = None) -> None:
    """Write files, each whole or not at all, and none before all of them are drafted; texts may come piece by piece.

    `folder`, and what is asked for below it, is made where it is not there, and taken away again where nothing is written.
    """
    drafts: dict[Path, Path] = {}
    made: list[Path] = []
    mask = os.umask(0)
    os.umask(mask)
    path = Path()
    try:
        if folder is not None:
            make(folder, made)
        for path, text in texts:
            if folder is not None and path.is_relative_to(folder):
                make(path.parent, made)
            if path.is_dir():
                raise IsADirectoryError(errno.EISDIR, os.strerror(errno.EISDIR))
            drafts[path] = draft(path, text)
        for path, drafted in drafts.items():
            drafted.chmod(0o666 & ~mask)
            drafted.replace(path)
    except OSError as error:
        raise unwritable(path, error) from error
    finally:
        for drafted in drafts.values():
            drafted.unlink(missing_ok=True)
        for empty in reversed(made):
            with contextlib.suppress(OSError):  # it holds what was written
                empty.rmdir()
