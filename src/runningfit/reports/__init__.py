"""Floor 2: papers and files that leave the shop; one module a paper."""
