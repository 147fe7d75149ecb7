"""What other published tables say of a pair that reacts, beside the one that its sentence rests on."""

from reports.assessment import OtherTable
from reports.response.advice import Cite
from survey.catalogue.appendix_v import examples
from survey.catalogue.compatibility import Reaction
from survey.catalogue.product import Product
from survey.catalogue.segregation import Segregation, at_sea, on_the_road


def other_tables(a: Product, b: Product, shown: Reaction) -> tuple[OtherTable, ...]:
    """Say what other tables ask of two products, each in a few words.

    Parameters
    ----------
    a, b : Product
        In either order.
    shown : Reaction
        What is said of them already.

    Returns
    -------
    tuple of OtherTable
        Appendix V of 40 CFR 264 and 265 where it names them; the transport table of the road where it asks for
        something, else that of the sea. Empty where a reaction is not certain: nothing about it is.
    """
    if not shown.certain:
        return ()
    named = [each for each in examples(a, b) if f"Appendix V group {each.group}" not in f"{shown.rule} {shown.source}"]
    found = [
        OtherTable(
            f"Named in 40 CFR 264 and 265 Appendix V too, group {example.group}",
            Cite(f"Appendix V group {example.group}", example.source, example.mark),
        )
        for example in named[:1]
    ]
    road, sea = on_the_road(a, b), at_sea(a, b)
    found += [_asked(answer) for answer in (road, sea) if answer.demands][:1]
    return tuple(found)


def _asked(answer: Segregation) -> OtherTable:
    return OtherTable(answer.brief, Cite(f"segregation {answer.table}", answer.source, answer.mark))
