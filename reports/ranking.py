"""The order of findings and of storage zones: kinds first, figures only break ties, no weights."""

from collections.abc import Iterable, Sequence
from math import inf

from reports.assessment import Finding


def ranked(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Put findings in order, the worst first.

    Parameters
    ----------
    findings : iterable of Finding

    Returns
    -------
    tuple of Finding
        By kind; within a kind the shorter distance [m], then the shorter time [min], then the larger volume [L].

    Notes
    -----
    A figure that is missing counts as unknown and comes after the known ones of its kind.
    """
    return tuple(sorted(findings, key=_key))


def zone_order(zones: Iterable[str], findings: Sequence[Finding]) -> tuple[str, ...]:
    """Put storage zones in order by their worst finding, then the next.

    Parameters
    ----------
    zones : iterable of str
        Names; one without findings comes last.
    findings : sequence of Finding
        In any order.

    Returns
    -------
    tuple of str
    """

    own: dict[str, list[tuple[float, ...]]] = {zone: [] for zone in zones}
    for finding in ranked(findings):
        for zone in dict.fromkeys(finding.zones):
            if zone in own:
                own[zone].append(_figures(finding))
    return tuple(sorted(own, key=lambda zone: ([*own[zone], (inf, inf, inf, inf)], zone)))


def _figures(finding: Finding) -> tuple[float, float, float, float]:
    return (
        float(finding.kind),
        inf if finding.metres is None else finding.metres,
        inf if finding.minutes is None else finding.minutes,
        inf if finding.litres is None else -finding.litres,
    )


def _key(finding: Finding) -> tuple[object, ...]:
    return (*_figures(finding), finding.cite.rule, finding.sentence)
