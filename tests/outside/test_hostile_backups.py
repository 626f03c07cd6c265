"""An archive that somebody made up is refused with a sentence, and the folder it was meant for is as it was before.

The kinds of attack are those that the archive's own description warns of: names that leave the folder, links, one name
twice, members that swell (PKWARE's APPNOTE, 4.3.17 and 4.4.17; CWE-22, CWE-59 and CWE-409 of the list of weaknesses).
"""

import hashlib
import json
import os
import shutil
import sqlite3
import stat
import subprocess
import sys
import warnings
import zipfile
from collections.abc import Callable
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

import pytest

from shopbook.outside import backups, pack_members
from shopbook.outside.backups import make_backup, unpack_backup
from shopbook.outside.files import keep_bytes, list_files
from shopbook.trade.errors import RuleBroken

MOMENT = datetime(2026, 11, 5, 17, 0, 1, tzinfo=UTC)
Change = Callable[["Forged"], None]


class Forged:
    """The members of a good backup, to be changed, and packed again with a list that fits them."""

    def __init__(self, made: Path) -> None:
        with zipfile.ZipFile(made) as pack:
            self.members = [(member, pack.read(member)) for member in pack.infolist()]
            self.members = [each for each in self.members if each[0].filename != "manifest.json"]
        self.listed: dict[str, str] = {}

    def add(self, name: str, body: bytes = b"", mode: int = 0, way: int = zipfile.ZIP_STORED) -> None:
        member = zipfile.ZipInfo(name)
        member.external_attr, member.compress_type = mode << 16, way
        self.members.append((member, body))

    def replace(self, name: str, body: bytes) -> None:
        self.members = [each for each in self.members if each[0].filename != name]
        self.add(name, body)

    def pack(self, path: Path) -> Path:
        files = {member.filename: hashlib.sha256(body).hexdigest() for member, body in self.members}
        manifest = {"form": 1, "made_at": MOMENT.isoformat(), "files": files | self.listed}
        with warnings.catch_warnings(), zipfile.ZipFile(path, "w") as pack:
            warnings.simplefilter("ignore", UserWarning)  # of one name twice
            for member, body in self.members:
                pack.writestr(member, body)
            pack.writestr("manifest.json", json.dumps(manifest))
        return path


@pytest.fixture
def good(tmp_path: Path, empty_book_file: Path) -> Path:
    """A backup of an empty book with a paper and a secret."""
    keep_bytes(tmp_path / "data" / "papers", b"a paper")
    (tmp_path / "data" / "secret").write_text("ab" * 32, encoding="ascii")
    others = {name: tmp_path / "data" / name for name in ("secret", "papers")}
    shutil.copyfile(empty_book_file, tmp_path / "copy.sqlite3")
    return make_backup(tmp_path / "copy.sqlite3", others, tmp_path / "backups", MOMENT).path


def refused(path: Path, folder: Path) -> str:
    """The sentence of the refusal, for a folder that is not there and for one that is there and empty."""
    before = everything(folder.parent)
    with pytest.raises(RuleBroken) as first:
        unpack_backup(path, folder)
    assert everything(folder.parent) == before
    folder.mkdir()
    with pytest.raises(RuleBroken) as second:
        unpack_backup(path, folder)
    assert list(folder.iterdir()) == []
    assert first.value.sentence == second.value.sentence
    return first.value.sentence


def everything(folder: Path) -> set[Path]:
    return set(folder.rglob("*"))


A_HASH = "f" * 64
NAMES = [
    "../outside",
    "/outside",
    "pictures/../../outside",
    "C:\\outside",
    "..\\outside",
    "pictures/ff/..",
    "book.sqlite3-wal",
    "book.sqlite3-shm",
    "book.sqlite3-journal",
    "BOOK.SQLITE3",
    "secret.pem",
    "serving.lock",
    "start-code",
    "sitecustomize.py",
    "pictures/",
    "pictures/ff/",
    f"pictures/{A_HASH}.jpg",
    f"pictures/ee/{A_HASH}.jpg",
    f"pictures/ff/{A_HASH}.svg",
    f"pictures/ff/{A_HASH}.jpg/x",
    f"pictures/ff/{A_HASH}.jpg\n",
    f"pictures/FF/{A_HASH.upper()}.jpg",
    f"papers/ff/{A_HASH}.pdf",
    f"papers/ff/{'f' * 63}٣",
    "con",
    "\x1b[2Jbook",
]


@pytest.mark.parametrize("name", NAMES, ids=ascii)
def test_a_member_that_no_backup_holds_is_refused(good: Path, tmp_path: Path, name: str) -> None:
    forged = Forged(good)
    forged.add(name)
    said = refused(forged.pack(tmp_path / "forged.zip"), tmp_path / "there")
    assert "not part of a backup" in said
    assert said.isprintable()
    assert not (tmp_path / "outside").exists()


def a_link(forged: Forged) -> None:
    forged.add(f"pictures/ff/{A_HASH}.jpg", b"/etc/passwd", stat.S_IFLNK | 0o777)


def a_pipe(forged: Forged) -> None:
    forged.add(f"papers/ff/{A_HASH}", b"", stat.S_IFIFO | 0o600)


def a_name_twice(forged: Forged) -> None:
    forged.add("secret", b"cd" * 32)


def a_packed_picture(forged: Forged) -> None:
    forged.add(f"pictures/ff/{A_HASH}.jpg", b"\0" * 1_000_000, way=zipfile.ZIP_DEFLATED)


def a_book_packed_in_another_way(forged: Forged) -> None:
    book = next(body for member, body in forged.members if member.filename == "book.sqlite3")
    forged.members = [each for each in forged.members if each[0].filename != "book.sqlite3"]
    forged.add("book.sqlite3", book, way=zipfile.ZIP_LZMA)


def a_long_secret(forged: Forged) -> None:
    forged.replace("secret", b"ab" * 5000)


def a_secret_that_is_none(forged: Forged) -> None:
    forged.replace("secret", b"import os")


def a_list_with_more(forged: Forged) -> None:
    forged.listed[f"papers/ff/{A_HASH}"] = A_HASH


def a_list_of_a_list(forged: Forged) -> None:
    forged.listed["secret"] = ["x"]  # type: ignore[assignment]


def no_book(forged: Forged) -> None:
    forged.members = [each for each in forged.members if each[0].filename != "book.sqlite3"]


def a_book_that_is_none(forged: Forged) -> None:
    forged.replace("book.sqlite3", b"SQLite format 3\0" + b"\xff" * 8000)


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (a_link, "not a plain file"),
        (a_pipe, "not a plain file"),
        (a_name_twice, "contains secret twice"),
        (a_packed_picture, "not packed as in a backup"),
        (a_book_packed_in_another_way, "not packed as in a backup"),
        (a_long_secret, "too large"),
        (a_secret_that_is_none, "not made by Shopbook"),
        (a_list_with_more, "not a complete Shopbook backup"),
        (a_list_of_a_list, "has changed since it was made"),
        (no_book, "not a complete Shopbook backup"),
        (a_book_that_is_none, "cannot be read"),
    ],
)
def test_a_forged_pack_is_refused_with_its_reason(good: Path, tmp_path: Path, change: Change, said: str) -> None:
    forged = Forged(good)
    change(forged)
    assert said in refused(forged.pack(tmp_path / "forged.zip"), tmp_path / "there")


@pytest.mark.parametrize("made_by", ["CREATE VIEW person2 AS SELECT 1", "CREATE VIRTUAL TABLE t USING fts5(x)"])
def test_a_book_with_tables_that_run_something_is_left_alone(good: Path, tmp_path: Path, made_by: str) -> None:
    forged = Forged(good)
    own = tmp_path / "own.sqlite3"
    own.write_bytes(next(body for member, body in forged.members if member.filename == "book.sqlite3"))
    with closing(sqlite3.connect(own)) as connection:
        connection.execute(made_by)
    forged.replace("book.sqlite3", own.read_bytes())
    assert "Shopbook does not make" in refused(forged.pack(tmp_path / "forged.zip"), tmp_path / "there")


def test_a_pack_that_says_more_than_it_has_is_refused(good: Path, tmp_path: Path) -> None:
    """Two names for the same bytes: the sum of what is packed is then larger than the file."""
    forged = Forged(good)
    body = os.urandom(200_000)
    for letter in "ab":
        forged.add(f"papers/ff/{'f' * 63}{letter}", body)
    path = forged.pack(tmp_path / "forged.zip")
    with zipfile.ZipFile(path) as pack:
        first, second = (pack.getinfo(f"papers/ff/{'f' * 63}{letter}") for letter in "ab")
        end = pack.fp.seek(0, 2) if pack.fp else 0
    whole = bytearray(path.read_bytes())
    whole[second.header_offset : second.header_offset + second.compress_size + 30 + len(second.filename)] = b""
    assert end > len(whole)
    path.write_bytes(_moved(bytes(whole), second, first, end - len(whole)))
    assert refused(path, tmp_path / "there")


def _moved(whole: bytes, second: zipfile.ZipInfo, first: zipfile.ZipInfo, by: int) -> bytes:
    """The pack with the second member's place in the list pointing at the first, the list itself moved up."""
    body = bytearray(whole)
    for member in (second,):
        place = body.rindex(member.filename.encode()) - 4
        body[place : place + 4] = first.header_offset.to_bytes(4, "little")
    manifest = body.rindex(b"manifest.json") - 4
    body[manifest : manifest + 4] = (int.from_bytes(body[manifest : manifest + 4], "little") - by).to_bytes(4, "little")
    end = body.rindex(b"PK\x05\x06") + 16
    body[end : end + 4] = (int.from_bytes(body[end : end + 4], "little") - by).to_bytes(4, "little")
    return bytes(body)


def test_more_members_or_bytes_than_a_shop_has_are_refused(
    good: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(pack_members, "MOST_MEMBERS", 3)
    assert "more than a backup can" in refused(good, tmp_path / "there")
    monkeypatch.setattr(pack_members, "MOST_MEMBERS", 4)
    monkeypatch.setattr(pack_members, "MOST_BYTES", 10_000)
    assert "more than a backup can" in refused(good, tmp_path / "elsewhere")


def test_a_restoring_that_cannot_go_on_leaves_the_folder_as_it_was(
    good: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    written: list[Path] = []
    whole = backups.writing_whole

    def until_the_book(path: Path) -> object:
        if path.name == "book.sqlite3":
            assert list_files(tmp_path / "there") != [], "the book comes last"
            raise PermissionError(13, "Permission denied")
        written.append(path)
        return whole(path)

    monkeypatch.setattr(backups, "writing_whole", until_the_book)
    assert "cannot be written: Permission denied." in refused(good, tmp_path / "there")
    assert len(written) == 4


@pytest.mark.skipif(os.name != "posix", reason="limits of this kind are POSIX's")
@pytest.mark.processes
def test_a_disk_that_fills_while_restoring_is_a_sentence(good: Path, tmp_path: Path) -> None:
    """The limit on one file's size stands for the disk; the proof is read first and needs room of its own."""
    command = (
        "import resource, sys, tempfile; from pathlib import Path; from shopbook.outside import backups\n"
        "from shopbook.trade.errors import RuleBroken\n"
        "proved = backups._prove_members\n"
        "def then_starve(pack, folder):\n"
        "    answer = proved(pack, folder)\n"
        "    resource.setrlimit(resource.RLIMIT_FSIZE, (60_000, 60_000))\n"
        "    return answer\n"
        "backups._prove_members = then_starve\n"
        "try: backups.unpack_backup(Path(sys.argv[1]), Path(sys.argv[2]))\n"
        "except RuleBroken as broken: print(broken.sentence)\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", command, str(good), str(tmp_path / "there")], capture_output=True, text=True, check=True
    )
    assert "The disk of" in done.stdout
    assert not (tmp_path / "there").exists()
