"""Work found later is reported by the desk or from the floor, and becomes an extra with an approval of its own."""

from flask import g, url_for

from shopbook.queries.jobs.jobs import get_job, get_job_by_id
from shopbook.queries.jobs.plans import list_stages
from shopbook.queries.money.quotes import get_quote
from shopbook.services.jobs.pictures import record_picture
from shopbook.services.money.extras import ExtraDays, decline_by_payer, draft_extra
from shopbook.trade.purposes import StagePurpose
from shopbook.web.money.blueprint import blueprint, job_url
from shopbook.web.money.forms import ExtraForm, PayerDeclinesForm
from shopbook.web.money.said import sent_picture
from shopbook.web.parts import Act, Answer, Done, act_by_form, choices, does, keys_among, needs, reader
from shopbook.web.parts.rows import Quote, Stage

TOLD = "The desk sees it on Today. Do not start it until it is priced and approved."


@blueprint.route("/jobs/<int:number>/extra", methods=["GET", "POST"])
@needs("jobs", "look")
def extra(number: int) -> Answer:
    """The floor says what was found and how long it takes; only the desk sees and types a price."""
    job = get_job(reader(), number)
    form = ExtraForm()
    form.stages.choices = choices({str(stage.id): stage.name for stage in _open_stages(job.id)})
    sees_prices: bool = g.actor.may("money", "change")
    picture = sent_picture(form.picture)

    def keep(act: Act) -> Done:
        made = _draft(act, job.id, form, sees_prices)
        if picture is not None:
            record_picture(act, job.id, picture, quote_id=made.id)
        if sees_prices:
            return Done(url_for("money.quote", quote_id=made.id), "Saved. Do not start it until it is approved.")
        return Done(job_url(number), TOLD)

    return act_by_form(form, "money/extra.html", keep, job=job, sees_prices=sees_prices, job_url=job_url(number))


def _draft(act: Act, job_id: int, form: ExtraForm, sees_prices: bool) -> Quote:
    return draft_extra(
        act,
        job_id,
        title=form.title.data or "",
        below=(form.below.data or "").strip(),
        minutes={"body": form.body.data or 0, "paint": form.paint.data or 0},
        stage_ids=keys_among(form.stages.data),
        days=ExtraDays(form.days.data, form.promise_on.data),
        price_minor=form.price.data if sees_prices else None,
        is_only_told=not sees_prices,
    )


def _open_stages(job_id: int) -> list[Stage]:
    """Stages of the plan that are not approved: a new draft may have added them."""
    wanted = {StagePurpose.PLAN, StagePurpose.EXTRA}
    return [stage for stage in list_stages(reader(), job_id) if stage.agreed_at is None and stage.purpose in wanted]


@blueprint.route("/quotes/<int:quote_id>/payer-declines", methods=["GET", "POST"])
@needs("money", "change")
def payer_declines(quote_id: int) -> Answer:
    quote = get_quote(reader(), quote_id)
    job, form = get_job_by_id(reader(), quote.job_id), PayerDeclinesForm()
    keep = does(
        lambda act: decline_by_payer(act, quote_id, form.why.data or ""),
        url_for("money.quote", quote_id=quote_id),
        "Saved as declined by the payer.",
    )
    return act_by_form(form, "money/payer_declines.html", keep, quote=quote, job=job)
