"""Pictures from a phone: decoded within limits, turned upright, stripped of place and all other marks, kept.

A picture is decoded and written anew, so nothing of the file that was sent survives but its pixels. It is written to a
file of its own beside its place, synced, and only then renamed under its content's hash; who calls records it after.
"""

import hashlib
import io
import threading
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import IO

from PIL import Image, ImageOps, UnidentifiedImageError

from shopbook.outside.files import hash_file, writing_whole
from shopbook.trade.car.pictures import LARGEST_BYTES, MOST_PIXELS, KeptPicture
from shopbook.trade.errors import NotFound, RuleBroken

KINDS = ("JPEG", "PNG", "WEBP")
LONGEST_SIDE = 3200
THUMBNAIL_SIDE = 480
_LARGEST = (LONGEST_SIDE, LONGEST_SIDE)
NO_IMAGE = "This file is not a photo we can read. Send a JPEG, PNG or WebP."
TOO_LARGE = "This photo is too large. Send one of at most 20 MB."
TOO_MANY = "This photo has too many pixels to open. Send a smaller one."
NO_MEMORY = "This machine ran out of memory for the photo. Try again, or send a smaller one."
BROKEN = "This photo is incomplete or damaged. Take it or send it again."

_ONE_AT_A_TIME = threading.Lock()
"""Decoded, a picture is ten times what was sent, and a shop's PC is small: so the next one waits for the lock."""


def keep_picture(stream: IO[bytes], folder: Path) -> KeptPicture:
    """Decode a picture and keep it under `folder` as JPEG, with a thumbnail; answers what to record.

    RuleBroken with a sentence for what is no picture, is too large, has too many pixels or breaks off, and when the
    disk is full. Nothing but whole files ever stands in the folder under its final name. However many come at once,
    one is in memory at a time.
    """
    with _ONE_AT_A_TIME:
        (width, height), whole, thumb = _make_anew(stream)
    return KeptPicture(
        sha256=_store(whole, folder),
        thumbnail_sha256=_store(thumb, folder),
        width=width,
        height=height,
        size_bytes=len(whole),
    )


def _make_anew(stream: IO[bytes]) -> tuple[tuple[int, int], bytes, bytes]:
    """The size of the picture as it is kept, its JPEG and its thumbnail's."""
    raw = stream.read(LARGEST_BYTES + 1)
    if len(raw) > LARGEST_BYTES:
        raise RuleBroken(TOO_LARGE, "photo")
    picture = _decode(raw)
    picture.thumbnail(_LARGEST, Image.Resampling.LANCZOS)
    small = picture.copy()
    small.thumbnail((THUMBNAIL_SIDE, THUMBNAIL_SIDE), Image.Resampling.LANCZOS)
    return picture.size, _encode(picture, 88), _encode(small, 80)


def picture_path(folder: Path, sha256: str) -> Path:
    """Where the picture of that hash lies. NotFound for what is no hash, or when the file is gone."""
    if len(sha256) != 64 or not all(mark in "0123456789abcdef" for mark in sha256):
        raise NotFound("There is no such photo.")
    path = folder / sha256[:2] / f"{sha256}.jpg"
    if not path.is_file():
        raise NotFound("The file of this photo is missing. It may be in the last backup.")
    return path


@contextmanager
def _within_limits() -> Iterator[None]:
    """Whatever Pillow raises on a hostile file becomes a sentence, including its warning of a decompression bomb."""
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error", Image.DecompressionBombWarning)
            yield
    except (Image.DecompressionBombError, Image.DecompressionBombWarning) as bomb:
        raise RuleBroken(TOO_MANY, "photo") from bomb
    except UnidentifiedImageError as error:
        raise RuleBroken(NO_IMAGE, "photo") from error
    except (OSError, ValueError, SyntaxError, EOFError, TypeError, IndexError, KeyError) as error:
        raise RuleBroken(BROKEN, "photo") from error
    except MemoryError as error:
        raise RuleBroken(NO_MEMORY, "photo") from error


def _decode(raw: bytes) -> Image.Image:
    with _within_limits(), Image.open(io.BytesIO(raw), formats=KINDS) as opened:
        if opened.width * opened.height > MOST_PIXELS:
            raise RuleBroken(TOO_MANY, "photo")
        if opened.format == "JPEG":
            opened.draft("RGB", _LARGEST)
        opened.load()
        if opened.mode in {"L", "LA", "RGB", "RGBA"}:
            # Made smaller before it is turned and copied: a picture of full size is in memory once.
            opened.thumbnail(_LARGEST, Image.Resampling.LANCZOS)
        return _on_white(ImageOps.exif_transpose(opened))


def _on_white(picture: Image.Image) -> Image.Image:
    """Plain red, green and blue, what was see-through on white, and no mark of the old file left."""
    if picture.mode in {"RGBA", "LA", "PA"} or "transparency" in picture.info:
        seen = picture.convert("RGBA")
        ground = Image.new("RGB", seen.size, "white")
        ground.paste(seen, mask=seen.getchannel("A"))
        return ground
    plain = picture.convert("RGB")
    plain.info.clear()
    return plain


def _encode(picture: Image.Image, quality: int) -> bytes:
    target = io.BytesIO()
    picture.save(target, "JPEG", quality=quality, optimize=True, progressive=True, exif=b"", icc_profile=None)
    return target.getvalue()


def _store(content: bytes, folder: Path) -> str:
    """Keep a content under its hash, synced before it is named; one that is there and unharmed is left alone."""
    sha256 = hashlib.sha256(content).hexdigest()
    final = folder / sha256[:2] / f"{sha256}.jpg"
    if not (final.is_file() and hash_file(final) == sha256):
        with writing_whole(final) as file:
            file.write(content)
    return sha256
