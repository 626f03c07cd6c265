"""The job card: what the floor works from without a phone, stages with hours, waits, mix sheets, coats and cautions."""

from collections.abc import Sequence
from dataclasses import dataclass

from reportlab.platypus import Flowable, KeepTogether

from shopbook.documents.head import Head, finish
from shopbook.documents.page import caution, gap, side_by_side, table, titled, words
from shopbook.documents.signs import CoatsSign


@dataclass(frozen=True, slots=True)
class CardStage:
    """One stage; hours, the wait after it and what it is done with as text.

    `state` (the day it was done) and `took` are empty while it is to come: room for a pencil.
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
    is_without_yes: bool = False
    steps: Sequence[str] = ()
    mind: str = ""
    """Titles of the cautions of this stage."""


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
    """One job's card; days, amounts and hours as text. It carries no price: it lies about in the workshop."""

    head: Head
    wrong: str
    stages: Sequence[CardStage]
    mixes: Sequence[CardMix]
    coats: Sequence[CardCoats]
    cautions: Sequence[CardCaution]
    first_sentence: str


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
        *_cautions(card),
        *_coats(card),
        words("Stages", "heading"),
        _stages(card.stages),
        *_mixes(card.mixes),
    ]
    return finish(story, card)


def _cautions(card: JobCard) -> list[Flowable]:
    stops = [each for each in card.cautions if each.is_stop]
    others = [each for each in card.cautions if not each.is_stop]
    found: list[Flowable] = []
    for each in stops:
        found += [gap(4), caution(f"{each.title}. {each.text}")]
    if others:
        told = " ".join(f"{each.title}: {each.text}" for each in others)
        found += [gap(4), words(told, "small")]
    if card.cautions:
        found += [words(card.first_sentence, "small")]
    return found


def _coats(card: JobCard) -> list[Flowable]:
    if not card.coats:
        return []
    cells: list[list[Flowable]] = [
        [words(each.panel, "bold"), CoatsSign(each.on, each.due, card.head.hex)] for each in card.coats
    ]
    found: list[Flowable] = [words("Coats on the panel", "heading")]
    for place in range(0, len(cells), 2):
        found.append(KeepTogether([side_by_side(cells[place], cells[place + 1] if place + 1 < len(cells) else [])]))
        found.append(gap(4))
    return found


def _stages(stages: Sequence[CardStage]) -> Flowable:
    rows: list[list[Flowable | str]] = []
    for stage in stages:
        yes = "No yes: not billed until there is one." if stage.is_without_yes else ""
        below = "\n".join(
            part
            for part in (
                stage.panels,
                stage.uses,
                "; ".join(stage.steps),
                stage.wait and f"Then: {stage.wait}",
                stage.mind and f"Mind: {stage.mind}",
                yes,
            )
            if part
        )
        rows.append([str(stage.number), titled(stage.name, below), stage.skill, stage.hours, stage.state, stage.took])
    return table(
        ["", "Stage", "By", "Hours", "Done", "Took"], rows, ["5%", "53%", "9%", "9%", "15%", "9%"], figures=[3, 5]
    )


def _mixes(mixes: Sequence[CardMix]) -> list[Flowable]:
    found: list[Flowable] = []
    for mix in mixes:
        rows = [[pour.name, pour.amount, pour.cup_line, pour.scale_shows] for pour in mix.pours]
        found.append(
            KeepTogether(
                [
                    words(f"{mix.title}, for {mix.stage}", "heading"),
                    table(
                        ["In this order", "Amount", "Cup line", "Scale shows"],
                        rows,
                        ["46%", "18%", "18%", "18%"],
                        figures=[1, 2, 3],
                    ),
                    words(mix.below, "small"),
                ]
            )
        )
    return found
