"""Pages of jobs, engines, the shop and the history."""
