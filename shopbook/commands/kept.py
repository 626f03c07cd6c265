"""What lies beside the book, proved: its pictures and papers by their hashes, its secret by a check value."""

from collections.abc import Iterator

from sqlalchemy import Engine

from shopbook.commands.book import act, ask
from shopbook.config import Config
from shopbook.outside.files import hash_file, path_of_kept
from shopbook.outside.passwords import check_of
from shopbook.outside.pictures import picture_path
from shopbook.queries.reports.kept_contents import KeptContent, list_kept_contents
from shopbook.queries.reports.proofs import Fault, Proof, fault_of, prove
from shopbook.queries.shop.secret_check import find_secret_check
from shopbook.services.shop.secret_check import note_secret
from shopbook.trade.errors import NotFound


def note_own_secret(config: Config, engine: Engine) -> None:
    """Let the book note its secret's check value, where it has none yet and there is a secret."""
    secret = config.find_secret()
    if secret is not None and not ask(engine, find_secret_check):
        act(engine, lambda act: note_secret(act, check_of(secret)))


def prove_kept(config: Config, engine: Engine) -> Iterator[Proof]:
    """Every file that the book names, and the secret."""
    contents = ask(engine, list_kept_contents)
    claim = "every picture and paper is there and undamaged"
    yield prove("files", claim, (_try_content(config, content) for content in contents))
    yield prove("secret", "the secret is the one that PINs were kept with", _try_secret(config, engine))


def _try_content(config: Config, content: KeptContent) -> Fault | None:
    """Missing, altered, or another kept file under its name: all three are another hash, or none."""
    name = f"{content.folder}/{content.sha256[:2]}/{content.sha256}"
    found = _measure(config, content)
    if found is None:
        return Fault(content.table, content.key, f"{name} is missing")
    sha256, size_bytes = found
    if sha256 != content.sha256:
        return Fault(content.table, content.key, f"{name} is damaged, or another file stands in its place")
    said = f"{name} has {size_bytes} bytes, the book says {content.size_bytes}"
    return fault_of(content.table, content.key, said, holds=content.size_bytes in (None, size_bytes))


def _measure(config: Config, content: KeptContent) -> tuple[str, int] | None:
    """Hash and size of what lies there; a picture's file carries its ending, a paper's none."""
    try:
        if content.folder == "papers":
            path = path_of_kept(config.papers_folder, content.sha256)
        else:
            path = picture_path(config.pictures_folder, content.sha256)
        return hash_file(path), path.stat().st_size
    except (NotFound, OSError, ValueError):
        return None


def _try_secret(config: Config, engine: Engine) -> Iterator[Fault | None]:
    """Nothing is tried while the book has not noted which secret it is."""
    noted, secret = ask(engine, find_secret_check), config.find_secret()
    if not noted:
        return
    said = f"{config.secret_file} is not the secret that this book was served with: PINs no longer fit"
    if secret is None:
        said = f"{config.secret_file} is missing or cannot be read: restore it from a backup, or PINs no longer fit"
    yield fault_of("setting", "secret_check", said, holds=secret is not None and check_of(secret) == noted)
