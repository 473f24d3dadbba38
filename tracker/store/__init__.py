"""Where a studio's pieces are kept: SQLAlchemy, seen from nowhere else."""
