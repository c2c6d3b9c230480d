"""Planning: what fits which place, what is missing, what came back, whether an area can be built."""
