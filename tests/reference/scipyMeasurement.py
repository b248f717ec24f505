"""Writes scipyMeasurement.json: spectrum, channel ratios, occupied bandwidth and envelope statistics by numpy and scipy.

Three captured records (tests/captures, ci16) and a synthetic one of 240 kB that is written beside this script: both
programs read the same bytes.
Spectra by scipy.signal.welch: four-term Blackman-Harris or Hann, periodic; half overlap; no detrending; whole segments
only. Channels by whole bins and their shares; occupied bandwidth by interpolating the cumulative power; exceedance by
sorting. Digests say that both programs read the same bytes.

Run: python3 tests/reference/scipyMeasurement.py   (numpy 2.4, scipy 1.17)
"""

import hashlib
import json
import pathlib

import numpy as np
from scipy import signal

from numeric import lcg

here = pathlib.Path(__file__).parent
captures = here.parent / "captures"


def captured(name):
    raw = (captures / f"{name}.sigmf-data").read_bytes()
    values = np.frombuffer(raw, "<i2").astype(float) / 32768
    return hashlib.sha512(raw).hexdigest(), values[0::2] + 1j * values[1::2]


def synthetic(length=60000):
    """Noise in a sixth of the band, weak noise everywhere, a line, an offset; as ci16."""
    u = lcg(4 * length)
    band, everywhere = u[0 : 2 * length], u[2 * length :]
    taps = signal.firwin(65, 1 / 6, window=("kaiser", 8.0))
    x = signal.lfilter(taps, [1.0], band[0::2] + 1j * band[1::2])
    x = x + 1e-3 * (everywhere[0::2] + 1j * everywhere[1::2])
    x = x + 0.002 * np.exp(2j * np.pi * 0.31 * np.arange(length)) + 0.0005
    codes = np.rint(32768 * 1.5 * np.column_stack([x.real, x.imag])).astype("<i2")
    raw = codes.tobytes()
    values = codes.astype(float) / 32768
    return raw, hashlib.sha512(raw).hexdigest(), values[:, 0] + 1j * values[:, 1]


def share(freqs, power, low, high):
    """Power from low to high, bins cut at the edges in proportion."""
    width = freqs[1] - freqs[0]
    part = np.clip(np.minimum(freqs + width / 2, high) - np.maximum(freqs - width / 2, low), 0, width) / width
    return float(np.sum(part * power))


def crossing(freqs, power, wanted):
    total = np.concatenate([[0], np.cumsum(power)])
    edges = np.concatenate([freqs - (freqs[1] - freqs[0]) / 2, [freqs[-1] + (freqs[1] - freqs[0]) / 2]])
    return float(np.interp(wanted, total, edges))


def measure(x, rate, own, spacing, window, size, centre=0.0):
    freqs, density = signal.welch(
        x, rate, window=signal.get_window(window, size, fftbins=True), nperseg=size, noverlap=size // 2,
        detrend=False, return_onesided=False, scaling="density",
    )
    order = np.argsort(freqs)
    freqs, power = freqs[order], density[order] * rate / size
    own_power = share(freqs, power, centre - own / 2, centre + own / 2)
    ratios = []
    for step in (1, 2):
        for side in (-1, 1):
            middle = centre + side * step * spacing
            ratios.append(10 * np.log10(own_power / share(freqs, power, middle - own / 2, middle + own / 2)))
    total = power.sum()
    low, high = crossing(freqs, power, 0.005 * total), crossing(freqs, power, 0.995 * total)
    envelope = np.abs(x) ** 2
    mean = envelope.mean()
    falling = np.sort(envelope)[::-1]
    return {
        "window": window, "segmentLength": size, "ownBandwidthHz": own, "spacingHz": spacing, "sampleRateHz": rate,
        "aclrDb": ratios,
        "occupiedLowerHz": low, "occupiedUpperHz": high,
        "meanPowerDbfs": 10 * np.log10(mean), "peakPowerDbfs": 10 * np.log10(envelope.max()),
        "dcRatioDb": 10 * np.log10(np.abs(x.mean()) ** 2 / mean),
        "papr": [[p, 10 * np.log10(falling[int(p * len(x))] / mean)] for p in (1e-1, 1e-2, 1e-3) if int(p * len(x)) >= 10],
        "ccdf": [[level, float(np.mean(envelope > mean * 10 ** (level / 10)))] for level in (-3.0, 0.0, 3.0, 6.0, 8.0)],
        # Every 61st bin, mean power per bin in dBfs.
        "spectrum": [[int(k), float(10 * np.log10(power[k]))] for k in range(0, size, 61)],
    }


if __name__ == "__main__":
    result = {"records": []}
    for name, own, spacing in (
        ("harbour-link-10mhz.observed", 9e6, 10e6),
        ("harbour-link-10mhz.drive", 9e6, 10e6),
        ("ridge-relay-20mhz.observed", 18e6, 20e6),
    ):
        digest, x = captured(name)
        for window, size in (("blackmanharris", 8192), ("hann", 1024)):
            figures = measure(x, 122.88e6, own, spacing, window, size)
            result["records"].append({"name": name, "sha512": digest, **figures})
    raw, digest, x = synthetic()
    (here / "scipyMeasurement.ci16").write_bytes(raw)
    figures = measure(x, 30e6, 5e6, 5e6, "blackmanharris", 2048)
    result["records"].append({"name": "synthetic", "sha512": digest, **figures})
    (here / "scipyMeasurement.json").write_text(json.dumps(result) + "\n")
