#!/usr/bin/env python3
"""Every metric of a scorecard, from histories of reference.py, with numpy and scipy alone.

Writes `sessions/metrics.json` and `metrics-sensors.json` (one car, its seat off the centre of gravity) and `metrics.json` (what a scorecard must say).
Definitions: the meanings in the program's list of metrics; ISO 2631-1:1997 for the weighted ones. Each is written here a
second time, from histories at 1 kHz: filters by scipy.signal, time integrals by the trapezoidal rule.
"""

import json
import math
import os
import platform

import numpy as np
import scipy
from scipy import signal

import make_fixtures as fixtures
import reference

HERE = os.path.dirname(os.path.abspath(__file__))
TAU = 2 * math.pi
SEAT = {"x": 0.3, "y": 0.36, "z": 0.85}
HEAD_ABOVE_SEAT = 0.6


def sessions():
    document = fixtures.car()
    document["title"] = "Reference: every metric of a scorecard"
    document["vehicle"] = dict(fixtures.VEHICLE, seat_m=SEAT)
    document["modes"] = document["modes"][:2]
    find = lambda name, duration: dict(next(e for e in fixtures.EVENTS if e["name"] == name), duration_s=duration)
    document["events"] = [
        find("lateral step", 4.0), find("lane change", 5.0), find("braking", 3.5), find("high bump", 4.0), find("bump left", 3.0),
        find("two tracks", 2.4), find("dip right", 3.0),
    ]
    sensors = fixtures.sensors()
    sensors["title"] = "Reference: every metric of a scorecard with estimated states"
    sensors["vehicle"] = dict(sensors["vehicle"], seat_m=SEAT)
    sensors["modes"], sensors["events"] = sensors["modes"][:1], [find("bump left", 3.0)]
    return {"metrics": document, "metrics-sensors": sensors}


RUNS = [
    ("metrics", "full", "continuous", "lateral step", None), ("metrics", "full", "continuous", "lane change", None),
    ("metrics", "full", "continuous", "braking", None), ("metrics", "full", "continuous", "high bump", None),
    ("metrics", "full", "continuous", "bump left", None), ("metrics", "full", "continuous", "two tracks", None),
    ("metrics", "full", "on/off", "dip right", None), ("metrics-sensors", "full", "continuous", "bump left", "full"),
]

WEIGHTINGS = {
    "Wk": (0.4, 100, 12.5, 12.5, 0.63, (2.37, 0.91, 3.35, 0.91)),
    "Wd": (0.4, 100, 2.0, 2.0, 0.63, None),
    "Wf": (0.08, 0.63, math.inf, 0.25, 0.86, (0.0625, 0.80, 0.10, 0.80)),
}


def weigh(x, t, name):
    """ISO 2631-1 Annex A: high-pass, low-pass, transition and step, one after the other, from rest."""
    f1, f2, f3, f4, q4, step = WEIGHTINGS[name]
    w1, w2, w3, w4 = (TAU * f for f in (f1, f2, f3, f4))
    factors = [([1, 0, 0], [1, w1 * math.sqrt(2), w1**2]), ([w2**2], [1, w2 * math.sqrt(2), w2**2])]
    factors.append((([w4**2 / w3] if math.isfinite(w3) else []) + [w4**2], [1, w4 / q4, w4**2]))
    if step:
        f5, q5, f6, q6 = step
        w5, w6 = TAU * f5, TAU * f6
        factors.append(([1, w5 / q5, w5**2], [1, w6 / q6, w6**2]))
    for numerator, denominator in factors:
        x = signal.lsim((numerator, denominator), x, t)[1]
    return x


def steady(plant, a_y, a_x):
    """Body coordinates of the linear car at rest under steady accelerations."""
    k, _ = reference.stiffness(plant.arms, plant.alike, plant.axle, plant.pairs)
    k[plant.roll_index, plant.roll_index] -= plant.gravity_roll
    q, w = plant.inputs(a_y, a_x)
    return np.linalg.solve(k, np.array(q + w))[: plant.nb]


def scorecard(run, event):
    r, plant, car = run.kept, run.plant, run.car
    t, names = r["t"], plant.names
    mean = lambda x: np.trapezoid(x, t, axis=0) / (t[-1] - t[0])
    rms = lambda x: np.sqrt(mean(x * x))
    band = lambda x, low, high: float(rms(signal.sosfilt(signal.butter(2, [low, high], "bandpass", fs=1 / run.step, output="sos"), x)))
    corners = lambda values: {name: float(v) for name, v in zip(names, values)}
    heave, roll, pitch = r["q"].T
    heave_rate, roll_rate, pitch_rate = r["qd"].T
    heave_acc, roll_acc, pitch_acc = r["qdd"].T
    (kind, p), = event["kind"].items()
    out = {}

    # Ride.
    described = (run.session["vehicle"]["cg_to_front_axle_m"] - car.to_front, car.axles[0]["track_m"] / 2 - car.y[0])
    at = lambda motion, x, y: motion[0] + (y - described[1]) * motion[1] - (x - described[0]) * motion[2]
    seat = at((heave_acc, roll_acc, pitch_acc), SEAT["x"], SEAT["y"])
    axis_height = car.h - car.h_roll
    # The seat is given from the described car; a load case moves the centre of gravity away from it.
    wk = weigh(seat, t, "Wk")
    wd_y = weigh((SEAT["z"] - axis_height) * roll_acc, t, "Wd")
    wd_x = weigh((SEAT["z"] - car.h) * pitch_acc, t, "Wd")
    running = signal.lfilter([1 - math.exp(-run.step)], [1, -math.exp(-run.step)], wk**2)
    vertical, lateral, longitudinal = float(rms(wk)), float(rms(wd_y)), float(rms(wd_x))
    out |= {
        "body_acceleration_rms_m_per_s2": float(rms(heave_acc)),
        "body_acceleration_peak_to_peak_m_per_s2": float(np.ptp(heave_acc)),
        "weighted_acceleration_m_per_s2": vertical,
        "vibration_dose_m_per_s1_75": float(np.trapezoid(wk**4, t) ** 0.25),
        "mtvv_m_per_s2": float(math.sqrt(running.max())),
        "crest_factor": float(np.abs(wk).max() / vertical),
        "weighted_lateral_acceleration_m_per_s2": lateral,
        "weighted_longitudinal_acceleration_m_per_s2": longitudinal,
        "total_weighted_acceleration_m_per_s2": math.sqrt(vertical**2 + lateral**2 + longitudinal**2),
        "motion_sickness_dose_m_per_s1_5": float(math.sqrt(np.trapezoid(weigh(seat, t, "Wf") ** 2, t))),
        "body_motion_rms_m": band(heave, 0.5, 2), "roll_motion_rms_rad": band(roll, 0.5, 2), "pitch_motion_rms_rad": band(pitch, 0.5, 2),
        "primary_ride_acceleration_m_per_s2": band(heave_acc, 0.5, 5), "choppy_acceleration_m_per_s2": band(heave_acc, 5, 10),
        "secondary_ride_acceleration_m_per_s2": band(heave_acc, 5, 25), "wheel_hop_acceleration_m_per_s2": band(heave_acc, 8, 16),
        "primary_roll_acceleration_rad_per_s2": band(roll_acc, 0.5, 5), "secondary_roll_acceleration_rad_per_s2": band(roll_acc, 5, 25),
        "primary_pitch_acceleration_rad_per_s2": band(pitch_acc, 0.5, 5), "secondary_pitch_acceleration_rad_per_s2": band(pitch_acc, 5, 25),
    }

    # Wheel load, travel, stops.
    e, static = r["e"], np.array(plant.static)
    variation = rms(r["N"] - r["quasi"])
    past = e + np.array(plant.offset)
    stop = lambda i, key: plant.axle[i].get(key)
    bump = np.array([stop(i, "bump_stop")["gap_m"] for i in range(4)])
    rebound = np.array([stop(i, "rebound_stop")["gap_m"] for i in range(4)])
    in_bump, in_rebound = past < -bump, past > rebound
    energy = []
    for i in range(4):
        total = 0.0
        for key, x in (("bump_stop", -past[:, i] - bump[i]), ("rebound_stop", past[:, i] - rebound[i])):
            x, s = np.maximum(0, x), stop(i, key)
            stored = s["rate_n_per_m"] * x**2 / 2 + s["progression_n_per_m3"] * x**4 / 4
            total += np.maximum(0, np.diff(stored)).sum()
        energy.append(total)
    begins = lambda x: (np.diff(x.astype(int), axis=0) > 0).sum(axis=0)
    used = np.maximum(np.maximum(0, -e.min(axis=0)) / (bump + plant.offset), np.maximum(0, e.max(axis=0)) / (rebound - plant.offset))
    out |= {
        "wheel_load_variation_rms_n": corners(variation), "dynamic_load_coefficient": corners(variation / static),
        "least_wheel_load_n": corners(r["N"].min(axis=0)), "lift_time_s": corners((r["N"] <= 0).sum(axis=0) * run.step),
        "suspension_travel_rms_m": corners(rms(e)), "suspension_travel_peak_m": corners(np.abs(e).max(axis=0)),
        "compression_peak_m": corners(np.maximum(0, -e.min(axis=0))), "rebound_peak_m": corners(np.maximum(0, e.max(axis=0))),
        "travel_used_share": corners(used),
        "bump_stop_time_s": corners(in_bump.sum(axis=0) * run.step), "rebound_stop_time_s": corners(in_rebound.sum(axis=0) * run.step),
        "bump_stop_contacts": corners(begins(in_bump)), "rebound_stop_contacts": corners(begins(in_rebound)), "stop_energy_j": corners(energy),
    }
    if kind in ("CosineBump", "Pothole"):
        size = np.abs(heave_acc)
        last = np.nonzero(size > 0.1 * size.max())[0][-1]
        if last < len(t) - 1:
            out["after_shake_s"] = float(t[last] - t[size.argmax()])

    # Roll and pitch.
    track = 0.5 * (car.axles[0]["track_m"] + car.axles[1]["track_m"])
    head = SEAT["z"] + HEAD_ABOVE_SEAT - axis_height
    peak = lambda x: float(np.abs(x).max())
    out |= {
        "roll_peak_rad": peak(roll), "roll_rate_peak_rad_per_s": peak(roll_rate), "roll_rate_rms_rad_per_s": float(rms(roll_rate)),
        "roll_acceleration_rms_rad_per_s2": float(rms(roll_acc)),
        "left_right_acceleration_rms_m_per_s2": track * float(rms(roll_acc)), "left_right_acceleration_peak_m_per_s2": track * peak(roll_acc),
        "head_toss_rms_m_per_s2": head * float(rms(roll_acc)), "head_toss_peak_m_per_s2": head * peak(roll_acc),
        "pitch_peak_rad": peak(pitch), "pitch_rate_peak_rad_per_s": peak(pitch_rate), "pitch_rate_rms_rad_per_s": float(rms(pitch_rate)),
        "pitch_acceleration_rms_rad_per_s2": float(rms(pitch_acc)),
    }

    def step_figures(what, angle, final, start):
        out[f"{what}_steady_rad"] = final
        out[f"{what}_overshoot_share"] = max(0.0, float((angle / final).max()) - 1)
        outside = np.nonzero(np.abs(angle / final - 1) > 0.05)[0]
        if len(outside) and outside[-1] < len(t) - 1:
            out[f"{what}_settling_s"] = float(t[outside[-1] + 1] - start)

    a_y = np.array([run.motion.lateral(min(x, t[-1] - 1e-9)) for x in t])
    start = p.get("start_s", 0.0)
    if kind == "LateralStep":
        final = float(steady(plant, p["acceleration_m_per_s2"], 0.0)[1])
        step_figures("roll", roll, final, start)
        out["roll_gradient_rad_per_m_per_s2"] = final / p["acceleration_m_per_s2"]
        after = t >= start
        # Area between the acceleration and the angle, each as a share of its end.
        out["roll_delay_s"] = float(np.trapezoid(a_y[after] / a_y[-1] - roll[after] / final, t[after]))
    if kind == "LaneChange":
        # A slow expansion of the angle in derivatives of a(t): phi = G (a - T a' + ...). Moments of both over time, to the second.
        moment = lambda x, n: float(np.trapezoid(x * (t - start) ** n, t))
        gain = moment(roll, 1) / moment(a_y, 1)
        out["roll_delay_s"] = (moment(roll, 2) / gain - moment(a_y, 2)) / (2 * moment(a_y, 1))
    if kind in ("LateralStep", "LaneChange"):
        side = lambda axle: (r["N"][:, 2 * axle + 1] - static[2 * axle + 1]) - (r["N"][:, 2 * axle] - static[2 * axle])
        front, total = side(0), side(0) + side(1)
        out["front_load_transfer_share"] = float(np.linalg.lstsq(total[:, None], front, rcond=None)[0][0])
        # Two sines of one frequency w: from their products and those of their derivatives.
        w = float(rms(roll_acc) / rms(roll_rate))
        along = mean(roll_rate * pitch_rate) + mean(roll_acc * pitch_acc) / w**2
        across = mean(roll_rate * pitch_acc - roll_acc * pitch_rate) / w
        out["roll_pitch_phase_rad"] = float(math.atan2(across, along))
    if kind == "Braking":
        step_figures("pitch", pitch, float(steady(plant, 0.0, -p["deceleration_m_per_s2"])[2]), start)
        out["dive_m"] = max(0.0, float(-e[:, :2].mean(axis=1).min()))
        out["lift_m"] = max(0.0, float(e[:, 2:].mean(axis=1).max()))

    # Dampers.
    c = run.control
    for n, name in enumerate(("share_wrong_sign", "share_below_soft", "share_deliverable", "share_above_firm")):
        out[name] = float((c.shares[:, n] / c.samples).mean())
    out["share_outside_table"] = float((c.outside / c.samples).mean())
    out["mean_current_a"] = corners(mean(r["I"]))
    out["damper_power_w"] = corners(mean(r["Fd"] * r["v"]))
    if c.estimator is not None:
        believed, n = r["belief"], len(names)
        # Heave is estimated at the described centre of gravity.
        true = (at((heave_rate, roll_rate, pitch_rate), 0.0, 0.0), roll_rate, pitch_rate)
        for k, name in enumerate(("heave_rate_error_rms_m_per_s", "roll_rate_error_rms_rad_per_s", "pitch_rate_error_rms_rad_per_s")):
            out[name] = float(rms(believed[:, k] - true[k]))
        out["wheel_rate_error_rms_m_per_s"] = corners(rms(believed[:, 3 : 3 + n] - r["wd"]))
        out["suspension_rate_error_rms_m_per_s"] = corners(rms(believed[:, 3 + n :] - r["v"]))
    out["force_step_rms_n"] = float(np.sqrt((np.diff(r["Fd"], axis=0) ** 2).mean()))
    return out


def figures(document, model, mode, event, load_case):
    what = next(e for e in document["events"] if e["name"] == event)
    run = reference.Run(document, model, mode, event, load_case, fixtures.SESSIONS)
    run.session = document
    return fixtures.nine(scorecard(run.go(), what))


def main():
    documents = sessions()
    for name, document in documents.items():
        with open(os.path.join(HERE, "sessions", name + ".json"), "w") as file:
            json.dump(document, file, indent=1)
            file.write("\n")
    cases = []
    for name, *run in RUNS:
        found = figures(documents[name], *run)
        other = json.loads(json.dumps(documents[name]))
        other["vehicle"]["body_mass_kg"] *= 1 + 1e-5
        moved = fixtures.flat(figures(other, *run))
        changes = {key: abs(moved[key] - x) / abs(x) if x else abs(moved[key]) for key, x in fixtures.flat(found).items() if key in moved}
        model, mode, event, load_case = run
        cases.append({
            "name": " / ".join(x for x in [name] + run if x), "session": f"sessions/{name}.json", "model": model, "mode": mode, "event": event,
            "load_case": load_case, "metrics": found, "sensitivity": {key: float(f"{x:.2g}") for key, x in changes.items() if x > 1e-4},
        })
        print(cases[-1]["name"], flush=True)
    head = {"versions": {"python": platform.python_version(), "numpy": np.__version__, "scipy": scipy.__version__}}
    with open(os.path.join(HERE, "metrics.json"), "w") as file:
        file.write(json.dumps(head)[:-1] + ', "cases": [\n' + ",\n".join(json.dumps(c, separators=(",", ":")) for c in cases) + "\n]}\n")


if __name__ == "__main__":
    main()
