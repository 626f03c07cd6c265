"""A backup is proved before it has its name; a damaged or foreign file is refused; old ones go, never the newest."""

import hashlib
import shutil
import zipfile
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from shopbook.outside.backups import (
    Backup,
    choose_backup_folder,
    copy_sqlite,
    find_last_backup_at,
    forget_old_backups,
    list_backups,
    make_backup,
    prove_backup,
    unpack_backup,
)
from shopbook.outside.files import keep_bytes, list_files
from shopbook.trade.errors import RuleBroken

MOMENT = datetime(2026, 11, 5, 17, 0, 1, tzinfo=UTC)


@pytest.fixture
def made(tmp_path: Path, empty_book_file: Path) -> Backup:
    """A backup of an empty book with two pictures and a secret."""
    folder = tmp_path / "data"
    for body in (b"one" * 2000, b"two" * 2000):
        keep_bytes(folder / "papers", body)
    keep_shot(folder / "pictures", b"a shot")
    (folder / "pictures" / "Thumbs.db").write_bytes(b"of the system")
    (folder / "pictures" / ".part-x").write_bytes(b"half")
    (folder / "secret").write_text("ab" * 32, encoding="ascii")
    copy_sqlite(empty_book_file, tmp_path / "copy.sqlite3")
    others = {name: folder / name for name in ("secret", "pictures", "papers")}
    return make_backup(tmp_path / "copy.sqlite3", others, tmp_path / "backups", MOMENT)


def keep_shot(folder: Path, body: bytes) -> None:
    """A file where a picture of that content would lie."""
    name = hashlib.sha256(body).hexdigest()
    (folder / name[:2]).mkdir(parents=True)
    (folder / name[:2] / f"{name}.jpg").write_bytes(body)


def test_a_backup_holds_the_book_its_pictures_and_the_secret(made: Backup, tmp_path: Path) -> None:
    assert made.path.name == "shopbook-2026-11-05-170001.zip"
    assert prove_backup(made.path) == Backup(made.path, MOMENT, 5)
    unpack_backup(made.path, tmp_path / "there")
    restored = {path.relative_to(tmp_path / "there") for path in list_files(tmp_path / "there")}
    kept = {path.relative_to(tmp_path / "data") for path in list_files(tmp_path / "data")}
    kept -= {Path("pictures/Thumbs.db"), Path("pictures/.part-x")}
    assert restored == kept | {Path("book.sqlite3")}
    for name in kept:
        assert (tmp_path / "there" / name).read_bytes() == (tmp_path / "data" / name).read_bytes()


def test_a_damaged_byte_anywhere_is_noticed(made: Backup, tmp_path: Path) -> None:
    whole = made.path.read_bytes()
    contents = unpacked(made.path)
    for place in range(0, len(whole), max(1, len(whole) // 60)):
        damaged = tmp_path / "damaged.zip"
        damaged.write_bytes(whole[:place] + bytes([whole[place] ^ 0x41]) + whole[place + 1 :])
        try:
            prove_backup(damaged)
        except RuleBroken:
            continue
        # A byte of the pack's own that carries nothing, such as a time: then all that was packed is still as it was.
        assert unpacked(damaged) == contents


def unpacked(path: Path) -> dict[str, bytes]:
    with zipfile.ZipFile(path) as pack:
        return {name: pack.read(name) for name in pack.namelist()}


@pytest.mark.parametrize("length", [0, 1, 100, 5000])
def test_a_cut_file_is_refused(made: Backup, tmp_path: Path, length: int) -> None:
    cut = tmp_path / "cut.zip"
    cut.write_bytes(made.path.read_bytes()[:length])
    with pytest.raises(RuleBroken, match="not a complete"):
        prove_backup(cut)
    with pytest.raises(RuleBroken, match="not a complete"):
        unpack_backup(cut, tmp_path / "there")
    assert not (tmp_path / "there").exists()


def test_a_folder_that_holds_something_is_never_written_over(made: Backup, tmp_path: Path) -> None:
    (tmp_path / "there").mkdir()
    (tmp_path / "there" / "book.sqlite3").write_bytes(b"mine")
    with pytest.raises(RuleBroken, match="is not empty"):
        unpack_backup(made.path, tmp_path / "there")
    assert (tmp_path / "there" / "book.sqlite3").read_bytes() == b"mine"


def test_a_damaged_copy_of_the_book_becomes_no_backup(tmp_path: Path, empty_book_file: Path) -> None:
    body = bytearray(empty_book_file.read_bytes())
    body[4096 : 4096 * 4] = bytes(4096 * 3)
    (tmp_path / "copy.sqlite3").write_bytes(body)
    with pytest.raises(RuleBroken, match="copy of the book"):
        make_backup(tmp_path / "copy.sqlite3", {}, tmp_path / "backups", MOMENT)
    assert list_backups(tmp_path / "backups") == []


def test_a_disk_without_room_is_said_before_it_is_full(
    tmp_path: Path, empty_book_file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(shutil, "disk_usage", lambda folder: shutil._ntuple_diskusage(10**9, 10**9, 1000))
    with pytest.raises(RuleBroken, match="Free some space"):
        make_backup(empty_book_file, {}, tmp_path / "backups", MOMENT)


def test_a_pack_that_swells_beyond_the_disk_is_refused_before_it_is_unpacked(
    made: Backup, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    wanted = sum(member.file_size for member in zipfile.ZipFile(made.path).infolist())
    monkeypatch.setattr(shutil, "disk_usage", lambda folder: shutil._ntuple_diskusage(wanted, 1, wanted - 1))
    with pytest.raises(RuleBroken, match="Free some space"):
        unpack_backup(made.path, tmp_path / "fresh")
    assert list_files(tmp_path / "fresh") == []


def test_old_backups_go_but_never_the_newest(tmp_path: Path) -> None:
    for day in (1, 2, 3):
        (tmp_path / f"shopbook-2026-09-0{day}-120000.zip").touch()
    (tmp_path / "shopbook-notes.zip").touch()
    gone = forget_old_backups(tmp_path, MOMENT, 30)
    assert [path.name[9:19] for path in gone] == ["2026-09-01", "2026-09-02"]
    assert (tmp_path / "shopbook-notes.zip").exists()
    assert find_last_backup_at(tmp_path) == datetime(2026, 9, 3, 12, tzinfo=UTC)


def test_a_backup_within_its_days_stays(tmp_path: Path) -> None:
    for age in (31, 30, 29, 0):
        (tmp_path / (MOMENT - timedelta(days=age)).strftime("shopbook-%Y-%m-%d-%H%M%S.zip")).touch()
    forget_old_backups(tmp_path, MOMENT, 30)
    assert len(list_backups(tmp_path)) == 3


def test_the_machine_says_where_backups_go_before_the_book_does(tmp_path: Path) -> None:
    assert choose_backup_folder(tmp_path, tmp_path / "env", "set") == tmp_path / "env"
    assert choose_backup_folder(tmp_path, None, str(tmp_path / "set")) == tmp_path / "set"
    assert choose_backup_folder(tmp_path, None, " ") == tmp_path / "backups"
