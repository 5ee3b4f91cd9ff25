#!/usr/bin/env python3
"""24 runs of 20 s of the pitch half car (3 modes x 8 roads) in compiled Python on two threads, to set the program's speed beside it.

    pip install numpy==2.4.6 scipy==1.17.1 numba==0.68.1
    washboard convert demo-sessions/estate.ron estate.json
    python3 crates/study/benches/numba_many_runs.py estate.json

The same half car as in `scipy_one_run.py`, written for speed: a leapfrog at 1 ms compiled by numba, the law sampled every
step, currents by their exact lag, one run a thread at a time. Each run gives the r.m.s. of body acceleration and of both
wheel loads, nothing else: stops, dead time, levels and their filters, maps over speed and roughness, weighting and every
other metric, which the program computes as well, are left out here, in Python's favour. One run is held against scipy's
adaptive solution, whose law acts without sampling.
"""

import json
import os
import sys
import time

os.environ.setdefault("NUMBA_NUM_THREADS", "2")

import numba
import numpy as np

from scipy_one_run import SPEED, STEP, Car, road, scipy, solve

SECONDS, ROADS, MODES = 20.0, 8, 3


def numbers(car):
    """A car, its dampers and one mode as plain arrays."""
    damper = car.damper
    size = max(len(d["velocity_m_per_s"]) for d in damper), max(len(d["current_a"]) for d in damper)
    v, i, f = np.full((2, size[0]), 1e9), np.full((2, size[1]), 1e9), np.zeros((2, *size))
    counts = np.zeros((2, 2), np.int64)
    lag = np.zeros((2, 2))
    for a, d in enumerate(damper):
        nv, ni = len(d["velocity_m_per_s"]), len(d["current_a"])
        counts[a] = nv, ni
        v[a, :nv], i[a, :ni], f[a, :nv, :ni] = d["velocity_m_per_s"], d["current_a"], d["force_n"]
        lag[a] = [1 - np.exp(-STEP / max(d.get(key, 0.0), 1e-3)) for key in ("rise_s", "fall_s")]
    corner = np.array([car.x, car.spring, car.tyre, car.wheel, car.ratio, car.static]).T.copy()
    gains = np.array([car.gain[key] for key in ("heave", "wheel", "base", "pitch")])
    return (np.array([car.m, car.inertia]), corner, gains, np.array(car.ends), v, i, f, counts, lag)


@numba.njit(cache=False, fastmath=False)
def at(row, count, axis, x):
    k = 0
    while k < count - 2 and x >= axis[k + 1]:
        k += 1
    return row[k] + (x - axis[k]) * (row[k + 1] - row[k]) / (axis[k + 1] - axis[k])


@numba.njit(cache=False, fastmath=False)
def one_run(body, corner, gains, ends, v, i, f, counts, lag, height, behind):
    """R.m.s. of body acceleration and of the two wheel loads."""
    n = height.size
    q, dq, ddq = np.zeros(4), np.zeros(4), np.zeros(4)  # heave, pitch, front wheel, rear wheel
    rate, forces = np.zeros(4), np.zeros(i.shape[1])
    current = np.full(2, ends[0])
    sums, squares = np.zeros(3), np.zeros(3)
    for step in range(n):
        for k in range(4):
            rate[k] = dq[k] + 0.5 * STEP * ddq[k]
            ddq[k] = 0.0
        for a in range(2):
            x, spring, tyre, wheel, ratio, static = corner[a]
            e, ve = q[0] - x * q[1] - q[2 + a], rate[0] - x * rate[1] - rate[2 + a]
            vd, nv, ni = ratio * ve, counts[a, 0], counts[a, 1]
            row = 0
            while row < nv - 2 and vd >= v[a, row + 1]:
                row += 1
            t = (vd - v[a, row]) / (v[a, row + 1] - v[a, row])
            for c in range(ni):
                forces[c] = f[a, row, c] + t * (f[a, row + 1, c] - f[a, row, c])
            force = -spring * e - ratio * at(forces, ni, i[a], current[a])
            late = step - behind if a else step
            ground = height[late] if late > 0 else height[0]
            load = max(static - tyre * (q[2 + a] - ground), 0.0)
            ddq[0] += force / body[0]
            ddq[1] -= x * force / body[1]
            ddq[2 + a] = (-force + load - static) / wheel
            # The law at this sample; its current acts from here on.
            want = (gains[0] * rate[0] - gains[3] * x * rate[1] - gains[1] * rate[2 + a] + gains[2] * ve) / ratio
            soft, firm = at(forces, ni, i[a], ends[0]), at(forces, ni, i[a], ends[1])
            target = ends[0]
            if want * vd > 0.0 and abs(want) > abs(soft):
                target = ends[1]
                if abs(want) < abs(firm):
                    c = 0
                    while c < ni - 2 and abs(forces[c + 1]) < abs(want):
                        c += 1
                    rise = forces[c + 1] - forces[c]
                    target = i[a, c] + (want - forces[c]) / rise * (i[a, c + 1] - i[a, c]) if rise != 0.0 else i[a, c]
                    target = min(max(target, ends[0]), ends[1])
            current[a] += (target - current[a]) * (lag[a, 0] if target > current[a] else lag[a, 1])
            sums[1 + a] += load
            squares[1 + a] += load * load
        sums[0] += ddq[0]
        squares[0] += ddq[0] * ddq[0]
        share = 0.5 if step == 0 else 1.0
        for k in range(4):
            dq[k] += share * STEP * ddq[k]
            q[k] += STEP * dq[k]
    return np.sqrt(squares / n - (sums / n) ** 2)


@numba.njit(parallel=True, cache=False, fastmath=False)
def all_runs(body, corner, gains, ends, v, i, f, counts, lag, heights, behind):
    modes, roads = gains.shape[0], heights.shape[0]
    found = np.zeros((modes * roads, 3))
    for run in numba.prange(modes * roads):
        mode = run // roads
        found[run] = one_run(body, corner, gains[mode], ends[mode], v, i, f, counts, lag, heights[run % roads], behind)
    return found


def main():
    with open(sys.argv[1], encoding="utf-8") as file:
        session = json.load(file)
    cars = []
    for mode in range(MODES):
        chosen = session["modes"][mode % len(session["modes"])]
        cars.append(Car(dict(session, modes=[chosen])))
    many = [numbers(car) for car in cars]
    body, corner, _, _, *dampers = many[0]
    gains, ends = np.array([m[2] for m in many]), np.array([m[3] for m in many])
    count = int(SECONDS / STEP)
    heights = np.array([road(SECONDS, STEP, seed)[:count] for seed in range(1, ROADS + 1)])
    behind = round(cars[0].wheelbase / SPEED / STEP)
    run = lambda: all_runs(body, corner, gains, ends, *dampers, heights, behind)
    run()  # compiles
    times = []
    for _ in range(15):
        begun = time.perf_counter()
        run()
        times.append(time.perf_counter() - begun)
    best, middle = min(times), sorted(times)[len(times) // 2]
    steps = MODES * ROADS * count
    print(f"numba {numba.__version__}, numpy {np.__version__}, {numba.get_num_threads()} threads, {MODES * ROADS} runs of {SECONDS:.0f} s:")
    print(f"best {best * 1e3:.1f} ms, median {middle * 1e3:.1f} ms; {best / steps * 1e9:.0f} ns a run-step of wall-clock time")
    longer = road(30.0, STEP)
    _, exact = solve(cars[0], longer, 1e-4)
    held = one_run(*many[0], longer[: int(30.0 / STEP)], behind)
    print(f"scipy {scipy.__version__}: one run of 30 s is {100 * np.max(np.abs(held / exact - 1)):.2f} % off the adaptive solution")


if __name__ == "__main__":
    main()
