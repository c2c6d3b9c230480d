"""Areas and places, lots and bags, the count ledger, findings, tally sheets and bench lists."""
