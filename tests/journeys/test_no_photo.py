"""Files that are no photo, sent to a process of its own that may do little: said by name, and nothing is lost."""

import os
import re
import shutil
import signal
import socket
import struct
import subprocess
import sys
import tempfile
import time
import zlib
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser

from tests.journeys.hands import PASSWORD, PHONE, Hand, listen
from tests.servers import SHOP_HOST, root_for, unprivileged

pytestmark = pytest.mark.browser


def chunk(kind: bytes, body: bytes) -> bytes:
    return struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))


def bomb(width: int, height: int) -> bytes:
    """A small PNG that says it is enormous and unpacks to zeroes without end."""
    head = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    body = zlib.compress(bytes(20_000_000), 9)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", body) + chunk(b"IEND", b"")


@pytest.fixture(scope="module")
def confined() -> Iterator[str]:
    """The program in a process and a folder of its own, as somebody who may do little: it decodes what means harm."""
    folder = Path(tempfile.mkdtemp(prefix="shopbook-confined-"))
    as_whom = unprivileged(folder)
    settings = {"PATH": os.environ["PATH"], "SHOPBOOK_DATA": str(folder / "book"), "SHOPBOOK_HOSTS": SHOP_HOST}
    settings |= {"HOME": str(folder), "PYTHONDONTWRITEBYTECODE": "1", "PYTHONPATH": str(root_for(as_whom, folder))}
    command = [*as_whom, sys.executable, "-m", "shopbook.cli"]
    subprocess.run([*command, "init"], env=settings, cwd=folder, check=True, capture_output=True, timeout=60)
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        port = taken.getsockname()[1]
    with (folder / "said.txt").open("wb") as out:
        served = subprocess.Popen(
            [*command, "serve", "--port", str(port)], env=settings, cwd=folder, stdout=out, stderr=out
        )
    try:
        yield f"{port}{wait_for_start(folder, served)}"
    finally:
        served.send_signal(signal.SIGTERM)
        served.wait(20)
        shutil.rmtree(folder, ignore_errors=True)


def wait_for_start(folder: Path, served: subprocess.Popen[bytes]) -> str:
    for _ in range(600):
        said = (folder / "said.txt").read_text(encoding="utf-8", errors="replace")
        found = re.search(r"(/start\?code=\S+)", said)
        if found and "Ctrl+C" in said:
            return found[1]
        assert served.poll() is None, said
        time.sleep(0.05)
    raise AssertionError(said)


def test_files_that_are_no_photo_are_said_and_the_rest_of_the_page_stays(
    browser: Browser, confined: str, tmp_path: Path
) -> None:
    files = {
        "letter.jpg": b"%PDF-1.7 not a picture",
        "drawing.png": b'<svg xmlns="http://www.w3.org/2000/svg"><script>alert(1)</script></svg>',
        "cut.jpg": b"\xff\xd8\xff\xe0\x00\x10JFIF\x00",
        "bomb.png": bomb(60_000, 60_000),
        "nothing.png": b"",
    }
    port, _, path = confined.partition("/")
    context = browser.new_context(viewport=PHONE)  # type: ignore[arg-type]
    hand = Hand(context.new_page(), f"http://{SHOP_HOST}:{port}")
    listen(hand.page, hand.heard)
    hand.go("/" + path)
    hand.page.get_by_label("Time zone").select_option("America/Chicago")
    hand.fill("2 · What is it called?", "A shop")
    hand.fill("3 · What do you charge per hour?", "65")
    hand.fill("Your name", "Noor")
    hand.fill("Your password", PASSWORD)
    hand.press("Open the book")
    hand.arrives("/jobs/kerb")
    for name, body in files.items():
        (tmp_path / name).write_bytes(body)
        hand.go("/jobs/kerb?panel=bonnet")
        hand.fill("Name or phone", "555-0123")
        hand.attach(tmp_path / name)
        hand.press("Save")
        hand.says(name)
        said = hand.page.locator(".error, [role=alert]").all_inner_texts()
        assert any(name in each for each in said), (name, hand.page.url, said)
        assert hand.page.get_by_label("Name or phone").input_value() == "555-0123"
    hand.go("/jobs/")
    assert "555-0123" not in hand.page.locator("main").inner_text()
    assert hand.heard == []
    context.close()
