"""A backup: one file with the whole book, its pictures, papers and secret, checked before it takes its name."""

import io
import json
import re
import shutil
import sqlite3
import tempfile
import zipfile
import zlib
from collections.abc import Callable, Iterator, Mapping
from contextlib import closing, contextmanager, suppress
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from hashlib import file_digest
from pathlib import Path, PurePosixPath

from shopbook.outside.files import HALF_WRITTEN, hash_file, list_files, saying_no_room, writing_whole
from shopbook.outside.pack_members import (
    BOOK_NAME,
    MANIFEST_NAME,
    SECRET_NAME,
    is_member,
    kept_hash,
    refuse_foreign_members,
    refuse_long_list,
)
from shopbook.trade.errors import RuleBroken

_NAME = "shopbook-%Y-%m-%d-%H%M%S.zip"
_FORM = 1
_OTHERS_TABLES = "SELECT 1 FROM sqlite_master WHERE type = 'view' OR sql LIKE 'CREATE VIRTUAL%' LIMIT 1"
_GUARD = re.compile(
    r'CREATE TRIGGER guard_(\w+)_(?:update|delete) BEFORE (?:UPDATE|DELETE) ON "\1" '
    r"BEGIN SELECT RAISE\(ABORT, '\1 is append-only'\); END",
    re.ASCII,
)
_NO_BACKUP = (zipfile.BadZipFile, zlib.error, KeyError, ValueError, TypeError, EOFError, RuntimeError, OSError)


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

    `others` names further files and folders by their name in the pack. Those that do not exist are left out, and so is
    what others put into the folders: a half-written file, a mark of the system's own.
    RuleBroken when the copy is no sound book or the disk has no room.
    """
    _refuse_unsound(copy_of_book)
    members = {BOOK_NAME: copy_of_book} | _members(others)
    folder.mkdir(parents=True, exist_ok=True)
    _refuse_no_room(members, folder)
    path = folder / now.astimezone(UTC).strftime(_NAME)
    with writing_whole(path) as file:
        _pack(file, members, now)
        # Proved as it lies in the file and before it takes its name: a backup that cannot be read is none.
        file.flush()
        _prove(file)
    return Backup(path, now, len(members))


def _members(others: Mapping[str, Path]) -> dict[str, Path]:
    found = {name: path for name, path in others.items() if path.is_file()}
    for name, folder in others.items():
        found |= {f"{name}/{path.relative_to(folder).as_posix()}": path for path in list_files(folder)}
    return {name: path for name, path in found.items() if is_member(name)}


def _refuse_no_room(members: Mapping[str, Path], folder: Path) -> None:
    wanted = sum(path.stat().st_size for path in members.values())
    if shutil.disk_usage(folder).free < wanted:
        raise RuleBroken(f"The backup needs up to {wanted // 1_000_000 + 1} MB. Free some space in {folder}.")


def _pack(file: "zipfile._ZipWritable", members: Mapping[str, Path], now: datetime) -> None:
    listed = {}
    with zipfile.ZipFile(file, "w", zipfile.ZIP_STORED, allowZip64=True) as pack:
        for name, path in members.items():
            # Pictures and PDFs are packed already; only the book itself shrinks.
            pack.write(path, name, zipfile.ZIP_DEFLATED if name == BOOK_NAME else zipfile.ZIP_STORED)
            listed[name] = hash_file(path)
        manifest = {"form": _FORM, "made_at": now.astimezone(UTC).isoformat(), "files": listed}
        manifest |= _seal_of(members[BOOK_NAME])
        pack.writestr(MANIFEST_NAME, json.dumps(manifest, indent=1), zipfile.ZIP_DEFLATED)


def _seal_of(book: Path) -> dict[str, dict[str, str | int]]:
    """The newest link of the copy's seal, so that the end of the book's own cannot be cut off unseen."""
    with closing(sqlite3.connect(f"{book.resolve().as_uri()}?mode=ro&immutable=1", uri=True)) as connection:
        try:
            asked = "SELECT book_key, number, sha256 FROM seal, book ORDER BY number DESC LIMIT 1"
            row = connection.execute(asked).fetchone()
        except sqlite3.OperationalError:
            # A book from before the seal.
            return {}
    return {"seal": {"book": row[0], "number": row[1], "sha256": row[2]}} if row else {}


def prove_backup(path: Path) -> Backup:
    """Read a backup from end to end: every file by its hash, the book by its own test.

    RuleBroken when it is not whole, or holds what no backup holds.
    """
    made_at, files = _prove(path)
    return Backup(path, made_at, len(files))


def _prove(file: "Path | zipfile._ZipReadable") -> tuple[datetime, dict[str, str]]:
    with _opened(file) as pack, tempfile.TemporaryDirectory(prefix="shopbook-proof-") as folder:
        return _prove_members(pack, Path(folder))


@contextmanager
def _opened(file: "Path | zipfile._ZipReadable") -> Iterator[zipfile.ZipFile]:
    try:
        if isinstance(file, Path):
            with file.open("rb") as announced:
                refuse_long_list(announced)
        with zipfile.ZipFile(file) as pack:
            yield pack
    except _NO_BACKUP as error:
        raise RuleBroken("The file is not a complete Shopbook backup.") from error


def _prove_members(pack: zipfile.ZipFile, folder: Path) -> tuple[datetime, dict[str, str]]:
    """Every file of an opened pack by its hash, the book by its own test, unpacked into `folder` for that."""
    refuse_foreign_members(pack.infolist(), _length(pack))
    made_at, files = _read_manifest(pack)
    _refuse_larger(folder, pack.getinfo(BOOK_NAME).file_size)
    for name, sha256 in files.items():
        with pack.open(name) as member:
            if file_digest(member, "sha256").hexdigest() != sha256:  # type: ignore[arg-type]
                raise RuleBroken(f"The backup is damaged: {name} has changed since it was made.")
        if kept_hash(name) not in (None, sha256):
            raise RuleBroken(f"The backup is damaged: {name} is another file under that name.")
    if SECRET_NAME in files:
        _refuse_strange_secret(pack.read(SECRET_NAME))
    with saying_no_room(folder / BOOK_NAME):
        book = Path(pack.extract(BOOK_NAME, folder))
    _refuse_unsound(book)
    return made_at, files


def _length(pack: zipfile.ZipFile) -> int:
    file = pack.fp
    if file is None:
        raise ValueError("the pack is shut")
    return file.seek(0, io.SEEK_END)


def _refuse_strange_secret(content: bytes) -> None:
    if not re.fullmatch(rb"(?:[0-9a-f]{2}){16,64}\s*", content):
        raise RuleBroken("The secret in this file was not made by Shopbook. Nothing was restored.")


def _refuse_larger(folder: Path, wanted: int) -> None:
    """Only the declared size of a member is ever read, so free space can be checked before unpacking."""
    if shutil.disk_usage(folder).free < wanted:
        raise RuleBroken(f"This file needs {wanted // 1_000_000 + 1} MB. Free some space in {folder}.")


def _read_manifest(pack: zipfile.ZipFile) -> tuple[datetime, dict[str, str]]:
    manifest = json.loads(pack.read(MANIFEST_NAME))
    files = manifest["files"]
    if manifest["form"] != _FORM:
        raise RuleBroken("The backup is from a newer Shopbook. Install that version first.")
    if BOOK_NAME not in files or {*files, MANIFEST_NAME} != set(pack.namelist()):
        raise ValueError("the list and the files differ")
    return datetime.fromisoformat(manifest["made_at"]), files


def _refuse_unsound(book: Path) -> None:
    try:
        with closing(sqlite3.connect(f"{book.resolve().as_uri()}?mode=ro&immutable=1", uri=True)) as connection:
            connection.execute("PRAGMA trusted_schema=OFF")
            connection.execute("PRAGMA cell_size_check=ON")
            said = connection.execute("PRAGMA integrity_check").fetchone()[0]
            broken = connection.execute("PRAGMA foreign_key_check").fetchone()
            connection.execute("SELECT version_num FROM alembic_version").fetchone()
            strange = connection.execute(_OTHERS_TABLES).fetchone()
    except sqlite3.DatabaseError as error:
        raise RuleBroken("The copy of the book cannot be read.") from error
    if said != "ok" or broken is not None:
        raise RuleBroken("The copy of the book is damaged. Keep the last good backup, and ask for help.")
    if strange is not None:
        raise RuleBroken("The book in this file has tables that Shopbook does not make. Nothing was restored.")


def _refuse_foreign_triggers(book: Path) -> None:
    """Whatever is written into a book runs its triggers: one that is not ours could write what it likes."""
    with closing(sqlite3.connect(f"{book.resolve().as_uri()}?mode=ro&immutable=1", uri=True)) as connection:
        found = connection.execute("SELECT sql FROM sqlite_master WHERE type = 'trigger'").fetchall()
    if not all(_GUARD.fullmatch(str(text)) for (text,) in found):
        raise RuleBroken("The book in this file has a trigger that is not Shopbook's. Nothing was restored.")


def unpack_backup(path: Path, folder: Path, accept: Callable[[Path], None] = lambda book: None) -> Backup:
    """Restore a proved backup into a folder that is empty or not there; RuleBroken otherwise.

    `accept` looks at a copy of the book before anything is put into the folder, and raises where it is refused. When
    it cannot be done to the end, the folder is again as it was. The book comes last: a folder without one is what is
    left of a restoring that was cut off.
    """
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        raise RuleBroken(f"{folder} is not empty. Choose a new folder, so that nothing is overwritten.")
    with _opened(path) as pack, tempfile.TemporaryDirectory(prefix="shopbook-proof-") as proving:
        made_at, files = _prove_members(pack, Path(proving))
        _refuse_foreign_triggers(Path(proving) / BOOK_NAME)
        accept(Path(proving) / BOOK_NAME)
        with as_it_was(folder):
            _refuse_larger(folder, sum(member.file_size for member in pack.infolist()))
            for name in sorted(files, key=lambda name: name == BOOK_NAME):
                _unpack(pack, name, files[name], folder)
    return Backup(path, made_at, len(files))


def _unpack(pack: zipfile.ZipFile, name: str, sha256: str, folder: Path) -> None:
    with pack.open(name) as member, writing_whole(folder / PurePosixPath(name)) as file:
        shutil.copyfileobj(member, file)
        file.seek(0)
        if file_digest(file, "sha256").hexdigest() != sha256:  # type: ignore[arg-type]
            raise RuleBroken(f"The backup changed while it was being read: {name} is different now.")


@contextmanager
def as_it_was(folder: Path) -> Iterator[None]:
    """The folder, made if missing; emptied, or removed again, if the block fails."""
    was_there = folder.exists()
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        yield
    except BaseException as error:
        for left in list(folder.iterdir()) if folder.is_dir() else []:
            shutil.rmtree(left) if left.is_dir() else left.unlink()
        if not was_there:
            with suppress(OSError):
                folder.rmdir()
        if isinstance(error, OSError):
            raise RuleBroken(f"{folder} cannot be written: {error.strerror or error}.") from error
        raise


def list_backups(folder: Path) -> list[Path]:
    """The backups in a folder, oldest first; what stands there under a backup's name was proved when it was made."""
    return sorted(path for path in folder.glob("shopbook-*.zip") if made_at_of(path) is not None)


def made_at_of(path: Path) -> datetime | None:
    """When a backup was made, by its name; None for another file."""
    try:
        return datetime.strptime(path.name, _NAME).replace(tzinfo=UTC)
    except ValueError:
        return None


def find_last_backup_at(folder: Path, until: datetime | None = None) -> datetime | None:
    """When the newest backup in a folder was made, of those that bear no later moment than `until`; None for none.

    A clock that was ahead for a while leaves a backup that seems to come from a day still to be.
    """
    moments = [made_at_of(path) for path in list_backups(folder)]
    return max((moment for moment in moments if moment and (until is None or moment <= until)), default=None)


def forget_old_backups(folder: Path, now: datetime, days: int) -> list[Path]:
    """Delete backups older than so many days, never the newest one; answers which went.

    With them goes what a backup left half-written when its machine was switched off a day ago or earlier.
    """
    for half in folder.glob(f"{HALF_WRITTEN}*"):
        if half.stat().st_mtime < (now - timedelta(days=1)).timestamp():
            half.unlink(missing_ok=True)
    kept = list_backups(folder)
    old = [path for path in kept[:-1] if (made_at_of(path) or now) < now - timedelta(days=days)]
    for path in old:
        path.unlink()
    return old
