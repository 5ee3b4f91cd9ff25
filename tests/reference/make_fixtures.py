#!/usr/bin/env python3
"""Writes the reference sessions (sessions/*.json) and their trajectories (trajectories.json) with reference.py.

The cars are invented so that every exchange of left and right, front and rear, row and column, sign, unit or motion ratio
changes a number. `python3 make_fixtures.py` takes some ten minutes on one core; `--sessions` writes only the documents.
"""

import argparse
import json
import math
import multiprocessing
import os
import platform
import time

import numpy
import scipy

import reference

HERE = os.path.dirname(os.path.abspath(__file__))
SESSIONS = os.path.join(HERE, "sessions")

VELOCITIES = [-1.5, -1.0, -0.6, -0.3, -0.15, -0.05, 0.0, 0.05, 0.15, 0.3, 0.6, 1.0, 1.5]
CURRENTS = [0.3, 0.6, 0.9, 1.2, 1.6]


def digressive(name, rebound, compression, falling=False, **valve):
    """Asymmetric digressive bench data: (soft, firm) knee force and slope a direction, N and N s/m."""
    rows = []
    for v in VELOCITIES:
        row = []
        for i in CURRENTS:
            share = ((i - CURRENTS[0]) / (CURRENTS[-1] - CURRENTS[0])) ** 1.2
            (knee_soft, knee_firm), (slope_soft, slope_firm) = rebound if v > 0 else compression
            knee = knee_soft + (knee_firm - knee_soft) * share
            slope = slope_soft + (slope_firm - slope_soft) * share
            size = knee * (1 - math.exp(-abs(v) / 0.11)) + slope * abs(v)
            row.append(round(math.copysign(size, v), 1) if v else 0.0)
        rows.append(row[::-1] if falling else row)
    return {"name": name, "velocity_m_per_s": VELOCITIES, "current_a": CURRENTS, "force_n": rows, **valve}


FRONT_FORCE = dict(rebound=((420.0, 3600.0), (700.0, 1500.0)), compression=((210.0, 1500.0), (500.0, 1100.0)))
REAR_FORCE = dict(rebound=((300.0, 2500.0), (500.0, 1100.0)), compression=((150.0, 1100.0), (380.0, 850.0)))

VEHICLE = {
    "name": "reference car",
    "body_mass_kg": 1460.0,
    "roll_inertia_kg_m2": 540.0,
    "pitch_inertia_kg_m2": 2350.0,
    "wheelbase_m": 2.74,
    "cg_to_front_axle_m": 1.21,
    "cg_height_m": 0.57,
    "front": {
        "track_m": 1.58, "wheel_mass_kg": 43.0, "spring_rate_n_per_m": 25500.0, "anti_roll_rate_n_m_per_rad": 21000.0,
        "tyre_rate_n_per_m": 215000.0, "tyre_damping_n_s_per_m": 90.0, "motion_ratio": 0.6, "roll_centre_height_m": 0.06,
        "wheel_centre_height_m": 0.31, "anti_pitch_braking_share": 0.22, "anti_pitch_driving_share": 0.12,
        "bump_stop": {"gap_m": 0.052, "rate_n_per_m": 45000.0, "progression_n_per_m3": 6.0e7},
        "rebound_stop": {"gap_m": 0.064, "rate_n_per_m": 60000.0, "progression_n_per_m3": 2.0e7},
        "damper": "front damper",
    },
    "rear": {
        "track_m": 1.54, "wheel_mass_kg": 47.0, "spring_rate_n_per_m": 29500.0, "anti_roll_rate_n_m_per_rad": 9000.0,
        "tyre_rate_n_per_m": 232000.0, "tyre_damping_n_s_per_m": 130.0, "motion_ratio": 0.75, "roll_centre_height_m": 0.13,
        "wheel_centre_height_m": 0.32, "anti_pitch_braking_share": 0.35, "anti_pitch_driving_share": 0.27,
        "bump_stop": {"gap_m": 0.058, "rate_n_per_m": 38000.0, "progression_n_per_m3": 9.0e7},
        "rebound_stop": {"gap_m": 0.055, "rate_n_per_m": 52000.0, "progression_n_per_m3": 3.0e7},
        "damper": "rear damper",
    },
    "load_cases": [
        {"name": "driver", "items": [{"name": "driver", "mass_kg": 75.0, "x_m": -0.12, "y_m": 0.36, "z_m": 0.72}]},
        {
            "name": "full",
            "items": [
                {"name": "front seats", "mass_kg": 150.0, "x_m": -0.12, "y_m": 0.0, "z_m": 0.72},
                {"name": "rear seats", "mass_kg": 150.0, "x_m": -0.98, "y_m": 0.0, "z_m": 0.75},
                {"name": "luggage", "mass_kg": 80.0, "x_m": -1.85, "y_m": 0.0, "z_m": 0.68},
            ],
        },
        {
            "name": "full levelled",
            "levelled": True,
            "items": [
                {"name": "front seats", "mass_kg": 150.0, "x_m": -0.12, "y_m": 0.0, "z_m": 0.72},
                {"name": "rear seats", "mass_kg": 150.0, "x_m": -0.98, "y_m": 0.0, "z_m": 0.75},
                {"name": "luggage", "mass_kg": 80.0, "x_m": -1.85, "y_m": 0.0, "z_m": 0.68},
            ],
        },
        {
            "name": "one side",
            "items": [
                {"name": "driver", "mass_kg": 95.0, "x_m": -0.12, "y_m": 0.36, "z_m": 0.72},
                {"name": "passenger behind", "mass_kg": 85.0, "x_m": -0.98, "y_m": 0.38, "z_m": 0.75},
            ],
        },
    ],
}

SPEEDS = [0.0, 30.0, 60.0, 100.0, 160.0]
LEVELS = [0.0, 0.8, 2.0, 4.5, 9.0]
DEMANDS = [0.0, 1.0, 2.5, 4.5, 7.0]


def grid(corner, speed_slope, column_slope, columns):
    """A map that is different in every cell and not symmetric in rows and columns."""
    values = [[round(corner + speed_slope * r + column_slope * c + 7.0 * r * c, 1) for c in range(5)] for r in range(5)]
    return {"rows": SPEEDS, "columns": columns, "values_n_s_per_m": values}


def mode(name, law, **more):
    return {
        "name": name,
        "law": law,
        "heave": grid(1500.0, 140.0, -160.0, LEVELS),
        "wheel": grid(250.0, 35.0, 60.0, LEVELS),
        "base": grid(420.0, 55.0, 45.0, LEVELS),
        "roll": grid(1300.0, 110.0, 190.0, DEMANDS),
        "pitch": grid(1100.0, 90.0, 230.0, DEMANDS),
        "front": {"heave": 1.1, "wheel": 0.9, "base": 1.05, "roll": 1.2, "pitch": 0.85, "rebound": 1.15, "compression": 0.8},
        "rear": {"heave": 0.9, "wheel": 1.2, "base": 0.95, "roll": 0.85, "pitch": 1.25, "rebound": 1.05, "compression": 0.9},
        "current_min_a": 0.35,
        "current_max_a": 1.5,
        **more,
    }


FLOOR = {
    "rows": [0.0, 80.0, 160.0],
    "columns": [0.0, 2.0, 6.0],
    "values_a": [[0.3, 0.5, 0.8], [0.4, 0.65, 1.0], [0.5, 0.75, 1.2]],
}


def event(name, speed_km_h, duration_s, **kind):
    return {"name": name, "speed_km_h": speed_km_h, "duration_s": duration_s, "kind": kind}


EVENTS = [
    event("bump", 40.0, 2.0, CosineBump={"height_m": 0.05, "length_m": 1.2, "lead_m": 3.0}),
    event("bump left", 40.0, 2.0, CosineBump={"height_m": 0.045, "length_m": 1.4, "lead_m": 3.0, "side": "Left"}),
    event("dip right", 55.0, 2.0, CosineBump={"height_m": -0.05, "length_m": 2.5, "lead_m": 4.0, "side": "Right"}),
    event("high bump", 30.0, 2.0, CosineBump={"height_m": 0.11, "length_m": 2.6, "lead_m": 2.0}),
    event("pothole", 45.0, 1.5, Pothole={"depth_m": 0.08, "length_m": 0.9, "edge_m": 0.15, "lead_m": 3.0}),
    event("pothole right", 45.0, 1.5, Pothole={"depth_m": 0.06, "length_m": 0.9, "edge_m": 0.12, "lead_m": 3.0, "side": "Right"}),
    event("sweep", 90.0, 10.0, Sweep={"from_hz": 0.5, "to_hz": 20.0, "velocity_amplitude_m_per_s": 0.15}),
    event("sweep linear", 90.0, 4.0, Sweep={"from_hz": 1.0, "to_hz": 12.0, "velocity_amplitude_m_per_s": 0.15, "spacing": "Linear"}),
    event("sine 3 Hz", 72.0, 2.0, Harmonic={"frequency_hz": 3.0, "amplitude_m": 0.01}),
    event("lateral step", 80.0, 2.5, LateralStep={"acceleration_m_per_s2": 4.0, "rise_s": 0.15, "start_s": 0.3}),
    event("lateral step right", 80.0, 2.5, LateralStep={"acceleration_m_per_s2": -5.0, "rise_s": 0.2, "start_s": 0.2}),
    event("lane change", 90.0, 3.0, LaneChange={"acceleration_m_per_s2": 4.5, "period_s": 1.6, "start_s": 0.2}),
    event("braking", 100.0, 3.0, Braking={"deceleration_m_per_s2": 7.0, "rise_s": 0.2, "start_s": 0.3}),
    event("braking pulse", 90.0, 3.0, Braking={"deceleration_m_per_s2": 5.0, "rise_s": 0.25, "start_s": 0.2, "hold_s": 0.8}),
    event("braking to standstill", 30.0, 3.0, Braking={"deceleration_m_per_s2": 6.0, "rise_s": 0.2, "start_s": 0.2}),
    event("drive", 20.0, 3.0, Drive={"acceleration_m_per_s2": 4.0, "rise_s": 0.3, "start_s": 0.2}),
    event("two tracks", 60.0, 2.5, Profile={"file": "two-tracks.csv"}),
]

CONTROLLER = {
    "sample_rate_hz": 1000.0,
    "roughness": {"low_hz": 8.0, "high_hz": 16.0, "rise_s": 0.08, "fall_s": 0.5},
    "lateral_demand": {"rise_s": 0.03, "fall_s": 0.6},
    "longitudinal_demand": {"rise_s": 0.04, "fall_s": 0.5},
}

FRONT_VALVE = {"dead_time_s": 0.002, "rise_s": 0.008, "fall_s": 0.005}
REAR_VALVE = {"dead_time_s": 0.003, "rise_s": 0.010, "fall_s": 0.006}


def car():
    return {
        "format": 1,
        "title": "Reference: every nonlinearity, front and rear different",
        "vehicle": VEHICLE,
        "dampers": [digressive("front damper", **FRONT_FORCE, **FRONT_VALVE), digressive("rear damper", **REAR_FORCE, **REAR_VALVE)],
        "controller": CONTROLLER,
        "modes": [
            mode("continuous", "Continuous"),
            mode("on/off", "OnOff"),
            mode("acceleration", "AccelerationDriven"),
            mode("mixed", {"Mixed": {"crossover_hz": 1.9}}),
            mode("floor", "Continuous", floor=FLOOR),
            mode("slew", "Continuous", slew_a_per_s=60.0),
        ],
        "events": EVENTS,
    }


def high_soft():
    """Firm at the low current, and no valve lag: the current jumps at once."""
    session = car()
    session["title"] = "Reference: soft end at the high current, no lag, slew limit"
    session["dampers"] = [digressive("front damper", falling=True, **FRONT_FORCE), digressive("rear damper", falling=True, **REAR_FORCE)]
    session["modes"] = [mode("continuous", "Continuous", slew_a_per_s=150.0), mode("no slew", "Continuous"), mode("on/off", "OnOff", slew_a_per_s=150.0)]
    session["events"] = [e for e in EVENTS if e["name"] in ("bump", "bump left", "lateral step")]
    return session


def slow_control():
    """Control at 500 Hz; the last sample's outputs hold for two milliseconds."""
    session = car()
    session["title"] = "Reference: control at 500 Hz"
    session["controller"] = dict(CONTROLLER, sample_rate_hz=500.0)
    session["modes"] = session["modes"][:2]
    session["events"] = [e for e in EVENTS if e["name"] in ("bump", "two tracks")]
    return session


def linear():
    """The quarter car of checks.json (400/50 kg, 20/250 kN/m, 1500 N s/m) and the same as a car; nothing optional is given."""
    session = reference.plain_session()
    session["title"] = "Reference: linear quarter car 400/50 kg, 20 and 250 kN/m, 1500 N s/m"
    session["modes"] = [reference.plain_mode("passive")]
    session["events"] = [
        event("bump", 30.0, 2.5, CosineBump={"height_m": 0.03, "length_m": 2.0, "lead_m": 0.0}),
        event("sweep", 72.0, 10.0, Sweep={"from_hz": 0.5, "to_hz": 20.0, "velocity_amplitude_m_per_s": 0.1}),
        event("sine 3 Hz", 72.0, 2.0, Harmonic={"frequency_hz": 3.0, "amplitude_m": 0.01}),
        event("lateral step", 80.0, 2.5, LateralStep={"acceleration_m_per_s2": 4.0, "rise_s": 0.15}),
        event("braking", 100.0, 2.5, Braking={"deceleration_m_per_s2": 5.0, "rise_s": 0.2}),
    ]
    return session


def ideal():
    """Same car with a damper between 300 and 3900 N s/m and a valve lag of 7 ms from 10 to 90 %: the published laws."""
    session = reference.plain_session(soft=(300.0, 300.0), firm=(3900.0, 3900.0))
    session["title"] = "Reference: published control laws on a straight-line damper, 300 to 3900 N s/m"
    session["dampers"][0].update(rise_s=0.0032, fall_s=0.0032)
    session["modes"] = [
        reference.plain_mode("skyhook", "Continuous", heave=3000.0),
        reference.plain_mode("skyhook on/off", "OnOff", heave=3000.0),
        reference.plain_mode("groundhook", "Continuous", wheel=2000.0),
        reference.plain_mode("acceleration", "AccelerationDriven"),
        reference.plain_mode("mixed", {"Mixed": {"crossover_hz": 1.9}}, heave=3000.0),
    ]
    session["events"] = [
        event("bump", 30.0, 2.0, CosineBump={"height_m": 0.03, "length_m": 2.0, "lead_m": 0.0}),
        event("sine 2 Hz", 72.0, 3.0, Harmonic={"frequency_hz": 2.0, "amplitude_m": 0.005}),
    ]
    return session


AXES = ("heave", "wheel", "base", "roll", "pitch")


def axes_and_signs():
    """Each mode has one map alone. A cell says where it is: 400 * map + 40 * row + 7 * column, all counted from 1."""
    session = car()
    session["title"] = "Reference: one map at a time, a different number in every cell"
    rows, levels, demands = [10.0, 35.0, 70.0, 120.0], [0.0, 0.5, 1.5, 3.0, 6.0], [0.0, 0.8, 2.0, 3.5, 6.0]
    modes = []
    for n, name in enumerate(AXES, 1):
        one = reference.plain_mode(f"only {name}", "Continuous", 0.3, 1.6)
        values = [[400.0 * n + 40.0 * r + 7.0 * c for c in range(1, 6)] for r in range(1, 5)]
        one[name] = {"rows": rows, "columns": demands if name in ("roll", "pitch") else levels, "values_n_s_per_m": values}
        modes.append(one)
    floor = reference.plain_mode("only floor", "Continuous", 0.3, 1.6)
    values = [[0.3 + 0.1 * r + 0.04 * c for c in range(1, 6)] for r in range(1, 5)]
    floor["floor"] = {"rows": rows, "columns": demands, "values_a": [[round(x, 2) for x in row] for row in values]}
    modes.append(floor)
    session["modes"] = modes
    session["events"] = [
        event("bump left", 52.0, 1.2, CosineBump={"height_m": 0.04, "length_m": 1.3, "lead_m": 2.0, "side": "Left"}),
        event("lateral step", 52.0, 1.2, LateralStep={"acceleration_m_per_s2": 3.0, "rise_s": 0.3}),
        event("braking", 95.0, 1.8, Braking={"deceleration_m_per_s2": 6.5, "rise_s": 0.3}),
    ]
    return session


def in_car(title, **conditions):
    """Friction, top mounts, measured stops, end stops of the law, steering and pedals that lead; perhaps a scenario."""
    session = car()
    session["title"] = title
    vehicle = json.loads(json.dumps(VEHICLE))
    vehicle["front"]["top_mount_rate_n_per_m"] = 9.0e5
    vehicle["rear"]["rebound_stop"] = {"gap_m": 0.03, "rate_n_per_m": 0.0, "curve": {"travel_m": [0.0, 0.006, 0.02, 0.03], "force_n": [0.0, 150.0, 1300.0, 4200.0]}}
    vehicle["front"]["bump_stop"] = {"gap_m": 0.03, "rate_n_per_m": 20000.0, "curve": {"travel_m": [0.0, 0.01, 0.025], "force_n": [0.0, 100.0, 1500.0]}}
    session["vehicle"] = vehicle
    front, rear = session["dampers"]
    front.update(friction_n=45.0, friction_velocity_m_per_s=0.03, temperature={"temperature_c": [-20.0, 20.0, 100.0], "force_scale": [1.35, 1.0, 0.8]})
    rear.update(friction_n=30.0, friction_velocity_m_per_s=0.02, temperature={"temperature_c": [0.0, 50.0], "force_scale": [1.2, 0.95]})
    front["supply_lost"] = {"velocity_m_per_s": [-1.0, -0.2, 0.0, 0.2, 1.0], "force_n": [-1000.0, -480.0, 0.0, 900.0, 2300.0]}
    rear["supply_lost"] = {"velocity_m_per_s": [-1.0, 0.0, 1.0], "force_n": [-900.0, 0.0, 1700.0]}
    session["controller"] = dict(CONTROLLER, lateral_demand={"rise_s": 0.03, "fall_s": 0.6, "lead_s": 0.15}, longitudinal_demand={"rise_s": 0.04, "fall_s": 0.5, "lead_s": 0.1})
    session["modes"] = [dict(m, end_stop={"zone_m": 0.025, "rate_m_per_s": 0.5}) for m in session["modes"][:3]]
    session["events"] = [e for e in EVENTS if e["name"] in ("bump", "bump left", "high bump", "lateral step", "braking", "dip right")]
    if conditions:
        session["conditions"] = conditions
    return session


def sensors():
    """The controller estimates its states: wheel accelerometers in front, late and stepped readings, odd places."""
    session = car()
    session["title"] = "Reference: states estimated from sensors"
    session["controller"] = dict(CONTROLLER, states={"Estimated": {
        "body_sensors": [{"x_m": 1.3, "y_m": 0.62}, {"x_m": 1.05, "y_m": -0.55}, {"x_m": -1.4, "y_m": 0.15}],
        "wheel_accelerometers": "Front",
        "body_leak_hz": 0.15, "height_share": 0.5, "height_low_pass_hz": 35.0, "wheel_leak_hz": 0.7,
        "body_accelerometer": {"delay_s": 0.002, "range_m_per_s2": 12.0},
        "height_sensor": {"delay_s": 0.001, "range_m": 0.07},
        "wheel_accelerometer": {"delay_s": 0.003, "range_m_per_s2": 150.0},
    }})
    session["modes"] = session["modes"][:4]
    session["events"] = [e for e in EVENTS if e["name"] in ("bump", "bump left", "lateral step", "braking", "pothole right")]
    return session


def more_events():
    """The wider set of roads and manoeuvres; tyres that average over their contact patch, a handling of its own."""
    session = car()
    session["title"] = "Reference: humps, waves, rails, joints, patches, steering, braking in a bend, contact patches"
    session["vehicle"] = dict(VEHICLE, handling={
        "front_cornering_compliance_deg_per_g": 6.0, "rear_cornering_compliance_deg_per_g": 3.2, "yaw_inertia_kg_m2": 2650.0,
    })
    session["vehicle"]["front"] = dict(VEHICLE["front"], contact_length_m=0.12)
    session["vehicle"]["rear"] = dict(VEHICLE["rear"], contact_length_m=0.14)
    session["modes"] = session["modes"][:2]
    slower = {"to_km_h": 25.0, "start_s": 0.1, "over_s": 1.6, "rise_s": 0.3}
    session["events"] = [
        event("hump", 30.0, 2.5, CircularHump={"height_m": 0.1, "length_m": 3.7, "lead_m": 3.0}),
        dict(event("hump right, braked", 45.0, 2.5, CircularHump={"height_m": 0.08, "length_m": 3.0, "lead_m": 6.0, "side": "Right"}), speed_change=slower),
        event("waves", 80.0, 3.0, Undulation={"height_m": 0.07, "length_m": 16.0, "waves": 2, "right_lag_share": 0.3, "lead_m": 4.0}),
        event("rails", 18.0, 2.2, RailwayCrossing={"tracks": 2, "rail_height_m": 0.008, "groove_width_m": 0.07, "edge_m": 0.02, "lead_m": 2.0}),
        event("joints", 72.0, 2.0, ExpansionJoints={"spacing_m": 8.0, "joints": 4, "gap_m": 0.09, "depth_m": 0.015, "fault_m": 0.004, "lead_m": 4.0}),
        event("patches", 50.0, 2.5, PatchedRoad={"seed": 5, "height_m": 0.02, "length_m": 1.2, "clear_m": 1.5, "lead_m": 2.0}),
        event("step steer", 80.0, 2.5, StepSteer={"acceleration_m_per_s2": 4.0, "start_s": 0.3}),
        event("sine steer", 90.0, 3.0, SineSteer={"acceleration_m_per_s2": -3.5, "frequency_hz": 0.7, "start_s": 0.2}),
        event("double lane change", 80.0, 6.5, ConeLaneChange={"lead_m": 5.0}),
        event("obstacle avoidance", 55.0, 5.0, ConeLaneChange={"course": "ObstacleAvoidance", "vehicle_width_m": 1.75, "lead_m": 5.0}),
        event("slalom", 50.0, 6.0, Slalom={"spacing_m": 18.0, "cones": 3, "lead_m": 2.0}),
        event("brake in bend", 80.0, 4.0, BrakeInBend={"lateral_m_per_s2": 5.0, "entry_s": 0.6, "start_s": 0.2, "deceleration_m_per_s2": 5.0, "rise_s": 0.2, "brake_s": 1.5}),
    ]
    return session


SESSION_BUILDERS = {
    "sensors": sensors,
    "in-car": lambda: in_car("Reference: friction, top mounts, measured stops, end stops, lead"),
    "hot": lambda: in_car("Reference: the same with hot dampers", damper_temperature_c=70.0),
    "no-supply": lambda: in_car("Reference: the same without supply", supply_lost=True),
    "more-events": more_events,
    "car": car, "high-soft": high_soft, "slow-control": slow_control, "linear": linear, "ideal": ideal, "axes-and-signs": axes_and_signs,
}


def two_tracks():
    """Two different smooth tracks that begin and end at zero height; numbers as they stand in the file."""
    lines = ["distance_m,left_m,right_m"]
    for n in range(0, 401):
        x = 0.1 * n
        window = math.sin(math.pi * min(1.0, max(0.0, x / 40.0))) ** 2
        left = window * (0.012 * math.sin(2 * math.pi * x / 7.0) + 0.004 * math.sin(2 * math.pi * x / 1.3 + 0.4))
        right = window * (0.010 * math.sin(2 * math.pi * x / 5.0 + 1.0) - 0.005 * math.sin(2 * math.pi * x / 1.7))
        lines.append(f"{x:.1f},{left:.6f},{right:.6f}")
    return "\n".join(lines) + "\n"


def cases():
    """(session, model, mode, event, load case) of every run."""
    runs = []
    for law in ("continuous", "on/off"):
        for model in reference.MODELS:
            runs.append(("car", model, law, "bump", None))
            runs.append(("car", model, law, "sweep", None))
        for model in ("roll-front", "roll-rear", "full"):
            runs.append(("car", model, law, "lateral step", None))
            runs.append(("car", model, law, "bump left", None))
        for model in ("pitch", "full"):
            runs.append(("car", model, law, "braking", None))
        runs.append(("car", "full", law, "bump left", "full"))
        runs.append(("car", "full", law, "lateral step right", "one side"))
    # Load cases on every model.
    runs += [
        ("car", "quarter-front", "continuous", "bump", "full"),
        ("car", "quarter-rear", "continuous", "bump", "full"),
        ("car", "pitch", "continuous", "braking pulse", "full"),
        ("car", "roll-front", "continuous", "lateral step", "one side"),
        ("car", "roll-rear", "continuous", "lateral step", "full"),
        ("car", "full", "continuous", "bump left", "driver"),
        ("car", "full", "continuous", "braking", "full levelled"),
        # Stops, lift, levelled or not.
        ("car", "quarter-rear", "continuous", "high bump", "full"),
        ("car", "quarter-rear", "continuous", "high bump", "full levelled"),
        ("car", "pitch", "continuous", "high bump", "full"),
        ("car", "full", "on/off", "high bump", None),
        ("car", "quarter-front", "continuous", "pothole", None),
        ("car", "full", "continuous", "pothole right", "driver"),
        # The other laws and settings.
        ("car", "quarter-front", "acceleration", "bump", None),
        ("car", "full", "acceleration", "bump left", None),
        ("car", "quarter-front", "mixed", "bump", None),
        ("car", "full", "mixed", "dip right", None),
        ("car", "full", "floor", "lane change", None),
        ("car", "full", "slew", "bump left", None),
        # The other events.
        ("car", "full", "continuous", "lane change", None),
        ("car", "roll-front", "on/off", "lane change", None),
        ("car", "full", "continuous", "dip right", None),
        ("car", "pitch", "continuous", "drive", None),
        ("car", "full", "continuous", "drive", "driver"),
        ("car", "pitch", "continuous", "braking to standstill", None),
        ("car", "full", "continuous", "braking pulse", None),
        ("car", "pitch", "continuous", "sweep linear", None),
        ("car", "pitch", "continuous", "sine 3 Hz", None),
        ("car", "full", "continuous", "two tracks", None),
        ("car", "pitch", "continuous", "two tracks", None),
        ("car", "quarter-rear", "continuous", "two tracks", None),
        ("high-soft", "quarter-front", "continuous", "bump", None),
        ("high-soft", "quarter-rear", "no slew", "bump", None),
        ("high-soft", "full", "continuous", "bump left", "driver"),
        ("high-soft", "roll-rear", "on/off", "lateral step", None),
        ("slow-control", "full", "continuous", "two tracks", None),
        ("slow-control", "quarter-front", "on/off", "bump", None),
        ("linear", "quarter-front", "passive", "bump", None),
        ("linear", "quarter-front", "passive", "sweep", None),
        ("linear", "quarter-rear", "passive", "sine 3 Hz", None),
        ("linear", "full", "passive", "lateral step", None),
        ("linear", "pitch", "passive", "braking", None),
    ]
    for name in ("skyhook", "skyhook on/off", "groundhook", "acceleration", "mixed"):
        runs.append(("ideal", "quarter-front", name, "bump", None))
        runs.append(("ideal", "quarter-front", name, "sine 2 Hz", None))
    for name, what in (("heave", "bump left"), ("wheel", "bump left"), ("base", "bump left"), ("roll", "lateral step"), ("pitch", "braking"), ("floor", "lateral step")):
        runs.append(("axes-and-signs", "full", f"only {name}", what, None))
    for model, law, what, load_case in (
        ("quarter-front", "continuous", "bump", None),
        ("quarter-rear", "continuous", "bump", "full"),
        ("pitch", "continuous", "braking", None),
        ("roll-front", "continuous", "lateral step", None),
        ("roll-rear", "mixed", "bump left", None),
        ("full", "continuous", "bump left", None),
        ("full", "continuous", "lateral step", "one side"),
        ("full", "on/off", "pothole right", None),
        ("full", "acceleration", "bump left", "full"),
    ):
        runs.append(("sensors", model, law, what, load_case))
    runs += [
        ("in-car", "quarter-front", "continuous", "bump", None),
        ("in-car", "quarter-rear", "continuous", "high bump", "full"),
        ("in-car", "pitch", "continuous", "braking", None),
        ("in-car", "roll-front", "continuous", "lateral step", None),
        ("in-car", "full", "continuous", "bump left", None),
        ("in-car", "full", "continuous", "lateral step", None),
        ("in-car", "quarter-front", "continuous", "high bump", None),
        ("in-car", "quarter-front", "acceleration", "bump", None),
        ("hot", "full", "continuous", "bump left", None),
        ("hot", "quarter-front", "on/off", "bump", None),
        ("no-supply", "full", "continuous", "bump left", None),
        ("no-supply", "roll-rear", "on/off", "lateral step", None),
    ]
    for model, law, what in (
        ("quarter-front", "continuous", "hump"),
        ("full", "continuous", "hump right, braked"),
        ("pitch", "continuous", "waves"),
        ("full", "on/off", "waves"),
        ("full", "continuous", "rails"),
        ("quarter-rear", "continuous", "rails"),
        ("full", "continuous", "joints"),
        ("full", "continuous", "patches"),
        ("pitch", "on/off", "patches"),
        ("full", "continuous", "step steer"),
        ("roll-front", "continuous", "sine steer"),
        ("full", "continuous", "double lane change"),
        ("full", "continuous", "obstacle avoidance"),
        ("roll-rear", "on/off", "slalom"),
        ("full", "continuous", "brake in bend"),
    ):
        runs.append(("more-events", model, law, what, None))
    return runs


def short(values):
    """Rounded to less than a ten-thousandth of the channel's peak; what is only rounding noise becomes zero."""
    peak = float(numpy.abs(values).max())
    if peak < 1e-9:
        return [0] * len(values)
    places = max(0, 4 - math.floor(math.log10(peak)))
    rounded = [round(float(x), places) for x in values]
    return [int(x) if x == int(x) else x for x in rounded]


def nine(x):
    """A figure with nine digits; rounding noise becomes zero."""
    return {key: nine(y) for key, y in x.items()} if isinstance(x, dict) else (0.0 if abs(x) < 1e-9 else float(f"{x:.9g}"))


def flat(figures):
    """Figures by one name each, corners behind a point."""
    out = {}
    for key, value in figures.items():
        out |= {f"{key}.{corner}": x for corner, x in value.items()} if isinstance(value, dict) else {key: value}
    return out


def sensitivity(session, run, figures):
    """Relative change of each figure when the body is heavier by a hundred-thousandth, where it is more than ten times that.

    A switching law may turn a tiny difference into one sample of firm instead of soft; this says where that shows.
    """
    session = json.loads(json.dumps(session))
    session["vehicle"]["body_mass_kg"] *= 1 + 1e-5
    other = flat(nine(reference.Run(session, *run, SESSIONS).go().figures()))
    changes = {key: abs(other[key] - x) / abs(x) if x else abs(other[key]) for key, x in flat(figures).items()}
    return {key: float(f"{x:.2g}") for key, x in changes.items() if x > 1e-4}


def one_case(args):
    session_name, model, mode_name, event_name, load_case = args
    session = reference.load_session(os.path.join(SESSIONS, session_name + ".json"))
    began = time.time()
    run = reference.Run(session, model, mode_name, event_name, load_case, SESSIONS).go()
    r, p = run.kept, run.plant
    # Manoeuvres on a flat road are slow; the sweep is long.
    slow = any(word in event_name for word in ("lateral", "lane", "braking", "drive", "steer", "slalom", "avoidance", "bend", "waves")) and session_name != "axes-and-signs"
    every = 50 if event_name == "sweep" else (20 if slow else 10)
    pick = slice(0, None, every)
    corner = lambda key: {name: short(r[key][pick, i]) for i, name in enumerate(p.names)}
    channels = {"heave_m": r["q"][:, 0], "heave_rate_m_per_s": r["qd"][:, 0], "heave_acceleration_m_per_s2": r["qdd"][:, 0]}
    for index, what in ((p.roll_index, "roll"), (p.pitch_index, "pitch")):
        if index is not None:
            channels[f"{what}_rad"] = r["q"][:, index]
            channels[f"{what}_rate_rad_per_s"] = r["qd"][:, index]
    channels = {key: short(value[pick]) for key, value in channels.items()}
    channels |= {"deflection_m": corner("e"), "wheel_load_n": corner("N"), "current_a": corner("I")}
    if session_name == "axes-and-signs":
        channels |= {"wanted_force_n": corner("want"), "command_a": corner("command"), "deflection_rate_m_per_s": corner("v")}
        channels["speed_m_per_s"] = short(r["speed"][pick])
        channels["roughness_m_per_s2"] = {name: short(r["level"][pick, i]) for i, name in enumerate(("front", "rear"))}
        channels["lateral_demand_m_per_s2"] = short(r["demand"][pick, 0])
        channels["longitudinal_demand_m_per_s2"] = short(r["demand"][pick, 1])
    figures = nine(run.figures())
    sensitive = sensitivity(session, args[1:], figures)
    name = " / ".join([session_name, model, mode_name, event_name] + ([load_case] if load_case else []))
    print(f"{time.time() - began:6.1f} s  {name}", flush=True)
    return {
        "name": name,
        "session": f"sessions/{session_name}.json",
        "model": model,
        "mode": mode_name,
        "event": event_name,
        "load_case": load_case,
        "sample_step_s": every / 1000,
        "samples": len(r["t"][pick]),
        "static_wheel_load_n": nine(dict(zip(p.names, p.static))),
        "static_deflection_m": nine(dict(zip(p.names, p.sag))),
        "figures": figures,
        "sensitivity": sensitive,
        "channels": channels,
    }


def main():
    parser = argparse.ArgumentParser(description="Writes the reference sessions and trajectories.")
    parser.add_argument("--sessions", action="store_true", help="only the session documents")
    parser.add_argument("--jobs", type=int, default=1)
    parser.add_argument("--new", action="store_true", help="only runs that trajectories.json does not hold yet")
    parser.add_argument("--only", help="runs whose name contains this, to the screen")
    args = parser.parse_args()
    os.makedirs(SESSIONS, exist_ok=True)
    for name, build in SESSION_BUILDERS.items():
        with open(os.path.join(SESSIONS, name + ".json"), "w") as file:
            json.dump(build(), file, indent=1)
            file.write("\n")
    with open(os.path.join(SESSIONS, "two-tracks.csv"), "w") as file:
        file.write(two_tracks())
    if args.sessions:
        return
    runs = cases()
    if args.only:
        for run in runs:
            if args.only in " / ".join(x for x in run if x):
                print(json.dumps(one_case(run)["figures"], indent=1))
        return
    known = {}
    if args.new:
        with open(os.path.join(HERE, "trajectories.json")) as file:
            known = {case["name"]: case for case in json.load(file)["cases"]}
    name_of = lambda run: " / ".join(x for x in run if x)
    wanted = [run for run in runs if name_of(run) not in known]
    if args.jobs > 1:
        with multiprocessing.Pool(args.jobs) as pool:
            made = pool.map(one_case, wanted, chunksize=1)
    else:
        made = [one_case(run) for run in wanted]
    known |= {case["name"]: case for case in made}
    results = [known[name_of(run)] for run in runs]
    document = {
        "about": "Runs of reference.py. Channels are sampled every sample_step_s from t = 0 and show what stands just before the "
        "command of that instant acts; figures are taken at 1 kHz over the whole run. Meanings and tolerances: README.md.",
        "versions": {"python": platform.python_version(), "numpy": numpy.__version__, "scipy": scipy.__version__},
        "gravity_m_per_s2": reference.GRAVITY,
        "cases": results,
    }
    # One line a case keeps differences readable.
    head = {key: value for key, value in document.items() if key != "cases"}
    with open(os.path.join(HERE, "trajectories.json"), "w") as file:
        file.write(json.dumps(head)[:-1] + ', "cases": [\n')
        file.write(",\n".join(json.dumps(case, separators=(",", ":")) for case in results))
        file.write("\n]}\n")


if __name__ == "__main__":
    main()
