"""Questions, answers and approvals in the store."""
