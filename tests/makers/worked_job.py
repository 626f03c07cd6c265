"""A job in figures, planned at a profit of 793.00 and made at 446.70, as the definition of its steps has it."""

from dataclasses import replace

from shopbook.trade.results.approved_work import ApprovedPiece, WorkKind, planned_labour
from shopbook.trade.results.margin import Costs
from shopbook.trade.results.waterfall import JobWaterfall, MaterialDrawn, StageWorked, UnbilledItem, waterfall

BODY, PAINT, CLEAR = 1, 2, 3

PLANNED = (
    planned_labour(360, 3200, stage_id=BODY, skill="body"),
    planned_labour(420, 3500, stage_id=PAINT, skill="paint"),
    ApprovedPiece(WorkKind.MATERIALS, 3180, stage_id=CLEAR, role="clear", unit="ml", amount_thousandths=530_000),
    ApprovedPiece(WorkKind.MATERIALS, 3620, role="filler", unit="g", amount_thousandths=400_000),
    ApprovedPiece(WorkKind.COLOUR, 8800),
    ApprovedPiece(WorkKind.SUPPLIES, 1400),
)
WORKED = (StageWorked(BODY, "body", 480 + 90, 8 * 3200 + 6900), StageWorked(PAINT, "paint", 432, 25920))
DRAWN = (MaterialDrawn("clear", "ml", 700_000, 4550), MaterialDrawn("filler", "g", 400_000, 3620))
SPENT = Costs(
    labour_minor=8 * 3200 + 6900 + 25920,
    materials_minor=4550 + 3620,
    parts_minor=10400,
    rework_minor=84 * 3600 // 60 + 1860,
    supplies_minor=1690,
)


def worked_job(invoiced_minor: int = 130250, **given: object) -> JobWaterfall:
    """The job with an extra of 97.50 that was approved and not billed, or invoiced at another sum."""
    steps = waterfall(140000, invoiced_minor, PLANNED, WORKED, DRAWN, SPENT)
    missed = (UnbilledItem("Rust behind the arch", 9750, is_extra=True),) if invoiced_minor == 130250 else ()
    return replace(JobWaterfall(49, steps, missed), **given)  # type: ignore[arg-type]  # fields of the job by name
