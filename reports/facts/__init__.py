"""What an assessment may know: the record digested into plain values, SI inside, unknowns kept as unknown.

`gather.py` makes these from a survey; everything else in this room reads them. No database, no clock.
"""

from reports.facts.floor import (
    BundFact,
    ClaimFact,
    DoorFact,
    DrainFact,
    FloorFact,
    HeatSourceFact,
    PipeFact,
    SprinklerFact,
    SumpFact,
    SurfaceFact,
    WallFact,
    WaterIngressFact,
    ZoneFact,
)
from reports.facts.site import (
    AccessFact,
    ContactFact,
    EntryAge,
    Flag,
    ImpairmentFact,
    KitFact,
    ProtectionFact,
    ShiftFact,
    SiteFacts,
    UtilityFact,
    WalkFact,
    WaterSupplyFact,
)
from reports.facts.stock import BreachFact, DrumFact, PalletFact, ReadingFact

__all__ = [
    "AccessFact",
    "BreachFact",
    "BundFact",
    "ClaimFact",
    "ContactFact",
    "DoorFact",
    "DrainFact",
    "DrumFact",
    "EntryAge",
    "Flag",
    "FloorFact",
    "HeatSourceFact",
    "ImpairmentFact",
    "KitFact",
    "PalletFact",
    "PipeFact",
    "ProtectionFact",
    "ReadingFact",
    "ShiftFact",
    "SiteFacts",
    "SprinklerFact",
    "SumpFact",
    "SurfaceFact",
    "UtilityFact",
    "WalkFact",
    "WallFact",
    "WaterIngressFact",
    "WaterSupplyFact",
    "ZoneFact",
]
