"""The job card that lies at the car: stages with room to write, waits, the mix table, coats, cautions, and a code that
opens the job.

One page for one panel, two for more, and never smaller than 8.5 points. What it says beside that gives way until it
fits: first the steps and the gun, then the words of cautions, which are named then with their stages; a stop, a rule of
the shop's own and what a product's sheet says against the day are always printed whole. A job so big that even this
takes more pages has them.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from reportlab.lib.units import mm
from reportlab.platypus import Flowable, TableStyle

from shopbook.documents.head import Head, finish_within
from shopbook.documents.page import Columns, caution, gap, led, side_by_side, table, words
from shopbook.documents.signs import CodeSign
from shopbook.trade.car.damage import COAT_WORDS

MARGIN = 10 * mm


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
    warnings: Sequence[str] = ()
    """What is wrong or to be watched, never left out."""
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
    """One caution; `is_stop` when unqualified people must leave the work alone, `stages` the numbers it is for.

    `is_ours`: a rule of the shop's own or of a product's sheet, which no title can stand for: it is never shortened.
    """

    title: str
    text: str
    is_stop: bool = False
    stages: str = ""
    is_ours: bool = False


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
    parts: Sequence[str] = ()
    """What the car waits for: "Left mirror, due Mon 9 Nov"."""
    panels: int = 1
    """How many panels are damaged: of one the card is one page, of more two."""
    address: str = ""
    """Of the job's page on the shop's network; empty where no phone could reach it."""


@dataclass(frozen=True, slots=True)
class _Told:
    """What a card tells beside what every card has."""

    steps: bool = True
    cautions: bool = True


NOT_APPROVED = "Not approved. It is not billed until it is."
_LESS = (_Told(), _Told(steps=False), _Told(steps=False, cautions=False))


def make_job_card(card: JobCard) -> bytes:
    """The card as a PDF, told as fully as its pages allow: the same data gives the same bytes."""
    stories = (_story(card, told) for told in _LESS)
    return finish_within(stories, card, most=1 if card.panels <= 1 else 2, margin=MARGIN)


def _story(card: JobCard, told: _Told) -> list[Flowable]:
    is_not_approved = _is_not_approved(card.stages)
    return [
        _head(card),
        *_stops(card),
        gap(3),
        *([words(NOT_APPROVED, "close")] if is_not_approved else []),
        _stages(card.stages, told, is_not_approved=is_not_approved),
        gap(3),
        *([_mixes(card.mixes, told)] if card.mixes else []),
        *_cautions(card, told),
    ]


def _head(card: JobCard) -> Flowable:
    """Job, car and what was asked for; where the car and its key are; the coats of each panel; the code."""
    head = card.head
    left = [
        words(f"Job {head.number}", "heading"),
        words(head.car, "bold"),
        *(words(line, "bold") for line in head.car_lines),
    ]
    facts: list[Flowable] = [led(f"{word}:", value) for word, value in head.facts] or [gap()]
    said: list[Flowable] = [
        side_by_side(left, facts, "45%"),
        led("Asked for:", card.wrong),
        *([led("Waits for:", "; ".join(card.parts))] if card.parts else []),
        *(led(f"{each.panel}:", _coats(each, card.clear)) for each in card.coats),
    ]
    if not card.address:
        return side_by_side(said, [], "99%")
    return side_by_side(said, [CodeSign(card.address), words(card.address.partition("://")[2], "note")], "76%")


def _coats(panel: CardCoats, clear: str) -> str:
    """The coats of a panel from the metal up: "metal, old paint; to come primer, base, clear"."""
    said = COAT_WORDS | {"clear": clear}
    on, due = (", ".join(said.get(coat, coat) for coat in coats) for coats in (panel.on, panel.due))
    return "; to come ".join(filter(None, (on, due))) if on else f"to come {due}"


def _stops(card: JobCard) -> list[Flowable]:
    """Stops for unqualified people, before any work."""
    found: list[Flowable] = []
    for each in card.cautions:
        if each.is_stop:
            found += [gap(3), caution(led(f"{_named(each)}.", each.text))]
    return found


def _named(each: CardCaution) -> str:
    """A caution with its stages: "Dust (3 to 5, 7)"."""
    return f"{each.title} ({each.stages})" if each.stages else each.title


def _cautions(card: JobCard, told: _Told) -> list[Flowable]:
    """Each caution once, with the stages it is for; what the data sheet says comes first."""
    if not card.cautions:
        return []
    others = [each for each in card.cautions if not each.is_stop]
    whole = [each for each in others if told.cautions or each.is_ours]
    named = [each for each in others if each not in whole]
    return [gap(4), words(card.first_sentence, "note"), *_whole(whole), *_only_named(named)]


def _whole(cautions: Sequence[CardCaution]) -> list[Flowable]:
    return [led(f"{_named(each)}.", each.text) for each in cautions]


def _only_named(cautions: Sequence[CardCaution]) -> list[Flowable]:
    return [led("Be careful, by stage:", " · ".join(map(_named, cautions)))] if cautions else []


def _is_not_approved(stages: Sequence[CardStage]) -> bool:
    """Whether nothing is approved: this is said once, above all stages."""
    return len(stages) > 1 and all(stage.is_not_approved for stage in stages)


def _stages(stages: Sequence[CardStage], told: _Told, *, is_not_approved: bool) -> Flowable:
    rows: list[list[Flowable | Sequence[Flowable] | str]] = [
        [
            str(stage.number),
            led(stage.name, _beside(stage, told, is_said=is_not_approved)),
            stage.skill,
            stage.hours,
            stage.state,
            stage.took,
        ]
        for stage in stages
    ]
    made = table(
        ["", "Stage", "By", "Hours", "Done", "Took, notes"],
        rows,
        ["4%", "57%", "7%", "7%", "10%", "15%"],
        figures=[3],
        is_close=True,
    )
    # A line for a pencil: five millimetres where the stage has one line.
    made.setStyle(TableStyle([("BOTTOMPADDING", (0, 1), (-1, -1), 3.5)]))
    return made


def _beside(stage: CardStage, told: _Told, *, is_said: bool) -> str:
    """What stands after a stage's name."""
    lines = (
        stage.mark,
        " · ".join(filter(None, (stage.panels, stage.uses))),
        "; ".join(stage.steps) if told.steps else "",
        stage.inside and f"In between: {stage.inside}",
        stage.wait and f"Then: {stage.wait}",
        NOT_APPROVED if stage.is_not_approved and not is_said else "",
    )
    return ". ".join(filter(None, lines))


def _mixes(mixes: Sequence[CardMix], told: _Told) -> Columns:
    """The mix table: each mix with its coats beside what is poured for it, in order."""
    rows: list[list[Flowable | Sequence[Flowable] | str]] = [[_mix(mix, told), [_pours(mix)]] for mix in mixes]
    heads = _pour_rows([[words(each, "note") for each in ("In this order", "Amount", "Cup line", "Scale", "Left")]])
    return table(["Mixes and their coats", heads], rows, ["45%", "55%"], is_close=True)


def _mix(mix: CardMix, told: _Told) -> list[Flowable]:
    said = [led(mix.title, f"for {mix.stage}")]
    said += [led("Coats:", "; ".join(mix.coats))] if mix.coats else []
    said += [led(mix.life, "")] if mix.life else []
    beside = (mix.below, *mix.gun) if told.steps else ()
    return said + [words(each, "note") for each in (*mix.warnings, *beside) if each]


def _pours(mix: CardMix) -> Columns:
    """What is poured in which order, what the cup and the scale then show, and room for what was left."""
    return _pour_rows(
        [[pour.name, pour.amount, led(pour.cup_line, ""), led(pour.scale_shows, ""), ""] for pour in mix.pours]
    )


def _pour_rows(rows: Sequence[Sequence[Flowable | Sequence[Flowable] | str]]) -> Columns:
    """Pours, or the heads over them; a mix without any has one empty line to write on."""
    return table([], rows or [[""] * 5], ["41%", "16%", "17%", "15%", "11%"], is_close=True)
