"""Files that claim to be a backup and would harm whoever unpacks them: each refused before anything is unpacked."""

import hashlib
import json
import struct
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest

from shopbook.outside import pack_members
from shopbook.outside.backups import unpack_backup
from shopbook.outside.pack_members import LARGEST_ENTRY, MOST_MEMBERS
from shopbook.trade.errors import RuleBroken

NOTHING = hashlib.sha256(b"").hexdigest()
PAPER = f"papers/{NOTHING[:2]}/{NOTHING}"


def pack(path: Path, members: dict[str, bytes], **listed: str) -> Path:
    """A pack with these members and a manifest that lists them; `listed` hashes stand in for theirs."""
    files = {name: hashlib.sha256(body).hexdigest() for name, body in members.items()} | listed
    manifest = {"form": 1, "made_at": "2026-11-05T17:00:00+00:00", "files": files}
    with zipfile.ZipFile(path, "w", zipfile.ZIP_STORED) as made:
        for name, body in members.items():
            made.writestr(name, body, zipfile.ZIP_DEFLATED if name == "book.sqlite3" else zipfile.ZIP_STORED)
        made.writestr("manifest.json", json.dumps(manifest), zipfile.ZIP_DEFLATED)
    return path


def link(path: Path) -> None:
    with zipfile.ZipFile(path, "a") as made:
        member = zipfile.ZipInfo(PAPER)
        member.external_attr = 0o120777 << 16
        made.writestr(member, "/etc/hostname")


def too_many(path: Path) -> None:
    """The end of the list announces more members than any shop has."""
    body = bytearray(path.read_bytes())
    place = body.rfind(b"PK\5\6")
    struct.pack_into("<2H", body, place + 8, 0xFFFF, 0xFFFF)
    long = struct.pack("<4sQ2H2L4Q", b"PK\6\6", 44, 45, 45, 0, 0, 2 * MOST_MEMBERS, 2 * MOST_MEMBERS, 100, 0)
    locator = struct.pack("<4sLQL", b"PK\6\7", 0, place, 1)
    path.write_bytes(body[:place] + long + locator + body[place:])


def long_list(path: Path) -> None:
    """The list is longer than its members need."""
    body = bytearray(path.read_bytes())
    struct.pack_into("<L", body, body.rfind(b"PK\5\6") + 12, 100 * LARGEST_ENTRY)
    path.write_bytes(body)


def outside(path: Path) -> None:
    with zipfile.ZipFile(path, "a") as made:
        made.writestr("../../evil", b"")


def absolute(path: Path) -> None:
    with zipfile.ZipFile(path, "a") as made:
        made.writestr("/tmp/evil", b"")


def swelling(path: Path) -> None:
    """17 MB of nothing in a few kilobytes."""
    pack(path, {"book.sqlite3": bytes(17 << 20)})


def fat_manifest(path: Path) -> None:
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as made:
        made.writestr("book.sqlite3", b"")
        made.writestr("manifest.json", b" " * 10_000)


@pytest.mark.parametrize(
    ("spoil", "said"),
    [
        (link, "not a plain file"),
        (too_many, "claims to contain more"),
        (long_list, "claims to contain more"),
        (outside, "not part of a backup"),
        (absolute, "not part of a backup"),
        (swelling, "too large"),
        (fat_manifest, "claims to contain more"),
    ],
)
def test_a_bomb_is_refused_before_it_is_unpacked(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, spoil: Callable[[Path], None], said: str
) -> None:
    path = pack(tmp_path / "bad.zip", {"book.sqlite3": b""})
    spoil(path)
    monkeypatch.setattr(zipfile.ZipFile, "open", never)
    with pytest.raises(RuleBroken, match=said):
        unpack_backup(path, tmp_path / "there")
    assert not (tmp_path / "there").exists()
    assert sorted(one.name for one in tmp_path.iterdir()) == ["bad.zip"]


def never(*_: object, **__: object) -> None:
    raise AssertionError("a member was opened")


def test_what_is_read_of_a_member_never_passes_what_it_announced(tmp_path: Path) -> None:
    path = pack(tmp_path / "lies.zip", {"book.sqlite3": bytes(1 << 20)})
    body = bytearray(path.read_bytes())
    for mark, place in ((b"PK\1\2", 24), (b"PK\3\4", 22)):
        struct.pack_into("<L", body, body.find(mark) + place, 10)
    path.write_bytes(body)
    with pytest.raises(RuleBroken, match="not a complete"):
        unpack_backup(path, tmp_path / "there")
    assert not (tmp_path / "there").exists()


def test_a_file_under_another_ones_name_is_refused(tmp_path: Path) -> None:
    path = pack(tmp_path / "swapped.zip", {PAPER: b"another paper", "book.sqlite3": b""})
    with pytest.raises(RuleBroken, match="another file under that name"):
        unpack_backup(path, tmp_path / "there")


def test_a_list_of_honest_length_is_read(tmp_path: Path) -> None:
    path = pack(tmp_path / "whole.zip", {"book.sqlite3": b""})
    with path.open("rb") as file:
        assert pack_members.refuse_long_list(file) is None
