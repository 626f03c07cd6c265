"""What a backup's list remembers of the seal: the newest link of the book in it, and whose book that is."""

import json
import zipfile
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from shopbook.outside.backups import list_backups
from shopbook.outside.pack_members import MANIFEST_NAME
from shopbook.trade.sealing import KeptSeal


@dataclass(frozen=True, slots=True)
class BackupSeal:
    """One backup that remembers a link."""

    name: str
    made_at: datetime
    kept: KeptSeal


def list_backup_seals(folder: Path, book_key: str) -> list[BackupSeal]:
    """The backups of one book in a folder that remember a link, oldest first.

    Those of another book, from before there was a seal, and what cannot be read are left out: what is in a backup is
    proved when it is restored.
    """
    found = (_read(path, book_key) for path in list_backups(folder))
    return [one for one in found if one is not None]


def _read(path: Path, book_key: str) -> BackupSeal | None:
    try:
        with zipfile.ZipFile(path) as pack:
            said = json.loads(pack.read(MANIFEST_NAME))
        seal = said["seal"]
        kept = KeptSeal(int(seal["number"]), str(seal["sha256"]))
        made_at = datetime.fromisoformat(said["made_at"])
    except (zipfile.BadZipFile, KeyError, ValueError, TypeError, OSError):
        return None
    return BackupSeal(path.name, made_at, kept) if seal.get("book") == book_key else None
