"""What the server does once a day beside its pages: a proved backup, sweeping, stopping clocks that nobody stopped."""

import logging
import threading
from datetime import datetime, timedelta

from sqlalchemy import Engine

from shopbook.commands.book import act, now
from shopbook.commands.copies import back_up, backup_days, backup_folder
from shopbook.commands.kept import note_own_secret
from shopbook.config import Config
from shopbook.models.session import make_engine
from shopbook.outside.backups import find_last_backup_at, forget_old_backups
from shopbook.services.act import Act
from shopbook.services.floor.troubles import settle_floor
from shopbook.services.shop.acts import forget_old_acts

_DAY = timedelta(hours=24)
_LOOK_AGAIN_SECONDS = 600.0
_KEYS_STAY = timedelta(days=30)


def do_daily(config: Config, engine: Engine, log: logging.Logger, moment: datetime) -> bool:
    """Back up and sweep when the last backup is a day old; answers whether that was so. Logs what it did."""
    folder = backup_folder(config, engine, moment)
    last = find_last_backup_at(folder, moment)
    if last is not None and moment - last < _DAY:
        return False
    made = back_up(config, engine, folder, moment)
    gone = forget_old_backups(folder, moment, backup_days(engine, moment))
    log.info("backup %s checked, %d files; %d old ones deleted", made.path, made.file_count, len(gone))
    act(engine, _sweep)
    note_own_secret(config, engine)
    return True


def _sweep(act: Act) -> int:
    settle_floor(act.session, act.moment)
    return forget_old_acts(act.session, act.moment - _KEYS_STAY)


class DailyWork:
    """The thread that looks every ten minutes whether the day's work is due; ended with the server."""

    def __init__(self, config: Config, log: logging.Logger) -> None:
        self._config, self._log = config, log
        self._ended = threading.Event()
        self._thread = threading.Thread(target=self._run, name="daily work", daemon=True)

    def start(self) -> None:
        """Begin; the first look is at once."""
        self._thread.start()

    def end(self) -> None:
        """Ask it to end, and wait until a backup in progress is done."""
        self._ended.set()
        self._thread.join()

    def _run(self) -> None:
        engine = make_engine(self._config.database_url)
        try:
            while not self._ended.is_set():
                try:
                    do_daily(self._config, engine, self._log, now())
                except Exception:
                    # The pages must go on; Today shows that the last backup is old.
                    self._log.exception("the daily backup failed")
                self._ended.wait(_LOOK_AGAIN_SECONDS)
        finally:
            engine.dispose()
