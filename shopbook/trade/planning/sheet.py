"""The sheet a draft is written on: stages one after another, with minutes, waits, materials and reasons filled in."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace

from shopbook.trade.catalogue.entries import StageKind
from shopbook.trade.catalogue.kinds import MeasuredBy
from shopbook.trade.planning.building import (
    Load,
    floor_uses,
    stage_cautions,
    stage_minutes,
)
from shopbook.trade.planning.coat_rows import Laid, coat_waits
from shopbook.trade.planning.methods import DamageWork
from shopbook.trade.planning.mixes import Sprayed
from shopbook.trade.planning.papers import papers_of
from shopbook.trade.planning.particulars import particular_reasons, particular_steps
from shopbook.trade.planning.shapes import Coat, DraftStage, DraftUse, DraftWarning
from shopbook.trade.planning.work import DraftBasis, PanelWork

Places = tuple[int, ...]
"""Places of stages on the sheet, for what must be done before another."""


def _damages_of(loads: Sequence[Load]) -> tuple[int, ...]:
    return tuple(sorted({work.damage.number for load in loads for work in load.works}))


@dataclass(slots=True)
class Sheet:
    """Stages and warnings as they are written; `add` answers the places that the next stage comes after."""

    setting: DraftBasis
    stages: list[DraftStage] = field(default_factory=list)
    warnings: list[DraftWarning] = field(default_factory=list)

    def add(
        self,
        code: str,
        panels: Sequence[PanelWork],
        after: Places,
        *,
        loads: Sequence[Load] = (),
        steps: Iterable[str] = (),
        reasons: Iterable[str] = (),
        lays: Iterable[Coat] = (),
        sprayed: Sequence[Sprayed] = (),
        uses: Sequence[DraftUse] = (),
        wait: str | None = None,
        more_waits: Sequence[str] = (),
        waits_inside: Sequence[str] | None = None,
        flash_minutes: int = 0,
        fixed_more: int = 0,
    ) -> Places:
        """Writes one stage and answers its place; where the shop leaves it out, what came before stays before.

        The waits (codes of the catalogue) are of the coats that it lays: `wait` in place of its kind's, and further
        ones of the same coats.
        """
        if not self.setting.is_on(code):
            return after
        catalogue = self.setting.catalogue
        kind = catalogue.stages[code]
        minutes = stage_minutes(catalogue, kind, loads, fixed_more)
        whole = sum(each for _, each in minutes)
        names = tuple(load.panel for load in loads)
        coats, after_it = tuple(lays), kind.wait if wait is None else wait
        laid = Laid(panels, coats, [after_it, *more_waits], kind.waits_inside if waits_inside is None else waits_inside)
        self.stages.append(
            DraftStage(
                code=code,
                name=kind.name,
                panels=names,
                damages=_damages_of(loads),
                skill=kind.skill,
                minutes=whole,
                minutes_by_panel=minutes,
                uses=_merged(
                    *_mixed(sprayed), *uses, *self._papers(kind, loads, whole), *floor_uses(catalogue, kind, names)
                ),
                mixes=tuple(s.mix for s in sprayed),
                after=after,
                waits=coat_waits(self.setting, laid),
                flash_minutes=flash_minutes,
                cautions=stage_cautions(self.setting, kind, panels),
                steps=(*kind.steps, *self._said(particular_steps(self.setting, code, panels)), *self._said(steps)),
                reasons=self._reasons(kind, panels, loads, reasons),
                lays=tuple((name, coat) for name in names for coat in coats),
            )
        )
        return (len(self.stages) - 1,)

    def warn(self, warnings: Iterable[DraftWarning], places: Places = ()) -> None:
        """Keeps warnings, each once, hung on the first of the places; what names a product is said as it stands."""
        place = places[0] if places else None
        for warning in warnings:
            sentence = warning.sentence if warning.has_name else self.setting.say(warning.sentence)
            hung = replace(warning, stage=place, sentence=sentence)
            if all((kept.code, kept.sentence) != (hung.code, hung.sentence) for kept in self.warnings):
                self.warnings.append(hung)

    def warn_of(self, works: Iterable[DamageWork], places: Places) -> Places:
        """Keeps what mending these damages warns of; answers the places."""
        self.warn((warning for work in works for warning in work.warnings), places)
        return places

    def open_ends(self) -> Places:
        """Stages that nothing comes after yet."""
        followed = {place for stage in self.stages for place in stage.after}
        return tuple(place for place in range(len(self.stages)) if place not in followed)

    def _papers(self, kind: StageKind, loads: Sequence[Load], minutes: int) -> tuple[DraftUse, ...]:
        papers = papers_of(self.setting, kind, loads, minutes)
        self.warn(papers.warnings, (len(self.stages),))
        return papers.uses

    def _reasons(
        self, kind: StageKind, panels: Sequence[PanelWork], loads: Sequence[Load], own: Iterable[str]
    ) -> tuple[str, ...]:
        usual = [kind.why] if kind.why else []
        particular = particular_reasons(self.setting, kind.code, panels)
        said = self._said((*own, *particular))
        return tuple(dict.fromkeys((*usual, *said, *self._factor_reasons(kind, loads))))

    def _said(self, sentences: Iterable[str]) -> list[str]:
        """Sentences of ours; those of a stage's kind are said already, or the shop's own."""
        return [self.setting.say(sentence) for sentence in sentences]

    def _factor_reasons(self, kind: StageKind, loads: Sequence[Load]) -> list[str]:
        there = {code for load in loads for code in load.factors}
        if kind.measured_by not in {MeasuredBy.PRIMER, MeasuredBy.PANEL}:
            there |= {code for load in loads for work in load.works for code in work.factors}
        found = [self.setting.catalogue.factors[code] for code in kind.factors if code in there]
        return [f"{factor.reason} (× {factor.permille / 1000:g})" for factor in found]


def _mixed(sprayed: Iterable[Sprayed]) -> list[DraftUse]:
    return [use for each in sprayed for use in each.uses]


def _merged(*uses: DraftUse) -> tuple[DraftUse, ...]:
    """Uses of the same material outside any mix as one line each, in the order they first stand."""
    found: dict[tuple[str, str | None], DraftUse] = {}
    for use in uses:
        key = (use.role, use.mix)
        if key in found and use.mix is None:
            first, shares = found[key], dict(found[key].shares)
            for panel, share in use.shares:
                shares[panel] = shares.get(panel, 0) + share
            reason = first.reason if first.reason == use.reason else f"{first.reason}; {use.reason}"
            total = first.amount_thousandths + use.amount_thousandths
            found[key] = replace(first, amount_thousandths=total, shares=tuple(shares.items()), reason=reason)
        else:
            found[key] = use
    return tuple(found.values())
