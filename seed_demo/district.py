"""What is the same at every site of the invented district: the fire service's kit and the authorities to call."""

from collections.abc import Mapping
from typing import Any

from seed_demo.authoring import Origin, Recorder
from survey.vocabulary import Availability, ContactRole, KitKind, KitPlace, Source, YesNoUnknown

_CARRIED = (
    (KitPlace.FIRST_ENGINE, KitKind.DRAIN_COVER, "Drain cover mat", "polyurethane", 1, None),
    (KitPlace.FIRST_ENGINE, KitKind.ABSORBENT, "Mineral absorbent, bags", "inert mineral", 4, None),
    (KitPlace.TECHNICIANS, KitKind.DRAIN_COVER, "Drain cover mat, technicians", "polyurethane", 2, None),
    (KitPlace.TECHNICIANS, KitKind.SALVAGE_DRUM, "Salvage drum, 95 US gal", "polyethylene", 1, 360),
    (KitPlace.TECHNICIANS, KitKind.TOOL, "Bung wrench, non-sparking", "bronze", 1, None),
    (KitPlace.TECHNICIANS, KitKind.MONITOR, "Four-gas monitor", "", 2, None),
    (KitPlace.TECHNICIANS, KitKind.MONITOR, "pH paper, rolls", "", 2, None),
    (KitPlace.TECHNICIANS, KitKind.PERSONAL, "Vapour-protective suit", "", 4, None),
)

ENTRY_ARRANGED: Mapping[str, Any] = dict.fromkeys(("backup_crew", "way_out", "decontamination"), YesNoUnknown.YES)
"""The district's technicians bring a back-up crew and decontamination; the ways out are agreed for each site."""

_AUTHORITIES = (
    (ContactRole.WATER_AUTHORITY, "Duty officer", "Corvane Water Authority", "555-0113"),
    (ContactRole.ENVIRONMENT_AGENCY, "Incident line", "Regional Environment Agency", "555-0112"),
    (ContactRole.SEWER_OPERATOR, "Duty controller", "Corvane Sewers", "555-0110"),
    (ContactRole.TREATMENT_WORKS, "Shift desk", "Corvane Treatment Works", "555-0111"),
)


def add_authorities(site: Recorder, walk: Origin) -> None:
    """Write down the authorities, who answer day and night."""
    for role, name, organisation, phone in _AUTHORITIES:
        site.add(
            "contacts",
            name,
            origin=walk.says(Source.DOCUMENT),
            role=role,
            organisation=organisation,
            phone=phone,
            availability=Availability.DAY_AND_NIGHT,
        )


def add_apparatus_kit(site: Recorder, walk: Origin) -> None:
    """Write down the kit of the first engine and of the technicians' unit."""
    for place, kind, name, material, quantity, capacity_l in _CARRIED:
        salvage = kind is KitKind.SALVAGE_DRUM
        site.add(
            "kit_items",
            name,
            origin=walk.says(Source.DOCUMENT),
            place=place,
            kind=kind,
            material=material,
            quantity=quantity,
            capacity_l=capacity_l,
            vented=YesNoUnknown.NO if salvage else YesNoUnknown.UNKNOWN,
            where=f"On the {place.value}.",
        )
