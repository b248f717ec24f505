"""Writes fir.golden.json: low-pass filters and Bessel values from scipy, an independent program.

Run: python3 fir.golden.py > fir.golden.json  (scipy 1.10, numpy 1.24)
"""
import json
import numpy as np
from scipy import signal, special

filters = []
for taps, cut, beta in [(513, 4.8 / 122.88, 9), (31, 0.2, 0), (63, 0.125, 5)]:
    h = signal.firwin(taps, cut, window=("kaiser", beta), fs=1.0)
    filters.append({"tapCount": taps, "cutoffRatio": cut, "beta": beta, "taps": h.tolist()})
bessel = [[x, float(special.i0(x))] for x in [0, 0.1, 1, 5, 9, 20]]
print(json.dumps({"filters": filters, "bessel": bessel}))
