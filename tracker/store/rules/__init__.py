"""What the rulebook left in the database: findings, and the instructor's approvals."""
