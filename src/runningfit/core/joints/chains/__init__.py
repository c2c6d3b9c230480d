"""Chains of dimensions: a gap that is the sum of named contributors, at its worst, usually, and by draws."""
