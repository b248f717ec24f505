"""Writes evmSmoothed.golden.json: the smoothed equalizer of TS 38.104 Annex B.6 run by numpy, an independent program.

Known symbols of one magnitude (QPSK), as the standard's reference symbols are, so its plain averages over time apply.
Noise by the generator s <- (1664525 s + 1013904223) mod 2^32 from 12345, u = s/2^32 - 0.5, as in tests/reference/lcg.ts:
symbol by symbol, subcarrier by subcarrier, two draws for the signs of the symbol, then two for the noise.
Run: python3 evmSmoothed.golden.py > evmSmoothed.golden.json  (numpy 2.4)
"""
import json
import numpy as np

SYMBOLS, COUNT = 6, 75


def draws():
    state = 12345
    while True:
        state = (1664525 * state + 1013904223) % 2**32
        yield state / 2**32 - 0.5


def records(positions):
    """Known symbols and what is received behind a channel of 7 turns of phase, a slow ripple and noise."""
    u = draws()
    known = np.empty((SYMBOLS, COUNT), complex)
    noise = np.empty((SYMBOLS, COUNT), complex)
    for s in range(SYMBOLS):
        for k in range(COUNT):
            known[s, k] = complex(1 if next(u) >= 0 else -1, 1 if next(u) >= 0 else -1) / np.sqrt(2)
            noise[s, k] = complex(next(u), next(u))
    channel = (2 + 0.5 * np.cos(positions / 9)) * np.exp(1j * (2 + 0.6 * positions))
    return known, channel * (known + 0.2 * noise)


def smooth(values):
    """Moving average over 19, shrinking to 17 ... 1 towards the edges."""
    out = []
    for i in range(len(values)):
        reach = min(9, i, len(values) - 1 - i)
        out.append(np.mean(values[i - reach:i + reach + 1]))
    return np.array(out)


def response(known, received, positions):
    at = np.arange(0, COUNT, 2)
    ratio = received[:, at] / known[:, at]
    phase = np.unwrap(np.angle(ratio), axis=1)
    phase = np.unwrap(phase, axis=0)
    amplitude = smooth(np.mean(np.abs(ratio), axis=0))
    angle = smooth(np.mean(phase, axis=0))
    # np.interp holds the last value beyond the last reference.
    return np.interp(positions, positions[at], amplitude) * np.exp(1j * np.interp(positions, positions[at], angle))


positions = np.array([k - 37 if k < 37 else k - 36 for k in range(COUNT)])
known, received = records(positions)
taps = response(known, received, positions)
error = received / taps - known
print(json.dumps({
    "rmsPercent": float(100 * np.sqrt(np.mean(abs(error) ** 2))),
    "peakPercent": float(100 * np.max(abs(error))),
    "taps": [[int(k), float(taps[k].real), float(taps[k].imag)] for k in (0, 1, 2, 17, 36, 37, 38, 73, 74)],
}, indent=1))
