"""Pieces that must fit each other: bolts and threads, press fits, chains of dimensions, what goes with what.

From strength to judgement: `grades` and `tapped_materials` say how strong the pieces are, `stress_area` and
`thread_shear` what carries the load, `engagement` which part fails first; `tightening`, `friction` and
`spread` turn a torque into a preload with its scatter, `bolted` and `retorque` judge it.
`limits_and_fits` say what a fit means, `press_fits` what it presses and holds, `chains` what a gap made of
many dimensions comes to, `matching` which pieces go together best.
"""
