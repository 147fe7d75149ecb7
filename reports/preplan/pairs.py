"""Neighbours whose products react: what they do, how far apart they stand, what other tables say, what is asked for."""

from collections.abc import Sequence
from dataclasses import replace

from geometry.units import metres_and_feet
from reports.assessment import PairAssessment, PalletAssessment, Verdict
from reports.pair_groups import clause, grouped, more_of, named, places
from reports.preplan.plan import PairText, RuleText
from reports.preplan.words import basis, capital, distance
from reports.response.advice import Cite
from reports.wording import listed
from survey.catalogue.separation import separation_ways


def pair_texts(pairs: Sequence[PairAssessment]) -> tuple[PairText, ...]:
    """Word the neighbours whose products react; where places or contents are not known, one text says it for all."""
    known = {id(pair) for pair in pairs if pair.certain and pair.separation is not None}
    order = {id(pair): place for place, pair in enumerate(pairs)}
    texts = []
    for group in grouped(pairs):
        if id(group[0]) in known or len(group) == 1:
            texts += [(order[id(pair)], pair_text(pair)) for pair in group]
        else:
            texts.append((order[id(group[0])], _group_text(group)))
    return tuple(text for _, text in sorted(texts, key=lambda each: each[0]))


def _group_text(group: Sequence[PairAssessment]) -> PairText:
    worst = group[0]
    return replace(
        pair_text(replace(worst, where=places(group), more_where=(), more=sum(pair.more for pair in group))),
        pallets=tuple(sorted({name for pair in group for name in (pair.a, pair.b)})),
        sentence=f"{named(group)}: together they {clause(worst)}.",
        lethal=any(pair.lethal for pair in group),
    )


def apart_texts() -> tuple[RuleText, ...]:
    """Word what is asked for in a building of two that react."""
    ways = separation_ways()
    return tuple(
        RuleText(ways[way].says, basis(Cite(f"separation, {way}", ways[way].source, ways[way].mark)))
        for way in ("apart", "partition", "cabinet", "trigger", "waste")
    )


def pair_text(pair: PairAssessment) -> PairText:
    """Word two neighbours whose products react."""
    one = f"{pair.a} ({pair.product_a})"
    other = f"{pair.b} ({pair.product_b})"
    together = f"{one} and {other} together {pair.reaction}."
    if not pair.certain:
        together = f"{one} and {other}: it cannot be excluded that together they {pair.reaction.split(': ')[0]}."
    return PairText(
        pallets=tuple(dict.fromkeys((pair.a, pair.b))),
        sentence=together,
        distance=capital(_apart(pair)),
        meeting=_meeting(pair),
        meets=pair.meets,
        lethal=pair.lethal,
        basis=basis(pair.cite),
        also=tuple(RuleText(each.words, basis(each.cite)) for each in pair.also),
    )


def _apart(pair: PairAssessment) -> str:
    above = "; one stands above the other" if pair.above else ""
    if pair.separation is None:
        return f"distance not known{above}"
    if pair.a == pair.b:
        return f"on the same pallet{above}"
    along = "" if pair.along_floor_m is None else f"; along the floor {metres_and_feet(pair.along_floor_m)}"
    return f"{distance(pair.separation)} apart{along}{above}"


def _meeting(pair: PairAssessment) -> str:
    more = f"; {more_of([pair])}" if pair.more else ""
    if pair.meets is Verdict.NOT_REACHED:
        return f"liquids do not meet within the film range{more}"
    also = f", which meet also: {listed(pair.more_where)}" if pair.more_where else ""
    verb = "liquids meet" if pair.meets is Verdict.REACHES else "liquids may meet"
    joined = any(place.startswith(("drain", "sump")) for place in pair.where)
    zero = ", 0 m apart by way of the drains" if joined and pair.hydraulic_m == 0 else ""
    return f"{verb}: {listed(pair.where)}{zero}{more}{also}"


def unlisted_text(pallet: PalletAssessment) -> str:
    """Say how many pairs of a pallet are only counted, and which is the worst of them; empty where all are listed."""
    rest = pallet.unlisted
    if rest is None:
        return ""
    apart = "distance not known" if rest.separation is None else f"{distance(rest.separation)} apart"
    if rest.beside == pallet.name:
        apart = "on the same pallet"
    meets = {
        Verdict.REACHES: "liquids meet",
        Verdict.MAY_REACH: "liquids may meet",
        Verdict.NOT_REACHED: "liquids do not meet within the film range",
    }[rest.meets]
    together = f"together they {rest.reaction}"
    if not rest.certain:
        together = f"it cannot be excluded that together they {rest.reaction.split(': ')[0]}"
    return (
        f"Pairs of it that react and are not listed: {rest.pairs:,}; the worst: {rest.product} with "
        f"{rest.beside_product} on {rest.beside}, {apart}, {meets}: {together}"
    )
