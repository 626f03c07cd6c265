"""The job card as a PDF, and what the floor adds to the page of a job."""

from collections.abc import Mapping
from dataclasses import replace

from flask import Response, url_for
from sqlalchemy.orm import Session

from shopbook.documents.head import Head
from shopbook.documents.job_card import CardCaution, CardCoats, CardMix, CardPour, CardStage, JobCard, make_job_card
from shopbook.queries.floor.job_card import CardFacts, get_card_facts
from shopbook.queries.floor.mixes import MadeMix, list_mixes
from shopbook.queries.floor.rows import say_uses
from shopbook.queries.floor.troubles import list_troubles
from shopbook.queries.jobs.coats import PanelSign
from shopbook.queries.jobs.mixes import PlannedMix
from shopbook.queries.money.job_page import JobPage
from shopbook.trade.cautions import FIRST_SENTENCE, OWN
from shopbook.trade.letters import lower_first, say_runs, upper_first
from shopbook.trade.purposes import STAGE_PURPOSE_WORDS, StagePurpose
from shopbook.trade.trouble.advice import TROUBLES
from shopbook.trade.trouble.kinds import Defect
from shopbook.web.floor import words
from shopbook.web.floor.blueprint import blueprint
from shopbook.web.parts import (
    Where,
    car_text,
    country,
    job_section,
    measured,
    near_day,
    needs,
    now,
    shop_address,
    shop_now,
)
from shopbook.web.parts.rows import JobPart, Stage


@blueprint.get("/jobs/<int:number>/card.pdf")
@needs("floor", "see")
def job_card(number: int) -> Response:
    card = card_of(get_card_facts(shop_now(), number, now()), shop_address(url_for("jobs.show", number=number)))
    body = make_job_card(card)
    headers = {"Content-Disposition": f'inline; filename="job-card-{number}.pdf"'}
    return Response(body, mimetype="application/pdf", headers=headers)


def card_of(facts: CardFacts, address: str = "") -> JobCard:
    """The card's plain values, in the words of the shop's country; `address` is of the job's page."""
    return JobCard(
        head=_head(facts),
        wrong=facts.job.wrong,
        stages=[_stage(place, stage, facts) for place, stage in enumerate(facts.stages, 1)],
        mixes=[each for stage, mix in facts.mixes for each in _mix_sheets(stage, mix, facts.temperature_c)],
        coats=[_coats(sign) for sign in facts.signs],
        cautions=_cautions(facts),
        first_sentence=FIRST_SENTENCE,
        clear=country().word("clear"),
        parts=[_part(part) for part in facts.parts],
        panels=facts.panels,
        address=address,
    )


def _cautions(facts: CardFacts) -> list[CardCaution]:
    """Each caution once with its stages, then what the sheets of products say against the day."""
    places = {stage.id: place for place, stage in enumerate(facts.stages, 1)}

    def stages(keys: tuple[int, ...]) -> str:
        return say_runs([places[key] for key in keys])

    told = [
        CardCaution(text.title, text.text, text.is_stop, stages(keys), is_ours=text.caution == OWN)
        for text, keys in facts.cautions
    ]
    sheets = [
        CardCaution("Data sheet", said, stages=stages(keys), is_ours=True) for said, keys in facts.warnings.items()
    ]
    return [*told, *sheets]


def _part(part: JobPart) -> str:
    """A part that has not come: "Left mirror, due Mon 9 Nov"."""
    due = f"due {near_day(part.due_on)}" if part.due_on else "ordered"
    return f"{part.name}, {due if part.ordered_at else 'to order'}"


def _head(facts: CardFacts) -> Head:
    book, car = shop_now().book, facts.job.vehicle
    return Head(
        kind="Job card",
        number=str(facts.job.number),
        shop=book.shop_name,
        facts=tuple(_facts(facts)),
        car=car_text(car) if car else "car not named",
        car_lines=(f"{country().word('registration')} {car.plate}",) if car and car.plate else (),
        hex=(car.colour_hex if car else "") or "",
        paper_size=book.paper_size,
    )


def _facts(facts: CardFacts) -> list[tuple[str, str]]:
    job = facts.job
    car = job.vehicle
    code = ", ".join(filter(None, (car.colour_code, facts.variant and f"variant {facts.variant}"))) if car else ""
    promise = f"{near_day(job.promise_on)} {job.promise_half}".strip() if job.promise_on else ""
    pairs = [
        ("Key", job.key_number),
        ("Place", facts.place),
        (f"{country().word('Colour')} code", code or ""),
        ("Planned for", words.temperature(facts.temperature_c)),
        ("Promised", promise),
        ("Damage already there", job.was_there),
        ("Warning lights on", job.lamps_lit),
    ]
    return [(word, value) for word, value in pairs if value]


def _stage(place: int, stage: Stage, facts: CardFacts) -> CardStage:
    ready = facts.readiness.get(stage.id)
    used, is_done = facts.used_minutes.get(stage.id, 0), stage.finished_at is not None
    steps, uses = [measured(each) for each in stage.steps], measured(say_uses(stage))
    return CardStage(
        number=place,
        name=stage.name,
        panels=words.panels([each.panel for each in stage.panels]),
        skill=stage.skill,
        hours=words.hours(stage.planned_minutes).removesuffix(" h"),
        uses="" if steps[:1] == [uses] else uses,
        wait=_waits(stage),
        state=near_day(shop_now().day_of(stage.finished_at)) if stage.finished_at else "",
        took=words.hours(used).removesuffix(" h") if used else "",
        is_not_approved=ready is not None and ready.is_not_approved,
        steps=[] if is_done else steps,
        mark=_mark(stage),
        inside="" if is_done else _inside(stage),
    )


_RUNS = {"dry": "dries", "harden": "hardens", "cure": "cures", "flash": "flashes off"}


def _waits(stage: Stage) -> str:
    """What the time after a stage does: "hardens 5.0 h, recoat within 24.0 h"."""
    runs = (
        f"{_RUNS.get(stage.wait_kind, 'dries')} {_wait(stage.not_before_minutes)}" if stage.not_before_minutes else ""
    )
    shuts = f"recoat within {words.hours(stage.not_after_minutes)}" if stage.not_after_minutes else ""
    return ", ".join(each for each in (runs, shuts) if each)


def _mark(stage: Stage) -> str:
    """Why a stage is there beside the plan: "Rework: Run or sag on Base and clear"."""
    if stage.purpose in {StagePurpose.PLAN, StagePurpose.EXTRA}:
        return ""
    said = STAGE_PURPOSE_WORDS[StagePurpose(stage.purpose)]
    return upper_first(said) + (f": {stage.added_why}" if stage.added_why else "")


def _inside(stage: Stage) -> str:
    """The drying within a stage: "flashes off 15 min"."""
    return ", ".join(
        f"{_RUNS.get(each.kind, 'dries')} {_wait(each.not_before_minutes)}"
        for each in stage.inside_waits
        if each.not_before_minutes
    )


def _coats(sign: PanelSign) -> CardCoats:
    """A panel's coats; one that is being sprayed is still to come on paper, one that is on and wet is there."""
    is_laid = sign.waiting is not None and sign.waits_until is not None
    coming = [sign.waiting] if sign.waiting else []
    on = [*sign.on, *(coming if is_laid else [])]
    due = [*(coming if not is_laid else []), *sign.due]
    return CardCoats(country().floor_panel(sign.panel), on, due)


def _wait(minutes: int) -> str:
    return f"{minutes} min" if minutes < 120 else words.hours(minutes)


def _mix_sheets(stage: str, mix: PlannedMix, temperature_c: float) -> list[CardMix]:
    """One sheet, or one for each of several mixes; how to spray it stands on the first alone."""
    sheets = [_mix(stage, mix, each, temperature_c) for each in mix.cups]
    if len(sheets) == 1:
        return sheets
    named = [replace(each, title=f"{each.title}, mix {place} of {len(sheets)}") for place, each in enumerate(sheets, 1)]
    return [named[0], *(replace(each, below="", warnings=(), coats=(), gun=()) for each in named[1:])]


def _mix(stage: str, mix: PlannedMix, cup: int, temperature_c: float) -> CardMix:
    thumb = f"Rule of thumb: {mix.thumb_ml[0]} to {mix.thumb_ml[1]} ml." if mix.thumb_ml else ""
    at = words.temperature(temperature_c)
    life = f"Spray it within {mix.pot_life_minutes} min at {at}." if mix.pot_life_minutes else ""
    return CardMix(
        title=f"Mix {words.quantity(cup, mix.unit)} {mix.name.lower()}"
        + (f", {mix.ratio}" if ":" in mix.ratio else ""),
        stage=lower_first(stage),
        pours=[
            CardPour(
                line.name,
                words.quantity(line.part_thousandths_ml, mix.unit),
                line.cup_line,
                "" if line.scale_shows_thousandths_g is None else words.quantity(line.scale_shows_thousandths_g, "g"),
            )
            for line in mix.pouring.lines(cup)
        ],
        below=measured(" ".join(filter(None, (mix.reason, thumb)))),
        warnings=[measured(each) for each in mix.warnings],
        coats=[upper_first(each) for each in mix.laid],
        life=life,
        gun=mix.gun,
    )


@job_section("floor/_job_section.html", Where.SIDE, order=60)
def floor_section(session: Session, page: JobPage) -> Mapping[str, object] | None:
    """Hours by person, mixes and troubles of the job, and its card."""
    job = page.job
    troubles = [
        (country().say(TROUBLES[Defect(one.kind)].name), one.cause, one.note, one.at)
        for one in list_troubles(session, job.id)
    ]
    return {
        "number": job.number,
        "job_id": job.id,
        "has_car": job.vehicle_id is not None,
        "is_over": bool(job.handed_over_at or job.called_off_at),
        "hours": _hours(page),
        "took": words.hours(sum(each.minutes for each in page.whole.clocked)),
        "mixes": [
            (mix.name, words.quantity(mix.total_thousandths, "ml"), _stage_of(mix, job.number))
            for mix in list_mixes(session, job_id=job.id)
        ],
        "troubles": troubles,
    }


def _hours(page: JobPage) -> list[tuple[str, str]]:
    """Who was clocked on the job and how long, by name; removed entries are left out."""
    by_stage: dict[tuple[str, int], int] = {}
    for each in page.whole.clocked:
        key = page.shop.person_names[each.person_id], each.stage_id
        by_stage[key] = by_stage.get(key, 0) + each.minutes
    by_person: dict[str, int] = {}
    for (name, _), minutes in by_stage.items():
        if minutes:
            by_person[name] = by_person.get(name, 0) + minutes
    return sorted((name, words.hours(minutes)) for name, minutes in by_person.items())


def _stage_of(mix: MadeMix, number: int) -> int:
    """The first stage of this job that used the mix."""
    return next(taken.stage_id for taken in mix.shares if taken.job_number == number)
