"""The program's settings, read once from the environment (`SHOPBOOK_*`); no other module asks the environment."""

import os
import secrets
from collections.abc import Mapping
from dataclasses import dataclass
from ipaddress import ip_address
from pathlib import Path

from platformdirs import user_data_path

from shopbook.trade.errors import RuleBroken


@dataclass(frozen=True, slots=True)
class Config:
    """Where the book lies and how it is served."""

    data_folder: Path
    database_url: str
    trusted_hosts: tuple[str, ...]
    """Host names that pages are served under; empty: loopback and this machine's own addresses."""
    is_behind_tls: bool
    """A proxy in front speaks TLS: only then are cookies marked Secure."""
    backup_folder: Path | None
    proxy: str | None = None
    """Address of the one proxy in front that says for whom it asks; None: whoever connects is the one who asks."""

    @property
    def pictures_folder(self) -> Path:
        return self.data_folder / "pictures"

    @property
    def papers_folder(self) -> Path:
        return self.data_folder / "papers"

    @property
    def fonts_folder(self) -> Path:
        """Fonts of papers, made at first use; they can be deleted at any time."""
        return self.data_folder / "fonts"

    @property
    def log_file(self) -> Path:
        return self.data_folder / "shopbook.log"

    @property
    def start_code_file(self) -> Path:
        return self.data_folder / "start-code"

    @property
    def lock_file(self) -> Path:
        return self.data_folder / "serving.lock"

    @property
    def book_file(self) -> Path | None:
        """The one file of the book when it is kept in SQLite."""
        prefix = "sqlite:///"
        return Path(self.database_url.removeprefix(prefix)) if self.database_url.startswith(prefix) else None

    @property
    def secret_file(self) -> Path:
        return self.data_folder / "secret"

    def find_secret(self) -> bytes | None:
        """The secret, where there is one that reads; none is made."""
        try:
            return bytes.fromhex(self.secret_file.read_text(encoding="ascii").strip())
        except (OSError, ValueError):
            return None

    def read_secret(self) -> bytes:
        """The secret that signs cookies and keys PINs; made on first use, readable by its user only."""
        path = self.secret_file
        if not path.exists():
            self.data_folder.mkdir(mode=0o700, parents=True, exist_ok=True)
            path.touch(mode=0o600)
            path.write_text(secrets.token_hex(32), encoding="ascii")
        elif path.stat().st_mode & 0o077:
            # A copied or restored one may have come open to others.
            path.chmod(0o600)
        return bytes.fromhex(path.read_text(encoding="ascii").strip())


def read_config(environ: Mapping[str, str] | None = None) -> Config:
    """The settings of this process; `environ` stands in for the environment in tests."""
    given = os.environ if environ is None else environ  # noqa: TID251
    folder = Path(given.get("SHOPBOOK_DATA") or user_data_path("shopbook", appauthor=False)).expanduser().resolve()
    backup = given.get("SHOPBOOK_BACKUP_FOLDER")
    return Config(
        data_folder=folder,
        database_url=given.get("SHOPBOOK_DATABASE_URL") or f"sqlite:///{(folder / 'book.sqlite3').as_posix()}",
        trusted_hosts=tuple(host.strip() for host in given.get("SHOPBOOK_HOSTS", "").split(",") if host.strip()),
        is_behind_tls=given.get("SHOPBOOK_TLS", "").lower() in {"1", "yes", "true"},
        backup_folder=Path(backup).expanduser().resolve() if backup else None,
        proxy=_read_address(given.get("SHOPBOOK_PROXY", "")),
    )


def _read_address(text: str) -> str | None:
    """One address as the network writes it; None for nothing."""
    try:
        return str(ip_address(text.strip())) if text.strip() else None
    except ValueError:
        raise RuleBroken(
            "Set SHOPBOOK_PROXY to the address of the proxy in front, for example 127.0.0.1, or leave it out."
        ) from None
