"""Floor 1: what the shop knows and does, kept in one database with one history."""
