"""Files kept under their content's hash, and written whole or not at all: synced to the disk before they are named."""

import errno
import hashlib
import os
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import IO

from shopbook.trade.errors import NotFound, RuleBroken

_NO_ROOM = {errno.ENOSPC, errno.EFBIG, getattr(errno, "EDQUOT", errno.ENOSPC)}
HALF_WRITTEN = ".writing-"
"""How the name of an unfinished file begins."""


@dataclass(frozen=True, slots=True)
class KeptFile:
    """What the book records of a file: its content's hash (64 hexadecimal digits) and its size."""

    sha256: str
    size_bytes: int


def keep_bytes(folder: Path, body: bytes) -> KeptFile:
    """Keep a content once under its hash; the file is on the disk when this returns, so that it can be recorded.

    RuleBroken with a sentence when the disk is full.
    """
    kept = KeptFile(hashlib.sha256(body).hexdigest(), len(body))
    path = path_of_kept(folder, kept.sha256)
    if not is_kept_whole(folder, kept.sha256):
        with writing_whole(path) as file:
            file.write(body)
    return kept


def path_of_kept(folder: Path, sha256: str) -> Path:
    """Where the content with that hash lies; ValueError for what is no hash."""
    if len(sha256) != 64 or not set(sha256) <= set("0123456789abcdef"):
        raise ValueError("not a hash")
    return folder / sha256[:2] / sha256


def read_kept(folder: Path, sha256: str) -> bytes:
    """A kept content; NotFound when its file is gone or is not what was kept."""
    path = path_of_kept(folder, sha256)
    body = path.read_bytes() if path.is_file() else b""
    if hashlib.sha256(body).hexdigest() != sha256:
        raise NotFound("This file is missing or damaged. A backup may still have it.")
    return body


def is_kept_whole(folder: Path, sha256: str) -> bool:
    """Whether the content with that hash is there and unharmed."""
    try:
        path = path_of_kept(folder, sha256)
    except ValueError:
        return False
    return path.is_file() and hash_file(path) == sha256


def hash_file(path: Path) -> str:
    """The SHA-256 of a file's content in hexadecimal."""
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


@contextmanager
def writing_whole(path: Path) -> Iterator[IO[bytes]]:
    """A file to write that takes its name only when the block ended well and the content was synced.

    RuleBroken with a sentence when the disk is full; nothing half-written stays behind.
    """
    path.parent.mkdir(parents=True, exist_ok=True)
    handle, name = tempfile.mkstemp(prefix=HALF_WRITTEN, dir=path.parent)
    unfinished = Path(name)
    try:
        with saying_no_room(path), os.fdopen(handle, "w+b") as file:
            yield file
            # The content first, then its name: a power cut leaves the old file or the whole new one, never half of it.
            file.flush()
            os.fsync(file.fileno())
        unfinished.replace(path)
        _sync_folder(path.parent)
    finally:
        unfinished.unlink(missing_ok=True)


@contextmanager
def saying_no_room(path: Path) -> Iterator[None]:
    """A full disk while `path` is written is a RuleBroken with a sentence; any other fault stays what it was."""
    try:
        yield
    except OSError as error:
        if error.errno in _NO_ROOM:
            raise RuleBroken(f"The disk of {path.parent} is full. Free some space, then try again.") from error
        raise


def _sync_folder(folder: Path) -> None:
    """Make the new name durable where a folder can be synced; Windows does that by itself and refuses to be asked."""
    with suppress(OSError, AttributeError):
        handle = os.open(folder, os.O_RDONLY | os.O_DIRECTORY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def list_files(folder: Path) -> list[Path]:
    """Every finished file below a folder, by path; none for a folder that is not there."""
    if not folder.is_dir():
        return []
    return sorted(path for path in folder.rglob("*") if path.is_file() and not path.name.startswith(HALF_WRITTEN))
