"""Treatments as this shop knows them: compared for a lot, with what they cost and how long they took."""
