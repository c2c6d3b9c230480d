"""The page docs/cli.md, made from the commands themselves: what each does, its options, what it answers."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import click

from runningfit.cli.entry import COMMANDS, main

HEAD = """# The command `runningfit`

Made from the commands by `scripts/generate.py`; change their help, not this page.

`runningfit` alone serves the shop's own data folder, as `runningfit serve` does. From a clone, the command is
`.venv/bin/runningfit` once `./start` has run. What goes wrong is one line on standard error, with exit status
2; what was done is on standard output. The settings that come from the environment are at the end.
"""

ANSWERS = {
    "backup": '{"file": PATH, "rows": {TABLE: COUNT, …}, "files": COUNT}',
    "export": '{"file": PATH, "rows": {TABLE: COUNT, …}, "files": COUNT}',
    "import": '{"file": PATH, "rows": {TABLE: COUNT, …}, "files": COUNT}',
    "restore": '{"file": PATH, "rows": {TABLE: COUNT, …}, "files": COUNT, "set_aside": PATH or null}',
    "passcode": '{"passcode": "set"}',
    "photo mat": ('{"file": PATH, "design": PATH or null, "mat": "A4_violet", "rulers_mm": [200.0, 120.0]}'),
    "photo check": (
        '{"print_scale": 0.985, "print_scale_told": true or false, "mat": "A4_violet",\n'
        ' "gsd_mm_per_px": 0.12, "residual_px": 0.08, "residual_mm": 0.01, "blur_mm": 0.12,\n'
        ' "markers": {"found": 22, "of": 22},\n'
        ' "paper_scale": {"across": 1.0003, "down": 1.0004} or null where its edges cannot be seen,\n'
        ' "could_not": null or {"fault": "no_mat", "reason": TEXT, "remedy": TEXT},\n'
        ' "cautions": [TEXT, …], "seconds": 0.4}\n'
        "where it could not be measured, the keys from mat to paper_scale are null"
    ),
    "photo measure": (
        '{"print_scale": 0.985, "gsd_mm_per_px": 0.12, "width_px": 4000, "height_px": 3000,\n'
        ' "items": [{"number": 1, "kind": "hex_bolt", "kinds": {"hex_bolt": 0.97, …}, "mat_xy_mm": [X, Y],\n'
        '            "length_mm": 25.4, "u_length_mm": 0.2, "under_head_length_mm": 25.4,\n'
        '            "major_mm": 9.4, "u_major_mm": …, "pitch_mm": 1.5875, "u_pitch_mm": …,\n'
        '            "head_across_flats_mm": …, "outside_diameter_mm": …, "inside_diameter_mm": …,\n'
        '            "thickness_mm": …, "width_mm": …, each with its u_ and null where it is not known,\n'
        '            "threads": [{"designation": "3/8-16 UNC", "probability": 0.9}, …],\n'
        '            "finish_look": {"yellow": 0.8, …},\n'
        '            "outline_px": [[X, Y], …], "outline_mm": [[X, Y], …],\n'
        '            "could_not": null or {"fault": "pieces_touch", "reason": TEXT, "remedy": TEXT},\n'
        '            "ask": TEXT}, …],\n'
        ' "could_not": null or {"fault": "no_mat", "reason": TEXT, "remedy": TEXT},\n'
        ' "cautions": [TEXT, …], "steps_s": {STEP: 0.4, …}, "seconds": 3.1}\n'
        "u_ is a standard uncertainty; kinds, threads and looks have probabilities, of threads coming to\n"
        "less than 1 where others are possible; mat_xy_mm and outline_mm are in millimetres of the mat as\n"
        "designed, x right and y down from the paper's upper left corner"
    ),
    "photo compare": (
        '{"before": 20, "after": 19, "summary": TEXT, "probability_complete": 0.01,\n'
        ' "scale_ratio": 1.001 or null,\n'
        ' "groups": [{"number": 1, "name": "hex bolt 3/8-16 UNC, 25.4 mm", "kind": "hex_bolt" or null,\n'
        '             "threads": [{"designation": …, "probability": …}, …], "length_mm": 25.4,\n'
        '             "u_length_mm": 0.1, "before": [ITEM, …], "after": [ITEM, …]}, …],\n'
        ' "missing": [{"group": 1, "count": 1, "probability": 0.98, "sentence": TEXT}, …],\n'
        ' "added": [as missing, …],\n'
        ' "swapped": [{"gone": 2, "came": 3, "count": 1, "differs": ["thread", "length" or "size"],\n'
        '              "probability": 0.9, "sentence": TEXT}, …],\n'
        ' "cannot_tell": [{"groups": [4, 5], "probability": 0.3 or null, "sentence": TEXT,\n'
        '                  "remedy": TEXT}, …],\n'
        ' "could_not": null or {"photo": PATH, "fault": …, "reason": TEXT, "remedy": TEXT},\n'
        ' "cautions": [TEXT, …], "seconds": 0.9}\n'
        "where a photo could not be measured, the keys from before to cannot_tell are null"
    ),
    "photo score": (
        '{"photos": [{"image": "s1.jpg", "pieces": 26, "outlines": 27, "missed": [ID, …],\n'
        '             "extra": [ITEM, …], "split": [ID, …], "merged": [ITEM, …], "exact": false,\n'
        '             "refused": FAULT or null}, …],\n'
        ' "exact_count": {"right": 5, "of": 7, "share": 0.71},\n'
        ' "all": {"pieces": 195, "found": {"right": …, "of": …, "share": …}, "measured": …, "kind": …,\n'
        '         "pitch": …, "thread": …, "thread_or_twin": …, "nut_thread_or_twin": …,\n'
        '         "thread_among_three": …, "look": …, "length_covered": …, "diameter_covered": …,\n'
        '         "length": {"count": …, "of": …, "median_mm": 0.2, "p95_mm": 1.1, "bias_mm": 0.05},\n'
        '         "major": …, "nominal_major": …, "head_across_flats": …, "outside": …, "inside": …,\n'
        '         "thickness": …},\n'
        ' "by_kind": {KIND: as all, …}, "by_finish": {FINISH: as all, …},\n'
        ' "thread_reliability": [{"from": 0.9, "to": 1.0, "mean_probability": 0.97, "right": …, "of": …,\n'
        '                         "share": …}, …],\n'
        ' "thread_or_twin_reliability": [as before, …]}\n'
        "docs/scoring-photos.md says how each is counted"
    ),
    "thread show": (
        '{"designation": "1/4-20 UNC", "pitch_mm": 1.27, "major_mm": 6.35, "pitch_diameter_mm": 5.5245,\n'
        ' "minor_mm": 4.97586, "stress_area_mm2": 20.5296,\n'
        ' "external": {"class": "2A", "major_max_mm": …, "major_min_mm": …,\n'
        '              "pitch_diameter_max_mm": …, "pitch_diameter_min_mm": …} or null,\n'
        ' "internal": {"class": "2B", "minor_min_mm": …, "minor_max_mm": …,\n'
        '              "pitch_diameter_min_mm": …, "pitch_diameter_max_mm": …} or null,\n'
        ' "source": TEXT, "reasons": {KEY: WHY_IT_IS_NULL, …} where something is null}'
    ),
    "thread identify": (
        '{"candidates": [{"designation": "5/16-24 UNF", "probability": 0.996, "major_mm": 7.9375,\n'
        '                 "pitch_mm": 1.0583}, …],\n'
        ' "none_of_these": 0.003, "tell_apart": WHAT_TO_MEASURE_NEXT, "prior": WHAT_WAS_HELD_LIKELY,\n'
        ' "twins": [[DESIGNATION, …], …], "next": [{"measure": …, "bits": …, "look_for": …}, …],\n'
        ' "reasons": [TEXT, …]}\n'
        "or with --batch, in the order of the file:\n"
        '{"results": [{"candidates": […], "none_of_these": …} or {"candidates": [], "problem": "row 7: …"}, '
        "…]}"
    ),
    "joint bolted": (
        '{"preload_n": {"low": 15687.0, "mean": 19855.5, "high": 24024.2}, "nut_factor": 0.21507,\n'
        ' "proof_load_n": 29298.7, "yield_utilisation": {"mean": 0.747, "high": 0.904},\n'
        ' "probability_yield": 0.004, "verdict": "sound", "not_sound" or "not_proven",\n'
        ' "reasons": [TEXT, …], "cautions": [TEXT, …]}\n'
        "low and high are the 5th and 95th percentile"
    ),
    "joint torque-for": (
        '{"torque_nm": {"mean": 401.2, "low": 369.0, "high": 439.6} or null where none is safe,\n'
        ' "preload_ratio_if_unchanged": null, "reasons": [TEXT, …], "cautions": [TEXT, …]}'
    ),
    "joint retorque": (
        '{"torque_nm": {"mean": 27.6, "low": …, "high": …} or null where none is safe,\n'
        ' "preload_ratio_if_unchanged": {"low": …, "median": 1.54, "high": …},\n'
        ' "reasons": [TEXT, …], "cautions": [TEXT, …]}'
    ),
    "joint engagement": (
        '{"stress_area_mm2": 20.5296, "shear_area_internal_mm2_per_mm": 13.69,\n'
        ' "shear_area_external_mm2_per_mm": 9.3461, "length_needed_mm": 10.7841,\n'
        ' "bolt_breaks_first": true, false, or null without a length}'
    ),
    "measure ratio": (
        '{"ratio": 9.8, "u": 0.03, "low": 9.74, "high": 9.86, "swept_ml": 445.7, "above_ml": 50.7,\n'
        ' "contributions": {"chamber": 0.02, …}, "after": {"ratio": …, "u": …, …} or null,\n'
        ' "for_wanted": {"ratio": …, "remove_ml": …, "head_skim_mm": …, "deck_skim_mm": …,\n'
        '                "gasket_mm": … or null, "piston_clearance_mm": …} or null,\n'
        ' "verdict": "sound", "not_sound", "not_proven" or null, "probability": … or null,\n'
        ' "reasons": [TEXT, …], "cautions": [TEXT, …]}\n'
        "low and high hold 19 of 20; what comes below nothing is to be added, not taken off"
    ),
    "measure timing": (
        '{"top_deg": {"value": 0.0, "u": 0.35}, "at": TEXT,\n'
        ' "events": {"IVO": {"angle_deg": 12.0, "u_deg": 0.6, "from": "before top dead centre",\n'
        '                    "verdict": … or null}, …},\n'
        ' "inlet_open_deg": {"value": 244.0, "u": 0.7} or null, "exhaust_open_deg": …, "overlap_deg": …,\n'
        ' "inlet_centre_deg": …, "exhaust_centre_deg": …, "lobe_separation_deg": …,\n'
        ' "reasons": [TEXT, …], "cautions": [TEXT, …]}'
    ),
    "measure bore": (
        '{"bores": [{"bore": "1", "taper_mm": 0.03, "out_of_round_mm": 0.02, "max_mm": 79.432,\n'
        '            "min_mm": 79.38, "verdict": "sound", "not_sound" or "not_proven",\n'
        '            "probability_within": 0.0, "barrel_mm": …,\n'
        '            "worst": {"depth_mm": 10.0, "angle_deg": 90.0}, "to_prove": TEXT or null}, …],\n'
        ' "oversizes": [{"oversize_mm": 0.5, "probability_cleans_up": 0.98, "per_bore": {"1": 0.99, …},\n'
        '                "low": 0.61, "high": 1.0, "per_bore_range": {"1": [0.7, 1.0], …},\n'
        '                "forbidden": WHY or null}, …],\n'
        ' "recommended_mm": 0.5 or null, "reasons": [TEXT, …], "cautions": [TEXT, …],\n'
        ' "cannot_tell": {"reason": TEXT, "remedy": TEXT} where no oversize is sure enough,\n'
        ' "close_range": THE_READING_THAT_WOULD_BRING_LOW_AND_HIGH_TOGETHER, where one would}\n'
        "low and high are the ends of what two-point readings cannot see; null where nothing needs machining"
    ),
    "measure circle": (
        '{"method": "mzc", "centre_x_mm": 0.0012, "centre_y_mm": -0.0034, "radius_mm": 39.6912,\n'
        ' "diameter_mm": 79.3824, "out_of_round_mm": 0.0121, "points": 24, "contacts": [2, 9, 15, 22]}\n'
        "contacts are the points, counted from 1, that hold the circle"
    ),
    "measure cylinder": (
        '{"method": "mic", "radius_mm": 39.6912, "diameter_mm": 79.3824, "cylindricity_mm": 0.0121,\n'
        ' "on_axis_mm": [X, Y, Z], "along": [0.0, 0.0, 1.0], "points": 40, "contacts": [2, 9, 15, 22, 31]}\n'
        "contacts are the points, counted from 1, that hold the cylinder or the zone"
    ),
    "measure two-point": (
        '{"parts": [{"name": "1", "max_mm": 79.412, "min_mm": 79.381, "out_of_round_mm": …, "taper_mm": …,\n'
        '            "barrel_mm": … or null, "scatter_mm": …,\n'
        '            "sections": [{"depth_mm": 10.0, "mean_mm": …, "out_of_round_mm": …,\n'
        '                          "longest_deg": … or null}, …],\n'
        '            "cautions": [TEXT, …]}, …]}'
    ),
    "measure vee-block": (
        '{"total_mm": 0.12, "bow_mm": 0.059, "u_bow_mm": 0.001, "towards_deg": 135.0, "rest_mm": 0.004,\n'
        ' "cautions": [TEXT, …]}'
    ),
    "measure spring": (
        '{"rate_n_per_mm": 12.0, "u_rate_n_per_mm": …, "free_length_mm": 52.0,\n'
        ' "load_n": 168.0, "u_load_n": …,\n'
        ' "decision": "inside", "outside", "not_proven" or null without --limits,\n'
        ' "probability_conforms": 0.97 or null, "cautions": [TEXT, …]}'
    ),
    "measure volume": (
        '{"volume_ml": 42.3, "u_ml": 0.06, "k": 1.96, "U_ml": 0.12,\n'
        ' "contributions_ml": {"poured": 0.05, …}, "cautions": [TEXT, …]}'
    ),
    "measure flatness": (
        '{"flatness_mm": 0.041, "minimum_zone_mm": 0.041, "least_squares_mm": 0.046, "points": 40,\n'
        ' "highest": [7], "lowest": [1, 18, 33]}\n'
        "flatness_mm is the minimum zone"
    ),
    "measure uncertainty": (
        '{"value": 50000838.0, "u": 31.7, "dof": 16.7 or null where it is without end, "k": 2.92,\n'
        ' "U": 92.6, "second_order_u": 33.8 or null where inputs are correlated}\n'
        "and with --monte-carlo as well:\n"
        '{"monte_carlo": {"value": …, "u": …, "symmetric": [LOW, HIGH], "shortest": [LOW, HIGH],\n'
        '                 "trials": COUNT, "settled": true, "agrees": true or false}}'
    ),
    "measure conformity": (
        '{"probability_conforms": 0.919, "decision": "inside", "outside" or "not_proven"}'
    ),
    "joint fit": (
        '{"hole_upper_um": 21, "hole_lower_um": 0, "shaft_upper_um": -7, "shaft_lower_um": -20,\n'
        ' "clearance_min_um": 7, "clearance_max_um": 41,\n'
        ' "kind": "clearance", "transition" or "interference", "nominal_mm": 25.0, "reasons": [TEXT, …]}\n'
        "an interference is a clearance below nothing"
    ),
    "joint clearance": (
        '{"cold": {"clearance_mm": 0.073, "low_mm": 0.063, "high_mm": 0.083, "u_mm": 0.005},\n'
        ' "hot": {"clearance_mm": …, "low_mm": …, "high_mm": …, "u_mm": …, "probability_free": …} or null,\n'
        ' "as_measured_mm": 0.073, "probability_within": 0.98 or null,\n'
        ' "limits": {"lower_mm": 0.05, "upper_mm": 0.1, "for": "new" or "wear", "sanity_band": false,\n'
        '            "source": TEXT} or null,\n'
        ' "verdict": "sound", "not_sound" or "not_proven", "probability": 0.98 or null,\n'
        ' "reasons": [TEXT, …], "cautions": [TEXT, …]}\n'
        "low and high hold 19 of 20; a clearance below nothing is an interference"
    ),
    "joint press": (
        '{"pressure_mpa": 58.2187, "hoop_stress_inner_mpa": -58.2187,\n'
        ' "hoop_stress_inner_bore_mpa": -58.2187, "hoop_stress_outer_mpa": 97.03, "von_mises_outer_mpa": …,\n'
        ' "push_out_n": 35116.7, "holding_torque_nm": 702.334, both null without --mu,\n'
        ' "assembly_delta_t_k": 65.2174, "assembly_cooling_k": 65.2174, "temperature_c": 20.0,\n'
        ' "interference_mm": 0.03, "pressure_at_20_c_mpa": 58.2187,\n'
        ' "least": {"interference_mm": …, "pressure_mpa": …, "hoop_stress_outer_mpa": …, "push_out_n": …,\n'
        '           "holding_torque_nm": …}, "most": {…},\n'
        ' "verdict": "sound", "not_sound" or "not_proven", "reasons": [TEXT, …], "cautions": [TEXT, …]}\n'
        "pressure, stresses and grip are those at the temperature told; the outer part warmer by\n"
        "assembly_delta_t_k, or the inner colder by assembly_cooling_k, leaves the --clearance told, or none"
    ),
    "joint plug": (
        '{"clearance_mm": 0.0254, "verdict": "sound", "not_sound" or "not_proven", "reasons": [TEXT, …],\n'
        ' "cautions": [TEXT, …]}'
    ),
    "joint chain": (
        '{"name": TEXT, "mean_mm": 0.15, "worst_case": {"low_mm": …, "high_mm": …},\n'
        ' "rss": {"low_mm": …, "high_mm": …, "sigma_mm": …, "probability_within": …},\n'
        ' "monte_carlo": {"draws": 1000000, "mean_mm": …, "sigma_mm": …, "low_mm": …, "high_mm": …,\n'
        '                 "probability_within": …, "u_probability": …},\n'
        ' "limits": {"lower_mm": …, "upper_mm": …},\n'
        ' "shim": {"name": TEXT, "exact_mm": 4.975, "chosen_mm": 5.0, "gap_mm": 0.15} or null,\n'
        ' "sensitivity": [{"name": TEXT, "factor": -1.0, "worst_mm": …, "sigma_mm": …,\n'
        '                  "share_of_variance": 0.84}, …], "cautions": [TEXT, …]}\n'
        "rss is three standard deviations either way, monte_carlo the middle 95 %; all with the shim chosen"
    ),
    "joint match": (
        '{"pairs": [["1", "B"], ["2", "A"], …], "total": 5.0, "largest": 2.0,\n'
        ' "second_best_total": 6.0, "second_best_largest": 4.0,\n'
        ' "second_best_pairs": [[…], …]; null, null and [] where no other pairing is possible,\n'
        ' "probability_best": 0.9 with --u, else null, "proven": true}'
    ),
    "joint shims": (
        '{"assignments": [{"valve": "1", "shim_mm": 2.45, "from": "stays", "another valve", "drawer" or\n'
        '                  "bought", "of_valve": "4" or null, "clearance_mm": 0.15,\n'
        '                  "probability_within": 0.97 with --u, else null}, …],\n'
        ' "buy": [{"shim_mm": 2.65, "count": 1}, …], "impossible": [VALVE, …], "proven": true,\n'
        ' "reasons": [TEXT, …], "cautions": [TEXT, …]}'
    ),
    "joint weights": (
        '{"pairs": [{"pair": ["rod 1", "piston 3"], "weight_g": 1204.5, "take_off_g": [1.5, 0.0]}, …],\n'
        ' "target_g": 1203.0, "removed_g": 1.5, "spread_before_g": 1.5, "proven": true}\n'
        "no pairs and nulls where no pairing can be brought within the tolerance"
    ),
    "treatment plate": (
        '{"pitch_diameter_growth_mm": 0.02, "max_thickness_um": 6.985, "probability_go": 1.0,\n'
        ' "after": {"class": "2A", "pitch_diameter_mm": {"low": …, "mean": …, "high": …}, "major_mm": {…},\n'
        '           "growth_mm": {"major": …, "pitch_diameter": …, "minor": …},\n'
        '           "bare_pitch_diameter_mm": {…}, "go_limit_mm": 5.5245, "max_thickness_as_is_um": 8.1597,\n'
        '           "probability_engagement": 1.0, "verdict": "sound", "reasons": […], "cautions": […]}}'
    ),
    "treatment embrittlement": (
        '{"risk": "below_threshold", "bake" or "avoid",\n'
        ' "bake": {"temperature_c": [190, 220], "hours": 14, "within_hours": 4} or null,\n'
        ' "by_standard": [{"standard": "ISO 4042", "edition": "2018", "threshold": "above 390 HV",\n'
        '                  "says": "bake", "force": "requires", "hours": null, "within_hours": null,\n'
        '                  "note": TEXT, "status": "VERIFIED", "source": TEXT}, …],\n'
        ' "reasons": [TEXT, …], "cautions": [TEXT, …]}'
    ),
    "catalogue read": (
        '{"rows": [{"row": 2, "kind": "hex_bolt", "count": 9,\n'
        '           "defects": [{"count": 2, "what": "pulled threads"}],\n'
        '           "ends": [{"candidates": ["5/16-24 UNF"]}],\n'
        '           "length_mm": 34.925, "length_nominal": "1 3/8 in", "length_basis": "under_head",\n'
        '           "finish_look": "clear", "finish_process": null, "condition": null, "problems": []}, …]}'
    ),
}


def cli_page(settings: Sequence[tuple[str, str, str]]) -> str:
    """Return the page as it should stand in docs/cli.md.

    Parameters
    ----------
    settings : sequence of (str, str, str)
        The settings from the environment: name, what holds otherwise, and what it is for.
    """
    parts = [HEAD]
    group = click.Context(main, info_name="runningfit")
    for name in sorted(COMMANDS):
        command = main.get_command(group, name)
        if command is not None:
            parts.extend(_told(command, name, group))
    parts.append(_environment(settings))
    return "\n".join(parts)


def _told(command: click.Command, name: str, parent: click.Context) -> Iterator[str]:
    context = click.Context(
        command, info_name=name.rpartition(" ")[2], parent=parent, terminal_width=96, max_content_width=96
    )
    if isinstance(command, click.Group):
        for below in command.list_commands(context):
            inner = command.get_command(context, below)
            if inner is not None:
                yield from _told(inner, f"{name} {below}", context)
        return
    yield f"## `runningfit {name}`\n"
    yield f"```text\n{command.get_help(context)}\n```\n"
    if name in ANSWERS:
        yield f"With `--json` it answers:\n\n```text\n{ANSWERS[name]}\n```\n"


def _environment(settings: Sequence[tuple[str, str, str]]) -> str:
    rows = [
        f"| `{name}` | {f'`{default}`' if default else ''} | {told} |" for name, default, told in settings
    ]
    return "\n".join(
        ["## Settings from the environment\n", "| name | otherwise | what |", "|---|---|---|", *rows, ""]
    )
