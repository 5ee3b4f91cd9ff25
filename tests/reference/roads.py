"""Roads and manoeuvres of the reference simulator beyond the plain ones, written from their definitions alone.

Each road gives a function of distance -> (height, slope) for the left and the right track and the distances at which it
has a kink; each steered manoeuvre gives lateral acceleration as a function of time.
"""

import math

import numpy as np
from scipy.interpolate import CubicSpline
from scipy.signal import StateSpace, lsim, ss2tf

G = 9.80665
FLAT = lambda x: (0.0, 0.0)


def cosine_waves(height, length, waves, start):
    def road(x):
        s = x - start
        if not 0.0 < s < waves * length:
            return 0.0, 0.0
        k = 2 * math.pi / length
        return height / 2 * (1 - math.cos(k * s)), height / 2 * k * math.sin(k * s)

    return road, [start, start + waves * length]


def circular_hump(height, length, start):
    """Circle through (0, 0), (length/2, height), (length, 0)."""
    h = abs(height)
    radius = (length**2 / 4 + h**2) / (2 * h)
    sign = math.copysign(1.0, height)

    def road(x):
        s = x - start
        if not 0.0 < s < length:
            return 0.0, 0.0
        across = s - length / 2
        up = math.sqrt(radius**2 - across**2)
        return sign * (up - (radius - h)), -sign * across / up

    return road, [start, start + length]


def polygon(points):
    """Straight pieces between points; level before and after."""
    x, z = zip(*points)

    def road(s):
        if s <= x[0]:
            return z[0], 0.0
        if s >= x[-1]:
            return z[-1], 0.0
        a = int(np.searchsorted(x, s, side="right")) - 1
        slope = (z[a + 1] - z[a]) / (x[a + 1] - x[a])
        return z[a] + slope * (s - x[a]), slope

    return road, list(x)


def block(start, end, height, edge):
    return [(start, 0.0), (start + edge, height), (end - edge, height), (end, 0.0)]


def railway(p):
    gauge, head = 1.435, 0.072
    edge, groove = p.get("edge_m", 0.01), p.get("groove_width_m", 0.065)
    up, down = p.get("rail_height_m", 0.0), -p.get("groove_depth_m", 0.04)
    points = []
    for track in range(p.get("tracks", 1)):
        a = p.get("lead_m", 10.0) + track * p.get("track_spacing_m", 4.0)
        b = a + head + gauge
        points += block(a, a + head, up, edge) + block(a + head, a + head + groove, down, edge)
        points += block(b - groove, b, down, edge) + block(b, b + head, up, edge)
    return polygon(distinct(points))


def distinct(points):
    """Neighbouring blocks share a point."""
    out = []
    for point in points:
        if not out or point[0] > out[-1][0] + 1e-12:
            out.append(point)
    return out


def joints(p):
    edge, gap, lead = p.get("edge_m", 0.01), p["gap_m"], p.get("lead_m", 10.0)
    points = []
    for n in range(p["joints"]):
        a = lead + n * p["spacing_m"]
        points += [(a, p.get("fault_m", 0.0) if n else 0.0), (a + edge, -p["depth_m"]), (a + gap - edge, -p["depth_m"]), (a + gap, 0.0)]
    return polygon(points)


def chacha8(seed, count):
    """64-bit words of the ChaCha stream cipher with 8 rounds (Bernstein 2008); the key comes from the seed by PCG-XSH-RR
    32 (O'Neill 2014), four bytes at a time."""
    key, state = [], seed
    for _ in range(8):
        state = (state * 6364136223846793005 + 11634580027462260723) % 2**64
        word, turn = (((state >> 18) ^ state) >> 27) % 2**32, state >> 59
        key.append(((word >> turn) | (word << ((32 - turn) % 32))) % 2**32)
    words, block_number = [], 0
    while len(words) < 2 * count:
        first = [0x61707865, 0x3320646E, 0x79622D32, 0x6B206574, *key, block_number % 2**32, block_number >> 32, 0, 0]
        x = list(first)

        def quarter(a, b, c, d):
            for p, q, r, n in ((a, b, d, 16), (c, d, b, 12), (a, b, d, 8), (c, d, b, 7)):
                x[p] = (x[p] + x[q]) % 2**32
                x[r] ^= x[p]
                x[r] = ((x[r] << n) | (x[r] >> (32 - n))) % 2**32

        for _ in range(4):
            for i in range(4):
                quarter(i, 4 + i, 8 + i, 12 + i)
            for i in range(4):
                quarter(i, 4 + (i + 1) % 4, 8 + (i + 2) % 4, 12 + (i + 3) % 4)
        words += [(a + b) % 2**32 for a, b in zip(x, first)]
        block_number += 1
    return [words[2 * i] + (words[2 * i + 1] << 32) for i in range(count)]


def patches(p, end):
    words = iter(chacha8(p["seed"], 4 * int(end / (0.5 * (p["length_m"] + p["clear_m"])) + 10)))
    share = lambda: (next(words) >> 11) / 2**53
    edge, here = p.get("edge_m", 0.05), p.get("lead_m", 10.0)
    left, right = [], []
    while here < end:
        start = here + p["clear_m"] * (0.5 + share())
        here = start + p["length_m"] * (0.5 + share())
        height = p["height_m"] * (2 * share() - 1)
        third = int(3 * share())
        # Thirds: left alone, right alone, both.
        if third != 1:
            left += block(start, here, height, edge)
        if third != 0:
            right += block(start, here, height, edge)
    return polygon(left or [(0.0, 0.0)]), polygon(right or [(0.0, 0.0)])


def road(name, p, end):
    """(left, right) as functions of distance, and where they have kinks; None where the road is not one of these."""
    side = p.get("side", "Both")
    sided = lambda made: ((made[0] if side != "Right" else FLAT, made[0] if side != "Left" else FLAT), made[1])
    lead = p.get("lead_m", 10.0)
    if name == "CircularHump":
        return sided(circular_hump(p["height_m"], p["length_m"], lead))
    if name == "Undulation":
        late = p.get("right_lag_share", 0.0) * p["length_m"]
        left, left_edges = cosine_waves(p["height_m"], p["length_m"], p["waves"], lead)
        right, right_edges = cosine_waves(p["height_m"], p["length_m"], p["waves"], lead + late)
        return (left, right), left_edges + right_edges
    if name == "RailwayCrossing":
        return sided(railway(p))
    if name == "ExpansionJoints":
        return sided(joints(p))
    if name == "PatchedRoad":
        (left, left_edges), (right, right_edges) = patches(p, end)
        return (left, right), left_edges + right_edges
    return None


def averaged(road, edges, length):
    """Mean of a road over a length around the place.

    Areas of cells of half a millimetre by two-point Gauss (exact to third order, kinks lie between cells), summed up; the
    mean is their difference, its slope that of the heights; between cells the cubic through both ends and slopes.
    """
    if not edges:
        return road
    h = 5e-4
    x = np.arange(math.floor((min(edges) - length) / h), math.ceil((max(edges) + length) / h) + 1) * h
    off = h / 2 / math.sqrt(3)
    cells = [h / 2 * (road(c - off)[0] + road(c + off)[0]) for c in (x[:-1] + h / 2)]
    area = np.concatenate([[0.0], np.cumsum(cells)])
    inside = x[(x >= x[0] + length / 2) & (x <= x[-1] - length / 2)]
    mean = (np.interp(inside + length / 2, x, area) - np.interp(inside - length / 2, x, area)) / length
    slope = [(road(c + length / 2)[0] - road(c - length / 2)[0]) / length for c in inside]
    first, last, mean = inside[0], inside[-1], mean.tolist()

    def felt(s):
        if not first < s < last:
            return 0.0, 0.0
        i = min(int((s - first) / h), len(mean) - 2)
        t = (s - first) / h - i
        a, b, da, db = mean[i], mean[i + 1], h * slope[i], h * slope[i + 1]
        c3, c2 = 2 * (a - b) + da + db, 3 * (b - a) - 2 * da - db
        return a + t * (da + t * (c2 + t * c3)), (da + t * (2 * c2 + 3 * t * c3)) / h

    return felt


# --------------------------------------------------------------------------------------------------- steering


def single_track(vehicle, u):
    """Linear single-track model; the input is steering as the lateral acceleration that it gives in the end."""
    a = vehicle["cg_to_front_axle_m"]
    b = vehicle["wheelbase_m"] - a
    handling = vehicle.get("handling", {})
    df = math.radians(handling.get("front_cornering_compliance_deg_per_g", 5.5))
    dr = math.radians(handling.get("rear_cornering_compliance_deg_per_g", 3.5))
    m = vehicle["body_mass_kg"] + 2 * (vehicle["front"]["wheel_mass_kg"] + vehicle["rear"]["wheel_mass_kg"])
    i = handling.get("yaw_inertia_kg_m2", m * a * b)
    cf, cr = m * G * b / (a + b) / df, m * G * a / (a + b) / dr
    A = [[-(cf + cr) / (m * u), -u - (a * cf - b * cr) / (m * u)], [-(a * cf - b * cr) / (i * u), -(a * a * cf + b * b * cr) / (i * u)]]
    gain = (a + b) / u**2 + (df - dr) / G
    B = np.array([[cf / m], [a * cf / i]]) * gain
    C = np.array([[A[0][0], A[0][1] + u]])
    return StateSpace(np.array(A), B, C, B[:1])


def lane_gates(course, w):
    b1, b2, b3 = 1.1 * w + 0.25, 1.2 * w + 0.25, 1.3 * w + 0.25
    if course == "DoubleLaneChange":
        r1, r2, r3 = ((b - w) / 2 - 0.1 for b in (b1, b2, b3))
        return [-5, 15, 45, 57.5, 70, 95, 110, 130], [0, r1, 3.5 - r2, 3.5 + r2, 3.5 - r2, r3, 0, 0]
    low, high = -(w / 2 + 0.1), 1 + w / 2 + 0.1
    return [-3, 12, 25.5, 36.5, 49, 64], [low, low, high, high, low, low]


def slalom_gates(p):
    s, n, side = p["spacing_m"], p["cones"], p.get("vehicle_width_m", 1.8) / 2 + 0.1
    return [-1.5 * s, *(k * s for k in range(n)), (n + 0.5) * s], [0, *(side * (-1) ** k for k in range(n)), 0]


def straight_spline(x, y):
    """Cubic spline through the gates, slope and curvature zero at both ends by one free point near each."""
    x = [x[0], (x[0] + x[1]) / 2, *x[1:-1], (x[-2] + x[-1]) / 2, x[-1]]
    make = lambda f, l: CubicSpline(x, [y[0], f, *y[1:-1], l, y[-1]], bc_type=((1, 0.0), (1, 0.0)))
    ends = lambda s: np.array([s(x[0], 2), s(x[-1], 2)])
    base = ends(make(0, 0))
    free = np.linalg.solve(np.column_stack([ends(make(1, 0)) - base, ends(make(0, 1)) - base]), -base)
    return make(*free)


def steered(name, p, event, vehicle):
    """Lateral acceleration as a function of time and its kinks; None where nothing is steered."""
    u = event["speed_km_h"] / 3.6
    start = p.get("start_s", 0.0)
    if name == "StepSteer":
        rise, value = p.get("rise_s", 0.15), p["acceleration_m_per_s2"]
        wanted, kinks = (lambda t: value * np.clip((t - start) / rise, 0, 1)), [start, start + rise]
    elif name == "SineSteer":
        f, value = p.get("frequency_hz", 0.5), p["acceleration_m_per_s2"]
        end = start + p.get("periods", 1) / f
        wanted = lambda t: np.where((t > start) & (t < end), value * np.sin(2 * np.pi * f * (t - start)), 0.0)
        kinks = [start, end]
    elif name in ("ConeLaneChange", "Slalom"):
        x, y = slalom_gates(p) if name == "Slalom" else lane_gates(p.get("course", "DoubleLaneChange"), p.get("vehicle_width_m", 1.8))
        x = np.array(x, float) - x[0] + p.get("lead_m", 10.0)
        spline = straight_spline(x, y)
        top, bottom = ss2tf(*(lambda s: (s.A, s.B, s.C, s.D))(single_track(vehicle, u)))
        ahead = bottom[-2] / bottom[-1] - top[0][-2] / top[0][-1]

        def wanted(t):
            s = u * (t + ahead)
            return np.where((s >= x[0]) & (s <= x[-1]), u * u * spline(s, 2), 0.0)

        kinks = [float(k) for k in spline.x / u - ahead]
    else:
        return None
    h = 1e-4
    t = np.arange(0.0, event["duration_s"] + 10 * h, h)
    a = lsim(single_track(vehicle, u), wanted(t), t)[1].tolist()

    def lateral(now):
        k = min(max(now / h, 0.0), len(a) - 1.000001)
        i = int(k)
        return a[i] + (k - i) * (a[i + 1] - a[i])

    return lateral, [k for k in kinks if k > 0]
