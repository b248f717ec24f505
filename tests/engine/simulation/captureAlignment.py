# Writes captureAlignment.golden.json: delay, gain and residuals of the captured pairs by a fit of its own.
# Grid of the circular correlation, then scipy's bounded minimiser on the least-squares residual itself.
# Run: python3 tests/engine/simulation/captureAlignment.py   (numpy 2, scipy 1.15)
import json, pathlib
import numpy as np
from scipy.optimize import minimize_scalar

here = pathlib.Path(__file__).parent
captures = here.parent.parent / "captures"


def read(name):
    raw = np.fromfile(captures / f"{name}.sigmf-data", "<i2").astype(float) / 32768
    return raw[0::2] + 1j * raw[1::2]


def measure(name, own_hz, rate_hz=122.88e6):
    x, y = np.fft.fft(read(f"{name}.drive")), np.fft.fft(read(f"{name}.observed"))
    n = len(x)
    k = np.fft.fftfreq(n, 1 / n)
    used = np.abs(k) < n / 2  # the bin at half the rate has no slope

    def explained(tau):
        return -abs(np.sum((y * np.conj(x) * np.exp(2j * np.pi * k * tau / n))[used])) ** 2

    whole = int(np.argmax(np.abs(np.fft.ifft(y * np.conj(x)))))
    best = minimize_scalar(explained, bounds=(whole - 0.75, whole + 0.75), method="bounded", options={"xatol": 1e-13})
    # The minimum is flat to about 1e-8 samples; two parabola steps on the analytic slope sharpen it.
    tau = best.x
    for _ in range(3):
        w = (2 * np.pi * k / n)[used]
        z = (y * np.conj(x) * np.exp(2j * np.pi * k * tau / n))[used]
        s, d, dd = z.sum(), (1j * w * z).sum(), (-w * w * z).sum()
        tau -= (np.conj(s) * d).real / (abs(d) ** 2 + (np.conj(s) * dd).real)
    aligned = np.fft.ifft(y * np.where(used, np.exp(2j * np.pi * k * tau / n), np.cos(np.pi * (tau - round(tau))) * np.exp(1j * np.pi * round(tau))))
    xt = np.fft.ifft(x)
    g = np.vdot(xt, aligned) / np.vdot(xt, xt)
    nmse = np.sum(np.abs(aligned - g * xt) ** 2) / np.sum(np.abs(g * xt) ** 2)
    band = np.abs(k * rate_hz / n) <= own_hz / 2
    xb, yb = x[band], np.fft.fft(aligned)[band]
    gb = np.vdot(xb, yb) / np.vdot(xb, xb)
    evm = np.sqrt(np.sum(np.abs(yb - gb * xb) ** 2) / np.sum(np.abs(gb * xb) ** 2))
    tau = tau - n if tau > n / 2 else tau
    return {
        "delaySamples": tau,
        "gainDb": 20 * np.log10(abs(g)),
        "phaseDeg": np.degrees(np.angle(g)),
        "nmseDb": 10 * np.log10(nmse),
        "evmPercent": 100 * evm,
    }


golden = {"harbour-link-10mhz": measure("harbour-link-10mhz", 9e6), "ridge-relay-20mhz": measure("ridge-relay-20mhz", 18e6)}
(here / "captureAlignment.golden.json").write_text(json.dumps(golden, indent=2) + "\n")
print(json.dumps(golden, indent=2))
