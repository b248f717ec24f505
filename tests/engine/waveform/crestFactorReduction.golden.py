"""Writes crestFactorReduction.golden.json: both clipping recipes run by numpy, an independent program.

Symbols are drawn by the generator x -> 16807 x mod 2^31 - 1 (Park and Miller 1988), so that both programs see one record.
Run: python3 crestFactorReduction.golden.py > crestFactorReduction.golden.json  (numpy 1.24)
"""
import json
import numpy as np


def symbols(seed, count):
    """64QAM points at random levels -7 .. 7, real part drawn first, mean power 1 over the constellation."""
    out = np.empty(count, complex)
    for i in range(count):
        seed = seed * 16807 % 2147483647
        re = 2 * (seed * 8 // 2147483647) - 7
        seed = seed * 16807 % 2147483647
        im = 2 * (seed * 8 // 2147483647) - 7
        out[i] = complex(re, im) / np.sqrt(42)
    return out


def rms(x):
    return np.sqrt(np.mean(abs(x) ** 2))


def summary(y):
    y = y / rms(y)
    return {
        "peakDb": float(20 * np.log10(abs(y).max())),
        "samples": [[int(n), float(y[n].real), float(y[n].imag)] for n in (0, 1000, 12345, len(y) - 1)],
    }


def exact_bins(target, length=65536, count=8001):
    k = np.arange(count) - (count - 1) // 2
    spectrum = np.zeros(length, complex)
    spectrum[k] = symbols(2024, count)
    x = np.fft.ifft(spectrum)
    x /= rms(x)
    y, rounds = x, 0
    while 20 * np.log10(abs(y).max() / rms(y)) > target + 0.02:
        limit = rms(y) * 10 ** ((target - 0.15) / 20)
        y = y * np.minimum(1, limit / np.maximum(abs(y), 1e-30))
        full = np.fft.fft(y)
        kept = np.zeros_like(full)
        kept[k] = full[k]
        y, rounds = np.fft.ifft(kept), rounds + 1
    return {"targetDb": target, "rounds": rounds, **summary(y)}


def bench(target, symbol_count=12, size=8192, prefix=576, rounds=12):
    k = np.r_[-300:0, 1:301]
    data = symbols(77, symbol_count * 600).reshape(symbol_count, 600)
    bins = np.zeros((symbol_count, size), complex)
    bins[:, k] = data
    body = np.fft.ifft(bins, axis=1)
    x = np.hstack([body[:, -prefix:], body]).ravel()
    n = np.arange(513) - 256
    taps = 2 * 4.8 / 122.88 * np.sinc(2 * 4.8 / 122.88 * n) * np.kaiser(513, 9)
    taps /= taps.sum()
    response = np.zeros(len(x))
    response[n] = taps
    response = np.fft.fft(response)
    x = np.fft.ifft(np.fft.fft(x) * response)
    x /= rms(x)
    y = x
    for _ in range(rounds):
        limit = rms(y) * 10 ** (target / 20)
        excess = y * np.maximum(0, 1 - limit / np.maximum(abs(y), 1e-30))
        y = y - 1.15 * np.fft.ifft(np.fft.fft(excess) * response)

    def demodulate(z):
        window = z.reshape(symbol_count, -1)[:, prefix // 2 : prefix // 2 + size]
        return np.fft.fft(window, axis=1)[:, k] * np.exp(2j * np.pi * k * (prefix - prefix // 2) / size)

    z = demodulate(y)
    none = z * rms(data) / rms(z)
    gain = np.vdot(data, z) / np.vdot(data, data)
    each = (np.conj(data) * z).sum(0) / (abs(data) ** 2).sum(0)
    evm = {
        name: float(100 * rms(equalized - data) / rms(data))
        for name, equalized in [("none", none), ("oneGain", z / gain), ("perSubcarrier", z / each)]
    }
    power = np.sort(abs(y) ** 2)[::-1] / np.mean(abs(y) ** 2)
    papr = float(10 * np.log10(power[len(y) // 1000]))
    return {"targetDb": target, "evmPercent": evm, "paprAtThousandthDb": papr, **summary(y)}


print(json.dumps({"exactBins": [exact_bins(t) for t in (6, 7, 8)], "bench": [bench(t) for t in (6, 8)]}))
