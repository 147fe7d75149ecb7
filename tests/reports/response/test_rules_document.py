"""The stop rules as JSON: an evaluator written from the document's description alone comes to the same lines."""

import hashlib
import json
import math
import random
import re
import unicodedata
from dataclasses import replace
from datetime import date, timedelta
from typing import Any

import pytest

from reports.facts import DrumFact
from reports.response.conditions import Surroundings
from reports.response.rules_document import rules_document, situation_document
from reports.response.stop_rules import stop_lines, stop_rules
from survey.catalogue.products import catalogue
from survey.vocabulary import ConditionSign, LabelState, Sighting, YesNoUnknown
from tests.reports.response.situations import AS_OF, around, drum

DOCUMENT: dict[str, Any] = json.loads(json.dumps(rules_document()))
"""What a tablet has: the document as it was written and read again."""

Json = dict[str, Any]


def words_that_hold(term: Json, case: Json) -> set[str]:
    """Written after the description in `rules_document`, not after the code of `conditions`."""
    name = term["term"]
    product = DOCUMENT["products"][case["product"]]
    unknown = not product["identified"] or not (case["label_read"] or case["identified"])
    doubted = unknown or case["label"] == "contradicts content"
    if name == "sign":
        return set(case["signs"])
    if name in ("label", "product"):
        return {case[name]}
    if name == "any":
        return {"any"}
    if name == "trait":
        return set(term["words"]) if doubted else set(product["traits"])
    if name == "content":
        held = {"unidentified"} if not product["identified"] else set()
        held |= {"no source"} if unknown else set()
        return held | ({"not identified twice"} if doubted or not case["identified"] else set())
    if name == "inhibitor":
        if case["inhibitor_until"] is None:
            return {"not on record"}
        return {"past"} if case["inhibitor_until"] < case["as_of"] else set()
    if name == "vapour_suits":
        return set() if case["vapour_suits"] else {"not on record"}
    if name in ("backup_crew", "way_out", "decontamination"):
        return {case[name]}
    flags = {
        "wetted": case["wetted"],
        "bulging_neighbour": case["bulging_nearby"],
        "unidentified_neighbour": len(case["unidentified"]) > 0,
        "unstable_stack": case["stack_unstable"],
        "not_inspected": case["stack_not_inspected"] or not case["seen"],
    }
    return {"yes"} if flags[name] else set()


def term_holds(term: Json, case: Json) -> bool:
    if term["term"] == "heat_within_m":
        return any(metres <= float(term["words"][0]) for _, metres in case["heat_sources"])
    if term["term"] not in DOCUMENT["terms"]:
        return True
    return bool(set(term["words"]) & words_that_hold(term, case))


def nearest(named: list[list[Any]], more: int) -> str:
    if not named:
        return "none on record"
    name, metres = sorted(named, key=lambda each: (each[1], each[0]))[0]
    hundredths = math.floor(100 * metres + 0.5)
    where = "touching" if metres == 0 else f"{hundredths // 100}.{hundredths % 100:02d} m"
    others = len(named) - 1 + more
    return f"{name}, {where}" + (f" and {others} more" if others else "")


def filled(text: str, case: Json) -> str:
    needed = {"backup_crew": "back-up crew", "way_out": "way out", "decontamination": "decontamination place"}
    said = {"no": "none", "unknown": "not on record"}
    words = {
        "drum": case["drum"],
        "technicians": case["technicians"],
        "drain": case["first_drain"] or DOCUMENT["any_drain"],
        "neighbours": nearest(case["unidentified"], case["unidentified_more"]),
        "heat": nearest(case["heat_sources"], 0),
        "missing": "; ".join(f"{word}: {said[case[key]]}" for key, word in needed.items() if case[key] != "yes")
        or "nothing",
    }
    return re.sub(r"\{(\w+)\}", lambda found: words[found[1]], text)


def lines_of(case: Json) -> list[tuple[str, int, str, str, str]]:
    unknown = not DOCUMENT["products"][case["product"]]["identified"] or not (case["label_read"] or case["identified"])
    return [
        (rule["rule"], rule["weight"], *(filled(rule[part], case) for part in ("sentence", "because", "instead")))
        for rule in sorted(DOCUMENT["rules"], key=lambda rule: (rule["weight"], rule["rule"]))
        if all(any(term_holds(term, case) for term in clause) for clause in rule["when"])
        and not (unknown and rule["covered_when_unidentified"])
    ]


def a_case(dice: random.Random) -> tuple[DrumFact, Surroundings]:
    keys = sorted(catalogue().by_key)

    def named(most: int) -> tuple[tuple[str, float], ...]:
        count = dice.choice((0, 0, *range(1, most + 1)))
        return tuple(
            (f"B{dice.randint(1, 3)}", dice.choice((0.0, 0.005, 6.1, dice.uniform(0, 9)))) for _ in range(count)
        )

    def arranged() -> YesNoUnknown:
        found: YesNoUnknown = dice.choice((YesNoUnknown.YES, YesNoUnknown.YES, *YesNoUnknown))
        return found

    signs = frozenset(dice.sample(list(ConditionSign), dice.choice((0, 0, 0, 1, 1, 2, 3))))
    found = replace(
        drum(dice.choice((*keys, "unidentified", "styrene-stabilised", "mek-peroxide-solution")), signs=signs),
        label=dice.choice((LabelState.LEGIBLE, LabelState.LEGIBLE, *LabelState)),
        label_read=dice.random() < 0.7,
        identified=dice.random() < 0.6,
        sighting=dice.choice((Sighting.SEEN, Sighting.SEEN, Sighting.SEEN, *Sighting)),
        inhibitor_until=dice.choice((None, AS_OF, *(AS_OF + timedelta(days) for days in (-1, 1, -400, 400)))),
    )
    beside = around(
        unidentified=named(3),
        unidentified_more=dice.choice((0, 0, 7)),
        heat_sources=named(2),
        bulging_nearby=dice.random() < 0.1,
        stack_unstable=dice.random() < 0.1,
        stack_not_inspected=dice.random() < 0.1,
        wetted=dice.random() < 0.2,
        vapour_suits=dice.random() < 0.7,
        backup_crew=arranged(),
        way_out=arranged(),
        decontamination=arranged(),
        technicians_min=dice.choice((None, 45.0, 7.5)),
        first_drain=dice.choice(("", "drain D1 (reached first)")),
    )
    return found, beside


def test_thousands_of_situations_come_to_the_same_lines() -> None:
    dice = random.Random(20260504)  # noqa: S311 (situations, not secrets)
    seen: set[str] = set()
    quiet = 0
    for _ in range(5000):
        found, beside = a_case(dice)
        case = json.loads(json.dumps(situation_document(found, beside)))
        ours = [
            (line.cite.rule, line.weight, line.sentence, line.because, line.instead)
            for line in stop_lines(found, beside)
        ]
        assert lines_of(case) == ours, case
        seen |= {rule for rule, *_ in ours}
        quiet += not ours
    assert seen == {rule.cite.rule for rule in stop_rules()}, "every rule was met"
    assert quiet > 50, "and situations that no rule stops"


def test_an_evaluator_with_a_wrong_reading_is_found_out(monkeypatch: pytest.MonkeyPatch) -> None:
    """The comparison can fail: a reader that forgets doubt about the contents comes to other lines."""
    found, beside = drum("unidentified"), around(heat_sources=(("heater", 1.0),))
    case = json.loads(json.dumps(situation_document(found, beside)))
    assert "S20" in {rule for rule, *_ in lines_of(case)}
    products = DOCUMENT["products"] | {"unidentified": {"identified": True, "traits": [], "name": "", "names": []}}
    monkeypatch.setitem(DOCUMENT, "products", products)
    assert "S20" not in {rule for rule, *_ in lines_of(case)}


def test_document_names_its_own_content() -> None:
    rest = {key: value for key, value in DOCUMENT.items() if key != "sha256"}
    written = json.dumps(rest, sort_keys=True, separators=(",", ":"), ensure_ascii=False).encode()
    assert hashlib.sha256(written).hexdigest() == DOCUMENT["sha256"]
    assert json.dumps(rules_document()) == json.dumps(rules_document())
    assert DOCUMENT["format"] == "stop-rules/1"


def test_every_rule_has_its_source_and_asks_with_words_on_the_list() -> None:
    for rule in DOCUMENT["rules"]:
        assert rule["source"]
        assert rule["mark"] in {"read", "recalled", "derived"}
        for term in (term for clause in rule["when"] for term in clause):
            known = DOCUMENT["terms"][term["term"]]["words"]
            assert known is None or set(term["words"]) <= set(known)


def fold(typed: str) -> str:
    plain = unicodedata.normalize("NFKD", typed).encode("ascii", "ignore").decode().lower()
    for first, second in DOCUMENT["spellings"]:
        plain = plain.replace(first, second)
    return " ".join(re.findall("[a-z0-9]+", plain))


@pytest.mark.parametrize(
    ("typed", "key"),
    [
        ("Sodium hydrosulfite", "sodium-hydrosulphite"),
        ("sodium HYDROSULPHITE", "sodium-hydrosulphite"),
        ("Toluene", "toluene"),
        ("methyl chloroform", "1-1-1-trichloroethane"),
        ("unlabelled", "unidentified"),
    ],
)
def test_a_typed_name_finds_its_product_by_the_document_alone(typed: str, key: str) -> None:
    assert [each for each, product in DOCUMENT["products"].items() if fold(typed) in product["names"]] == [key]


def test_a_name_that_is_one_letter_off_is_not_taken_for_the_product() -> None:
    """Near names are offered by the search, never taken: hydrosulphite and hydrosulphate are different substances."""
    assert not [key for key, product in DOCUMENT["products"].items() if fold("sodium hydrosulphat") in product["names"]]


def test_dates_compare_as_they_are_written() -> None:
    styrene = drum("styrene-stabilised", inhibitor_until=date(2026, 5, 3))
    for days, stopped in ((0, True), (1, False)):
        late = replace(styrene, inhibitor_until=date(2026, 5, 3) + timedelta(days))
        rules = {rule for rule, *_ in lines_of(dict(situation_document(late, around())))}
        assert ("S25" in rules) is stopped
