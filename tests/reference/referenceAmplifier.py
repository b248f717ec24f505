"""Writes referenceAmplifier.json: an independent transcription of the filter-nonlinearity-filter amplifier.

Formula (product notes, reference bench "In full"), drive x, sample rate fs:
    v = x * [input taps]                                 (circular convolution)
    e = one-pole average of min(|v|^2, 4), pole a = exp(-1/(tau fs)), periodic steady state
    v <- v (1 - depth e)
    w = v B(r) (1 + r^2p)^(-1/2p) exp(j phase),  r = |v|
        B = 1 + sum of height exp(-((r - centre)/width)^2)
        phase = amPm r^2 / (half + r^2) + step/2 (1 + tanh((r - centre)/width))
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
    bumps = 1 + sum(
        b["heightRatio"] * np.exp(-(((r - b["centreAmplitude"]) / b["widthAmplitude"]) ** 2)) for b in s["gainBumps"]
    )
    step = s["amPmStep"]
    if step is not None:
        t = (r - step["centreAmplitude"]) / step["widthAmplitude"]
        phase = phase + np.deg2rad(step["amPmDeg"]) / 2 * (1 + np.tanh(t))
    w = v * bumps * (1 + r ** (2 * p)) ** (-1 / (2 * p)) * np.exp(1j * phase)
    return circular(w, s["outputTaps"])


def bump(height, centre, width):
    return dict(heightRatio=height, centreAmplitude=centre, widthAmplitude=width)


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
    # A dip in mid-range, a little expansion at low drive, a step of the phase.
    "mastTopHundred": dict(
        rateHz=491.52e6, inputTaps=[1, 0.10 - 0.06j, -0.04 + 0.03j], biasDepthRatio=0.06, biasTimeConstantS=25e-9,
        kneeSharpness=2.5, amPmDeg=0, amPmHalfPower=0.3, gainBumps=[bump(-0.10, 0.42, 0.16), bump(0.03, 0, 0.15)],
        amPmStep=dict(amPmDeg=-22, centreAmplitude=0.45, widthAmplitude=0.18), outputTaps=[1, -0.08j, 0.03],
    ),
    # Gain that expands from low drive, at the upper end of a wide band.
    "expansion": dict(
        rateHz=122.88e6, inputTaps=[1, -0.08 * np.exp(2j)], biasDepthRatio=0.09, biasTimeConstantS=100e-9,
        kneeSharpness=2.4, amPmDeg=-16, amPmHalfPower=0.4, gainBumps=[bump(-0.22, 0, 0.26)], outputTaps=[1],
    ),
    # A bump above the saturated amplitude and features too narrow for a table.
    "narrowBump": dict(
        rateHz=1e6, inputTaps=[1], biasDepthRatio=0, biasTimeConstantS=0, kneeSharpness=3, amPmDeg=4,
        amPmHalfPower=0.2, gainBumps=[bump(0.2, 1.5, 0.05), bump(-0.3, 0.6, 0.5)],
        amPmStep=dict(amPmDeg=30, centreAmplitude=1, widthAmplitude=0.02), outputTaps=[1, 0.2],
    ),
}
for case in CASES.values():
    case.setdefault("gainBumps", [])
    case.setdefault("amPmStep", None)


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
