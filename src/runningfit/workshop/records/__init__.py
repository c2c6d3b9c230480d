"""Jobs and engines, and the record of who changed what, when and why."""
