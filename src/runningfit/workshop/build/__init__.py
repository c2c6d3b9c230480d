"""Kits for each area, and whether it can be built now."""
