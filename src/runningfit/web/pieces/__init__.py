"""Pages of lots, bags, areas, places, findings, tally sheets and bench lists."""
