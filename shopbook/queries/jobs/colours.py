"""The colours of a job: what its open stages need and nobody bought yet."""

from shopbook.queries.jobs.whole import WholeJob
from shopbook.trade.car.part_kinds import PartKind
from shopbook.trade.catalogue.entries import Catalogue
from shopbook.trade.planning.colour_need import ColourNeed, PlannedColour, colour_needs


def colours_to_buy(whole: WholeJob, catalogue: Catalogue) -> list[ColourNeed]:
    """The colour that the open stages of a job need and nothing was bought for yet, as it is sold."""
    uses = [
        PlannedColour(use.role, entry.name, use.amount_thousandths, stage.name)
        for stage in whole.plan
        for use in stage.uses
        if stage.finished_at is None and (entry := catalogue.materials.get(use.role)) and entry.is_bought_for_job
    ]
    code = whole.job.vehicle.colour_code if whole.job.vehicle else ""
    bought = [part.name for part in whole.standing_parts if part.kind == PartKind.COLOUR]
    return colour_needs(uses, code, round(catalogue.numbers["colour_sold_ml"].value * 1000), bought)
