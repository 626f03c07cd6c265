"""A row in its one form, and the link over it: the worked example, and every kind of value."""

import hashlib
from datetime import UTC, date, datetime, timedelta, timezone

from hypothesis import given
from hypothesis import strategies as st

from shopbook.trade.sealing import KeptSeal, SealedRow, canonical_lines, canonical_row, next_link, rows_digest

NOON = datetime(2026, 11, 5, 17, 0, tzinfo=UTC)
RATE = {
    "id": 1,
    "skill": "body",
    "payer_kind": "any",
    "rate_minor": 7800,
    "from_on": date(2026, 1, 1),
    "at": NOON,
}
LINE = (
    '["labour_rate",{"at":"2026-11-05T17:00:00.000000Z","from_on":"2026-01-01","id":1,"payer_kind":"any",'
    '"rate_minor":7800,"skill":"body"}]'
)


def hexed(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()


def test_the_worked_example_is_one_line_of_text_and_its_link_another_few() -> None:
    canonical = canonical_row("labour_rate", RATE)
    assert canonical.decode() == LINE
    row = SealedRow("labour_rate", 1, canonical)
    assert row.entry == "labour_rate 1 4e808addd73704cb"
    link = next_link(None, NOON, 1, "", [row])
    assert link.rows_sha256 == hexed(LINE + "\n")
    wanted = f"1\n\n2026-11-05T17:00:00.000000Z\n1\n\n{link.rows_sha256}\nlabour_rate 1 4e808addd73704cb\n"
    assert link.sha256 == hexed(wanted)
    assert link.sha256 == "3ed224a855571aad1fc7ca840d62d0578ea1fb513c9532e109bdef2495e10a68"


def test_a_link_follows_the_last_one_and_holds_its_digest() -> None:
    following = next_link(KeptSeal(7, "ab" * 32), NOON, 1, "a note", [])
    assert (following.number, following.previous, following.note) == (8, "ab" * 32, "a note")
    assert following.rows_sha256 == hexed("")


def test_what_is_null_is_left_out_and_an_empty_text_stays() -> None:
    assert canonical_row("t", {"id": 1, "b": None, "a": ""}) == b'["t",{"a":"","id":1}]'


def test_a_new_empty_column_leaves_an_older_row_as_it_was() -> None:
    assert canonical_row("t", {"id": 1, "new": None}) == canonical_row("t", {"id": 1})


def test_letters_stay_letters_and_yes_is_no_number() -> None:
    said = canonical_row("t", {"id": 1, "w": 'Zoë "日本"\n', "y": True})
    assert said.decode() == '["t",{"id":1,"w":"Zoë \\"日本\\"\\n","y":true}]'
    assert said != canonical_row("t", {"id": 1, "w": 'Zoë "日本"\n', "y": 1})


def test_a_moment_is_the_same_in_every_zone_and_differs_by_a_microsecond() -> None:
    here = datetime(2026, 11, 5, 12, 0, tzinfo=timezone(timedelta(hours=-5)))
    assert canonical_row("t", {"at": here}) == canonical_row("t", {"at": NOON})
    assert canonical_row("t", {"at": NOON}) != canonical_row("t", {"at": NOON + timedelta(microseconds=1)})


def test_a_value_of_no_proper_kind_is_written_and_stops_nothing() -> None:
    assert canonical_row("t", {"id": 1, "v": b"\xff"}) == b'["t",{"id":1,"v":"b\'\\\\xff\'"}]'
    assert canonical_row("t", {"id": 1, "v": "\ud800"}) == b'["t",{"id":1,"v":"\\ud800"}]'


def test_the_digest_of_rows_tells_their_order_and_their_borders() -> None:
    assert rows_digest([b"a", b"b"]) != rows_digest([b"b", b"a"])
    assert rows_digest([b"ab"]) != rows_digest([b"a", b"b"])


TRICKY = st.text(st.sampled_from('"\\],[{}\n\u2028é\ud800'), max_size=12)
VALUES = st.dictionaries(st.sampled_from(["id", "a", "words"]), st.none() | st.integers() | st.booleans() | TRICKY)


@given(st.lists(st.tuples(TRICKY, VALUES), max_size=6))
def test_rows_made_at_once_are_the_rows_made_one_by_one(rows: list[tuple[str, dict[str, object]]]) -> None:
    assert canonical_lines(rows) == b"".join(canonical_row(*row) + b"\n" for row in rows)
