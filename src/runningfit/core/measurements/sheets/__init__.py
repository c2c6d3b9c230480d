"""Reading sheets: what is measured on an engine, at which points, and what a typed reading means."""
