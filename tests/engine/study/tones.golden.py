"""Writes tones.golden.json: two tones through the reference amplifier's formula, by numpy alone.

The formula (src/engine/README.md, filter-nonlinearity-filter) at 122.88 Msps, on one period of whole cycles:
  v = x * inputTaps;  e = one-pole average of min(|v|^2, 4);  v = v (1 - depth e)
  w = v (1 + u^p)^(-1/2p) exp(j phi u / (0.3 + u)), u = |v|^2;  y = w * outputTaps
The average is taken in its periodic steady state by a transform, which the engine does not do. Levels are found by
bisection of the drive until the mean output power is right.

Run: python3 tests/engine/study/tones.golden.py   (numpy 1.26 or later)
"""

import json
import pathlib

import numpy as np

FS = 122.88e6
REFERENCE = dict(
    p=1.1, phi=12, depth=0.10, tau=80e-9, taps_in=(1, 0.06 - 0.04j, -0.025 + 0.02j), taps_out=(1, -0.05j, 0.02)
)
# Harder knee, stronger and slower bias network, no taps: sides 3 dB apart at 1 MHz.
STRONG_BIAS = dict(p=2, phi=12, depth=0.15, tau=150e-9, taps_in=(1,), taps_out=(1,))


def amplify(x, p, phi, depth, tau, taps_in, taps_out):
    n = len(x)
    v = sum(c * np.roll(x, k) for k, c in enumerate(taps_in))
    a = np.exp(-1 / (tau * FS))
    turn = np.exp(-2j * np.pi * np.arange(n) / n)
    e = np.fft.ifft(np.fft.fft(np.minimum(np.abs(v) ** 2, 4)) * (1 - a) / (1 - a * turn)).real
    v = v * (1 - depth * e)
    u = np.abs(v) ** 2
    w = v * (1 + u**p) ** (-1 / (2 * p)) * np.exp(1j * np.deg2rad(phi) * u / (0.3 + u))
    return sum(c * np.roll(w, k) for k, c in enumerate(taps_out))


def read(length, half_cycles, backoff_db, model):
    x = 2 * np.cos(2 * np.pi * half_cycles * np.arange(length) / length) + 0j
    low, high = -80.0, 30.0
    for _ in range(60):
        middle = (low + high) / 2
        y = amplify(x * 10 ** (middle / 20), **model)
        if 10 * np.log10(np.mean(np.abs(y) ** 2) / 2) < -backoff_db:
            low = middle
        else:
            high = middle
    lines = np.fft.fft(y) / length
    level = {m: 20 * np.log10(abs(lines[m * half_cycles])) for m in (-5, -3, -1, 1, 3, 5)}
    side = lambda s: {
        "toneDb": level[s],
        "im3Dbc": level[3 * s] - level[s],
        "im5Dbc": level[5 * s] - level[s],
        "oip3Db": level[s] + (level[-s] - level[3 * s]) / 2,
    }
    return {
        "sampleCount": length,
        "halfCycles": half_cycles,
        "toneSpacingHz": 2 * half_cycles * FS / length,
        "toneBackoffDb": backoff_db,
        "lower": side(-1),
        "upper": side(1),
    }


PLACES = ((2**18, 107), (2**17, 107), (2**15, 67), (2**14, 67), (2**13, 67), (2**12, 83), (2**12, 167))
OUT = {
    "numpy": np.__version__,
    "levels": [read(2**12, 83, backoff, REFERENCE) for backoff in (8, 10, 13, 16, 20, 24, 27, 28, 30, 33, 36, 40)],
    "spacings": [read(*place, 13, REFERENCE) for place in PLACES],
    "strongBias": read(2**14, 67, 9, STRONG_BIAS),
}
pathlib.Path(__file__).with_suffix(".json").write_text(json.dumps(OUT, indent=1) + "\n")
