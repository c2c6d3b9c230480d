"""Pieces that must fit each other: bolts, the threads they are turned into, and the clamp they give.

From strength to judgement: `grades` and `tapped_materials` say how strong the pieces are, `stress_area` and
`thread_shear` what carries the load, `engagement` which part fails first; `tightening`, `friction` and
`spread` turn a torque into a preload with its scatter, `bolted` and `retorque` judge it.
"""
