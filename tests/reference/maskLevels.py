"""Writes maskLevels.json: emission masks held against a committed capture by scipy, for tests/engine/measurement.

The spectrum is scipy.signal.welch (periodic Blackman-Harris, half overlapped, no wrap); levels are differences of its
running integral, so that bins at the edges count by their share. The masks are those of standardLimits.json, stepped by
half a measuring bandwidth or less with every breakpoint.

Run: python3 tests/reference/maskLevels.py
"""

import json
import math
import pathlib

import numpy as np
import scipy.signal

HERE = pathlib.Path(__file__).parent
CAPTURE = "harbour-link-10mhz.observed"
RATE = 122.88e6
SEGMENT = 16384
MEAN_DBM = 36.5
CHANNEL = 10e6
RANGE = 40e6
MASKS = {"nr.wa.A.gt1g": 0.0, "nr.wa.B2": 0.0, "nr.mr.31to38": MEAN_DBM}

raw = np.fromfile(HERE.parent / "captures" / f"{CAPTURE}.sigmf-data", "<i2").astype(float) / 32768
x = raw[::2] + 1j * raw[1::2]
window = scipy.signal.get_window("blackmanharris", SEGMENT, fftbins=True)
f, density = scipy.signal.welch(
    x, RATE, window, SEGMENT, SEGMENT // 2, detrend=False, return_onesided=False, scaling="density"
)
order = np.argsort(f)
f, density = f[order], density[order]
bin_width = RATE / SEGMENT
edges = np.append(f - bin_width / 2, f[-1] + bin_width / 2)
running = np.append(0.0, np.cumsum(density * bin_width))
unit_dbm = MEAN_DBM - 10 * math.log10(np.mean(np.abs(x) ** 2))


def level(centre, bandwidth):
    low, high = np.interp([centre - bandwidth / 2, centre + bandwidth / 2], edges, running)
    return unit_dbm + 10 * math.log10(high - low)


def places(mask, base):
    for piece in mask["pieces"]:
        begin = piece["foffset_MHz"][0] * 1e6
        table_end = piece["foffset_MHz"][1]
        end = min(RANGE, math.inf if table_end is None else table_end * 1e6)
        bandwidth = piece["mbw_kHz"] * 1e3
        steps = max(1, math.ceil((end - begin) / (bandwidth / 2)))
        for distance in begin + np.arange(steps + 1) / steps * (end - begin):
            limit = piece.get("value", piece.get("start"))
            limit += piece.get("slope_per_MHz", 0.0) * (distance - begin) / 1e6 + base
            yield distance, bandwidth, min(limit, piece.get("also_at_most_dBm", math.inf))


limits = json.loads((HERE / "standardLimits.json").read_text())
out = {"capture": CAPTURE, "segmentLength": SEGMENT, "meanDbm": MEAN_DBM, "channelHz": CHANNEL, "rangeHz": RANGE, "masks": {}}
for mask in limits["obue_masks"]:
    if mask["id"] not in MASKS:
        continue
    worst = min(
        (limit - (shown := level(sign * (CHANNEL / 2 + distance), bandwidth)), sign, distance, shown, limit, bandwidth)
        for distance, bandwidth, limit in places(mask, MASKS[mask["id"]])
        for sign in (-1, 1)
    )
    names = ("worstMarginDb", "sign", "distanceHz", "levelDbm", "limitDbm", "measuringBandwidthHz")
    out["masks"][mask["id"]] = dict(zip(names, (float(value) for value in worst)))
(HERE / "maskLevels.json").write_text(json.dumps(out, indent=1) + "\n")
