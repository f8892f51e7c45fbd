"""Putting a file in the place of another so that one of the two is always there whole."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

from onceapart.errors import WorkshopFileError
from onceapart.workshop.tree import shown, whole_file


def replace_file(path: str | os.PathLike[str], data: bytes, *, was: bytes | None = None) -> None:
    """Write a file in one step: it appears whole or not at all, and an old one stays until then.

    A link stays a link, and permissions stay as they were.

    Parameters
    ----------
    path : str or path-like
        The file; its folder must be there.
    data : bytes
        What it is to hold.
    was : bytes, optional
        What it must still hold, so that nothing is lost that somebody else wrote in the meantime.

    Raises
    ------
    WorkshopFileError
        If it cannot be written, or holds something else by now; then nothing has changed.
    """
    source = shown(os.fspath(path))
    try:
        target = Path(path).resolve()
        if target.is_dir():
            raise IsADirectoryError(21, "it is a folder")
        _replace(target, data, was, source)
    except (OSError, ValueError) as error:  # ValueError: a NUL in the name
        what = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        rule = f"the file cannot be written ({what})"
        way_out = "check the folder, its permissions and the room on the disk"
        raise WorkshopFileError(source, [whole_file("", rule, way_out)]) from None


def _replace(target: Path, data: bytes, was: bytes | None, source: str) -> None:
    handle, name = tempfile.mkstemp(prefix=f".{target.name[:50]}.", dir=target.parent)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        os.chmod(name, target.stat().st_mode & 0o7777 if target.exists() else 0o666 & ~_umask())
        if was is not None and target.read_bytes() != was:
            rule = "the file was changed in the meantime"
            raise WorkshopFileError(source, [whole_file("", rule, "look at it, and do the same again")])
        os.replace(name, target)
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise


def _umask() -> int:
    mask = os.umask(0o077)
    os.umask(mask)
    return mask
