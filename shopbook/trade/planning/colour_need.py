"""What a plan asks of colour bought for the car: so much, rounded to what is sold, by which stage."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from shopbook.trade.coating.mixing import round_up
from shopbook.trade.letters import lower_first


@dataclass(frozen=True, slots=True)
class PlannedColour:
    """One use of a colour in an open stage: its role, what it is called, thousandths of ml, and the stage's name."""

    role: str
    name: str
    amount_thousandths: int
    stage: str


@dataclass(frozen=True, slots=True)
class ColourNeed:
    """One colour to buy: its code on the car ("" where nobody has read it), what is needed, what is bought, and the
    first stage that needs it."""

    role: str
    name: str
    code: str
    need_thousandths: int
    sold_thousandths: int
    stage: str

    @property
    def words(self) -> str:
        """As it is ordered: "Paint mixed for this car, SI123, 500 ml, for base and clear"."""
        sold = f"{self.sold_thousandths // 1000} ml"
        return ", ".join(filter(None, (self.name, self.code, sold, f"for {lower_first(self.stage)}")))


def colour_needs(
    uses: Iterable[PlannedColour], code: str, step_thousandths: int, bought: Sequence[str]
) -> list[ColourNeed]:
    """The colours that are still to buy, by role in the order of the stages.

    `bought` are the names of what was bought as colour for the job already: a name that begins with the colour's own
    covers it, and so does any where one colour alone is needed. 296 ml over two stages, sold by 250 ml, are 500 ml.
    """
    found: dict[str, ColourNeed] = {}
    for use in uses:
        before = found.get(use.role)
        need = use.amount_thousandths + (before.need_thousandths if before else 0)
        if need > 0:
            stage = before.stage if before else use.stage
            found[use.role] = ColourNeed(use.role, use.name, code, need, round_up(need, step_thousandths), stage)
    if len(found) == 1 and bought:
        return []
    return [each for each in found.values() if not any(name.startswith(each.name) for name in bought)]
