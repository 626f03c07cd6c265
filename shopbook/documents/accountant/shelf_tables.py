"""The flat tables of the shelf."""

from shopbook.documents.accountant.columns import JOB, FlatTable, day, money, quantity, text, whole

MATERIAL = (whole("material_id", "key of the material"), text("material", "name of the material"))
UNIT = text("unit", "unit that its quantities are counted in")

MOVEMENTS = FlatTable(
    "movements",
    "Stock movements",
    "dated from the first to the last day; what leaves the shelf is negative",
    (
        whole("movement_id", "key of the movement"),
        day("on", "its day"),
        text("kind", "opened, received, issued, returned_from_stage, wasted, counted_up and so on"),
        *MATERIAL,
        UNIT,
        quantity("quantity", "how much came"),
        money("value", "what it is worth, at average cost"),
        *JOB,
        text("job_purpose", "purpose of the job; empty for shop supplies"),
        whole("stage_id", "key of the stage"),
        text("stage_purpose", "purpose of the stage"),
        whole("returns_movement_id", "the issue that it takes back"),
        text("reason", "why, where somebody said so"),
    ),
)

STOCK = FlatTable(
    "stock",
    "Stock on the last day",
    "every material with a quantity or a value when the last day ended; a negative one wants counting",
    (
        *MATERIAL,
        UNIT,
        quantity("quantity", "how much there was in the book"),
        money("value", "what it was worth, at average cost"),
    ),
)
