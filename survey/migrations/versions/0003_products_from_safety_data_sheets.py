"""Products entered by hand from safety data sheets, and the drums that name one."""

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None

NAME = sa.String(200)
WORD = sa.String(60)
JSON = sa.JSON(none_as_null=True)
NUMBERS = (
    "density",
    "viscosity",
    "vapour_pressure",
    "flash_point",
    "boiling_point",
    "lower_flammable",
    "upper_flammable",
    "molar_mass",
)


def upgrade() -> None:
    """Bring the database to this revision."""
    op.create_table(
        "sheet_product",
        sa.Column("id", sa.Uuid(), primary_key=True, nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("recorded_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("recorded_by", NAME, nullable=False),
        sa.Column("source", WORD, nullable=False),
        sa.Column("note", sa.String(4000), nullable=False),
        sa.Column("site_id", sa.Uuid(), sa.ForeignKey("site.id", ondelete="CASCADE"), index=True, nullable=False),
        sa.Column("name", NAME, nullable=False),
        sa.Column("supplier", NAME, nullable=False),
        sa.Column("revision_date", sa.Date(), nullable=True),
        sa.Column("entered_from", NAME, nullable=False),
        sa.Column("un_number", sa.String(10), nullable=True),
        sa.Column("cas_numbers", JSON, nullable=False),
        sa.Column("hazard_class", sa.String(10), nullable=True),
        sa.Column("subsidiary", JSON, nullable=False),
        sa.Column("packing_group", WORD, nullable=True),
        sa.Column("form", WORD, nullable=False),
        *(sa.Column(name, JSON, nullable=True) for name in NUMBERS),
        sa.Column("answers", JSON, nullable=False),
        sa.Column("reaction_groups", JSON, nullable=False),
    )
    named = sa.ForeignKey("sheet_product.id", name="fk_drum_sheet_product_id", ondelete="SET NULL")
    with op.batch_alter_table("drum") as batch:
        batch.add_column(sa.Column("sheet_product_id", sa.Uuid(), named, nullable=True))
        batch.create_index("ix_drum_sheet_product_id", ["sheet_product_id"])


def downgrade() -> None:
    """Take the database back to the revision before."""
    with op.batch_alter_table("drum") as batch:
        batch.drop_index("ix_drum_sheet_product_id")
        batch.drop_constraint("fk_drum_sheet_product_id", type_="foreignkey")
        batch.drop_column("sheet_product_id")
    op.drop_table("sheet_product")
