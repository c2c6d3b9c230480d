"""Pages of the measurements room: the reading sheet, gauges, what readings come to, inspections."""
