"""Photos that came with a form: kept on disk before anything is recorded, and carried on when the form is refused."""

from pathlib import Path

from flask import current_app, request
from werkzeug.wrappers import Response

from shopbook.outside.pictures import keep_picture, picture_path
from shopbook.trade.car.pictures import KeptPicture
from shopbook.trade.errors import NotFound, RuleBroken
from shopbook.web.parts.keys import as_key

MOST_AT_ONCE = 12


def folder() -> Path:
    """Where this book's pictures lie."""
    path: Path = current_app.config["SHOPBOOK"].pictures_folder
    return path


def keep_sent(name: str = "photo") -> tuple[list[KeptPicture], list[str]]:
    """Keep the photos of this request and those that an earlier refusal carried on; and a sentence for each bad one."""
    kept = [picture for picture in map(_carried, request.form.getlist("kept")[:MOST_AT_ONCE]) if picture]
    troubles = []
    sent = [file for file in request.files.getlist(name) if file.filename]
    for file in sent[:MOST_AT_ONCE]:
        try:
            kept.append(keep_picture(file.stream, folder()))
        except RuleBroken as broken:
            troubles.append(f"{str(file.filename)[:80]}: {broken.sentence}")
    if len(sent) > MOST_AT_ONCE:
        troubles.append(f"Only {MOST_AT_ONCE} photos at a time. The others were not saved.")
    return list(dict.fromkeys(kept)), troubles


def carry(picture: KeptPicture) -> str:
    """A kept picture as a hidden field holds it."""
    return ".".join(
        (
            picture.sha256,
            picture.thumbnail_sha256,
            str(picture.width),
            str(picture.height),
            str(picture.size_bytes),
        )
    )


def _carried(text: str) -> KeptPicture | None:
    """What a hidden field holds, if both its files are there; anything else was not ours and is passed over."""
    parts = text.split(".")
    try:
        for sha256 in parts[:2]:
            picture_path(folder(), sha256)
        width, height, size = (as_key(part) for part in parts[2:])
    except (NotFound, ValueError):
        return None
    return KeptPicture(parts[0], parts[1], width, height, size)


def serve_picture(sha256: str) -> Response:
    """This browser may keep the file under its hash, but asks each time: whoever holds it next may not see it."""
    answer = Response(picture_path(folder(), sha256).read_bytes(), mimetype="image/jpeg")
    answer.set_etag(sha256)
    answer.headers["Cache-Control"] = "private, no-cache"
    answer.headers["X-Content-Type-Options"] = "nosniff"
    answer.headers["Content-Disposition"] = "inline"
    return answer.make_conditional(request)
