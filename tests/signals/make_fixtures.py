"""Profiles and vibration signals with their figures, computed with numpy and scipy alone.

Signals and profiles are sums of sines, so that a test can make the same samples at any rate; only the sines and the figures
are stored. Run: python3 make_fixtures.py (numpy 2.4.6, scipy 1.17.1, Python 3.11; under a minute).
"""

import json
import os

import numpy as np
from scipy import signal
from scipy.interpolate import interp1d
from scipy.linalg import expm

HERE = os.path.dirname(os.path.abspath(__file__))
TAU = 2 * np.pi


# --- Profiles -------------------------------------------------------------------------------------------------------

def transition(step_m):
    """Reference quarter car of the roughness index (ASTM E1926; constants 653, 63.3, 6, 0.15; 80 km/h) over one step."""
    k, c, kt, mu = 63.3, 6.0, 653.0, 0.15
    a = np.zeros((5, 5))
    a[0, 1] = a[2, 3] = 1.0
    a[1, :4] = [-k, -c, k, c]
    a[3, :4] = [k / mu, c / mu, -(k + kt) / mu, -c / mu]
    a[3, 4] = kt / mu
    e = expm(a * step_m / (80 / 3.6))
    return e[:4, :4], e[:4, 4]


def roughness(elevation_m, step_m):
    """Sayers 1995: slopes over the moving average's base rounded to whole steps, start from the slope of 11 m."""
    base = max(1, int(0.25 / step_m + 0.5))
    slopes = (elevation_m[base:] - elevation_m[:-base]) / (base * step_m)
    eleven = int(11.0 / step_m + 0.5)
    start = (elevation_m[eleven] - elevation_m[0]) / (eleven * step_m)
    x = np.array([start, 0.0, start, 0.0])
    s, p = transition(step_m)
    total = 0.0
    for slope in slopes:
        x = s @ x + p * slope
        total += abs(x[2] - x[0])
    return 1000.0 * total / len(slopes)


def smoothed_fit(elevation_m, step_m):
    """Welch's density, bands of ISO 8608, straight line through those from 0.011 to 2.83 cycles/m."""
    segment = min(len(elevation_m), int(round(400.0 / step_m)))
    n, g = signal.welch(signal.detrend(elevation_m), 1 / step_m, "hann", segment, segment // 2, detrend="constant")
    dn = n[1]
    centres = [(2.0**k, 1.0) for k in range(-7, -4)]
    centres += [(2.0 ** (k / 3), 3.0) for k in range(-13, -5)]
    centres += [(2.0 ** (k / 12), 12.0) for k in range(-22, 41)]
    edges = np.concatenate([n - dn / 2, [n[-1] + dn / 2]])
    power = np.concatenate([[0.0], np.cumsum(g * dn)])
    bands = []
    for centre, share in centres:
        low, high = centre * 2 ** (-0.5 / share), centre * 2 ** (0.5 / share)
        if low < 2 * dn or high > 0.4 / step_m or low < 0.995 * 0.011 or high > 1.005 * 2.83:
            continue
        mean = (np.interp(high, edges, power) - np.interp(low, edges, power)) / (high - low)
        bands.append((centre, mean))
    centre, mean = np.array(bands).T
    slope, level = np.polyfit(np.log10(centre / 0.1), np.log10(mean), 1)
    return {"psd_at_n0_m3": 10**level, "waviness": -slope, "bands": len(bands)}


def profiles():
    rng = np.random.default_rng(8608)
    cases = []
    for name, waviness, density, highest in [
        ("class C", 2.0, 256e-6, 2.83),
        ("class A with short waves", 1.7, 16e-6, 8.0),
        ("class E, long waves", 2.5, 4096e-6, 3.0),
    ]:
        # Wavenumbers off any grid, denser at the long end; amplitude from the density over each one's own width.
        edges = np.geomspace(0.005, highest, 901)
        n = edges[:-1] + rng.uniform(0.2, 0.8, 900) * np.diff(edges)
        amplitude = np.sqrt(2 * density * (n / 0.1) ** -waviness * np.diff(edges))
        phase = rng.uniform(0, TAU, 900)
        at = lambda x: (amplitude * np.sin(TAU * np.outer(x, n) + phase)).sum(axis=1)
        tracks = []
        for step, jitter in [(0.05, 0), (0.1, 0), (0.125, 0), (0.15, 0), (0.2, 0), (0.25, 0), (0.3, 0), (0.1, 0.3), (0.2, 0.3)]:
            i = np.arange(int(420 / step))
            # The stored rule for uneven places: every sample is moved by a sine of its index.
            x = step * (i + jitter * np.sin(1.7 * i))
            z = at(x)
            if jitter:
                even = np.arange(x[0], x[-1], 0.05)
                index = roughness(interp1d(x, z, kind="cubic")(even), 0.05)
                tracks.append({"step_m": step, "jitter": jitter, "roughness_index_m_per_km": index})
            else:
                tracks.append({"step_m": step, "jitter": jitter, "roughness_index_m_per_km": roughness(z, step), **smoothed_fit(z, step)})
        cases.append({
            "name": name, "length_m": 420, "wavenumbers_cycles_per_m": n.tolist(), "amplitudes_m": amplitude.tolist(),
            "phases_rad": phase.tolist(), "tracks": tracks,
        })
    return cases


# --- Vibration ------------------------------------------------------------------------------------------------------

def weighting(name):
    """Analogue transfer functions of ISO 2631-1 Annex A and ISO 8041, as (numerator, denominator) factors."""
    table = {
        "Wk": (0.4, 100, 12.5, 12.5, 0.63, (2.37, 0.91, 3.35, 0.91), 1),
        "Wd": (0.4, 100, 2, 2, 0.63, None, 1),
        "Wc": (0.4, 100, 8, 8, 0.63, None, 1),
        "We": (0.4, 100, 1, 1, 0.63, None, 1),
        "Wf": (0.08, 0.63, np.inf, 0.25, 0.86, (0.0625, 0.80, 0.10, 0.80), 1),
        "Wb": (0.4, 100, 16, 16, 0.55, (2.5, 0.9, 4, 0.95), 1.024),
    }
    f1, f2, f3, f4, q4, step, gain = table[name]
    w1, w2, w3, w4 = (TAU * f for f in (f1, f2, f3, f4))
    factors = [([1, 0, 0], [1, w1 * np.sqrt(2), w1**2]), ([w2**2], [1, w2 * np.sqrt(2), w2**2])]
    factors.append(([gain * w4**2 / w3, gain * w4**2], [1, w4 / q4, w4**2]))
    if step:
        f5, q5, f6, q6 = step
        w5, w6 = TAU * f5, TAU * f6
        factors.append(([1, w5 / q5, w5**2], [1, w6 / q6, w6**2]))
    return factors


def weigh(x, rate, name):
    """Factor by factor with scipy.signal.lsim, from rest; at this rate the line between samples is exact to 1e-5."""
    t = np.arange(len(x)) / rate
    for numerator, denominator in weighting(name):
        x = signal.lsim((numerator, denominator), x, t)[1]
    return x


def vibration():
    rng = np.random.default_rng(2631)
    cases = []
    for name, low, high, duration in [("seat", 0.5, 45.0, 30.0), ("floor", 1.0, 80.0, 20.0), ("ship", 0.05, 2.0, 120.0)]:
        f = np.sort(rng.uniform(low, high, 60))
        amplitude = rng.uniform(0.2, 1.0, 60) * np.where(f > 4, np.sqrt(4 / f), 1.0)
        phase = rng.uniform(0, TAU, 60)
        fine = 20000.0 if high > 2 else 2000.0
        t = np.arange(int(duration * fine)) / fine
        x = sum(a * np.sin(TAU * g * t + p) for a, g, p in zip(amplitude, f, phase))
        # It begins and ends gently, so that the record is the whole of it.
        fade = np.minimum(1, np.minimum(t, duration - t) / 2.0)
        x *= 0.5 - 0.5 * np.cos(np.pi * fade)
        figures = {}
        for w in ["Wk", "Wd", "Wc", "We", "Wf", "Wb"]:
            y = weigh(x - x.mean(), fine, w)
            rms = np.sqrt(np.mean(y**2))
            running = signal.lfilter([1 - np.exp(-1 / fine)], [1, -np.exp(-1 / fine)], y**2)
            total = np.concatenate([[0], np.cumsum(y**2)])
            second = int(fine)
            linear = (total[second:] - total[:-second]) / second
            figures[w] = {
                "weighted_rms": rms, "vibration_dose": (np.sum(y**4) / fine) ** 0.25, "mtvv": np.sqrt(running.max()),
                "mtvv_linear": np.sqrt(linear.max()), "crest_factor": np.abs(y).max() / rms,
            }
        bands = []
        for a, b in [(0.5, 2), (0.5, 5), (5, 10), (5, 25), (8, 16)]:
            sos = signal.butter(2, [a, b], "bandpass", fs=fine, output="sos")
            bands.append({"from_hz": a, "to_hz": b, "rms": np.sqrt(np.mean(signal.sosfilt(sos, x) ** 2))})
        rates = [r for r in [100, 128, 200, 256, 500, 1000, 2000] if r > 2.1 * high]
        cases.append({
            "name": name, "duration_s": duration, "fade_s": 2.0, "frequencies_hz": f.tolist(), "amplitudes": amplitude.tolist(),
            "phases_rad": phase.tolist(), "rates_hz": rates, "rms": np.sqrt(np.mean(x**2)), "weightings": figures, "bands": bands,
        })
    return cases


if __name__ == "__main__":
    for name, cases in [("profiles", profiles()), ("vibration", vibration())]:
        rows = ",\n".join(json.dumps(c) for c in cases)
        with open(os.path.join(HERE, name + ".json"), "w", encoding="utf-8") as file:
            file.write("[\n" + rows + "\n]\n")
