"""Pages of building: kits, and whether an area can be built now."""
