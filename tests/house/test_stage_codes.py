"""Stage codes are one enumeration: equal to the catalogue's keys, and never written out where a reader meets them."""

import ast
from collections.abc import Iterator
from pathlib import Path

from shopbook.trade.catalogue.reading import own_catalogue
from shopbook.trade.catalogue.stage_codes import StageCode

ROOT = Path(__file__).resolve().parents[2]
ELSEWHERE_TOO = {
    *("block", "calibration", "check_in", "colour", "fill", "hand_over", "mask", "polish", "pull", "seal", "strip"),
    *("strip_old", "touch_in"),
}
"""Codes that are also a log line, an address, a material, a method or a plain word: a string of them may be another."""


def bare() -> Iterator[str]:
    """Where a stage's code stands as a string of its own."""
    codes = {str(code) for code in StageCode} - ELSEWHERE_TOO
    for path in sorted((ROOT / "shopbook").rglob("*.py")):
        # A customer is told "prime" of the stage prime: there the word is no code.
        if path.name in {"stage_codes.py", "quote_words.py"}:
            continue
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Constant) and node.value in codes:
                yield f"{path.relative_to(ROOT).as_posix()}:{node.lineno}: {node.value}"


def test_the_enumeration_holds_the_codes_of_the_catalogue_in_its_order() -> None:
    assert [str(code) for code in StageCode] == list(own_catalogue().stages)


def test_no_code_of_a_stage_is_written_out_beside_its_enumeration() -> None:
    assert list(bare()) == []
