"""Many pictures at once on a small PC: one is in memory at a time, and all of them are kept."""

import subprocess
import sys
import textwrap
import threading
import time
from concurrent.futures import ThreadPoolExecutor
from io import BytesIO
from pathlib import Path

import pytest
from PIL import Image

from shopbook.outside import pictures
from shopbook.trade.errors import RuleBroken


def shot(shade: int) -> BytesIO:
    target = BytesIO()
    Image.new("RGB", (64, 48), (shade, shade, shade)).save(target, "PNG")
    target.seek(0)
    return target


def test_pictures_sent_at_once_are_decoded_one_after_another(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    decode, under_way, most = pictures._decode, [0], [0]

    def watched(raw: bytes) -> Image.Image:
        under_way[0] += 1
        most[0] = max(most[0], under_way[0])
        time.sleep(0.02)
        under_way[0] -= 1
        return decode(raw)

    monkeypatch.setattr(pictures, "_decode", watched)
    with ThreadPoolExecutor(8) as pool:
        kept = list(pool.map(lambda shade: pictures.keep_picture(shot(shade), tmp_path), range(0, 240, 10)))
    assert most == [1]
    assert len({picture.sha256 for picture in kept}) == 24


def test_a_picture_that_breaks_off_lets_the_next_one_in(tmp_path: Path) -> None:
    with pytest.raises(RuleBroken):
        pictures.keep_picture(BytesIO(shot(9).getvalue()[:60]), tmp_path)
    done = threading.Thread(target=pictures.keep_picture, args=(shot(9), tmp_path), daemon=True)
    done.start()
    done.join(20)
    assert not done.is_alive()


AT_ONCE = textwrap.dedent(
    """
    import io, resource, sys, threading
    from pathlib import Path
    from PIL import Image
    from shopbook.outside.pictures import keep_picture
    def shot(shade):
        target = io.BytesIO()
        Image.new("RGBA", (8000, 7000), (shade, 90, 40, 255)).save(target, "PNG", compress_level=1)
        target.seek(0)
        return target
    keep_picture(shot(1), Path(sys.argv[1]))
    shots = [shot(shade) for shade in (10, 20, 30, 40)]
    threads = [threading.Thread(target=lambda each=each: said.append(keep_picture(each, Path(sys.argv[1]))))
               for each in shots]
    said = []
    now = int(Path("/proc/self/statm").read_text().split()[0]) * resource.getpagesize()
    most = now + 850_000_000
    resource.setrlimit(resource.RLIMIT_AS, (most, most))
    for thread in threads: thread.start()
    for thread in threads: thread.join()
    print(len(said))
    """
)


@pytest.mark.processes
@pytest.mark.skipif(not Path("/proc/self/statm").exists(), reason="a process's size is read as Linux tells it")
def test_four_of_fifty_six_million_pixels_at_once_fit_where_two_would_not(tmp_path: Path) -> None:
    """One takes 224 MB as it is decoded (four bytes a pixel) and about as much while it is made smaller; the threads'
    own stacks and heaps, which the limit counts too, take the rest of the 850 MB that the process may grow by.
    """
    done = subprocess.run(
        [sys.executable, "-c", AT_ONCE, str(tmp_path)], capture_output=True, text=True, timeout=240, check=False
    )
    assert (done.stdout.strip(), done.returncode) == ("4", 0), done.stderr[-2000:]
