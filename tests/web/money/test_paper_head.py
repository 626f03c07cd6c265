"""An issued paper writes its amounts as it did when it was kept, wherever its country's numbers have gone since."""

import pytest

from shopbook.web.money.paper_head import plain_of


@pytest.mark.parametrize(
    ("kept", "words"),
    [
        ({"places": 2}, "1,234.50"),
        ({"places": 2, "locale": "en_US"}, "1,234.50"),
        ({"places": 2, "locale": "de_DE"}, "1.234,50"),
        ({"places": 0, "locale": "sv_SE"}, "123\u00a0450"),
        ({"places": 3, "locale": "en_GB"}, "123.450"),
    ],
)
def test_a_kept_head_decides_the_marks_and_decimals_and_an_older_one_is_english(
    kept: dict[str, object], words: str
) -> None:
    assert plain_of(kept)(123_450) == words
