"""Contents kept under their hash are whole or not there at all."""

from pathlib import Path

import pytest

from shopbook.outside.files import (
    hash_file,
    is_kept_whole,
    keep_bytes,
    list_files,
    path_of_kept,
    read_kept,
    writing_whole,
)
from shopbook.trade.errors import NotFound

EMPTY_SHA256 = "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855"
"""SHA-256 of nothing, as printed in NIST's example values for FIPS 180-4."""


def test_the_hash_is_the_published_one(tmp_path: Path) -> None:
    assert keep_bytes(tmp_path, b"").sha256 == EMPTY_SHA256
    assert hash_file(path_of_kept(tmp_path, EMPTY_SHA256)) == EMPTY_SHA256


def test_what_is_kept_is_read_back_and_the_same_content_is_kept_once(tmp_path: Path) -> None:
    first, second = keep_bytes(tmp_path, b"picture"), keep_bytes(tmp_path, b"picture")
    assert first == second
    assert first.size_bytes == 7
    assert read_kept(tmp_path, first.sha256) == b"picture"
    assert len(list_files(tmp_path)) == 1


def test_a_damaged_or_lost_file_is_said_and_kept_anew(tmp_path: Path) -> None:
    kept = keep_bytes(tmp_path, b"picture")
    path_of_kept(tmp_path, kept.sha256).write_bytes(b"pixture")
    assert not is_kept_whole(tmp_path, kept.sha256)
    with pytest.raises(NotFound, match="missing or damaged"):
        read_kept(tmp_path, kept.sha256)
    keep_bytes(tmp_path, b"picture")
    assert read_kept(tmp_path, kept.sha256) == b"picture"


@pytest.mark.parametrize("name", ["../../etc/passwd", "", "E3B0" * 16, "e3b0" * 15 + "e3/."])
def test_what_is_no_hash_names_no_file(tmp_path: Path, name: str) -> None:
    with pytest.raises(ValueError, match="not a hash"):
        path_of_kept(tmp_path, name)


def test_a_write_that_fails_leaves_the_old_file_and_nothing_beside_it(tmp_path: Path) -> None:
    path = tmp_path / "kept"
    path.write_bytes(b"old")

    def write_half() -> None:
        with writing_whole(path) as file:
            file.write(b"ne")
            raise KeyError

    with pytest.raises(KeyError):
        write_half()
    assert path.read_bytes() == b"old"
    assert [found.name for found in tmp_path.iterdir()] == ["kept"]
