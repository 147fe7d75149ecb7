"""The stop rules as one JSON document, so that a tablet without a network comes to the same lines.

The document is made from `data/stop_rules.csv` and the catalogue; nothing in it is written by hand.

**The document** is an object with these members.

- `format`: `"stop-rules/1"`. A reader that knows no such format evaluates nothing and says so.
- `sha256`: hash of the document without this member, written as UTF-8 with sorted keys and no blanks between tokens.
- `rules`: a list of objects with `rule` (identifier), `weight` (number), `when` (list of clauses; a clause is a list
  of terms; a term is an object with `term` and `words`, a list of strings), `covered_when_unidentified` (true or
  false), the texts `sentence`, `because` and `instead`, and `source` and `mark`.
- `terms`: by name, `asks` (in words) and `words` (those a rule may use; null where the word is a number of metres).
- `products`: by key, `name`, `identified` (true or false), `traits` (list) and `names` (its names, folded). A site's
  own products, entered from safety data sheets, are added in the same form; a trait nobody has answered is among the
  traits.
- `spellings`: pairs of spellings; the first is written as the second when a name is folded.
- `any_drain`: the words for the drain where none is known to come first.

**A situation** is an object with these members; one that is missing is an error, never a default.

- `drum`, `product` (a key of `products`), `label`, `signs` (list), `label_read`, `identified`, `seen` (true or
  false), `inhibitor_until` (a date written YYYY-MM-DD, or null);
- `as_of` (a date), `unidentified` and `heat_sources` (lists of `[name, metres]`), `unidentified_more` (a number),
  `bulging_nearby`, `stack_unstable`, `stack_not_inspected`, `wetted`, `vapour_suits` (true or false), `backup_crew`,
  `way_out`, `decontamination` (`"yes"`, `"no"` or `"unknown"`), `first_drain` and `technicians` (texts; `first_drain`
  is empty where none is known).

**Evaluation.** *Unknown contents* are those of a drum whose product is not `identified`, or of which neither
`label_read` nor `identified` is true. *Doubted contents* are unknown ones, and those of a drum whose label is
`contradicts content`. Every term has a set of words that hold:

- `sign`: the signs; `label`: the label; `product`: the product's key; `any`: `any`;
- `trait`: the product's traits; every word of the term where the contents are doubted;
- `content`: `unidentified` where the product is not identified; `no source` where the contents are unknown; `not
  identified twice` where the drum is not `identified` or its contents are doubted;
- `inhibitor`: `not on record` where there is no date, `past` where it is before `as_of`;
- `wetted`, `bulging_neighbour` (`bulging_nearby`), `unidentified_neighbour` (`unidentified` is not empty),
  `unstable_stack`: `yes` where so;
- `not_inspected`: `yes` where `stack_not_inspected` is true or `seen` is not;
- `backup_crew`, `way_out`, `decontamination`: what stands there;
- `vapour_suits`: `not on record` where `vapour_suits` is not true.

A term holds where one of its `words` holds; `heat_within_m` holds where one of the `heat_sources` is no farther than
its word, a number. A clause holds where one of its terms holds, a rule where all its clauses hold. A rule that is
`covered_when_unidentified` is left out where the contents are unknown. A reader that meets a term it does not know
counts it as holding.

**The lines** are the rules left, by weight, then identifier. In `sentence`, `because` and `instead` a name in curly
brackets is replaced: `{drum}` and `{technicians}` by the texts of the situation; `{drain}` by `first_drain`, or
`any_drain` where that is empty; `{neighbours}` and `{heat}` by the nearest of `unidentified` and `heat_sources` (of
equally near ones the first by name, compared by code points) as *name, distance*, followed by * and n more* where n,
the others named and, of neighbours, `unidentified_more`, is not 0; by *none on record* where there is none. A
distance is *touching* where it is 0, otherwise floor(100 × metres + 0.5) hundredths, written as metres with two
decimals and * m*. `{missing}` is, joined with *; *, of *back-up crew*, *way out* and *decontamination place* each
that is not `yes`, followed by *: none* for `no` and *: not on record* otherwise; *nothing* where all are.

**A name** that somebody types is folded: decomposed (NFKD), stripped of what is not ASCII, in lower case, each of the
`spellings` replaced in their order, and its runs of a to z and 0 to 9 joined with single blanks. It names the
products one of whose `names` it equals; of several the person chooses, and none is *not identified*.
"""

import hashlib
import json
from collections.abc import Mapping
from typing import Any

from reports.facts import DrumFact
from reports.response.conditions import DISTANCE, TERMS, Condition, Surroundings
from reports.response.stop_rules import ANY_DRAIN, StopRule, stop_rules, stop_words
from survey.catalogue.names import SPELLINGS
from survey.catalogue.products import catalogue

FORMAT = "stop-rules/1"


def rules_document() -> Mapping[str, Any]:
    """Give the document that the module describes.

    Returns
    -------
    mapping
        Plain lists, texts, numbers and mappings; the same rules and catalogue always give the same.
    """
    document = {
        "format": FORMAT,
        "rules": [_rule(rule) for rule in stop_rules()],
        "terms": _terms(),
        "products": _products(),
        "spellings": [list(pair) for pair in SPELLINGS],
        "any_drain": ANY_DRAIN,
    }
    written = json.dumps(document, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    return document | {"sha256": hashlib.sha256(written.encode()).hexdigest()}


def situation_document(drum: DrumFact, around: Surroundings) -> Mapping[str, Any]:
    """Give one drum and what stands around it as the situation that the module describes.

    Parameters
    ----------
    drum : DrumFact
    around : Surroundings

    Returns
    -------
    mapping
    """
    return {
        "drum": drum.name,
        "product": drum.product.key,
        "label": str(drum.label),
        "signs": sorted(map(str, drum.signs)),
        "label_read": drum.label_read,
        "identified": drum.identified,
        "seen": not drum.hidden,
        "inhibitor_until": None if drum.inhibitor_until is None else drum.inhibitor_until.isoformat(),
        "as_of": around.as_of.isoformat(),
        "unidentified": [list(each) for each in around.unidentified],
        "unidentified_more": around.unidentified_more,
        "heat_sources": [list(each) for each in around.heat_sources],
        "bulging_nearby": around.bulging_nearby,
        "stack_unstable": around.stack_unstable,
        "stack_not_inspected": around.stack_not_inspected,
        "wetted": around.wetted,
        "vapour_suits": around.vapour_suits,
        "backup_crew": str(around.backup_crew),
        "way_out": str(around.way_out),
        "decontamination": str(around.decontamination),
        "first_drain": around.first_drain,
        "technicians": stop_words(drum, around)["technicians"],
    }


def _rule(rule: StopRule) -> Mapping[str, Any]:
    return {
        "rule": rule.cite.rule,
        "weight": rule.weight,
        "when": _clauses(rule.when),
        "covered_when_unidentified": rule.covered_when_unidentified,
        "sentence": rule.sentence,
        "because": rule.because,
        "instead": rule.instead,
        "source": rule.cite.source,
        "mark": str(rule.cite.mark),
    }


def _clauses(when: Condition) -> list[list[Mapping[str, Any]]]:
    return [[{"term": term.name, "words": list(term.values)} for term in clause] for clause in when]


def _terms() -> Mapping[str, Any]:
    terms: dict[str, Any] = {
        name: {"asks": asked.says, "words": sorted(map(str, asked.words()))} for name, asked in TERMS.items()
    }
    return terms | {DISTANCE: {"asks": "the nearest heat source is no farther than so many metres", "words": None}}


def _products() -> Mapping[str, Any]:
    known = catalogue()
    return {
        key: {
            "name": product.name,
            "identified": product.identified,
            "traits": sorted(map(str, product.traits)),
            "names": sorted({name.folded for name in known.names[key]}),
        }
        for key, product in sorted(known.by_key.items())
    }
