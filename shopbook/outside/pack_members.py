"""What a backup may hold: the name, kind and size of each member, known before anything of it is unpacked."""

import re
import stat
import zipfile
from collections.abc import Iterable

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

_KEPT = re.compile(r"pictures/([0-9a-f]{2})/\1[0-9a-f]{62}\.jpg|papers/([0-9a-f]{2})/\2[0-9a-f]{62}", re.ASCII)
_WAYS = {zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED}
_SHRUNK = {BOOK_NAME, MANIFEST_NAME}
_ENCRYPTED = 0x1


def is_member(name: str) -> bool:
    """Whether a backup holds a file of that name: the book, its secret, or a content kept under its hash."""
    return name in {BOOK_NAME, SECRET_NAME} or _KEPT.fullmatch(name) is not None


def refuse_foreign_members(members: Iterable[zipfile.ZipInfo], pack_bytes: int) -> None:
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
        raise RuleBroken("The file claims to contain more than a backup can. Nothing was restored.")


def _refuse_foreign(member: zipfile.ZipInfo) -> None:
    name = member.orig_filename
    if name != member.filename or not (is_member(name) or name == MANIFEST_NAME):
        raise RuleBroken(f"The file contains {_said(name)}, which is not part of a backup. Nothing was restored.")
    if stat.S_IFMT(member.external_attr >> 16) not in {0, stat.S_IFREG} or member.flag_bits & _ENCRYPTED:
        raise RuleBroken(f"In this file {name} is not a plain file, so it is not a backup. Nothing was restored.")
    if member.compress_type not in (_WAYS if name in _SHRUNK else {zipfile.ZIP_STORED}):
        raise RuleBroken(f"In this file {name} is not packed as in a backup. Nothing was restored.")
    if member.file_size > LARGEST.get(name, LARGEST_KEPT):
        raise RuleBroken(f"In this file {name} is too large. Nothing was restored.")


def _said(name: str) -> str:
    """A name as a sentence may hold it: on one line, not longer than one, without what would move a terminal."""
    return ascii(name)[1:-1][:80] or "a file without a name"
