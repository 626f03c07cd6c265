"""A draft quote is edited: terms, groups, lines, a second way of doing one thing."""

from flask import redirect, url_for
from werkzeug.wrappers import Response

from shopbook.queries.jobs.jobs import get_job_by_id
from shopbook.queries.money.quotes import get_quote
from shopbook.services.act import Act
from shopbook.services.money.quote_parts import GroupEdit, LineEdit, Terms, add_group, change_quote
from shopbook.web.money.blueprint import blueprint
from shopbook.web.money.forms import LineFields, QuoteForm
from shopbook.web.money.quotes import quote_url
from shopbook.web.parts.act import Answer, Done, act_by_form, act_by_press, does, reader
from shopbook.web.parts.guards import needs
from shopbook.web.parts.keys import key_or_none
from shopbook.web.parts.rows import Quote


@blueprint.route("/quotes/<int:quote_id>/edit", methods=["GET", "POST"])
@needs("money", "change")
def edit_quote(quote_id: int) -> Answer:
    quote = get_quote(reader(), quote_id)
    if quote.given_at is not None:
        return redirect(quote_url(quote_id), 303)
    form = QuoteForm(data=_as_typed(quote))

    def keep(act: Act) -> Done:
        terms, groups, revision = _terms(form), _groups(form), form.revision.data or 0
        change_quote(act, quote_id, revision=revision, terms=terms, groups=groups)
        return Done(quote_url(quote_id), "Saved.")

    job = get_job_by_id(reader(), quote.job_id)
    return act_by_form(form, "money/edit_quote.html", keep, quote=quote, job=job)


@blueprint.post("/quotes/<int:quote_id>/groups/<int:group_id>/second-way")
@needs("money", "change")
def second_way(quote_id: int, group_id: int) -> Response:
    revision = get_quote(reader(), quote_id).revision
    doing = does(
        lambda act: add_group(act, quote_id, revision=revision, beside_id=group_id),
        url_for("money.edit_quote", quote_id=quote_id),
        "There are two options for this work now. Change one.",
    )
    return act_by_press(doing, url_for("money.edit_quote", quote_id=quote_id))


def _as_typed(quote: Quote) -> dict[str, object]:
    return {
        "revision": quote.revision,
        "kind_of_price": "estimate" if quote.is_estimate else "fixed",
        "up_to": quote.up_to_minor,
        "discount": quote.discount_minor,
        "discount_why": quote.discount_why,
        "deposit": quote.deposit_minor,
        "valid_until": quote.valid_until_on,
        "not_included": quote.not_included,
        "words": quote.words,
        "groups": [
            {
                "id": group.id,
                "title": group.title,
                "below": group.below,
                "price": group.price_minor,
                "lines": [
                    {"id": line.id, "kind": line.kind, "words": line.words, "amount": line.amount_minor}
                    for line in group.lines
                ]
                + [{"id": "", "kind": "part", "words": "", "amount": None}],
            }
            for group in quote.groups
        ],
    }


def _terms(form: QuoteForm) -> Terms:
    return Terms(
        is_estimate=form.kind_of_price.data == "estimate",
        up_to_minor=form.up_to.data,
        discount_minor=form.discount.data or 0,
        discount_why=(form.discount_why.data or "").strip(),
        deposit_minor=form.deposit.data or 0,
        valid_until_on=form.valid_until.data,
        not_included=(form.not_included.data or "").strip(),
        words=(form.words.data or "").strip(),
    )


def _groups(form: QuoteForm) -> list[GroupEdit]:
    return [
        GroupEdit(
            id=key_or_none(entry.form.id.data) or 0,
            title=entry.form.title.data or "",
            below=entry.form.below.data or "",
            price_minor=entry.form.price.data,
            lines=tuple(_line(line.form) for line in entry.form.lines if _is_meant(line.form)),
            is_out=bool(entry.form.is_out.data),
        )
        for entry in form.groups
    ]


def _is_meant(line: LineFields) -> bool:
    """The empty line at the end of a group counts only once something is typed into it."""
    return bool(key_or_none(line.id.data) or (line.words.data or "").strip() or line.amount.data is not None)


def _line(line: LineFields) -> LineEdit:
    return LineEdit(
        id=key_or_none(line.id.data),
        kind=line.kind.data or "",
        words=line.words.data or "",
        amount_minor=line.amount.data or 0,
        is_out=bool(line.is_out.data),
    )
