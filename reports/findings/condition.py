"""What is wrong with drums as they stand now: bulge, heat, hiss, frost, crystals (kind 1)."""

from collections import defaultdict
from collections.abc import Iterator
from math import inf

from reports.alarms import ALARMING
from reports.assessment import Finding, Kind
from reports.facts import DrumFact, PalletFact
from reports.findings.shape import finding
from reports.floors.together import NEARBY_M
from reports.floors.view import FloorView
from reports.response.advice import Cite
from reports.wording import contents, counted, phrase
from survey.catalogue.product import Mark
from survey.vocabulary import ConditionSign

CITE = Cite("condition-now", "29 CFR 1910.120(j)(1); WAC 296-843-18010", Mark.READ)


def condition_findings(view: FloorView) -> Iterator[Finding]:
    """Give one finding per pallet and alarming sign, worst kind of all."""
    for pallet in view.floor.pallets:
        by_sign: dict[ConditionSign, list[DrumFact]] = defaultdict(list)
        for drum in pallet.drums:
            for sign in drum.signs & ALARMING.keys():
                by_sign[sign].append(drum)
        for sign in sorted(by_sign):
            yield _alarm(view, pallet, sign, by_sign[sign])


def _alarm(view: FloorView, pallet: PalletFact, sign: ConditionSign, drums: list[DrumFact]) -> Finding:
    verb = "is" if len(drums) == 1 else "are"
    holds = contents(drum.product for drum in drums)
    sentence = (
        f"{pallet.name}: {counted(len(drums), 'drum')} ({holds}) {verb} {ALARMING[sign]}. "
        "Withdraw, keep others away, find the cause first; no bung, plug, patch, move or overpack."
    )
    if sign is ConditionSign.CRYSTALS_AT_CLOSURE:
        sentence += " Treat as shock-sensitive: no impact, no radio close by."
    reason = "Pressure, reaction or shock-sensitive solid inside; what happens next cannot be told from outside."
    near = [(pallet.footprint.distance(heat.at), heat) for heat in view.floor.heat_sources]
    metres, heat = min(near, key=lambda each: each[0], default=(inf, None))
    if heat is not None and metres <= NEARBY_M:
        where = phrase(heat.shut_off) or "place not recorded"
        reason += f" {heat.name}, {metres:.1f} m away, may contribute. Shut it off only from outside: {where}."
    return finding(
        view,
        CITE,
        Kind.CONDITION_NOW,
        sentence,
        reason,
        pallets=[pallet.name],
        drums=[drum.name for drum in drums],
        inputs=[
            ("sign", sign.value),
            ("recorded by", f"{drums[0].recorded_by}, {drums[0].recorded_at:%Y-%m-%d %H:%M}"),
        ],
        litres=pallet.litres_of(drums),
        stop=True,
    )
