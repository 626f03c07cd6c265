"""What a backup may hold: the name, kind and size of each member, known before anything of it is unpacked."""

import io
import re
import stat
import struct
import zipfile
from collections.abc import Iterator, Sequence
from pathlib import PurePosixPath
from typing import IO

from shopbook.trade.errors import RuleBroken

BOOK_NAME = "book.sqlite3"
SECRET_NAME = "secret"
MANIFEST_NAME = "manifest.json"
MOST_MEMBERS = 1_000_000
"""Ten cars a day with ten pictures each, twice over for the small ones, are half of it in eight years."""
MOST_BYTES = 1 << 40
LARGEST = {MANIFEST_NAME: 256 << 20, SECRET_NAME: 1024, BOOK_NAME: 64 << 30}
LARGEST_KEPT = 64 << 20
"""Of one picture or paper; what a phone sends is at most twenty megabytes before it is made smaller."""

LARGEST_ENTRY = 256
"""Bytes that one member takes in the pack's own list: 46, its name, and up to 28 for sizes beyond four gigabytes."""
LISTED = 300
"""Bytes that one member takes in the manifest: its name, its hash, and what stands around them."""
MOST_SWELLING = 200
_SWELLS_FROM = 16 << 20
"""A book shrinks to a fifth or so; only what is small or mostly empty shrinks more."""

_KEPT = re.compile(r"pictures/([0-9a-f]{2})/\1[0-9a-f]{62}\.jpg|papers/([0-9a-f]{2})/\2[0-9a-f]{62}", re.ASCII)
_WAYS = {zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED}
_SHRUNK = {BOOK_NAME, MANIFEST_NAME}
_ENCRYPTED = 0x1


def is_member(name: str) -> bool:
    """Whether a backup holds a file of that name: the book, its secret, or a content kept under its hash."""
    return name in {BOOK_NAME, SECRET_NAME} or _KEPT.fullmatch(name) is not None


def kept_hash(name: str) -> str | None:
    """The hash that a picture's or paper's name says its content has; None for book and secret."""
    found = _KEPT.fullmatch(name)
    return PurePosixPath(name).stem if found else None


def refuse_long_list(file: IO[bytes]) -> None:
    """RuleBroken when a pack announces more members than any shop has, or a longer list of them than they need.

    It is asked before the list is read: a list of ten million names is one of five gigabytes in memory.
    """
    for count, list_bytes in _announced(file):
        if count > MOST_MEMBERS or list_bytes > (count + 1) * LARGEST_ENTRY:
            raise RuleBroken(_TOO_MUCH)


_TOO_MUCH = "The file claims to contain more than a backup can. Nothing was restored."
_END = struct.Struct("<4s4H2LH")
"""End of a pack's list: mark, disks, members here, members in all, bytes of the list, its place, bytes of a comment
(PKWARE APPNOTE 4.3.16)."""
_END_64 = struct.Struct("<4sQ2H2L4Q")
"""The same for long lists (4.3.14): members in all and bytes of the list are its eighth and ninth figures."""
_LOCATOR_BYTES = 20
_LONGEST_COMMENT = 1 << 16


def _announced(file: IO[bytes]) -> Iterator[tuple[int, int]]:
    """Members and bytes of the list as the end of a pack announces them, as often as it does; none of no pack."""
    size = file.seek(0, io.SEEK_END)
    file.seek(max(0, size - _LONGEST_COMMENT - _END.size - _LOCATOR_BYTES - _END_64.size))
    tail = file.read()
    file.seek(0)
    place = tail.rfind(b"PK\5\6")
    if place < 0 or place + _END.size > len(tail):
        return
    _, _, _, _, count, list_bytes, _, _ = _END.unpack_from(tail, place)
    long = place - _LOCATOR_BYTES - _END_64.size
    if tail[place - _LOCATOR_BYTES : place].startswith(b"PK\6\7") and long >= 0 and tail.startswith(b"PK\6\6", long):
        _, _, _, _, _, _, _, count, list_bytes, _ = _END_64.unpack_from(tail, long)
    yield count, list_bytes


def refuse_foreign_members(members: Sequence[zipfile.ZipInfo], pack_bytes: int) -> None:
    """RuleBroken with a sentence when a pack of so many bytes holds what no backup holds.

    That is another name, one name twice, a link or folder, a member that is locked, packed in another way or larger
    than its kind can be; and more members or bytes than any shop has.
    """
    seen: set[str] = set()
    wanted = packed = 0
    for member in members:
        _refuse_foreign(member)
        if member.filename in seen:
            raise RuleBroken(f"The file contains {member.filename} twice, so it is not a backup. Nothing was restored.")
        seen.add(member.filename)
        wanted, packed = wanted + member.file_size, packed + member.compress_size
    if len(seen) > MOST_MEMBERS or wanted > MOST_BYTES or packed > pack_bytes:
        raise RuleBroken(_TOO_MUCH)
    if any(member.file_size > len(seen) * LISTED + 4096 for member in members if member.filename == MANIFEST_NAME):
        raise RuleBroken(_TOO_MUCH)


def _refuse_foreign(member: zipfile.ZipInfo) -> None:
    name = member.orig_filename
    if name != member.filename or not (is_member(name) or name == MANIFEST_NAME):
        raise RuleBroken(f"The file contains {_said(name)}, which is not part of a backup. Nothing was restored.")
    if stat.S_IFMT(member.external_attr >> 16) not in {0, stat.S_IFREG} or member.flag_bits & _ENCRYPTED:
        raise RuleBroken(f"In this file {name} is not a plain file, so it is not a backup. Nothing was restored.")
    if member.compress_type not in (_WAYS if name in _SHRUNK else {zipfile.ZIP_STORED}):
        raise RuleBroken(f"In this file {name} is not packed as in a backup. Nothing was restored.")
    is_swelling = member.file_size > max(_SWELLS_FROM, member.compress_size * MOST_SWELLING)
    if member.file_size > LARGEST.get(name, LARGEST_KEPT) or is_swelling:
        raise RuleBroken(f"In this file {name} is too large. Nothing was restored.")


def _said(name: str) -> str:
    """A name as a sentence may hold it: on one line, not longer than one, without what would move a terminal."""
    return ascii(name)[1:-1][:80] or "a file without a name"
