"""What an entry rests on: a back-up crew, a way out, decontamination."""

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None

ARRANGED = ("backup_crew", "way_out", "decontamination")


def upgrade() -> None:
    """Bring the database to this revision; of the sites it holds nobody recorded any of it."""
    with op.batch_alter_table("site") as batch:
        for name in ARRANGED:
            batch.add_column(sa.Column(name, sa.String(60), nullable=False, server_default="unknown"))
    with op.batch_alter_table("site") as batch:
        for name in ARRANGED:
            batch.alter_column(name, server_default=None)


def downgrade() -> None:
    """Take the database back to the revision before."""
    with op.batch_alter_table("site") as batch:
        for name in ARRANGED:
            batch.drop_column(name)
