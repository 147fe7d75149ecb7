"""Falls to drains: how steeply the floor falls to a drain, and from how far out."""

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None

FALLS = ("fall_pct", "fall_out_m")


def upgrade() -> None:
    """Bring the database to this revision."""
    with op.batch_alter_table("drain") as batch:
        for name in FALLS:
            batch.add_column(sa.Column(name, sa.Float(), nullable=True))


def downgrade() -> None:
    """Take the database back to the revision before."""
    with op.batch_alter_table("drain") as batch:
        for name in FALLS:
            batch.drop_column(name)
