#!/usr/bin/env python3
"""One run of 30 s of the pitch half car in Python, to set the program's speed beside it.

    washboard convert demo-sessions/estate.ron estate.json
    washboard time estate.json --model pitch --json > time.json
    python3 crates/study/benches/scipy_one_run.py estate.json [time.json]

The right-hand side is the pitch half car of the session as described: springs, tyres that lift, two damper tables, a first-order
lag of the currents, and the first mode's law at one operating point, acting without sampling. It is solved by scipy's
`solve_ivp` (RK45) to 0.2 % of the r.m.s. values of body acceleration and wheel-load variation of a solution at a tolerance of
1e-9. Stops, estimation, levels and metrics, which the program computes as well, are left out here, in Python's favour.
"""

import json
import sys
import time
from bisect import bisect_right

import numpy as np
import scipy
import scipy.signal
from scipy.integrate import solve_ivp

G = 9.80665
SPEED, SECONDS, STEP = 80 / 3.6, 30.0, 1e-3


def road(seconds, step, seed=1):
    """Class C (ISO 8608: 256e-6 m3 at 0.1 cycles/m, waviness 2) as white noise of velocity, smoothed above 2.83 cycles/m."""
    noise = np.random.default_rng(seed).standard_normal(int((seconds + 2) / step))
    density = (2 * np.pi * 0.1) ** 2 * 256e-6 * SPEED
    rate = noise * np.sqrt(density / (2 * step))
    share = 1 - np.exp(-2 * np.pi * 2.83 * SPEED * step)
    rate = scipy.signal.lfilter([share], [1, share - 1], rate)
    rate = scipy.signal.lfilter(*scipy.signal.butter(1, 2 * 0.011 * SPEED * step, "high"), rate)
    return np.cumsum(rate) * step


class Car:
    def __init__(self, session):
        v = session["vehicle"]
        m, self.x = v["body_mass_kg"] / 2, (v["cg_to_front_axle_m"], v["cg_to_front_axle_m"] - v["wheelbase_m"])
        axles = (v["front"], v["rear"])
        self.m, self.inertia, self.wheelbase = m, v["pitch_inertia_kg_m2"] / 2, v["wheelbase_m"]
        self.spring = [a["spring_rate_n_per_m"] for a in axles]
        self.tyre = [a["tyre_rate_n_per_m"] for a in axles]
        self.wheel = [a["wheel_mass_kg"] for a in axles]
        self.ratio = [a.get("motion_ratio", 1.0) for a in axles]
        share = [-self.x[1] / self.wheelbase, self.x[0] / self.wheelbase]
        self.static = [(m * s + w) * G for s, w in zip(share, self.wheel)]
        dampers = {d["name"]: d for d in session["dampers"]}
        self.damper = [dampers[a["damper"]] for a in axles]
        mode = session["modes"][0]
        self.ends = (mode["current_min_a"], mode["current_max_a"])
        # One operating point: the middle of each map.
        self.gain = {}
        for name in ("heave", "wheel", "base", "pitch"):
            values = mode[name]["values_n_s_per_m"]
            self.gain[name] = values[len(values) // 2][len(values[0]) // 2]


def columns(table, v):
    """Force at velocity v in every column of a damper's table."""
    rows, forces = table["velocity_m_per_s"], table["force_n"]
    i = min(max(bisect_right(rows, v) - 1, 0), len(rows) - 2)
    t = (v - rows[i]) / (rows[i + 1] - rows[i])
    return [a + t * (b - a) for a, b in zip(forces[i], forces[i + 1])]


def at(xs, ys, x):
    i = min(max(bisect_right(xs, x) - 1, 0), len(xs) - 2)
    return ys[i] + (x - xs[i]) * (ys[i + 1] - ys[i]) / (xs[i + 1] - xs[i])


def wanted_current(car, table, forces, wanted):
    low, high = car.ends
    currents = table["current_a"]
    soft, firm = at(currents, forces, low), at(currents, forces, high)
    share = wanted / soft if soft else 0.0
    if share <= 1.0:
        return low
    if abs(wanted) >= abs(firm):
        return high
    for k in range(len(forces) - 1):
        if abs(forces[k]) <= abs(wanted) <= abs(forces[k + 1]):
            t = (wanted - forces[k]) / (forces[k + 1] - forces[k]) if forces[k + 1] != forces[k] else 0.0
            return min(max(currents[k] + t * (currents[k + 1] - currents[k]), low), high)
    return low


def rates(car, height, t, y):
    z, th, w0, w1, dz, dth, dw0, dw1, i0, i1 = y
    ddz = ddth = 0.0
    ddw, di, load = [0.0, 0.0], [0.0, 0.0], [0.0, 0.0]
    for a, (w, dw, current) in enumerate(((w0, dw0, i0), (w1, dw1, i1))):
        x, table = car.x[a], car.damper[a]
        e, v = z - x * th - w, dz - x * dth - dw
        forces = columns(table, car.ratio[a] * v)
        damper = car.ratio[a] * at(table["current_a"], forces, current)
        g = car.gain
        want = g["heave"] * dz - g["pitch"] * x * dth - g["wheel"] * dw + g["base"] * v
        target = wanted_current(car, table, forces, want / car.ratio[a])
        lag = table.get("rise_s", 0.0) if target > current else table.get("fall_s", 0.0)
        di[a] = (target - current) / max(lag, 1e-3)
        u = (t - (car.wheelbase / SPEED if a else 0.0)) / STEP
        n = min(max(int(u), 0), len(height) - 2)
        ground = height[n] + (u - n) * (height[n + 1] - height[n]) if u > 0 else height[0]
        load[a] = max(car.static[a] - car.tyre[a] * (w - ground), 0.0)
        force = -car.spring[a] * e - damper
        ddz += force / car.m
        ddth -= x * force / car.inertia
        ddw[a] = (-force + load[a] - car.static[a]) / car.wheel[a]
    return [dz, dth, dw0, dw1, ddz, ddth, ddw[0], ddw[1], di[0], di[1]], load


def figures(car, height, times, states):
    samples = [rates(car, height, t, y) for t, y in zip(times, states.T)]
    return np.array([np.std([s[0][4] for s in samples]), *(np.std([s[1][a] for s in samples]) for a in (0, 1))])


def solve(car, height, tolerance):
    times = np.arange(0, SECONDS, STEP)
    start = [0.0] * 8 + [car.ends[0]] * 2
    begun = time.process_time()
    # The road has a kink every sample: longer steps would not see it.
    solved = solve_ivp(
        lambda t, y: rates(car, height, t, y)[0], (0, SECONDS), start, rtol=tolerance, atol=tolerance * 1e-3, t_eval=times, max_step=5e-3
    )
    return time.process_time() - begun, figures(car, height, times, solved.y)


def main():
    with open(sys.argv[1], encoding="utf-8") as file:
        car = Car(json.load(file))
    height = road(SECONDS, STEP)
    _, truth = solve(car, height, 1e-9)
    for tolerance in (1e-2, 1e-3, 1e-4, 1e-5):
        seconds, got = solve(car, height, tolerance)
        error = np.max(np.abs(got / truth - 1))
        if error <= 2e-3:
            break
    print(f"scipy {scipy.__version__} solve_ivp RK45, rtol {tolerance:g}: {seconds * 1e3:.0f} ms, {100 * error:.3f} % off")
    if len(sys.argv) > 2:
        with open(sys.argv[2], encoding="utf-8") as file:
            ns = json.load(file)["ns_per_run_step_one_thread"]
        ours = SECONDS / STEP * ns * 1e-6
        print(f"the program, one run in a block on one thread, everything included: {ours:.2f} ms; ratio {seconds * 1e3 / ours:.0f}")


if __name__ == "__main__":
    main()
