"""Writes numeric.json: transforms, Welch spectra, least squares and generator values from independent programs.

numpy.fft, scipy.signal.welch, numpy.linalg, and a transcription of Baagoe's Alea generator after its published
description (multiply with carry, seeded by his Mash hash). Inputs come from the congruential generator of lcg.ts.

Run: python3 tests/reference/numeric.py   (numpy 2.4, scipy 1.17)
"""

import json
import pathlib

import numpy as np
from scipy import signal


def lcg(count, seed=12345):
    state, out = seed, []
    for _ in range(count):
        state = (1664525 * state + 1013904223) % 2**32
        out.append(state / 2**32 - 0.5)
    return np.array(out)


def lcg_signal(length, seed=12345):
    u = lcg(2 * length, seed)
    return u[0::2] + 1j * u[1::2]


def parts(z):
    return {"re": np.real(z).tolist(), "im": np.imag(z).tolist()}


def transforms():
    """Whole spectra of short records, every 97th bin of long ones. 8768 is one 10 MHz symbol at 122.88 Msps."""
    rows = []
    for length in (16, 100, 137, 1096):
        rows.append({"length": length, "step": 1, **parts(np.fft.fft(lcg_signal(length)))})
    for length in (8768, 65536):
        rows.append({"length": length, "step": 97, **parts(np.fft.fft(lcg_signal(length))[::97])})
    return rows


def welch():
    """ME-01's vector through scipy: density, two-sided, bin 0 first, periodic windows, no detrending."""
    n = np.arange(1000)
    x = np.exp(2j * np.pi * 0.1 * n) + 0.01 * np.exp(-2j * np.pi * 0.23 * n) + 0.1 * lcg_signal(1000)
    rows = {}
    for name, window, size, overlap in (
        ("hann256_50", "hann", 256, 128),
        ("blackmanharris128_75", "blackmanharris", 128, 96),
        ("boxcar250_0", "boxcar", 250, 0),
        ("flattop200_65", "flattop", 200, 130),
    ):
        _, p = signal.welch(x, 2e6, window, size, overlap, detrend=False, return_onesided=False, scaling="density")
        rows[name] = p.tolist()
    return rows


def least_squares():
    """Complex systems of falling condition: a random one, and monomials of an amplitude in (0.05, 1)."""
    rows = []
    for rows_count, columns, kind in ((40, 7, "random"), (400, 6, "monomials"), (400, 9, "monomials")):
        if kind == "random":
            a = lcg_signal(rows_count * columns, 7).reshape(columns, rows_count).T
        else:
            x = 2 * lcg_signal(rows_count, 11)
            a = np.stack([x * np.abs(x) ** k for k in range(columns)], axis=1)
        b = lcg_signal(rows_count, 99)
        c = np.linalg.lstsq(a, b, rcond=None)[0]
        scaled = a / np.linalg.norm(a, axis=0)
        rows.append(
            {
                "rowCount": rows_count,
                "columnCount": columns,
                "kind": kind,
                "coefficients": parts(c),
                "residualNorm": float(np.linalg.norm(a @ c - b)),
                "rawCondition": float(np.linalg.cond(a)),
                "scaledCondition": float(np.linalg.cond(scaled)),
            }
        )
    return rows


class Mash:
    def __init__(self):
        self.n = 0xEFC8249D

    def __call__(self, text):
        for character in text:
            self.n += ord(character)
            h = 0.02519603282416938 * self.n
            self.n = int(h) & 0xFFFFFFFF
            h -= self.n
            h *= self.n
            self.n = int(h) & 0xFFFFFFFF
            h -= self.n
            self.n += h * 0x100000000
        return (int(self.n) & 0xFFFFFFFF) * 2.3283064365386963e-10


def alea(seed, count):
    mash = Mash()
    s = [mash(" "), mash(" "), mash(" ")]
    for i in range(3):
        s[i] -= mash(seed)
        if s[i] < 0:
            s[i] += 1
    carry, out = 1, []
    for _ in range(count):
        t = 2091639 * s[0] + carry * 2.3283064365386963e-10
        carry = int(t)
        s = [s[1], s[2], t - carry]
        out.append(s[2])
    return out


golden = {
    "transforms": transforms(),
    "welch": welch(),
    "leastSquares": least_squares(),
    "alea": {f"{seed}/{purpose}": alea(f"{seed}/{purpose}", 12) for seed, purpose in ((1, ""), (2, "carrier 0"))},
}
pathlib.Path(__file__).with_suffix(".json").write_text(json.dumps(golden) + "\n")
