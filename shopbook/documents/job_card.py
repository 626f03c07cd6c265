"""The job card: work without a phone: stages with hours, drying times, mix sheets, coats and cautions."""

from collections.abc import Sequence
from dataclasses import dataclass

from reportlab.platypus import Flowable, KeepTogether

from shopbook.documents.head import Head, finish
from shopbook.documents.page import caution, gap, side_by_side, table, titled, words
from shopbook.documents.signs import CoatsSign


@dataclass(frozen=True, slots=True)
class CardStage:
    """One stage; hours, the drying after it and what it is done with as text.

    `state` (the day it was done) and `took` are empty until then, with room for a pencil.
    """

    number: int
    name: str
    panels: str
    skill: str
    hours: str
    uses: str = ""
    wait: str = ""
    state: str = ""
    took: str = ""
    is_not_approved: bool = False
    steps: Sequence[str] = ()
    mind: str = ""
    """Titles of the cautions of this stage."""
    mark: str = ""
    """Why it is there beside the plan: rework, strip and inspect."""
    inside: str = ""
    """The waits within it."""


@dataclass(frozen=True, slots=True)
class CardPour:
    """One pour of a mix: what, how much, to which cup line, what the scale then shows ("" where unknown)."""

    name: str
    amount: str
    cup_line: str
    scale_shows: str


@dataclass(frozen=True, slots=True)
class CardMix:
    """One mix sheet."""

    title: str
    stage: str
    pours: Sequence[CardPour]
    below: str
    coats: Sequence[str] = ()
    """The coats one by one, in words."""
    life: str = ""
    """Until when it can be sprayed, at which temperature."""
    gun: Sequence[str] = ()


@dataclass(frozen=True, slots=True)
class CardCoats:
    """The coats on one panel, from the metal up: there, and still to come."""

    panel: str
    on: Sequence[str]
    due: Sequence[str]


@dataclass(frozen=True, slots=True)
class CardCaution:
    """One caution; `is_stop` when unqualified people must leave the work alone."""

    title: str
    text: str
    is_stop: bool = False


@dataclass(frozen=True, slots=True)
class JobCard:
    """One job's card; days, amounts and hours as text. It has no prices, because it lies around in the workshop."""

    head: Head
    wrong: str
    stages: Sequence[CardStage]
    mixes: Sequence[CardMix]
    coats: Sequence[CardCoats]
    cautions: Sequence[CardCaution]
    first_sentence: str
    clear: str = "clear"
    """The last coat in the words of the shop's country."""


NOT_APPROVED = "Not approved. It is not billed until it is."


def make_job_card(card: JobCard) -> bytes:
    """The card as a PDF: the same data gives the same bytes."""
    head = card.head
    story: list[Flowable] = [
        side_by_side(
            [words(f"Job {head.number}", "title"), titled(head.car, "\n".join(head.car_lines))],
            [words(f"{word}: {value}") for word, value in head.facts] or [gap()],
            "58%",
        ),
        gap(4),
        words(card.wrong),
        *_stops(card),
        *_coats(card),
        words("Stages", "heading"),
        *([words(NOT_APPROVED)] if _is_not_approved(card.stages) else []),
        _stages(card.stages),
        *_mixes(card.mixes),
        *_cautions(card),
    ]
    return finish(story, card)


def _stops(card: JobCard) -> list[Flowable]:
    """Stops for unqualified people, before anything else."""
    found: list[Flowable] = []
    for each in card.cautions:
        if each.is_stop:
            found += [gap(4), caution(f"{each.title}. {each.text}")]
    if card.cautions:
        found += [gap(2), words(card.first_sentence, "small")]
    return found


def _cautions(card: JobCard) -> list[Flowable]:
    """What each word after “Careful” means, once, two side by side."""
    cells = [titled(each.title, each.text) for each in card.cautions if not each.is_stop]
    if not cells:
        return []
    return [KeepTogether([words("Be careful", "heading"), side_by_side(cells[::2], cells[1::2])])]


def _coats(card: JobCard) -> list[Flowable]:
    if not card.coats:
        return []
    cells: list[list[Flowable]] = [
        [words(each.panel, "bold"), CoatsSign(each.on, each.due, card.head.hex, card.clear)] for each in card.coats
    ]
    found: list[Flowable] = [words("Coats on the panel", "heading")]
    for place in range(0, len(cells), 2):
        found.append(KeepTogether([side_by_side(cells[place], cells[place + 1] if place + 1 < len(cells) else [])]))
        found.append(gap(4))
    return found


def _is_not_approved(stages: Sequence[CardStage]) -> bool:
    """Whether nothing is approved: this is said once, above all stages."""
    return len(stages) > 1 and all(stage.is_not_approved for stage in stages)


def _stages(stages: Sequence[CardStage]) -> Flowable:
    is_not_approved = _is_not_approved(stages)
    rows: list[list[Flowable | str]] = [
        [
            str(stage.number),
            titled(stage.name, _below(stage, is_not_approved)),
            stage.skill,
            stage.hours,
            stage.state,
            stage.took,
        ]
        for stage in stages
    ]
    return table(
        ["", "Stage", "By", "Hours", "Done", "Took"], rows, ["5%", "59%", "8%", "7%", "13%", "8%"], figures=[3, 5]
    )


def _below(stage: CardStage, is_not_approved: bool) -> str:
    """What stands under a stage's name, a line each."""
    waits = (stage.inside and f"In between: {stage.inside}", stage.wait and f"Then: {stage.wait}")
    lines = (
        stage.mark,
        " · ".join(filter(None, (stage.panels, stage.uses))),
        "; ".join(stage.steps),
        ". ".join(filter(None, waits)),
        stage.mind and f"Careful: {stage.mind}",
        NOT_APPROVED if stage.is_not_approved and not is_not_approved else "",
    )
    return "\n".join(filter(None, lines))


def _mixes(mixes: Sequence[CardMix]) -> list[Flowable]:
    return [KeepTogether(_mix(mix)) for mix in mixes]


def _mix(mix: CardMix) -> list[Flowable]:
    """One mix sheet: what is poured in which order, room for what was left, the coats with room for their times."""
    rows: list[list[Flowable | str]] = [
        [pour.name, pour.amount, words(pour.cup_line, "figure_bold"), words(pour.scale_shows, "figure_bold")]
        for pour in mix.pours
    ]
    rows.append([words("Left in cup", "small"), "", "", ""])
    found: list[Flowable] = [
        words(f"{mix.title}, for {mix.stage}", "heading"),
        table(
            ["In this order", "Amount", "Cup line", "Scale shows"],
            rows,
            ["46%", "18%", "18%", "18%"],
            figures=[1, 2, 3],
        ),
    ]
    if mix.coats:
        laid: list[list[Flowable | str]] = [[words(coat), ""] for coat in mix.coats]
        found.append(table(["Coats in order", "Applied at"], laid, ["82%", "18%"], figures=[1]))
    found += [gap(3), words(mix.life, "bold")] if mix.life else []
    found += [words(said, "small") for said in (mix.below, *mix.gun) if said]
    return found
