"""Laws of products from safety data sheets: open answers never look safer than nobody having identified the drum.

A *no* may take lines away, a *yes* never does.
"""

from collections.abc import Mapping
from dataclasses import replace
from datetime import date

from hypothesis import given, settings
from hypothesis import strategies as st

from reports.facts import DrumFact
from reports.gather_sheets import sheet_products
from reports.response.absorbents import absorbent_conflict, absorbing
from reports.response.conditions import Surroundings
from reports.response.contents import asks_for
from reports.response.methods import method_tables
from reports.response.overpacks import overpack_need
from reports.response.protective_equipment import ensemble
from reports.response.stop_rules import stop_lines, stop_rules
from reports.sheet_traits import ASKED
from survey.catalogue.compatibility import reactions
from survey.catalogue.product import Product, Trait
from survey.catalogue.products import UNIDENTIFIED, catalogue
from survey.vocabulary import KitKind, LabelState
from tests.builders import SurveyBuilder
from tests.reports.response.situations import AS_OF, kit_item
from tests.reports.response.test_laws import drums, surroundings

Said = Mapping[str, str]
answers = st.dictionaries(st.sampled_from(sorted(ASKED)), st.sampled_from(["yes", "no", "unknown"]))
asked = st.sampled_from(sorted(ASKED))
known_products = st.sampled_from(catalogue().products)
quick = settings(max_examples=80, deadline=None)

NAMES_ITS_CONTENT_UNKNOWN = frozenset(
    rule.cite.rule for rule in stop_rules() if any(term.name == "content" for clause in rule.when for term in clause)
)
"""Rules that ask how surely the contents are known: the only ones a name and a source may take away."""


def product(said: Said | None = None) -> Product:
    entry = SurveyBuilder().sheet_product("Example blend 7", said)
    return sheet_products([entry], [])[entry.id]


NOTHING_ANSWERED = product()


def rules(found: DrumFact, near: Surroundings) -> set[str]:
    return {line.cite.rule for line in stop_lines(found, near)}


def with_answer(said: Said, trait: Trait, answer: str) -> Product:
    return product({**said, trait: answer})


@quick
@given(drums(), surroundings())
def test_nothing_answered_stops_all_that_not_identified_stops(found: DrumFact, near: Surroundings) -> None:
    mine = rules(replace(found, product=NOTHING_ANSWERED), near)
    nameless = rules(replace(found, product=UNIDENTIFIED), near)
    assert nameless - mine <= NAMES_ITS_CONTENT_UNKNOWN


def test_only_few_rules_may_be_taken_away_by_a_name() -> None:
    """The law above would be empty if most rules asked for the content: a rule on more than that is looked at here."""
    assert {rule.cite.rule for rule in stop_rules()} > NAMES_ITS_CONTENT_UNKNOWN
    assert "S40" in NAMES_ITS_CONTENT_UNKNOWN
    assert not {"S20", "S25", "S26", "S28", "S29"} & NAMES_ITS_CONTENT_UNKNOWN


@quick
@given(drums(), surroundings(), answers, asked)
def test_a_no_may_take_a_stop_line_away_and_a_yes_never_does(
    found: DrumFact, near: Surroundings, said: Said, trait: Trait
) -> None:
    unknown, yes, no = (
        rules(replace(found, product=with_answer(said, trait, answer)), near) for answer in ("unknown", "yes", "no")
    )
    assert no <= unknown <= yes


@quick
@given(answers, asked)
def test_ensembles_rise_with_a_yes_and_may_fall_with_a_no(said: Said, trait: Trait) -> None:
    unknown, yes, no = (ensemble([with_answer(said, trait, answer)]).level for answer in ("unknown", "yes", "no"))
    assert yes <= unknown <= no <= "B"


def test_nothing_answered_asks_for_the_ensemble_of_not_identified() -> None:
    assert ensemble([NOTHING_ANSWERED]).level == ensemble([UNIDENTIFIED]).level == "A"
    assert "leaves open whether it is not toxic by inhalation" in ensemble([NOTHING_ANSWERED]).because
    assert "leaves open" not in ensemble([product({"toxic by inhalation": "yes"})]).because
    harmless = product(dict.fromkeys(ASKED, "no"))
    assert ensemble([harmless]).level == "B"
    assert ensemble([product({**dict.fromkeys(ASKED, "no"), "organic": "yes"})]).level == "B", (
        "one sheet allows no less"
    )


@quick
@given(known_products)
def test_nothing_answered_reacts_with_all_that_not_identified_does(other: Product) -> None:
    nameless, mine = reactions(UNIDENTIFIED, other), reactions(NOTHING_ANSWERED, other)
    assert len(mine) >= len(nameless)
    assert mine == reactions(other, NOTHING_ANSWERED)
    if nameless:
        assert mine[0].rank <= nameless[0].rank or mine[0].clause.startswith("may react in any way")
        assert nameless[0].gas in (None, mine[0].gas)
        assert not mine[0].certain
        assert not mine[0].lethal


def test_what_is_open_is_said_as_possible_and_what_is_answered_as_certain() -> None:
    cyanide = catalogue().by_key["sodium-cyanide-solution-30"]
    (said_yes, *_) = reactions(product({"acid": "yes"}), cyanide)
    assert (said_yes.gas, said_yes.lethal, said_yes.certain) == ("hydrogen cyanide", True, True)
    (left_open, *_) = reactions(NOTHING_ANSWERED, cyanide)
    assert (left_open.gas, left_open.lethal, left_open.certain) == ("hydrogen cyanide", False, False)
    assert left_open.clause.startswith("may make hydrogen cyanide: a safety data sheet does not")
    said_no = reactions(product(dict.fromkeys(ASKED, "no")), cyanide)
    assert "hydrogen cyanide" not in {reaction.gas for reaction in said_no}
    assert said_no, "its groups are not on record: nothing is cleared"


@quick
@given(answers, asked, known_products)
def test_a_no_may_take_a_reaction_away_and_a_yes_never_does(said: Said, trait: Trait, other: Product) -> None:
    unknown, yes, no = (reactions(with_answer(said, trait, answer), other) for answer in ("unknown", "yes", "no"))
    worst = [found[0].rank if found else 1000 for found in (yes, unknown, no)]
    assert worst == sorted(worst)


@quick
@given(drums())
def test_nothing_answered_has_no_overpack_and_no_barred_step(found: DrumFact) -> None:
    mine = replace(found, product=NOTHING_ANSWERED)
    assert not overpack_need(mine, AS_OF).possible
    for table in method_tables([replace(mine, label=LabelState.LEGIBLE, label_read=True)], {mine.id: ()}):
        assert "Its safety data sheet leaves open, and so counts as yes: acid" in table.caution
        for row in table.rows:
            assert not row.materials, "nothing on record says what stands up to it"


@quick
@given(drums(), answers)
def test_an_open_answer_never_chooses_a_salvage_drum(found: DrumFact, said: Said) -> None:
    """Whatever the open answers turn out to be, the salvage drum is the one that was chosen."""
    mine = replace(found, product=product(said), inhibitor_until=date(2027, 1, 1))
    need = overpack_need(mine, AS_OF)
    if need.possible:
        as_answered = overpack_need(replace(mine, product=mine.product.as_answered), AS_OF)
        assert need.material == as_answered.material


def test_what_is_known_decides_where_no_absorbent_suits_what_is_open_too() -> None:
    fluoric = absorbing(product({"hydrofluoric": "yes"}))
    assert (fluoric.rule.cite.rule, fluoric.kinds) == ("K02", {"calcium carbonate"})
    flammable = absorbing(product({**dict.fromkeys(ASKED, "no"), "flammable": "yes", "oxidiser": "unknown"}))
    assert flammable.kinds == {"inert mineral"}
    assert "motor sweepers" in flammable.never
    assert "cellulose" in absorbing(product({**dict.fromkeys(ASKED, "no"), "flammable": "yes"})).kinds


def test_nothing_answered_may_be_taken_up_with_nothing_that_not_identified_may_not() -> None:
    assert absorbing(NOTHING_ANSWERED).kinds <= absorbing(UNIDENTIFIED).kinds
    for name in ("sawdust", "unmarked bags", "paper roll", "clay granules", "polymer pads"):
        item = kit_item(KitKind.ABSORBENT, name)
        assert absorbent_conflict(item, UNIDENTIFIED) is not None
        assert absorbent_conflict(item, NOTHING_ANSWERED) is not None


@quick
@given(st.lists(asked, min_size=1, max_size=4))
def test_nothing_answered_asks_for_every_row_of_the_kit(asks: list[Trait]) -> None:
    assert asks_for(asks, NOTHING_ANSWERED)
    assert not asks_for(asks, product(dict.fromkeys(ASKED, "no")))
