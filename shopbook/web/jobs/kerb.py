"""The quick estimate: tapped, typed over, worked out as it goes, saved as a job with its plan and its price."""

from collections.abc import Mapping
from typing import Any

from flask import render_template, request, url_for

from shopbook.queries.diary.suggest import suggest_for_draft
from shopbook.queries.jobs.kerb import KerbLine, KerbSum, work_out_kerb
from shopbook.queries.money.kerb import kerb_tax, kerb_total
from shopbook.queries.reports.break_even import read_hour_needed, typed_hour
from shopbook.queries.shop.shop_on import shop_at
from shopbook.services.jobs.kerb import continue_job, open_kerb_job
from shopbook.services.jobs.pictures import record_picture
from shopbook.services.jobs.whose import Whose
from shopbook.services.money.quote_groups import SaidPrice
from shopbook.services.money.quotes import keep_kerb_price
from shopbook.trade.agreeing.quote_words import Hurt, hurt_words
from shopbook.trade.car.damage import PAINT_WORDS, SIZE_WORDS
from shopbook.trade.car.pictures import KeptPicture
from shopbook.trade.errors import RuleBroken
from shopbook.trade.letters import lower_first, upper_first
from shopbook.trade.planning.kerb import KerbAnswer
from shopbook.trade.planning.shapes import PaintChoice, SizeStep
from shopbook.trade.results.break_even import HourNeeded
from shopbook.web.jobs.continuing import OpenJobs, open_jobs, refuse_second
from shopbook.web.jobs.forms import KerbForm
from shopbook.web.jobs.kerb_approval import approves_here, keep_approval_here, refuse_other_sum, refuse_stray_signature
from shopbook.web.jobs.kerb_cards import Card, read_cards, read_days
from shopbook.web.jobs.known import offered, pointed_at, refuse_unsaid
from shopbook.web.jobs.routes import blueprint
from shopbook.web.jobs.show import page_of
from shopbook.web.parts import Act, Answer, Done, act_by_form, country, key_or_none, needs, now, shop_now
from shopbook.web.parts.forms import LONGEST_LINE
from shopbook.web.parts.paid_now import PaidNow, is_paid_now, paid_now
from shopbook.web.parts.photos import carry, keep_sent
from shopbook.web.parts.rows import Job

DENT_CLASSES = (10, 20, 30, 50)


@blueprint.route("/kerb", methods=["GET", "POST"])
@needs("jobs", "change")
def kerb() -> Answer:
    form = KerbForm(request.values) if request.method == "GET" and request.args else KerbForm()
    cards, days, day_trouble = read_cards(request.values), *read_days(request.values)
    needed = _needed() if cards else None
    worked = _work_out(cards, days, needed)
    kept, photo_troubles = keep_sent() if request.method == "POST" else ([], [])
    known = offered(form.who.data or "")
    opened, paid = open_jobs(form, known), paid_now()
    context = _context(cards, worked, kept, day_trouble, photo_troubles)
    context |= {"needed": needed, "known": known, "open": opened, "paid": paid}
    if request.method == "GET" or "again" in request.form:
        return render_template("jobs/kerb.html", form=form, **context)

    def keep(act: Act) -> Done:
        _refuse_unreadable(cards, day_trouble, photo_troubles)
        refuse_other_sum(_shown(cards, worked), approves_here(act.actor), form)
        refuse_stray_signature(form)
        return _keep(act, form, cards, worked, kept, _whose_and_job(form, known, opened), paid)

    return paid.kept(act_by_form(form, "jobs/kerb.html", paid.drawn(keep), **context))


def _whose_and_job(form: KerbForm, known: dict[str, str], opened: OpenJobs) -> tuple[Whose | None, int | None]:
    """Whom and which car the desk pointed at, and the number of the open job that it chose; RuleBroken where unsaid."""
    number = refuse_second(form, opened)
    if number is None:
        refuse_unsaid(form, known)
    return pointed_at(form.known.data or "", known), number


def _keep(
    act: Act,
    form: KerbForm,
    cards: list[Card],
    worked: KerbSum,
    kept: list[KeptPicture],
    whose_and_job: tuple[Whose | None, int | None],
    paid: PaidNow,
) -> Done:
    words = {card.panel: card.words for card in cards if card.words}
    job = _job_for(act, form, [line.answer for line in worked.lines], words, whose_and_job)
    for picture in kept:
        record_picture(act, job.id, picture)
    prices = [_price(line, words) for line in worked.lines]
    said = {"is_said": bool(form.is_said.data) or "then" in request.form}
    said["has_tax_inside"] = kerb_tax(shop_at(act.session, act.moment), 0).has_tax_inside
    quote = keep_kerb_price(act, job, prices, working_days_tenths=worked.days * 10, **said)
    if is_paid_now(act.actor):
        return paid.finish(act, quote)
    if approves_here(act.actor):
        keep_approval_here(act, job, quote, form)
        return Done(page_of(job.number), "Saved as approved. The plan is drafted.")
    leads_to = url_for("money.approval", quote_id=quote.id) if "then" in request.form else page_of(job.number)
    return Done(leads_to, "Saved. The plan is drafted.")


def _job_for(
    act: Act,
    form: KerbForm,
    answers: list[KerbAnswer],
    words: dict[str, str],
    whose_and_job: tuple[Whose | None, int | None],
) -> Job:
    """The open job that was chosen, else a new one."""
    given, (whose, number) = form.clean(), whose_and_job
    named = {name: given[name] for name in ("who", "car", "plate")}
    if number is not None:
        return continue_job(act, number, answers=answers, words=words, whose=whose, **named)
    wrong = given["wrong"] or _wrong(answers, words)
    return open_kerb_job(
        act,
        answers=answers,
        words=words,
        whose=whose,
        wrong=wrong,
        same_car=given["same_car"],
        is_nameless=is_paid_now(act.actor) and country().own_small_papers is not None,
        **named,
    )


def _price(line: KerbLine, words: Mapping[str, str]) -> SaidPrice:
    return SaidPrice(
        panel=line.answer.panel,
        title=_title(line.answer.panel, words),
        below=_below(line.answer),
        price_minor=_wanted(line.price_minor, line.answer.panel),
        is_painted=line.is_painted,
        is_listed=line.typed_minor is None,
    )


def _shown(cards: list[Card], worked: KerbSum) -> str:
    """What an approval on this page is for: the panels as tapped and the sum as the list counts it, in one line."""
    return " ".join(
        [str(worked.price_minor), *(f"{card.panel}.{card.size}.{card.paint}.{card.count}" for card in cards)]
    )


def _wrong(answers: list[KerbAnswer], words: Mapping[str, str]) -> str:
    """What is wrong where nobody typed it: the panels that were tapped."""
    return "; ".join(f"{_title(each.panel, words)}: {lower_first(_dent(each))}" for each in answers)[:LONGEST_LINE]


def _dent(answer: KerbAnswer) -> str:
    return hurt_words(Hurt("dent", size=answer.size, dent_count=answer.dent_count), country().say)


def _wanted(price_minor: int | None, panel: str) -> int:
    if price_minor is None:
        raise RuleBroken(f"Enter a price for the {country().panel(panel)}. Your list has none.")
    return price_minor


def _title(panel: str, words: Mapping[str, str]) -> str:
    said = words.get(panel) or country().panel(panel)
    return upper_first(said)


def _below(answer: KerbAnswer) -> str:
    return f"{_dent(answer)}, {PAINT_WORDS[answer.paint].lower()}"


def _refuse_unreadable(cards: list[Card], day_trouble: str, photo_troubles: list[str]) -> None:
    troubles = [sentence for card in cards for sentence in card.troubles.values()]
    first = next(iter([*troubles, *([day_trouble] if day_trouble else []), *photo_troubles]), None)
    if first:
        raise RuleBroken(first)


def _answer(card: Card) -> KerbAnswer:
    return KerbAnswer(
        panel=card.panel,
        size=SizeStep(card.size),
        paint=PaintChoice(card.paint),
        dent_count=int(card.count) if card.count and "count" not in card.troubles else 0,
        dent_class_mm=key_or_none(card.dent_class) or 30,
    )


def _work_out(cards: list[Card], days: int | None, needed: HourNeeded | None) -> KerbSum:
    answers = [_answer(card) for card in cards]
    typed = {card.panel: card.price_minor for card in cards if card.is_typed and card.price_minor is not None}
    tax = kerb_tax(shop_now(), 0)
    needed_minor = needed.hour_minor if needed else None
    worked = work_out_kerb(shop_now(), answers, typed, days, net_permille=tax.net_permille, needed_minor=needed_minor)
    for card, line in zip(cards, worked.lines, strict=True):
        card.listed_minor = line.list_minor
        if not card.is_typed:
            card.price_minor = line.price_minor
            card.price = "" if line.price_minor is None else country().money_for_field(line.price_minor)
    return worked


def _needed() -> HourNeeded | None:
    """What an hour must bring: the typed figure; without one three months are read, once somebody asks for it."""
    is_asked = request.values.get("again") == "break_even"
    return read_hour_needed(shop_now()) if is_asked else typed_hour(shop_now())


def _context(
    cards: list[Card], worked: KerbSum, kept: list[KeptPicture], day_trouble: str, photo_troubles: list[str]
) -> dict[str, object]:
    chosen = [card.panel for card in cards]
    total = kerb_total(shop_now(), worked, {card.panel: _title(card.panel, {card.panel: card.words}) for card in cards})
    return {
        "cards": cards,
        "worked": worked,
        "total": total,
        "tax": total.tax,
        "kept": [carry(picture) for picture in kept],
        "chosen": chosen,
        "links": {code: _link(code, cards) for code in country().panels},
        "sizes": SIZE_WORDS,
        "paints": PAINT_WORDS,
        "classes": DENT_CLASSES,
        "day_trouble": day_trouble,
        "photo_troubles": photo_troubles,
        "offer": _offer(worked),
        "shown": _shown(cards, worked),
    }


def _offer(worked: KerbSum) -> dict[str, str] | None:
    """When the car could come and be ready, by the free hours of the diary; None without a plan."""
    if worked.draft is None or not worked.draft.stages:
        return None
    offered = suggest_for_draft(shop_now(), worked.draft, now())
    return {"words": offered.words(shop_now().day, country().date_form), "why": offered.sentence}


def _link(code: str, cards: list[Card]) -> str:
    """This page with one panel added or removed; what was tapped for the others stays."""
    chosen = [card.panel for card in cards]
    now_chosen = [each for each in chosen if each != code] if code in chosen else [*chosen, code]
    kept: dict[str, Any] = {"panel": now_chosen}  # url_for has keywords of its own among them
    kept |= _of_whom()
    for card in cards:
        if card.panel in now_chosen:
            kept |= {f"size.{card.panel}": card.size, f"paint.{card.panel}": card.paint}
            kept |= {f"price.{card.panel}": card.price} if card.is_typed else {}
            kept |= {f"count.{card.panel}": card.count, f"class.{card.panel}": card.dent_class} if card.count else {}
    return url_for("jobs.kerb", _anchor="panels", **kept)


def _of_whom() -> dict[str, str]:
    """What an address says of customer and job, which stays when a panel is tapped without script."""
    return {name: said for name, said in request.args.items() if name in {"who", "known", "continues"}}
