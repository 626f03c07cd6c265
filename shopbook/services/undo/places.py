"""Tables by how an act on them is undone: from the row as it was, or by a counter line; all others have no Undo."""

from collections.abc import Mapping

from shopbook.trade.stock.movements import MovementKind

_NOTHING: frozenset[str] = frozenset()

MUTABLE: Mapping[str, frozenset[str]] = {
    "absence": _NOTHING,
    "book": _NOTHING,
    "closed_day": _NOTHING,
    "coat_wait": _NOTHING,
    "colour_card": _NOTHING,
    "customer": _NOTHING,
    "damage": _NOTHING,
    "dated_paper": _NOTHING,
    "fixed_cost": _NOTHING,
    "gauge_reading": _NOTHING,
    # Keys of lines are drawn once and never again, whatever became of their line.
    "job": frozenset({"last_line_key"}),
    "job_part": _NOTHING,
    "job_payer": _NOTHING,
    "lot": _NOTHING,
    # The stock follows its ledger; whoever else took of the same can meanwhile changes nothing of this act.
    "material": frozenset({"on_hand_thousandths", "value_minor"}),
    "order_line": _NOTHING,
    "place": _NOTHING,
    "pot": _NOTHING,
    "quote": _NOTHING,
    "quote_group": _NOTHING,
    "quote_line": _NOTHING,
    "running_clock": _NOTHING,
    "running_share": _NOTHING,
    "search_key": _NOTHING,
    "spray_record": _NOTHING,
    "stage": _NOTHING,
    "stage_after": _NOTHING,
    "stage_panel": _NOTHING,
    "stage_use": _NOTHING,
    "supplier": _NOTHING,
    "supply_order": _NOTHING,
    "trouble": _NOTHING,
    "vehicle": _NOTHING,
}
"""Tables whose rows are put back as they were, each with the columns that are left alone."""

BY_COUNTER_LINE = frozenset(
    {
        "attendance",
        "catalogue_entry",
        "clock_entry",
        "clock_share",
        "count_line",
        "labour_rate",
        "log_line",
        "mix",
        "mix_part",
        "mix_share",
        "mix_taken_back",
        "movement",
        "person_week",
        "picture",
        "picture_strike",
        "plan_version",
        "setting",
        "stock_count",
        "tax_rate",
    }
)
"""Ledgers whose lines stay and are countered by another (`counters.py`); the log's lines simply stay."""

STOCK_KINDS = frozenset(
    {
        MovementKind.OPENED,
        MovementKind.ISSUED,
        MovementKind.RETURNED_FROM_STAGE,
        MovementKind.WASTED,
        MovementKind.COUNTED_UP,
        MovementKind.COUNTED_DOWN,
        MovementKind.TRUE_UP,
    }
)
"""Movements that can be countered. What came from a supplier or went back has a paper of theirs behind it."""

PAGES_OF_ADDED = frozenset({"customer", "material", "supplier", "supply_order", "quote", "vehicle"})
"""Tables whose rows have a page: once an added one is gone, that page is no place to lead to."""
