"""Tries the installed program from a folder that is no checkout: init, check, serve, a page, a static file, an end."""

import re
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from pathlib import Path

import shopbook

CHECKOUT = Path(sys.argv[1])
COMMAND = str(Path(sys.executable).with_name("shopbook"))


def run(*words: str) -> str:
    done = subprocess.run([COMMAND, *words], capture_output=True, text=True, timeout=120)
    print(done.stdout + done.stderr, end="")
    if done.returncode:
        sys.exit(f"shopbook {' '.join(words)} ended with {done.returncode}")
    return done.stdout


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def fetch(url: str, server: subprocess.Popen[bytes]) -> str:
    for _ in range(60):
        if server.poll() is not None:
            sys.exit(f"shopbook serve ended with {server.returncode}")
        try:
            with urllib.request.urlopen(url, timeout=10) as answer:
                return answer.read().decode()
        except (ConnectionError, urllib.error.URLError):
            time.sleep(0.5)
    sys.exit(f"{url} never answered")


def main() -> None:
    if CHECKOUT in Path(shopbook.__file__).parents and "site-packages" not in shopbook.__file__:
        sys.exit("the checkout was imported, not the wheel")
    said = run("init")
    run("check")
    port = free_port()
    with subprocess.Popen([COMMAND, "serve", "--port", str(port)]) as server:
        try:
            print(fetch(f"http://127.0.0.1:{port}/health", server))
            path = re.search(r"http://[^/]+(/start\?code=\S+)", said)
            page = fetch(f"http://127.0.0.1:{port}{path.group(1) if path else '/'}", server)
            style = re.search(r'href="(/static/[^"]+\.css[^"]*)"', page)
            if not style or not fetch(f"http://127.0.0.1:{port}{style.group(1)}", server).strip():
                sys.exit("the first page came without its stylesheet")
        finally:
            server.terminate()
            server.wait(30)
    run("backup")


main()
