"""${message}

Say here why. Only ``op`` and ``sa``; tables are declared again, never imported. A rebuilt table
loses its triggers: make them again. End by setting ``user_version`` to this revision's number.
"""

import sqlalchemy as sa
from alembic import op
${imports if imports else ""}
revision = ${repr(up_revision)}
down_revision = ${repr(down_revision)}
branch_labels = ${repr(branch_labels)}
depends_on = ${repr(depends_on)}


def upgrade() -> None:
    ${upgrades if upgrades else "pass"}


def downgrade() -> None:
    raise NotImplementedError("migrations go forward only: restore the backup instead")
