"""The first shape of the record.

Written from what Alembic proposed; `alembic check` in the tests holds it to the tables. The types are plain ones, so
that this file means the same whatever the code becomes: the words that a column may hold live in the code alone.
"""

from typing import Any

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None

NAME = sa.String(200)
TEXT = sa.String(4000)
WORD = sa.String(60)
JSON = sa.JSON(none_as_null=True)
REAL = sa.Float()
WHOLE = sa.Integer()
YES_OR_NO = sa.Boolean()
DATE = sa.Date()
TIME = sa.DateTime(timezone=True)

Column = sa.Column[Any]


def upgrade() -> None:
    """Bring the database to this revision."""
    _create_changes()
    _create_site()
    _create_floor()
    _create_contents()
    _create_stock()


def downgrade() -> None:
    """Take the database back to the revision before: nothing."""
    for table in (
        "photo",
        "drum",
        "reading",
        "pallet",
        "storage_zone",
        "water_ingress",
        "heat_source",
        "rack",
        "level",
        "pipe",
        "drain",
        "sump",
        "bund",
        "door",
        "wall",
        "outdoor_surface",
        "floor",
        "walkthrough",
        "kit_item",
        "impairment",
        "protection_system",
        "water_supply",
        "utility",
        "access_point",
        "contact",
        "site",
        "change",
    ):
        op.drop_table(table)


def _always(kind: sa.types.TypeEngine[Any], *names: str) -> list[Column]:
    return [sa.Column(name, kind, nullable=False) for name in names]


def _maybe(kind: sa.types.TypeEngine[Any], *names: str) -> list[Column]:
    return [sa.Column(name, kind, nullable=True) for name in names]


def _owner(name: str, table: str) -> Column:
    return sa.Column(name, sa.Uuid(), sa.ForeignKey(f"{table}.id", ondelete="CASCADE"), index=True, nullable=False)


def _names(name: str, table: str, *, ondelete: str) -> Column:
    return sa.Column(name, sa.Uuid(), sa.ForeignKey(f"{table}.id", ondelete=ondelete), index=True, nullable=True)


def _entry(parent: str | None = None) -> list[Column]:
    """Give the columns of every entry, and the one that names its owner."""
    return [
        sa.Column("id", sa.Uuid(), primary_key=True, nullable=False),
        *_always(WHOLE, "revision"),
        *_always(TIME, "recorded_at"),
        *_always(NAME, "recorded_by"),
        *_always(WORD, "source"),
        *_always(TEXT, "note"),
        *([] if parent is None else [_owner(f"{parent}_id", parent)]),
    ]


def _create_changes() -> None:
    op.create_table(
        "change",
        sa.Column("number", WHOLE, primary_key=True, nullable=False),
        sa.Column("received_at", TIME, server_default=sa.func.current_timestamp(), nullable=False),
        *_always(NAME, "device", "by"),
        *_always(WHOLE, "device_seq", "base_revision"),
        *_always(WORD, "noun", "kind"),
        sa.Column("site_id", sa.Uuid(), index=True, nullable=False),
        sa.Column("entry_id", sa.Uuid(), index=True, nullable=False),
        *_maybe(JSON, "before", "after"),
        sa.UniqueConstraint("device", "device_seq", "noun", "entry_id"),
    )


def _create_site() -> None:
    """Create the site and what belongs to it as a whole."""
    op.create_table(
        "site",
        *_entry(),
        *_always(NAME, "name", "operator", "address"),
        *_always(JSON, "former_names", "shifts", "side_labels"),
        *_maybe(
            REAL, "latitude_deg", "longitude_deg", "eaves_height_m", "travel_first_engine_min", "travel_technicians_min"
        ),
        *_maybe(DATE, "tenancy_since", "previous_record_on"),
        *_always(TEXT, "present_use", "previous_record", "hours_staffed", "construction", "roof"),
        *_always(WORD, "asbestos", "power"),
    )
    op.create_table(
        "contact",
        *_entry("site"),
        *_always(WORD, "role", "availability"),
        *_always(NAME, "name", "organisation", "phone"),
        *_always(JSON, "storage_zones"),
    )
    op.create_table(
        "access_point",
        *_entry("site"),
        *_always(WORD, "kind"),
        *_always(NAME, "name"),
        *_always(TEXT, "where"),
        *_always(sa.String(1), "side"),
        *_maybe(REAL, "width_m", "height_m"),
    )
    op.create_table(
        "utility",
        *_entry("site"),
        *_always(WORD, "kind", "outside"),
        *_always(TEXT, "shut_off", "operated_by"),
    )
    op.create_table(
        "water_supply",
        *_entry("site"),
        *_always(WORD, "kind"),
        *_always(NAME, "name"),
        *_maybe(REAL, "distance_m", "flow_l_min"),
    )
    op.create_table(
        "protection_system",
        *_entry("site"),
        *_always(WORD, "kind", "valve"),
        *_always(TEXT, "where", "valve_where"),
        *_maybe(sa.String(None), "covers_floor"),
        *_always(JSON, "covers"),
        *_maybe(REAL, "density_mm_min", "design_area_m2"),
    )
    op.create_table(
        "impairment",
        *_entry("site"),
        *_always(TEXT, "what"),
        *_maybe(DATE, "since", "until"),
    )
    op.create_table(
        "kit_item",
        *_entry("site"),
        *_always(WORD, "kind", "place", "vented"),
        *_always(NAME, "name", "beside_pallet"),
        *_always(sa.String(60), "material"),
        *_always(WHOLE, "quantity"),
        *_maybe(REAL, "capacity_l"),
        *_always(TEXT, "where"),
    )
    op.create_table(
        "walkthrough",
        *_entry("site"),
        *_always(DATE, "on"),
        *_always(JSON, "inspectors"),
        *_always(WORD, "outcome"),
        *_maybe(REAL, "minutes"),
        *_always(TEXT, "seen"),
    )


def _create_floor() -> None:
    """Create floors and what bounds them or lets liquid out."""
    op.create_table(
        "floor",
        *_entry("site"),
        *_always(NAME, "name"),
        *_always(JSON, "outline"),
        *_always(WORD, "finish", "levelness", "perimeter_tight"),
        *_always(sa.String(60), "drawing_scale"),
        *_always(REAL, "north_deg"),
    )
    op.create_table(
        "outdoor_surface",
        *_entry("floor"),
        *_always(NAME, "name"),
        *_always(JSON, "outline"),
        *_always(WORD, "finish"),
    )
    op.create_table(
        "wall",
        *_entry("floor"),
        *_always(NAME, "name"),
        *_always(JSON, "line"),
        *_always(WORD, "tight_at_floor", "meets_partition_rule"),
        *_maybe(REAL, "height_m"),
        *_maybe(WHOLE, "fire_rating_min"),
    )
    op.create_table(
        "door",
        *_entry("floor"),
        *_always(NAME, "name"),
        *_always(WORD, "kind", "normally", "tight_at_floor"),
        *_always(JSON, "line"),
        *_maybe(REAL, "sill_mm"),
        *_always(TEXT, "blocked"),
        *_always(YES_OR_NO, "main_entrance"),
    )
    op.create_table(
        "bund",
        *_entry("floor"),
        *_always(NAME, "name"),
        *_always(JSON, "outline"),
        *_always(REAL, "height_mm"),
        *_maybe(REAL, "low_point_mm"),
        *_maybe(JSON, "low_point_at"),
        *_always(WORD, "tight_at_floor"),
    )
    op.create_table(
        "sump",
        *_entry("floor"),
        *_always(NAME, "name"),
        *_always(JSON, "at"),
        *_maybe(REAL, "volume_l"),
    )
    op.create_table(
        "drain",
        *_entry("floor"),
        *_always(NAME, "name"),
        *_always(WORD, "kind", "sighting", "joins", "proof", "valve"),
        *_always(JSON, "line", "other_claims"),
        *_maybe(WORD, "position_source", "then"),
        *_maybe(REAL, "tolerance_m", "outfall_distance_m", "free_volume_l"),
        *_always(TEXT, "outfall", "valve_where", "valve_key_holder"),
    )
    op.create_table(
        "pipe",
        *_entry("floor"),
        *_always(NAME, "name"),
        *_always(WORD, "valve"),
        *_always(TEXT, "valve_where"),
        *_always(YES_OR_NO, "plugged_and_proven"),
        _owner("from_sump_id", "sump"),
        _names("to_sump_id", "sump", ondelete="CASCADE"),
        _names("to_drain_id", "drain", ondelete="CASCADE"),
    )
    op.create_table(
        "level",
        *_entry("floor"),
        *_always(JSON, "at"),
        *_always(REAL, "level_mm"),
    )


def _create_contents() -> None:
    """Create what lies on a floor apart from stock."""
    op.create_table(
        "rack",
        *_entry("floor"),
        *_always(NAME, "name"),
        *_always(JSON, "outline", "beam_heights_m"),
    )
    op.create_table(
        "heat_source",
        *_entry("floor"),
        *_always(NAME, "name"),
        *_always(WORD, "kind"),
        *_always(JSON, "at"),
        *_maybe(REAL, "height_m"),
        *_always(TEXT, "shut_off"),
    )
    op.create_table(
        "water_ingress",
        *_entry("floor"),
        *_always(NAME, "name"),
        *_always(JSON, "line"),
    )
    op.create_table(
        "storage_zone",
        *_entry("floor"),
        *_always(NAME, "name", "title", "tenant"),
        *_always(JSON, "outline"),
    )


def _create_stock() -> None:
    """Create pallets, readings, drums and the pictures of them."""
    op.create_table(
        "pallet",
        *_entry("floor"),
        *_always(NAME, "name"),
        *_always(WORD, "kind", "position_source", "sighting", "stable"),
        *_always(JSON, "at"),
        *_always(REAL, "turn_deg", "width_m", "depth_m", "base_height_m"),
        *_always(WHOLE, "stack_level"),
        *_maybe(REAL, "tolerance_m"),
        _names("stands_on_id", "pallet", ondelete="SET NULL"),
    )
    op.create_table(
        "reading",
        *_entry("pallet"),
        *_always(NAME, "author", "settled_by"),
        *_always(TIME, "taken_at"),
        *_always(WORD, "inclusion"),
        _names("replaces_id", "reading", ondelete="SET NULL"),
    )
    op.create_table(
        "drum",
        *_entry("reading"),
        *_always(NAME, "name"),
        *_maybe(sa.String(80), "product"),
        *_always(sa.String(400), "product_text"),
        *_maybe(sa.String(10), "un_number"),
        *_maybe(sa.String(20), "cas_number", "container_code"),
        *_maybe(REAL, "concentration_pct", "fill_pct", "net_mass_kg"),
        *_always(YES_OR_NO, "stainless", "signs_checked"),
        *_always(REAL, "capacity_l"),
        *_always(WORD, "orientation", "closure", "sighting", "label"),
        *_maybe(JSON, "offset"),
        *_always(WHOLE, "tier"),
        *_always(JSON, "identity_sources", "signs", "breaches"),
        *_maybe(DATE, "inhibitor_until", "dated"),
    )
    op.create_table(
        "photo",
        *_entry("site"),
        *_always(sa.String(None), "sha256", "media_type"),
        *_always(sa.String(40), "taken_at"),
        *_always(TEXT, "shows"),
        _names("pallet_id", "pallet", ondelete="SET NULL"),
        _names("drum_id", "drum", ondelete="SET NULL"),
    )
