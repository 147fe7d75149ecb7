"""What an assessment says: one value per fact on screen, on paper and in `assessment.json`.

Lengths in metres, depths in millimetres where printed as such, volumes in litres; each field says its unit. Every
number that a person sees is taken from here, so that screen and paper cannot differ.
"""

from reports.assessment.clock import (
    OVER_THE_FLOOR,
    ClockKind,
    ClockLine,
    DrainClock,
    DrainTime,
    Fill,
    LeakTime,
    Order,
)
from reports.assessment.findings import Distance, Finding, Kind, Span, Verdict
from reports.assessment.floor import (
    ContainmentAssessment,
    ContainmentRule,
    DoorAssessment,
    DrainAssessment,
    DrainReach,
    FloorAssessment,
    OtherTable,
    PairAssessment,
    PalletAssessment,
    Pool,
    Reach,
    TiltedReach,
    UnlistedPairs,
    ZoneAssessment,
)
from reports.assessment.plain import as_json
from reports.assessment.site import Assessment, Coverage, Dispute, FirstAction, StandOff

__all__ = [
    "OVER_THE_FLOOR",
    "Assessment",
    "ClockKind",
    "ClockLine",
    "ContainmentAssessment",
    "ContainmentRule",
    "Coverage",
    "Dispute",
    "Distance",
    "DoorAssessment",
    "DrainAssessment",
    "DrainClock",
    "DrainReach",
    "DrainTime",
    "Fill",
    "Finding",
    "FirstAction",
    "FloorAssessment",
    "Kind",
    "LeakTime",
    "Order",
    "OtherTable",
    "PairAssessment",
    "PalletAssessment",
    "Pool",
    "Reach",
    "Span",
    "StandOff",
    "TiltedReach",
    "UnlistedPairs",
    "Verdict",
    "ZoneAssessment",
    "as_json",
]
