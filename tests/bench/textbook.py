"""The job of one run as a careful textbook program in numpy, for `npm run bench`.

It does what src/engine does, with the tools one takes for it first: whole-record FFTs for filters, a regressor matrix
by np.stack and np.linalg.lstsq, averaged windowed segments in a loop, np.histogram2d. It reads a job written by
tests/bench/probe.ts (the same settings and the same symbols) and answers each line of its input, "run", with the
milliseconds of each stage and the figures that both programs must agree on.

Usage: python3 textbook.py FOLDER
"""

import json
import sys
import time
from pathlib import Path

import numpy as np

try:
    from scipy.signal import lfilter
except ImportError:  # The average then goes through the whole record's spectrum.
    lfilter = None

COSINES = {
    "rectangular": [1],
    "hann": [0.5, 0.5],
    "blackmanHarris": [0.35875, 0.48829, 0.14128, 0.01168],
}
TOLERANCE_DB = 0.002
PAPR_PROBABILITIES = [1e-1, 1e-2, 1e-3, 1e-4, 1e-5]


def power(x):
    return np.mean(np.abs(x) ** 2)


def db(ratio):
    return 10 * np.log10(ratio)


class Waveform:
    def __init__(self, job, data):
        self.job = job
        ofdm = job["ofdm"]
        self.bins = np.array(ofdm["subcarriers"]) % ofdm["fftLength"]
        self.symbols = data.reshape(ofdm["symbolCount"], -1)

    def modulate(self):
        """Symbols with cyclic prefix, through the channel filter, at unit mean power."""
        ofdm = self.job["ofdm"]
        bodies = np.zeros((ofdm["symbolCount"], ofdm["fftLength"]), complex)
        bodies[:, self.bins] = self.symbols
        bodies = np.fft.ifft(bodies, axis=1)
        x = np.concatenate([bodies[:, -ofdm["cyclicPrefixSamples"] :], bodies], axis=1).ravel()
        x = np.fft.ifft(np.fft.fft(x) * self.filter_response(len(x)))
        self.before = x / np.sqrt(power(x))
        self.signal = self.before

    def filter_response(self, length):
        design = self.job["filter"]
        count = design["tapCount"]
        n = np.arange(count) - (count - 1) / 2
        cutoff = design["cutoffHz"] / self.job["sampleRateHz"]
        taps = 2 * cutoff * np.sinc(2 * cutoff * n) * np.kaiser(count, design["kaiserBeta"])
        padded = np.zeros(length)
        padded[:count] = taps / np.sum(taps)
        return np.fft.fft(np.roll(padded, -(count - 1) // 2))

    def shape(self):
        """Crest-factor reduction: clip, filter the excess, subtract 1.15 times it, all rounds."""
        settings = self.job["crestFactorReduction"]
        target = 10 ** (settings["targetPaprDb"] / 10)
        x = self.before
        response = self.filter_response(len(x))
        for _ in range(settings["roundCount"]):
            envelope = np.abs(x)
            limit = np.sqrt(target * np.mean(envelope**2))
            excess = np.where(envelope > limit, x * (1 - limit / np.maximum(envelope, limit)), 0)
            x = x - 1.15 * np.fft.ifft(np.fft.fft(excess) * response)
        self.signal = x / np.sqrt(power(x))
        before, after = self.demodulate(self.before), self.demodulate(self.signal)
        gain = np.vdot(before, after) / np.vdot(before, before)
        self.shaping_error = np.sqrt(power(after / gain - before) / power(before))

    def demodulate(self, x):
        """Symbols from windows centred on the cyclic prefix, phases referred to its end."""
        ofdm = self.job["ofdm"]
        prefix, size = ofdm["cyclicPrefixSamples"], ofdm["fftLength"]
        start = prefix // 2
        blocks = x.reshape(ofdm["symbolCount"], -1)[:, start : start + size]
        turn = np.exp(2j * np.pi * np.array(ofdm["subcarriers"]) * (prefix - start) / size)
        return np.fft.fft(blocks, axis=1)[:, self.bins] * turn / np.sqrt(size)

    def evm(self, output):
        """Percent after one gain per subcarrier, and the equalized symbols."""
        measured = self.demodulate(output)
        gains = np.sum(np.conj(self.symbols) * measured, axis=0) / np.sum(np.abs(self.symbols) ** 2, axis=0)
        equalized = measured / gains
        error = np.abs(equalized - self.symbols) ** 2
        reference = power(self.symbols)
        return 100 * np.sqrt(np.mean(error) / reference), 100 * np.sqrt(np.max(error) / reference), equalized


class Amplifier:
    def __init__(self, job):
        self.model = job["model"]
        self.rate = job["sampleRateHz"]
        self.passes = 0

    def __call__(self, drive):
        self.passes += 1
        model = self.model
        v = self.filter(drive, model["inputTaps"])
        v = v * (1 - model["biasDepthRatio"] * self.average(np.minimum(np.abs(v) ** 2, 4)))
        u = np.abs(v) ** 2
        knee = model["kneeSharpness"]
        phase = np.deg2rad(model["amPmDeg"]) * u / (model["amPmHalfPower"] + u)
        return self.filter(v * (1 + u**knee) ** (-1 / (2 * knee)) * np.exp(1j * phase), model["outputTaps"])

    @staticmethod
    def filter(x, taps):
        return sum((tap["re"] + 1j * tap["im"]) * np.roll(x, m) for m, tap in enumerate(taps))

    def average(self, e):
        """One-pole average of a record that has repeated for ever."""
        pole = np.exp(-1 / (self.model["biasTimeConstantS"] * self.rate))
        if lfilter is None:
            turn = np.exp(-2j * np.pi * np.fft.fftfreq(len(e)))
            return np.fft.ifft(np.fft.fft(e) * (1 - pole) / (1 - pole * turn)).real
        history = min(len(e), int(np.ceil(-45 / np.log(pole))))
        return lfilter([1 - pole], [1, -pole], np.concatenate([e[-history:], e]))[history:]


def hold(x, ceiling):
    envelope = np.abs(x)
    return np.where(envelope > ceiling, x * (ceiling / np.maximum(envelope, ceiling)), x)


def level(device, x, wanted, start=None):
    """Secant steps in dB to the wanted mean output power. Scale and output."""
    at = db(np.sqrt(wanted / power(x)) if start is None else start) * 2
    last = None
    for _ in range(60):
        output = device(10 ** (at / 20) * x)
        missing = db(wanted / power(output))
        if abs(missing) <= TOLERANCE_DB:
            return 10 ** (at / 20), output
        slope = 1 if last is None else (last[1] - missing) / (at - last[0])
        last = (at, missing)
        at += np.clip(missing / slope, -6, 6)
    raise RuntimeError("the wanted power is out of reach")


def columns(x, orders, depth):
    envelope = np.abs(x)
    return np.stack([np.roll(x * envelope ** (k - 1), m) for m in range(depth) for k in orders], axis=1)


def spectrum(job, x):
    """Averaged windowed segments of a periodic record, lowest frequency first; power per bin."""
    settings = job["spectrum"]
    size = settings["segmentLength"]
    n = np.arange(size)
    window = sum((-1) ** k * a * np.cos(2 * np.pi * k * n / size) for k, a in enumerate(COSINES[settings["window"]]))
    hop = size - int(size * settings["overlapRatio"])
    count = int(np.ceil(len(x) / hop))
    wrapped = np.concatenate([x, x[:size]])
    total = np.zeros(size)
    for s in range(count):
        start = s * len(x) // count
        total += np.abs(np.fft.fft(wrapped[start : start + size] * window)) ** 2
    return np.fft.fftshift(total) / (size * np.sum(window**2) * count)


def band_power(job, bins, centre, width):
    """Power of a band, its edge bins in proportion."""
    step = job["sampleRateHz"] / len(bins)
    middle = (np.arange(len(bins)) - len(bins) // 2) * step
    share = np.minimum(middle + step / 2, centre + width / 2) - np.maximum(middle - step / 2, centre - width / 2)
    return np.sum(bins * np.clip(share / step, 0, 1))


def aclr(job, bins):
    own = band_power(job, bins, 0, job["occupiedBandwidthHz"])
    return [
        [db(own / band_power(job, bins, side * channel["offsetHz"], channel["bandwidthHz"])) for side in (-1, 1)]
        for channel in job["channels"]
    ]


def occupied_bandwidth(job, bins):
    cumulative = np.cumsum(bins) / np.sum(bins)
    low, high = np.interp([0.005, 0.995], cumulative, np.arange(len(bins)))
    return (high - low) * job["sampleRateHz"] / len(bins)


def nmse(reference, y):
    gain = np.vdot(reference, y) / np.vdot(reference, reference)
    return db(power(y - gain * reference) / power(gain * reference))


class Learning:
    def __init__(self, job, amplifier, records):
        self.job = job
        self.amplifier = amplifier
        self.judging, self.training, self.selection = records
        self.settings = job["predistorter"]
        self.ceiling = self.settings["learning"]["driveCeilingRatio"]

    def columns(self, x):
        return columns(x, self.settings["nonlinearOrders"], self.settings["memoryDepth"])

    def send(self, x):
        """Ceiling and amplifier at the wanted power: the drive sent, and the output."""
        scale, output = level(lambda v: self.amplifier(hold(v, self.ceiling)), x, self.job["wantedMeanPower"], 1)
        return hold(scale * x, self.ceiling), output

    def judge(self, output):
        readings = aclr(self.job, spectrum(self.job, output))
        return min(readings[0]), self.selection.evm(output)[0]

    def begin(self, drive_scale):
        """The two records without correction; the engine counts this to the amplifier's stage."""
        self.scale = drive_scale
        self.sent = [self.send(drive_scale * record.signal) for record in (self.training, self.selection)]
        self.judge(self.sent[1][1])

    def run(self):
        training, selection = self.scale * self.training.signal, self.scale * self.selection.signal
        on_training, on_selection = self.sent
        best = None
        for _ in range(self.settings["learning"]["passCount"]):
            drive, output = on_training
            observation = output / (np.vdot(training, output) / np.vdot(training, training))
            rms = np.sqrt(power(observation))
            matrix = self.columns(observation / rms)
            c, _, _, singular = np.linalg.lstsq(matrix, drive, rcond=None)
            c /= rms ** np.tile(self.settings["nonlinearOrders"], self.settings["memoryDepth"])
            residual = db(power(drive - self.columns(observation) @ c) / power(drive))
            fresh_drive, fresh_output = on_selection
            fresh = fresh_output / (np.vdot(selection, fresh_output) / np.vdot(selection, selection))
            fresh_residual = db(power(fresh_drive - self.columns(fresh) @ c) / power(fresh_drive))
            on_training, on_selection = self.send(self.columns(training) @ c), self.send(self.columns(selection) @ c)
            reached, evm = self.judge(on_selection[1])
            figures = (nmse(training, on_training[1]), nmse(selection, on_selection[1]), residual, fresh_residual)
            if best is None or reached > best[0]:
                best = (reached, c, figures, evm, singular[0] / singular[-1])
        predistorted = self.columns(self.scale * self.judging.signal) @ best[1]
        return self.send(predistorted)


def densities(x, y, reference_gain, top):
    """AM/AM and AM/PM: two histograms, the mean gain and its spread per amplitude bin."""
    drive = db(np.abs(x) ** 2)
    gain = y / (reference_gain * x)
    low = top - 30
    bins = np.floor((drive - low) / 30 * 144).astype(int)
    inside = (bins >= 0) & (bins < 144)
    bins, weight = bins[inside], np.abs(x[inside]) ** 2
    count = np.bincount(bins, minlength=144)
    total = np.bincount(bins, weight, 144)
    cross = np.conj(x[inside]) * y[inside] / reference_gain
    mean = np.bincount(bins, cross.real, 144) + 1j * np.bincount(bins, cross.imag, 144)
    spread = np.bincount(bins, np.abs(y[inside] / reference_gain) ** 2, 144)
    with np.errstate(divide="ignore", invalid="ignore"):
        curve = mean / total
        spread = np.sqrt(np.maximum(0, spread / total - np.abs(curve) ** 2) / 2)
        curve = curve[count >= 8]
    gain_db, phase = db(np.abs(gain) ** 2), np.angle(gain, deg=True)
    gain_range = (min(db(np.abs(curve) ** 2).min(), 0) - 3, max(db(np.abs(curve) ** 2).max(), 0) + 3)
    phase_range = (min(np.angle(curve, deg=True).min(), 0) - 15, max(np.angle(curve, deg=True).max(), 0) + 15)
    return (
        np.histogram2d(drive, gain_db, (144, 96), ((low, top), gain_range))[0],
        np.histogram2d(drive, phase, (144, 96), ((low, top), phase_range))[0],
        curve,
        spread,
    )


def split_by_order(drive, output):
    """Linear to seventh-order part on polynomials orthonormal for a Gaussian drive, four taps."""
    x = drive / np.sqrt(power(drive))
    u = np.abs(x) ** 2
    psi = [
        x,
        x * (u / 2 - 1) * np.sqrt(2),
        x * (u**2 / 6 - u + 1) * np.sqrt(3),
        x * (u**3 / 24 - u**2 / 2 + 1.5 * u - 1) * 2,
    ]
    matrix = np.stack([np.roll(p, m) for p in psi for m in range(4)], axis=1)
    c = np.linalg.lstsq(matrix, output, rcond=None)[0]
    return [matrix[:, 4 * k : 4 * k + 4] @ c[4 * k : 4 * k + 4] for k in range(4)]


def levels(x):
    """Exceedance curve and crest factor at the listed probabilities, from the sorted powers."""
    powers = np.sort(np.abs(x) ** 2)
    mean = np.mean(powers)
    points = [db(powers[-1 - int(p * len(x))] / mean) for p in PAPR_PROBABILITIES]
    curve = 1 - np.searchsorted(powers, mean * 10 ** (np.arange(-60, 161) / 100), side="right") / len(x)
    return points, curve


def read_output(job, record, drive, output, bins):
    return {
        "aclr": aclr(job, bins),
        "evm": record.evm(output)[:2],
        "occupied": occupied_bandwidth(job, bins),
        "nmse": nmse(record.signal, output),
        "powers": [power(output), np.max(np.abs(output) ** 2), power(drive), np.max(np.abs(drive) ** 2)],
        "levels": levels(output),
    }


def measure(job, record, uncorrected, corrected, ideal):
    drive, output = uncorrected
    readings = {}
    for name, (sent, received) in {"uncorrected": uncorrected, "corrected": corrected, "ideal": ideal}.items():
        readings[name] = read_output(job, record, sent, received, spectrum(job, received))
    readings["waveform"] = (
        aclr(job, spectrum(job, record.signal)),
        record.evm(record.signal)[:2],
        levels(record.signal),
        levels(record.before),
    )
    taps = job["model"]
    small_signal = sum(t["re"] + 1j * t["im"] for t in taps["inputTaps"]) * sum(
        t["re"] + 1j * t["im"] for t in taps["outputTaps"]
    )
    top = db(np.max(np.abs(drive) ** 2)) + 0.5
    readings["traces"] = (
        spectrum(job, corrected[0]),
        levels(corrected[0]),
        densities(drive, output, small_signal, top),
        densities(drive, corrected[1], small_signal, top),
        record.evm(output)[2],
        record.evm(corrected[1])[2],
        [(spectrum(job, part), power(part)) for part in split_by_order(drive, output)],
    )
    return readings


def run(job, data):
    marks = [time.perf_counter()]

    def mark():
        marks.append(time.perf_counter())

    records = [Waveform(job, one) for one in data]
    for record in records:
        record.modulate()
    mark()
    for record in records:
        record.shape()
    mark()
    amplifier = Amplifier(job)
    judging = records[0]
    wanted = job["wantedMeanPower"]
    scale, output = level(amplifier, judging.signal, wanted)
    ideal_scale, ideal = level(lambda v: hold(v, 1), judging.signal, wanted)
    learning = Learning(job, amplifier, records)
    learning.begin(scale)
    mark()
    corrected = learning.run()
    mark()
    readings = measure(
        job, judging, (scale * judging.signal, output), corrected, (ideal_scale * judging.signal, ideal)
    )
    mark()
    stages = ["waveform", "shape", "amplify", "learn", "measure"]
    return {
        "times": {name: 1000 * (marks[i + 1] - marks[i]) for i, name in enumerate(stages)},
        "figures": {
            "sampleCount": len(output),
            "amplifierPasses": amplifier.passes,
            "learningPasses": job["predistorter"]["learning"]["passCount"],
            "uncorrectedAclrDb": min(readings["uncorrected"]["aclr"][0]),
            "correctedAclrDb": min(readings["corrected"]["aclr"][0]),
            "correctedEvmPercent": readings["corrected"]["evm"][0],
        },
    }


def main():
    folder = Path(sys.argv[1])
    job = json.loads((folder / "job.json").read_text())
    parts = np.fromfile(folder / "symbols.f64").reshape(3, 2, -1)
    data = parts[:, 0] + 1j * parts[:, 1]
    print(json.dumps({"numpy": np.__version__, "scipy": lfilter is not None}), flush=True)
    for line in sys.stdin:
        if line.strip() == "run":
            print(json.dumps(run(job, data)), flush=True)


if __name__ == "__main__":
    main()
