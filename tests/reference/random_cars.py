#!/usr/bin/env python3
"""Random plausible cars against reference.py: every model, every law, odd tables and settings, drawn from one seed.

Writes `random-cars/NN.json` (sessions), `random-cars/*.csv` (measured profiles) and `random-cars.json` (figures of every run).
`python3 random_cars.py --jobs N`; `--cars A B` only that range, to look at; `--seed` for other cars than those committed.
`--held-out` writes the same as `held-out…`: cars that were drawn when the program's steps had been settled, half of them
with a slow controller and over rails, joints and patches.
"""

import argparse
import json
import math
import multiprocessing
import os
import time

import numpy as np

import reference
from make_fixtures import nine, flat

HERE = os.path.dirname(os.path.abspath(__file__))
LAWS = ("Continuous", "OnOff", "AccelerationDriven", "Mixed")


def profile(rng, name, folder, two):
    """A rough road of waviness 2, evenly or unevenly sampled, that begins and ends flat."""
    x = [0.0]
    while x[-1] < 70.0:
        x.append(round(x[-1] + (0.2 if two else float(rng.uniform(0.12, 0.4))), 3))
    x = np.array(x)
    ends = np.minimum(1.0, np.minimum(x, x[-1] - x) / 8.0)
    columns = [x]
    for _ in range(2 if two else 1):
        n = np.linspace(0.05, 1.5, 60)
        a = np.sqrt(2 * float(rng.choice([64e-6, 256e-6])) * (n / 0.1) ** -2 * (n[1] - n[0]))
        columns.append(ends * (a[:, None] * np.sin(2 * np.pi * n[:, None] * x + rng.uniform(0, 2 * np.pi, 60)[:, None])).sum(0))
    head = "distance_m,left_m,right_m" if two else "distance_m,elevation_m"
    with open(os.path.join(folder, name), "w") as file:
        file.write(head + "\n" + "\n".join(",".join(f"{c:.6f}" for c in row) for row in zip(*columns)) + "\n")


def damper(rng, name, velocities, currents):
    """Digressive, straight or kinked bench data; monotone over current, rising or falling, perhaps without any effect."""
    kind = rng.choice(["digressive", "straight", "random", "dead"], p=[0.55, 0.15, 0.22, 0.08])
    soft, firm = rng.uniform(150, 450), rng.uniform(1200, 3800)
    ratio, slope = rng.uniform(1.6, 3.0), rng.uniform(150, 900)
    rows = []
    climb = {way: np.cumsum(rng.uniform(0.0, 1.0, (60,))) for way in (-1, 1)}
    for v in velocities:
        row = []
        for i in range(len(currents)):
            share = i / (len(currents) - 1)
            share = {"dead": 0.4, "random": float(np.cumsum(np.r_[0.0, climb[1][: len(currents) - 1]])[i] / max(1e-9, np.cumsum(climb[1][: len(currents) - 1])[-1]) )}.get(kind, share ** 1.3)
            knee = soft + (firm - soft) * share
            if v < 0:
                knee /= ratio
            if kind == "straight":
                size = knee * abs(v) * 1.2
            else:
                size = knee * (1 - math.exp(-abs(v) / 0.12)) + slope * (0.5 + share) * abs(v)
            row.append(round(math.copysign(size, v), 1) if v else 0.0)
        rows.append(row)
    if rng.random() < 0.3:
        rows = [r[::-1] for r in rows]
    lag = rng.random()
    valve = {}
    if lag > 0.2:
        valve = {"dead_time_s": float(rng.choice([0.0, 0.001, 0.002, 0.0035, 0.0013])), "rise_s": round(rng.uniform(0.003, 0.015), 4), "fall_s": round(rng.uniform(0.003, 0.010), 4)}
    more = {}
    if rng.random() < 0.2:
        more = {"friction_n": round(rng.uniform(10, 60), 1), "friction_velocity_m_per_s": round(rng.uniform(0.01, 0.04), 3)}
    return {"name": name, "velocity_m_per_s": velocities, "current_a": currents, "force_n": rows, **valve, **more}


def axis(rng, top):
    n = int(rng.choice([2, 3, 5]))
    inner = np.sort(rng.uniform(0.05, 0.95, n - 2)) * top
    points = [0.0]
    for x in inner:
        points.append(max(round(float(x), 2), round(points[-1] + 0.01, 2)))
    return points + [float(top)]


def gains(rng, low, high, columns_top):
    rows, columns = axis(rng, rng.choice([60.0, 120.0, 200.0])), axis(rng, columns_top)
    values = [[round(float(rng.uniform(low, high)), 1) for _ in columns] for _ in rows]
    return {"rows": rows, "columns": columns, "values_n_s_per_m": values}


def axle(rng, front, share, body):
    corner = body * share / 2
    spring = corner * (2 * math.pi * rng.uniform(1.0, 1.7)) ** 2
    out = {
        "track_m": round(rng.uniform(1.45, 1.7), 3), "wheel_mass_kg": round(rng.uniform(30, 60), 1),
        "spring_rate_n_per_m": round(spring), "anti_roll_rate_n_m_per_rad": float(rng.choice([0.0, 6000.0, 15000.0, 30000.0])),
        "tyre_rate_n_per_m": round(rng.uniform(160e3, 300e3)), "tyre_damping_n_s_per_m": float(rng.choice([0.0, 60.0, 250.0])),
        "motion_ratio": float(rng.choice([1.0, 0.55, 0.7, 0.85, 1.1])),
        "roll_centre_height_m": round(rng.uniform(-0.02, 0.2), 3), "damper": "front damper" if front else "rear damper",
    }
    if rng.random() < 0.6:
        out["wheel_centre_height_m"] = round(rng.uniform(0.28, 0.36), 3)
        out["anti_pitch_braking_share"] = round(rng.uniform(0, 0.5), 2)
        out["anti_pitch_driving_share"] = round(rng.uniform(0, 0.5), 2)
    for stop in ("bump_stop", "rebound_stop"):
        if rng.random() < 0.6:
            out[stop] = {"gap_m": round(rng.uniform(0.035, 0.09), 3), "rate_n_per_m": round(rng.uniform(20e3, 90e3)), "progression_n_per_m3": float(rng.choice([0.0, 2e7, 1e8]))}
    if rng.random() < 0.12:
        out["top_mount_rate_n_per_m"] = round(rng.uniform(4e5, 1.5e6))
    if rng.random() < 0.2:
        out["contact_length_m"] = round(rng.uniform(0.06, 0.16), 3)
    return out


def events(rng):
    u = rng.uniform
    road = [
        ("bump", u(20, 60), {"CosineBump": {"height_m": round(u(0.03, 0.1), 3), "length_m": round(u(0.6, 3.0), 2), "lead_m": 1.0, "side": str(rng.choice(["Both", "Left", "Right"]))}}),
        ("pothole", u(25, 60), {"Pothole": {"depth_m": round(u(0.03, 0.09), 3), "length_m": round(u(0.5, 1.2), 2), "edge_m": round(u(0.08, 0.2), 2), "lead_m": 1.0, "side": str(rng.choice(["Both", "Left", "Right"]))}}),
        ("sweep", u(60, 120), {"Sweep": {"from_hz": 0.7, "to_hz": 18.0, "velocity_amplitude_m_per_s": round(u(0.05, 0.2), 2)}}),
        ("sine", u(60, 120), {"Harmonic": {"frequency_hz": round(u(0.8, 14), 2), "amplitude_m": 0.004}}),
        ("rough", u(50, 100), {"Profile": {"file": str(rng.choice(["two-a.csv", "two-b.csv", "one-a.csv", "one-b.csv"]))}}),
        ("rough too", u(50, 100), {"Profile": {"file": str(rng.choice(["two-a.csv", "two-b.csv", "one-a.csv", "one-b.csv"]))}}),
    ]
    turn = [
        ("step", u(60, 110), {"LateralStep": {"acceleration_m_per_s2": round(u(-6, 6), 1) or 3.0, "rise_s": round(u(0.1, 0.4), 2), "start_s": 0.2}}),
        ("lane change", u(60, 110), {"LaneChange": {"acceleration_m_per_s2": round(u(2, 6), 1), "period_s": round(u(1.2, 2.0), 1), "start_s": 0.2}}),
    ]
    brake = [
        ("braking", u(80, 120), {"Braking": {"deceleration_m_per_s2": round(u(3, 9), 1), "rise_s": round(u(0.1, 0.4), 2), "start_s": 0.2, **({"hold_s": 0.8} if rng.random() < 0.5 else {})}}),
        ("drive", u(20, 60), {"Drive": {"acceleration_m_per_s2": round(u(1, 5), 1), "rise_s": 0.3, "start_s": 0.2}}),
    ]
    make = lambda e: {"name": e[0], "speed_km_h": round(e[1], 1), "duration_s": 2.0 if e[0] in ("bump", "pothole") else 3.0, "kind": e[2]}
    return [[make(e) for e in kind] for kind in (road, turn, brake)]


def edges(rng):
    """Roads with grooves and steps a few milliseconds long."""
    u = rng.uniform
    road = [
        ("rails", u(15, 50), {"RailwayCrossing": {"tracks": int(rng.choice([1, 2])), "rail_height_m": round(u(0.0, 0.01), 3), "groove_width_m": round(u(0.05, 0.08), 3), "edge_m": round(u(0.01, 0.02), 3), "lead_m": 2.0}}),
        ("joints", u(50, 100), {"ExpansionJoints": {"spacing_m": round(u(5, 10), 1), "joints": 4, "gap_m": round(u(0.05, 0.1), 3), "depth_m": round(u(0.005, 0.02), 3), "fault_m": round(u(0.0, 0.006), 3), "lead_m": 3.0}}),
        ("patches", u(30, 80), {"PatchedRoad": {"seed": int(rng.integers(1, 1000)), "height_m": round(u(0.01, 0.025), 3), "length_m": round(u(0.8, 2.0), 1), "clear_m": round(u(1.0, 3.0), 1), "lead_m": 2.0}}),
    ]
    return [{"name": name, "speed_km_h": round(speed, 1), "duration_s": 2.5, "kind": kind} for name, speed, kind in road]


def draw(seed, n, slow=False):
    """Car n and the runs to make of it; a slow one has a controller below 1 kHz, valves with lag, and edges on its roads
    under tyres with a contact patch."""
    rng = np.random.default_rng([seed, n])
    u = rng.uniform
    body, L = u(900, 2300), u(2.4, 3.05)
    a = L * u(0.42, 0.56)
    h = u(0.48, 0.72)
    vehicle = {
        "name": f"car {n}", "body_mass_kg": round(body, 1), "roll_inertia_kg_m2": round(body * u(0.30, 0.42), 1),
        "pitch_inertia_kg_m2": round(body * a * (L - a) * u(0.85, 1.1), 1), "wheelbase_m": round(L, 3), "cg_to_front_axle_m": round(a, 3),
        "cg_height_m": round(h, 3), "front": axle(rng, True, 1 - a / L, body), "rear": axle(rng, False, a / L, body),
    }
    cases = [None]
    if rng.random() < 0.6:
        items = [{"name": "someone", "mass_kg": round(u(60, 100), 1), "x_m": round(u(-0.9, 0.1), 2), "y_m": float(rng.choice([0.36, -0.36, 0.0])), "z_m": 0.72}, {"name": "luggage", "mass_kg": round(u(0, 80), 1), "x_m": -1.6, "y_m": 0.0, "z_m": 0.65}]
        vehicle["load_cases"] = [{"name": "aboard", "items": items, "levelled": bool(rng.random() < 0.3)}]
        cases.append("aboard")
    v_top = float(rng.choice([0.5, 1.0, 1.5, 2.0]))
    tables = {
        "fine": [-1.0, -0.6, -0.3, -0.15, -0.05, 0.0, 0.05, 0.15, 0.3, 0.6, 1.0],
        "coarse": [-1.0, 0.0, 1.0],
        "uneven": [-1.0, -0.2, -0.03, 0.0, 0.08, 0.4, 1.0],
    }
    velocities = [round(v_top * v, 4) for v in tables[str(rng.choice(list(tables), p=[0.6, 0.15, 0.25]))]]
    currents = {2: [0.0, 1.0], 3: [0.0, 0.5, 2.0], 5: [0.3, 0.6, 0.9, 1.2, 1.6]}[int(rng.choice([2, 3, 5]))]
    low, high = currents[0], currents[-1]
    if rng.random() < 0.4:
        low, high = low + 0.1 * (high - low), high - 0.05 * (high - low)
    controller = {"sample_rate_hz": float(rng.choice([1000, 1000, 500, 250, 333, 2000]))}
    if rng.random() < 0.5:
        controller["roughness"] = {"low_hz": 7.0, "high_hz": 17.0, "rise_s": 0.1, "fall_s": 0.4}
        controller["lateral_demand"] = {"rise_s": 0.03, "fall_s": 0.6}
    if rng.random() < 0.3:
        controller["blend_velocity_m_per_s"] = round(u(0.01, 0.06), 3)
    modes = []
    for law in LAWS:
        modes.append({
            "name": law, "law": law if law != "Mixed" else {"Mixed": {"crossover_hz": round(u(1.2, 3.0), 2)}},
            "heave": gains(rng, 300, 3500, float(rng.choice([3.0, 9.0]))), "wheel": gains(rng, 0, 900, 6.0), "base": gains(rng, 0, 1200, 6.0),
            "roll": gains(rng, 300, 3000, 7.0), "pitch": gains(rng, 300, 3000, 7.0), "current_min_a": round(low, 3), "current_max_a": round(high, 3),
        })
        m = modes[-1]
        if rng.random() < 0.4:
            for side in ("front", "rear"):
                m[side] = {key: round(u(0.6, 1.4), 2) for key in ("heave", "wheel", "base", "roll", "pitch", "rebound", "compression")}
        if rng.random() < 0.3:
            m["slew_a_per_s"] = float(rng.choice([20.0, 80.0, 300.0]))
        if rng.random() < 0.15:
            m["end_stop"] = {"zone_m": 0.02, "rate_m_per_s": 0.4}
            # The program refuses one where there is no stop to act before; without a stop it does nothing.
            if not any(vehicle[a].get(s) for a in ("front", "rear") for s in ("bump_stop", "rebound_stop")):
                del m["end_stop"]
    road, turn, brake = events(rng)
    dampers = [damper(rng, "front damper", velocities, currents), damper(rng, "rear damper", velocities, currents)]
    if slow:
        controller["sample_rate_hz"] = float(rng.choice([500, 333, 250, 200]))
        for d in dampers:
            d |= {"rise_s": d.get("rise_s", 0.008), "fall_s": d.get("fall_s", 0.006)}
        for side in ("front", "rear"):
            # A damped point on an edge: its load jumps by kilonewtons between samples, and no tyre is one.
            vehicle[side]["contact_length_m"] = round(u(0.06, 0.16), 3)
        road = edges(rng) + [road[int(i)] for i in rng.choice(len(road), 3, replace=False)]
    session = {
        "format": 1, "title": f"Random car {n}", "vehicle": vehicle, "dampers": dampers,
        "controller": controller, "modes": modes, "events": road + turn + brake,
    }
    runs = []
    models = list(reference.MODELS)
    for k in range(4):
        model = models[(4 * n + k) % 6]
        able = list(road)
        if model in ("roll-front", "roll-rear", "full"):
            able += turn
        if model in ("pitch", "full"):
            able += brake
        # The laws take turns with the models; an acceleration-driven law without valve lag chatters at any step size.
        law = LAWS[(n + k) % 4]
        if law in ("AccelerationDriven", "Mixed") and any("rise_s" not in d for d in session["dampers"]):
            law = "Continuous"
        runs.append((model, law, able[int(rng.integers(len(able)))]["name"], cases[int(rng.integers(len(cases)))]))
    return session, runs


def name_of(n, run):
    return " / ".join([f"car {n:02}"] + [x for x in run if x])


def one(args):
    folder, n, run = args
    with open(os.path.join(folder, f"{n:02}.json")) as file:
        session = json.load(file)
    rate = session["controller"]["sample_rate_hz"]
    step = 1 / rate / math.ceil(1000 / rate - 1e-9)
    began = time.time()
    def figures(doc):
        made = reference.Run(doc, *run, folder, step=step).go()
        # Figures are taken at 1 kHz, whatever the controller's rate: without lag a force jumps at every sample of it.
        thin = max(1, round(0.001 / step))
        made.kept, made.step = {key: x[::thin] for key, x in made.kept.items()}, step * thin
        return nine(made.figures())
    try:
        found = figures(session)
        other = json.loads(json.dumps(session))
        other["vehicle"]["body_mass_kg"] *= 1 + 1e-5
        moved = flat(figures(other))
    except SystemExit as fault:
        print(n, run, fault, flush=True)
        return None
    changes = {key: abs(moved[key] - x) / abs(x) if x else abs(moved[key]) for key, x in flat(found).items()}
    print(f"{time.time() - began:6.1f} s  {n} {run}", flush=True)
    model, mode, event, load_case = run
    return {
        "name": name_of(n, run), "session": f"{n:02}.json",
        "model": model, "mode": mode, "event": event, "load_case": load_case, "figures": found,
        "sensitivity": {key: float(f"{x:.2g}") for key, x in changes.items() if x > 1e-4},
    }


def main():
    parser = argparse.ArgumentParser(description="Random cars of the reference simulator.")
    parser.add_argument("--jobs", type=int, default=1)
    parser.add_argument("--seed", type=int, default=2024)
    parser.add_argument("--cars", type=int, nargs=2, default=(0, 40))
    parser.add_argument("--folder", default=HERE)
    parser.add_argument("--held-out", action="store_true", help="into held-out.json; every second car with a slow controller")
    parser.add_argument("--new", action="store_true", help="only runs that the figures do not hold yet")
    args = parser.parse_args()
    stem = "held-out" if args.held_out else "random-cars"
    folder, found = os.path.join(args.folder, stem), os.path.join(args.folder, stem + ".json")
    os.makedirs(folder, exist_ok=True)
    rng = np.random.default_rng(args.seed)
    for name, two in (("two-a.csv", True), ("two-b.csv", True), ("one-a.csv", False), ("one-b.csv", False)):
        profile(rng, name, folder, two)
    known = {}
    if args.new:
        with open(found) as file:
            known = {case["name"]: case for case in json.load(file)["cases"]}
    work, names = [], []
    for n in range(*args.cars):
        session, runs = draw(args.seed, n, slow=args.held_out and n % 2 == 1)
        with open(os.path.join(folder, f"{n:02}.json"), "w") as file:
            json.dump(session, file)
            file.write("\n")
        names += [name_of(n, run) for run in runs]
        work += [(folder, n, run) for run in runs if name_of(n, run) not in known]
    with multiprocessing.Pool(args.jobs) as pool:
        known |= {x["name"]: x for x in pool.imap(one, work, chunksize=1) if x}
    made = [known[name] for name in names if name in known]
    with open(found, "w") as file:
        file.write('{"seed": %d, "cases": [\n' % args.seed)
        file.write(",\n".join(json.dumps(x, separators=(",", ":")) for x in made) + "\n]}\n")


if __name__ == "__main__":
    main()
