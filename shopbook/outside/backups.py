"""A backup: one file with the whole book, its pictures, papers and secret, proved before it takes its name."""

import json
import shutil
import sqlite3
import tempfile
import zipfile
import zlib
from collections.abc import Mapping
from contextlib import closing
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from hashlib import file_digest
from pathlib import Path, PurePosixPath

from shopbook.outside.files import hash_file, list_files, writing_whole
from shopbook.trade.errors import RuleBroken

BOOK_NAME = "book.sqlite3"
_MANIFEST = "manifest.json"
_NAME = "shopbook-%Y-%m-%d-%H%M%S.zip"
_FORM = 1
_LARGEST_MANIFEST = 64 * 1024 * 1024


@dataclass(frozen=True, slots=True)
class Backup:
    """One backup that was proved: where it lies, when it was made, how many files it holds."""

    path: Path
    made_at: datetime
    file_count: int


def choose_backup_folder(data_folder: Path, by_environment: Path | None, by_setting: str) -> Path:
    """Where backups go: as this machine says, else as the book says, else beside the book."""
    if by_environment is not None:
        return by_environment
    return Path(by_setting).expanduser() if by_setting.strip() else data_folder / "backups"


def copy_sqlite(book_file: Path, target: Path) -> None:
    """Copy a book that may be in use, as it stands at one moment, into one file without a journal beside it."""
    address = f"{book_file.resolve().as_uri()}?mode=ro"
    with closing(sqlite3.connect(address, uri=True)) as source, closing(sqlite3.connect(target)) as copy:
        source.backup(copy)
        copy.execute("PRAGMA journal_mode=DELETE")


def make_backup(copy_of_book: Path, others: Mapping[str, Path], folder: Path, now: datetime) -> Backup:
    """Pack a copy of the book and what belongs to it into one proved file in `folder`.

    `others` names further files and folders by their name in the pack; those that do not exist are left out.
    RuleBroken when the copy is no sound book or the disk has no room.
    """
    _refuse_unsound(copy_of_book)
    members = {BOOK_NAME: copy_of_book} | _members(others)
    folder.mkdir(parents=True, exist_ok=True)
    _refuse_no_room(members, folder)
    path = folder / now.astimezone(UTC).strftime(_NAME)
    with writing_whole(path) as file:
        _pack(file, members, now)
        file.flush()
        _prove(file)
    return Backup(path, now, len(members))


def _members(others: Mapping[str, Path]) -> dict[str, Path]:
    found = {name: path for name, path in others.items() if path.is_file()}
    for name, folder in others.items():
        found |= {f"{name}/{path.relative_to(folder).as_posix()}": path for path in list_files(folder)}
    return found


def _refuse_no_room(members: Mapping[str, Path], folder: Path) -> None:
    wanted = sum(path.stat().st_size for path in members.values())
    if shutil.disk_usage(folder).free < wanted:
        raise RuleBroken(f"The backup needs up to {wanted // 1_000_000 + 1} MB in {folder}, and there is less room.")


def _pack(file: "zipfile._ZipWritable", members: Mapping[str, Path], now: datetime) -> None:
    listed = {}
    with zipfile.ZipFile(file, "w", zipfile.ZIP_STORED, allowZip64=True) as pack:
        for name, path in members.items():
            # Pictures and PDFs are packed already; only the book itself shrinks.
            pack.write(path, name, zipfile.ZIP_DEFLATED if name == BOOK_NAME else zipfile.ZIP_STORED)
            listed[name] = hash_file(path)
        manifest = {"form": _FORM, "made_at": now.astimezone(UTC).isoformat(), "files": listed}
        pack.writestr(_MANIFEST, json.dumps(manifest, indent=1), zipfile.ZIP_DEFLATED)


def prove_backup(path: Path) -> Backup:
    """Read a backup from end to end: every file by its hash, the book by its own test.

    RuleBroken when it is not whole.
    """
    made_at, files = _prove(path)
    return Backup(path, made_at, len(files))


def _prove(file: "Path | zipfile._ZipReadable") -> tuple[datetime, dict[str, str]]:
    try:
        with zipfile.ZipFile(file) as pack, tempfile.TemporaryDirectory(prefix="shopbook-proof-") as folder:
            made_at, files = _read_manifest(pack)
            _refuse_larger(Path(folder), pack.getinfo(BOOK_NAME).file_size)
            for name, sha256 in files.items():
                with pack.open(name) as member:
                    if file_digest(member, "sha256").hexdigest() != sha256:  # type: ignore[arg-type]
                        raise RuleBroken(f"The backup is damaged: {name} is not what was packed.")
            _refuse_unsound(Path(pack.extract(BOOK_NAME, folder)))
            return made_at, files
    except (zipfile.BadZipFile, zlib.error, KeyError, ValueError, EOFError, OSError, RuntimeError) as error:
        raise RuleBroken("The file is no whole backup of a Shopbook.") from error


def _refuse_larger(folder: Path, wanted: int) -> None:
    """What a member declares is all that is ever read of it, so the disk can be asked before anything is unpacked."""
    if shutil.disk_usage(folder).free < wanted:
        raise RuleBroken(f"Unpacked, this file takes {wanted // 1_000_000 + 1} MB, and {folder} has less room.")


def _read_manifest(pack: zipfile.ZipFile) -> tuple[datetime, dict[str, str]]:
    if pack.getinfo(_MANIFEST).file_size > _LARGEST_MANIFEST:
        raise ValueError("a list that long is not ours")
    manifest = json.loads(pack.read(_MANIFEST))
    files = manifest["files"]
    if manifest["form"] != _FORM:
        raise RuleBroken("The backup was made by a newer Shopbook: install that one first.")
    if BOOK_NAME not in files or {*files, _MANIFEST} != set(pack.namelist()) or not all(map(_is_inside, files)):
        raise ValueError("the list and the files differ")
    return datetime.fromisoformat(manifest["made_at"]), files


def _is_inside(name: str) -> bool:
    """Whether a name stays inside the folder it is unpacked into, on every system."""
    path = PurePosixPath(name)
    return not path.is_absolute() and ".." not in path.parts and not set(name) & set('\\:*?"<>|\0')


def _refuse_unsound(book: Path) -> None:
    try:
        with closing(sqlite3.connect(f"{book.resolve().as_uri()}?mode=ro", uri=True)) as connection:
            said = connection.execute("PRAGMA integrity_check").fetchone()[0]
            broken = connection.execute("PRAGMA foreign_key_check").fetchone()
            connection.execute("SELECT version_num FROM alembic_version").fetchone()
    except sqlite3.DatabaseError as error:
        raise RuleBroken("The copy of the book cannot be read as a book.") from error
    if said != "ok" or broken is not None:
        raise RuleBroken("The copy of the book is damaged inside. Keep the last good backup, and ask for help.")


def unpack_backup(path: Path, folder: Path) -> Backup:
    """Restore a proved backup into a folder that is empty or not there; RuleBroken otherwise."""
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        raise RuleBroken(f"{folder} is not empty: name a new folder, so that nothing is written over.")
    backup = prove_backup(path)
    with zipfile.ZipFile(path) as pack:
        _, files = _read_manifest(pack)
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        _refuse_larger(folder, sum(member.file_size for member in pack.infolist()))
        for name in files:
            with pack.open(name) as member, writing_whole(folder / PurePosixPath(name)) as file:
                shutil.copyfileobj(member, file)
    return backup


def list_backups(folder: Path) -> list[Path]:
    """The backups in a folder, oldest first; what stands there under a backup's name was proved when it was made."""
    return sorted(path for path in folder.glob("shopbook-*.zip") if made_at_of(path) is not None)


def made_at_of(path: Path) -> datetime | None:
    """When a backup was made, by its name; None for another file."""
    try:
        return datetime.strptime(path.name, _NAME).replace(tzinfo=UTC)
    except ValueError:
        return None


def find_last_backup_at(folder: Path) -> datetime | None:
    """When the newest backup in a folder was made; None when there is none."""
    kept = list_backups(folder)
    return made_at_of(kept[-1]) if kept else None


def forget_old_backups(folder: Path, now: datetime, days: int) -> list[Path]:
    """Delete backups older than so many days, never the newest one; answers which went."""
    kept = list_backups(folder)
    old = [path for path in kept[:-1] if (made_at_of(path) or now) < now - timedelta(days=days)]
    for path in old:
        path.unlink()
    return old
