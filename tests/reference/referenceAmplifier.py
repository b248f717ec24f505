"""Writes referenceAmplifier.json: an independent transcription of the filter-nonlinearity-filter amplifier.

Formula (product notes, reference bench "In full"), drive x, sample rate fs:
    v = x * [input taps]                                 (circular convolution)
    e = one-pole average of min(|v|^2, 4), pole a = exp(-1/(tau fs)), periodic steady state
    v <- v (1 - depth e)
    w = v (1 + r^2p)^(-1/2p) exp(j amPm r^2 / (half + r^2)),  r = |v|
    y = w * [output taps]
The steady state is found by solving the circulant linear system, not by running the recursion.

Run: python3 tests/reference/referenceAmplifier.py   (numpy; the seed is fixed)
"""

import json
import pathlib
import sys

import numpy as np


def circular(x, taps):
    return sum(h * np.roll(x, m) for m, h in enumerate(taps))


def amplifier(x, s):
    v = circular(x, s["inputTaps"])
    n = len(x)
    a = np.exp(-1 / (s["biasTimeConstantS"] * s["rateHz"])) if s["biasTimeConstantS"] > 0 else 0.0
    shift = np.roll(np.eye(n), 1, axis=0)  # (shift @ e)[n] = e[n-1]
    e = np.linalg.solve(np.eye(n) - a * shift, (1 - a) * np.minimum(np.abs(v) ** 2, 4))
    v = v * (1 - s["biasDepthRatio"] * e)
    r = np.abs(v)
    p = s["kneeSharpness"]
    phase = np.deg2rad(s["amPmDeg"]) * r**2 / (s["amPmHalfPower"] + r**2)
    w = v * (1 + r ** (2 * p)) ** (-1 / (2 * p)) * np.exp(1j * phase)
    return circular(w, s["outputTaps"])


CASES = {
    "quarryLink": dict(
        rateHz=122.88e6, inputTaps=[1, 0.06 - 0.04j, -0.025 + 0.02j], biasDepthRatio=0.1, biasTimeConstantS=80e-9,
        kneeSharpness=1.1, amPmDeg=12, amPmHalfPower=0.3, outputTaps=[1, -0.05j, 0.02],
    ),
    # Average much longer than the record, five taps, negative AM/PM, another knee.
    "longBias": dict(
        rateHz=30.72e6, inputTaps=[0.9 + 0.1j, -0.1, 0.05j, 0.02, -0.01 + 0.01j], biasDepthRatio=0.2,
        biasTimeConstantS=40e-6, kneeSharpness=2.7, amPmDeg=-35, amPmHalfPower=1.7, outputTaps=[1, 0.1, -0.03j, 0.01],
    ),
    # A knee too sharp for a table, no memory in the bias.
    "sharpKnee": dict(
        rateHz=1e6, inputTaps=[1], biasDepthRatio=0.05, biasTimeConstantS=0,
        kneeSharpness=20, amPmDeg=5, amPmHalfPower=0.1, outputTaps=[1],
    ),
}


def pairs(values):
    return [{"re": float(np.real(v)) + 0.0, "im": float(np.imag(v)) + 0.0} for v in values]  # + 0.0: no minus zero


rng = np.random.default_rng(20261125)
cases = []
for name, s in CASES.items():
    x = (rng.normal(size=80) + 1j * rng.normal(size=80)) * rng.choice([0.01, 0.3, 1.0, 4.0], size=80)
    x[0] = 0
    settings = {**s, "inputTaps": pairs(s["inputTaps"]), "outputTaps": pairs(s["outputTaps"])}
    cases.append({"name": name, "settings": settings, "drive": pairs(x), "output": pairs(amplifier(x, s))})

meta = {"generator": "tests/reference/referenceAmplifier.py", "numpy": np.__version__, "python": sys.version.split()[0]}
path = pathlib.Path(__file__).with_suffix(".json")
path.write_text(json.dumps({"meta": meta, "cases": cases}, indent=1) + "\n")
