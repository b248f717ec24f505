"""Writes pulseCrest.json: levels of the envelope power over its mean that root-raised-cosine carriers exceed with
probability 1e-4, and the spread of a record as long as the tests', computed in the time domain with numpy.

Independent of the engine: the pulse is its closed form over +-64 symbols, convolved with 8 samples a symbol; the engine
applies the frequency response on a periodic record. 16APSK has rings of 4 and 12 points (angles pi/4 + k pi/2 and
pi/12 + k pi/6), 32APSK a third of 16 (k pi/8); the order of the points has no effect on the envelope.

Run: python3 tests/reference/pulseCrest.py
"""

import json
import pathlib

import numpy as np
from scipy.signal import fftconvolve

OVERSAMPLING = 8
SYMBOLS = 32768
RECORDS = 40


def pulse(alpha, span=64):
    t = np.arange(-span * OVERSAMPLING, span * OVERSAMPLING + 1) / OVERSAMPLING
    h = np.empty_like(t)
    for i, x in enumerate(t):
        if x == 0:
            h[i] = 1 - alpha + 4 * alpha / np.pi
        elif abs(abs(4 * alpha * x) - 1) < 1e-9:
            h[i] = alpha / np.sqrt(2) * (
                (1 + 2 / np.pi) * np.sin(np.pi / 4 / alpha) + (1 - 2 / np.pi) * np.cos(np.pi / 4 / alpha)
            )
        else:
            h[i] = (np.sin(np.pi * x * (1 - alpha)) + 4 * alpha * x * np.cos(np.pi * x * (1 + alpha))) / (
                np.pi * x * (1 - (4 * alpha * x) ** 2)
            )
    return h


def ring(radius, count, first):
    return radius * np.exp(1j * (first + 2 * np.pi * np.arange(count) / count))


CONSTELLATIONS = {
    "BPSK": np.array([1, -1], complex),
    "QPSK": ring(1, 4, np.pi / 4),
    "8PSK": ring(1, 8, 0),
    "16APSK": np.concatenate([ring(1, 4, np.pi / 4), ring(2.7, 12, np.pi / 12)]),
    "32APSK": np.concatenate([ring(1, 4, np.pi / 4), ring(2.64, 12, np.pi / 12), ring(4.64, 16, 0)]),
}
# pi/2-BPSK turns every second symbol.
CASES = [
    ("BPSK", 0.25),
    ("pi/2-BPSK", 0.25),
    ("QPSK", 0.05),
    ("QPSK", 0.25),
    ("8PSK", 0.25),
    ("16APSK", 0.25),
    ("32APSK", 0.25),
    ("32APSK", 0.1),
]

rng = np.random.default_rng(20240611)
out = []
for name, alpha in CASES:
    points = CONSTELLATIONS[name.replace("pi/2-", "")]
    levels = []
    for _ in range(RECORDS):
        symbols = rng.choice(points, SYMBOLS)
        if name == "pi/2-BPSK":
            symbols = symbols * np.where(np.arange(SYMBOLS) % 2, 1j, 1)
        up = np.zeros(SYMBOLS * OVERSAMPLING, complex)
        up[::OVERSAMPLING] = symbols
        # Periodic: the record repeated on both sides.
        wrapped = np.concatenate([up[-1024:], up, up[:1024]])
        power = np.abs(fftconvolve(wrapped, pulse(alpha), mode="same")[1024:-1024]) ** 2
        beyond = int(1e-4 * power.size)
        levels.append(10 * np.log10(np.sort(power)[-1 - beyond] / power.mean()))
    out.append(
        {
            "modulation": name,
            "rollOffRatio": alpha,
            "levelDb": round(float(np.mean(levels)), 4),
            "recordSpreadDb": round(float(np.std(levels)), 4),
        }
    )
    print(out[-1])

content = {"probability": 1e-4, "symbolCount": SYMBOLS, "samplesPerSymbol": OVERSAMPLING, "rows": out}
(pathlib.Path(__file__).parent / "pulseCrest.json").write_text(json.dumps(content, indent=1) + "\n")
