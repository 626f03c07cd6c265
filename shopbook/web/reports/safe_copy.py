"""When the book was last backed up, by the backup folder."""

from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path

from flask import current_app

from shopbook.config import Config
from shopbook.outside.backups import choose_backup_folder, find_last_backup_at
from shopbook.queries.shop.shop_on import ShopOn
from shopbook.trade.settings import SettingName

LONGEST = timedelta(hours=25)
"""The daily copy is due after a day; an hour more is left for making it."""


@dataclass(frozen=True, slots=True)
class SafeCopy:
    """The newest proved copy (None: there is none), whether it is too old, and whether it lies beside the book."""

    made_at: datetime | None
    is_late: bool
    folder: Path
    is_beside_book: bool


def find_safe_copy(shop: ShopOn, now: datetime) -> SafeCopy:
    """The newest copy in the folder that this machine or this book names; a folder that cannot be read has none."""
    config: Config = current_app.config["SHOPBOOK"]
    named = str(shop.settings[SettingName.BACKUP_FOLDER])
    folder = choose_backup_folder(config.data_folder, config.backup_folder, named)
    try:
        made_at = find_last_backup_at(folder, now)
    except OSError:
        made_at = None
    is_beside = folder.is_relative_to(config.data_folder)
    return SafeCopy(made_at, made_at is None or now - made_at > LONGEST, folder, is_beside)
