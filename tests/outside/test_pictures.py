"""Pictures as phones send them, and files that mean harm."""

import io
import os
import shutil
import struct
import subprocess
import sys
import tempfile
import textwrap
import zlib
from pathlib import Path

import pytest
from PIL import Image

from shopbook.outside.pictures import keep_picture, picture_path
from shopbook.trade.car.pictures import LARGEST_BYTES
from shopbook.trade.errors import NotFound, RuleBroken

GPS_TAG, ORIENTATION_TAG, MAKER_TAG = 0x8825, 0x0112, 0x010F


def sent(kind: str = "JPEG", size: tuple[int, int] = (640, 480), **options: object) -> io.BytesIO:
    picture = Image.new("RGB", size, "#2f5f9b")
    picture.paste("#ffffff", (0, 0, size[0] // 4, size[1] // 4))
    target = io.BytesIO()
    picture.save(target, kind, **options)
    target.seek(0)
    return target


def with_exif(orientation: int = 6) -> io.BytesIO:
    exif = Image.Exif()
    exif[ORIENTATION_TAG] = orientation
    exif[MAKER_TAG] = "A camera"
    exif[GPS_TAG] = {1: "N", 2: (52.0, 5.0, 0.0), 3: "E", 4: (13.0, 4.0, 0.0)}
    return sent(exif=exif)


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_what_a_phone_sends_is_kept_under_its_hash_with_a_thumbnail(kind: str, tmp_path: Path) -> None:
    kept = keep_picture(sent(kind), tmp_path)
    with Image.open(picture_path(tmp_path, kept.sha256)) as whole:
        assert (whole.format, whole.size) == ("JPEG", (640, 480)) == ("JPEG", (kept.width, kept.height))
    with Image.open(picture_path(tmp_path, kept.thumbnail_sha256)) as small:
        assert max(small.size) <= 480
    assert picture_path(tmp_path, kept.sha256).stat().st_size == kept.size_bytes


def test_position_and_camera_are_stripped_and_the_picture_stands_upright(tmp_path: Path) -> None:
    kept = keep_picture(with_exif(orientation=6), tmp_path)
    for sha256 in (kept.sha256, kept.thumbnail_sha256):
        path = picture_path(tmp_path, sha256)
        with Image.open(path) as picture:
            assert dict(picture.getexif()) == {}
        assert b"A camera" not in path.read_bytes()
        assert b"Exif" not in path.read_bytes()
    assert (kept.width, kept.height) == (480, 640)
    with Image.open(picture_path(tmp_path, kept.sha256)) as upright:
        assert upright.getpixel((470, 5)) > (200, 200, 200), "the white corner turned to the top right"


def test_the_same_picture_twice_is_one_file(tmp_path: Path) -> None:
    assert keep_picture(sent(), tmp_path) == keep_picture(sent(), tmp_path)
    assert len([path for path in tmp_path.rglob("*") if path.is_file()]) == 2


def test_what_is_see_through_comes_out_on_white(tmp_path: Path) -> None:
    target = io.BytesIO()
    Image.new("RGBA", (50, 50), (0, 0, 0, 0)).save(target, "PNG")
    target.seek(0)
    kept = keep_picture(target, tmp_path)
    with Image.open(picture_path(tmp_path, kept.sha256)) as picture:
        assert min(picture.getpixel((25, 25))) > 250  # type: ignore[type-var]


def png_bomb(width: int = 60_000, height: int = 60_000) -> bytes:
    def chunk(name: bytes, body: bytes) -> bytes:
        return struct.pack(">I", len(body)) + name + body + struct.pack(">I", zlib.crc32(name + body))

    head = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    return (
        b"\x89PNG\r\n\x1a\n"
        + chunk(b"IHDR", head)
        + chunk(b"IDAT", zlib.compress(b"\0" * 100_000))
        + chunk(b"IEND", b"")
    )


HOSTILE: dict[str, tuple[bytes, str]] = {
    "empty": (b"", "not a photo"),
    "text": (b"not a picture at all", "not a photo"),
    "page": (b"<!doctype html><script>alert(1)</script>", "not a photo"),
    "drawing": (b'<svg xmlns="http://www.w3.org/2000/svg"><script>1</script></svg>', "not a photo"),
    "bomb": (png_bomb(), "too many pixels"),
    "just_over": (png_bomb(9000, 9000), "too many pixels"),
    "broken": (sent().getvalue()[:900], "incomplete"),
    "gif": (b"GIF89a\x01\x00\x01\x00\x00\x00\x00;", "not a photo"),
    "postscript": (b"%!PS-Adobe-3.0 EPSF-3.0\n%%BoundingBox: 0 0 9 9\n(%pipe%id) (w) file\n", "not a photo"),
    "flipped": (sent("PNG").getvalue().replace(b"IDAT", b"IDAX"), "not a photo"),
}


@pytest.mark.processes
@pytest.mark.parametrize("name", HOSTILE)
def test_a_file_that_means_harm_is_a_sentence_and_leaves_nothing(name: str) -> None:
    """Read by a process of its own that may use little memory and little time, as nobody where that can be."""
    content, words = HOSTILE[name]
    with tempfile.TemporaryDirectory(prefix="shopbook-hostile-") as beside:
        folder = Path(beside) / "kept"
        folder.mkdir()
        (Path(beside) / "sent").write_bytes(content)
        said = confined(Path(beside), folder)
        assert words in said
        assert [path for path in folder.rglob("*") if path.is_file()] == []


CONFINED = textwrap.dedent(
    """
    import resource, sys
    from pathlib import Path
    resource.setrlimit(resource.RLIMIT_AS, (1_200_000_000, 1_200_000_000))
    resource.setrlimit(resource.RLIMIT_CPU, (20, 20))
    from shopbook.outside.pictures import keep_picture
    from shopbook.trade.errors import RuleBroken
    try:
        with Path(sys.argv[1]).open("rb") as stream:
            keep_picture(stream, Path(sys.argv[2]))
        print("kept")
    except RuleBroken as broken:
        print(broken.sentence)
    """
)


def confined(beside: Path, folder: Path) -> str:
    """What the kept program says of the file `sent`, in a process of its own."""
    if sys.platform == "win32":
        pytest.skip("a process cannot be confined like this on Windows")
    command = [sys.executable, "-c", CONFINED, str(beside / "sent"), str(folder)]
    root = Path(__file__).parents[2]
    if os.geteuid() == 0 and shutil.which("setpriv") and os.access(sys.executable, os.X_OK) and _can_nobody_read(root):
        for path in (beside, folder, beside / "sent"):
            os.chown(path, 65534, 65534)
        command = ["setpriv", "--reuid=65534", "--regid=65534", "--clear-groups", *command]
    done = subprocess.run(
        command,
        cwd=beside,
        env={"PYTHONPATH": str(root), "PATH": "/usr/bin:/bin", "PYTHONDONTWRITEBYTECODE": "1"},
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    return done.stdout


def _can_nobody_read(root: Path) -> bool:
    """Whether the user nobody reaches the program, the interpreter and the test's folder."""
    asked = ["setpriv", "--reuid=65534", "--regid=65534", "--clear-groups"]
    probe = f"import PIL, sys; sys.path.insert(0, {str(root)!r}); import shopbook.outside.pictures"
    return subprocess.run([*asked, sys.executable, "-c", probe], capture_output=True, check=False).returncode == 0


def test_more_than_twenty_megabytes_is_refused_before_it_is_read_whole(tmp_path: Path) -> None:
    with pytest.raises(RuleBroken, match="20 MB"):
        keep_picture(io.BytesIO(b"\xff\xd8" + b"\0" * LARGEST_BYTES), tmp_path)


def test_no_path_leads_out_of_the_folder(tmp_path: Path) -> None:
    for name in ("../../etc/passwd", "", "a" * 63, "A" * 64, "f" * 64):
        with pytest.raises(NotFound):
            picture_path(tmp_path, name)


def test_a_full_disk_is_a_sentence_and_leaves_no_half_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(handle: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("shopbook.outside.files.os.fsync", full)
    with pytest.raises(RuleBroken, match="is full"):
        keep_picture(sent(), tmp_path)
    assert [path for path in tmp_path.rglob("*") if path.is_file()] == []


def test_a_picture_harmed_on_the_disk_is_whole_again_when_it_is_sent_again(tmp_path: Path) -> None:
    kept = keep_picture(sent(), tmp_path)
    path = picture_path(tmp_path, kept.sha256)
    good = path.read_bytes()
    path.write_bytes(bytes(len(good)))
    assert keep_picture(sent(), tmp_path) == kept
    assert path.read_bytes() == good
