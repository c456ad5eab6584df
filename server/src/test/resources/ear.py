"""What is measured of written files by others: libsndfile reads the audio, NumPy and SciPy hear it, and chunks are
read here as the RIFF specification (IBM and Microsoft, 1991, and its update of 1994) lays them out. None of
Takewright's own code has a part in it."""
import re
import struct
import subprocess

import numpy as np
import scipy.fft as fft
import scipy.signal as s
import soundfile as sf


def audio(file):
    """Samples (frames, channels) and sample rate."""
    return sf.read(file, dtype="float64", always_2d=True)


def mono(file):
    x, rate = audio(file)
    return x.mean(1), rate


def period(x, near):
    """Period in samples: the autocorrelation's peak, at the multiple of the period that lies at a quarter of x."""
    n = len(x)
    x = x - x.mean()
    size = 1 << (2 * n - 1).bit_length()
    r = np.fft.irfft(np.abs(np.fft.rfft(x, size)) ** 2, size)[:n] / (n - np.arange(n))
    multiple, estimate = 1, near
    while True:
        reach = max(2, 0.04 * near) if multiple == 1 else max(2, 0.25 * near)
        first, last = int(multiple * estimate - reach), int(multiple * estimate + reach) + 1
        k = first + int(np.argmax(r[first:last + 1]))
        a, b, c = r[k - 1], r[k], r[k + 1]
        bend = a - 2 * b + c
        estimate = (k + (np.clip(0.5 * (a - c) / bend, -1, 1) if bend < 0 else 0)) / multiple
        if not 2 * multiple * estimate <= n / 4:
            return estimate
        multiple *= 2


def cents(file, near_hz, start=0.3, end=None, window=0.25, channel=None):
    """Cents above near_hz: the median of windows between two times, in seconds. near_hz is right within 60 cents."""
    x, rate = audio(file)
    x = x.mean(1) if channel is None else x[:, channel]
    window = int(max(window, 12 / near_hz) * rate)
    stop = len(x) if end is None else min(len(x), int(end * rate))
    starts = range(int(start * rate), stop - window + 1, int(0.05 * rate))
    loud = [np.sum(x[at:at + window] ** 2) for at in starts]
    heard = []
    for at, power in zip(starts, loud):
        if power > 1e-3 * max(loud):  # what has died away by 30 dB has no say
            heard.append(1200 * np.log2(rate / period(x[at:at + window], rate / near_hz) / near_hz))
    return float(np.median(heard))


def short_cents(file, near_hz):
    """Cents above near_hz of a short note: the median of windows of 80 ms or 12 periods and 8 periods more, from a tenth to
    four fifths of the file, that hold something within 20 dB of its peak; -999 where not one of them fits in."""
    x, rate = mono(file)
    size = int(max(0.08, 12 / near_hz) * rate)
    whole = size + int(8 * rate / near_hz)
    parts = [x[at:at + whole] for at in range(len(x) // 10, int(0.8 * len(x)) - whole, size // 2)]
    loud = [part * np.hanning(len(part)) for part in parts if np.abs(part).max() >= 0.1 * np.abs(x).max()]
    heard = [1200 * np.log2(rate / period(part, rate / near_hz) / near_hz) for part in loud]
    return float(np.median(heard)) if heard else -999


def mean_cents(file, near_hz, window=0.25, end=None):
    """Cents above near_hz over a note, up to a time in seconds: the mean of its windows, each weighted by its power."""
    x, rate = mono(file)
    x = x if end is None else x[:int(end * rate)]
    window = int(max(window, 12 / near_hz) * rate)
    parts = [x[at:at + window] for at in range(0, len(x) - window + 1, int(0.05 * rate))]
    power = [np.sum(part ** 2) for part in parts]
    loud = [(part, p) for part, p in zip(parts, power) if p > 1e-2 * max(power)]
    heard = [1200 * np.log2(rate / period(part, rate / near_hz) / near_hz) for part, p in loud]
    return float(np.average(heard, weights=[p for part, p in loud]))


def fundamental(file, near_hz, start=0.08, length=1.2):
    """Cents above near_hz of the strongest line within a semitone of it: of bars, whose other partials are no
    harmonics, the fundamental is the pitch (T. D. Rossing, Science of Percussion Instruments, 2000, ch. 5)."""
    x, rate = mono(file)
    x = x[int(start * rate):int((start + length) * rate)]
    size = 1 << (8 * len(x)).bit_length()
    power = np.abs(np.fft.rfft(x * np.hanning(len(x)), size))
    low, high = (int(near_hz * 2 ** (c / 1200) * size / rate) for c in (-100, 100))
    k = low + int(np.argmax(power[low:high + 1]))
    a, b, c = np.log(power[k - 1:k + 2])
    return float(1200 * np.log2((k + 0.5 * (a - c) / (a - 2 * b + c)) * rate / size / near_hz))


def course(file, near_hz, start, end, window=0.1):
    """Cents above near_hz over time, one each 50 ms."""
    x, rate = mono(file)
    window = int(max(window, 12 / near_hz) * rate)
    return [1200 * np.log2(rate / period(x[at:at + window], rate / near_hz) / near_hz)
            for at in range(int(start * rate), min(len(x), int(end * rate)) - window + 1, int(0.05 * rate))]


def chunk(file, name):
    """Content of a chunk of a RIFF file; None where it has none."""
    with open(file, "rb") as f:
        f.seek(12)
        while True:
            head = f.read(8)
            if len(head) < 8:
                return None
            size = struct.unpack("<I", head[4:])[0]
            if head[:4] == name:
                return f.read(size)
            f.seek(size + (size & 1), 1)


def loop(file):
    """First and last frame of the first loop (both are played, RIFF update of 1994, `smpl`); -1, -1 for none."""
    body = chunk(file, b"smpl")
    if body is None or struct.unpack("<I", body[28:32])[0] == 0:
        return -1, -1
    return struct.unpack("<II", body[44:52])


def swings(x, rate):
    """Level in dB and spectral centroid over its mean, each 10 ms, in windows of 20 ms."""
    window, hop = int(0.02 * rate), int(0.01 * rate)
    frames = np.lib.stride_tricks.sliding_window_view(x, window)[::hop]
    spectrum = np.abs(np.fft.rfft(frames * np.hanning(window), axis=1))
    centroid = (spectrum * np.arange(spectrum.shape[1])).sum(1) / (spectrum.sum(1) + 1e-12)
    return 10 * np.log10((frames ** 2).mean(1) + 1e-20), centroid / centroid.mean(), centroid.mean()


def line(values, points):
    """Amplitude of the swing that comes round once in so many points, over whole rounds."""
    count = int(int(len(values) / points) * points)
    turn = np.exp(-2j * np.pi * np.arange(count) / points)
    return 2 * abs(((values[:count] - values[:count].mean()) * turn).mean())


def turning(x, rate, hz, first=0, last=None):
    """Phase over time of a note's partial, and its number: of the first six the strongest between two frames. The partial
    is what a band-pass of Butterworth's shape (order 2, there and back, so without a delay) leaves, and its phase that of
    the analytic signal: both by one transform of the whole."""
    inner = np.abs(np.fft.rfft(x[first:last], fft.next_fast_len(len(x[first:last])))) ** 2
    partials = [p for p in range(1, 7) if (p - 0.3) * hz <= 0.4 * rate]
    number = max(partials, key=lambda p: np.sum(inner * band(len(inner), rate, p, hz) ** 2))
    # Silence behind the end keeps the end out of the beginning: transforms go round.
    size = fft.next_fast_len(len(x) + int(4 * rate / hz))
    spectrum = np.fft.rfft(x, size)
    analytic = np.zeros(size, complex)
    analytic[:len(spectrum)] = 2 * spectrum * band(len(spectrum), rate, number, hz)
    return np.unwrap(np.angle(np.fft.ifft(analytic)[:len(x)])), number


def band(bins, rate, partial, hz):
    """Gain by bin, from 0 Hz to half the rate, of a band-pass around a partial, 0.6 hz wide, run there and back."""
    square = np.linspace(0, rate / 2, bins) ** 2
    low, high = (partial - 0.3) * hz, (partial + 0.3) * hz
    off = ((square - low * high) / (high - low)) ** 2
    return square ** 2 / (square ** 2 + off ** 2 + 1e-9)


def vibrato(x, rate, hz):
    """Rate in hertz and depth in cents of the strongest swing of the pitch from 3.5 to 8.5 Hz, and the share that what
    lies within 0.6 Hz of it has of all swings from 2 to 12 Hz: a vibrato has most of them, a pitch that wanders has not."""
    phase, number = turning(x, rate, hz)
    hop = rate // 100
    cents = 1200 * np.log2(np.maximum(np.diff(phase[::hop]) * rate / hop / (2 * np.pi * number * hz), 0.5))
    cents = np.clip(cents - np.median(cents), -100, 100)
    spectrum = np.abs(np.fft.rfft((cents - cents.mean()) * np.hanning(len(cents)), 1 << 14))
    f = np.fft.rfftfreq(1 << 14, hop / rate)
    k = int(np.argmax(spectrum * ((f > 3.5) & (f < 8.5))))
    share = np.sum(spectrum[abs(f - f[k]) < 0.6] ** 2) / np.sum(spectrum[(f > 2) & (f < 12)] ** 2)
    return f[k], 4 * spectrum[k] / len(cents), share


def held(looped, raw, hz, seconds=10):
    """A looped file held, against the recording without its loop: by how many dB the swing of its level and that of its
    centroid at the loop's rate pass the recording's, the share by which its mean centroid differs from the loop's own,
    the rate and depth of the vibrato in the recording around the loop and held, and its share in the whole recording."""
    first, last = loop(looped)
    x, rate = mono(looped)
    cycle = x[first:last + 1]
    return held_against(np.tile(cycle, 1 + int(seconds * rate / len(cycle)))[:int(seconds * rate)], rate, looped, raw, hz)


def held_against(sound, rate, looped, raw, hz):
    """As `held`, of a sound that goes round the loop for a while, however and at whatever rate it was played."""
    first, last = loop(looped)
    y, own_rate = mono(raw)
    points = (last + 1 - first) / own_rate * rate / int(0.01 * rate)
    level, centroid, middle = swings(sound, rate)
    own_level, own_centroid, _ = swings(y[int(0.3 * own_rate):int(0.85 * len(y))], own_rate)
    own_points = (last + 1 - first) / int(0.01 * own_rate)
    count = int(own_points) + 1
    parts = range(0, max(1, len(own_level) - count), max(1, count // 8))
    usual = [np.median([line(v[at:at + count], own_points) for at in parts]) for v in (own_level, own_centroid)]
    around = y[max(0, first - own_rate // 2):last + own_rate // 2]
    return [20 * np.log10(line(level, points) / usual[0]), 20 * np.log10(line(centroid, points) / usual[1]),
            middle / swings(y[first:last + 1], own_rate)[2] - 1, *vibrato(around, own_rate, hz)[:2],
            *vibrato(sound, rate, hz)[:2], vibrato(y[int(0.3 * own_rate):int(0.85 * len(y))], own_rate, hz)[2]]


def turned_cents(x, rate, hz, first, last):
    """Mean pitch between two frames in cents above a frequency, by how far the phase of a partial turns."""
    phase, turns = turning(x, rate, hz, first, last)
    return 1200 * np.log2((phase[last] - phase[first]) / (last - first) * rate / (2 * np.pi * turns * hz))


def played_for_long(played, looped, raw, hz):
    """A wave file in which a synthesiser holds a key, against the sample that it plays: as `held_against`, from the loop's
    second time round on; then by how many dB the level moves from the first half of that to the second, and how far the
    mean pitch lies from that of the same stretch in the recording, in cents. Both in whole times round."""
    first, last = loop(looped)
    y, rate = mono(played)
    own, own_rate = mono(raw)
    cycle = (last + 1 - first) / own_rate * rate
    at = int((last + 1) / own_rate * rate)
    rounds = int((0.99 * len(y) - at) / cycle)
    sound = y[at:at + int(rounds * cycle)]
    half = int(rounds // 2 * cycle)
    level = [10 * np.log10(np.mean(v ** 2)) for v in (sound[:half], sound[-half:])]
    inner = int(max(1, rounds - 2) * cycle)
    start = (len(sound) - inner) // 2
    return [*held_against(sound, rate, looped, raw, hz), level[1] - level[0],
            turned_cents(sound, rate, hz, start, start + inner - 1) - turned_cents(own, own_rate, hz, first, last + 1)]


def key_cents(played, start, seconds, sample, semitones, hz):
    """How far a key that a synthesiser plays from a time on lies from its sample moved there, the sample's loop repeated as
    its chunk has it: difference of the mean pitch in cents. hz is what the sample's root note sounds at."""
    y, rate = mono(played)
    y = y[int(start * rate):int((start + seconds) * rate)]
    x, own_rate = mono(sample)
    first, last = loop(sample)
    ratio = 2 ** (semitones / 12)
    count = int(seconds * ratio * own_rate)
    if first >= 0:
        x = np.concatenate([x[:last + 1], np.tile(x[first:last + 1], 1 + count // (last + 1 - first))])
    assert len(x) >= count, "the sample ends before the key is let go"
    x = x[:count]
    return (turned_cents(y, rate, hz * ratio, len(y) // 8, 7 * len(y) // 8)
            - turned_cents(x, own_rate, hz, len(x) // 8, 7 * len(x) // 8))


def true_peak(file):
    """dBTP by eightfold oversampling (ITU-R BS.1770-4 annex 2 asks for four at least)."""
    x, _ = audio(file)
    return 20 * np.log10(max(np.abs(s.resample_poly(x[:, c], 8, 1)).max() for c in range(x.shape[1])))


def ebu(file, what):
    """One figure of FFmpeg's meter (EBU R 128)."""
    said = subprocess.run(["ffmpeg", "-nostats", "-i", file, "-af", "ebur128", "-f", "null", "-"], stderr=subprocess.PIPE, text=True)
    return float(re.findall(what + r":\s+(-?[0-9.]+) LU", said.stderr)[-1])


def lufs(file):
    """Integrated loudness."""
    return ebu(file, "I")


def all_lufs(files):
    """The same of several files, by one start of FFmpeg."""
    words = [word for file in files for word in ("-i", file)]
    words += ["-filter_complex", ";".join(f"[{i}]ebur128[of{i}]" for i in range(len(files)))]
    words += [word for i in range(len(files)) for word in ("-map", f"[of{i}]", "-f", "null", "-")]
    said = subprocess.run(["ffmpeg", "-nostats", *words], stderr=subprocess.PIPE, text=True)
    # The filter of a file says its figure whenever it ends, for the last time at the end of the file.
    heard = dict(re.findall(r"ebur128_(\d+) @ \S+\] Summary:\s+Integrated loudness:\s+I:\s+(-?[0-9.]+) LU", said.stderr))
    return [float(heard[str(i)]) for i in range(len(files))]


def loudness_range(file):
    """Loudness range in LU."""
    return ebu(file, "LRA")


def rms(file, start, end, low=0.0):
    """dBFS between two times in seconds, above a frequency."""
    x, rate = mono(file)
    x = x[int(start * rate):int(end * rate)]
    if low:
        x = s.sosfiltfilt(s.butter(4, low, "high", fs=rate, output="sos"), x)
    return 10 * np.log10(np.mean(x ** 2) + 1e-20)


def continues(file_or_samples, first, last, count=48):
    """How well a loop's last frames lead into its first: the level of their difference from what lies before the
    first frame, against their own, in dB; and the least of the same for a loop that ends one frame earlier or later."""
    x = file_or_samples if isinstance(file_or_samples, np.ndarray) else mono(file_or_samples)[0]
    before = x[first - count:first]

    def off(end):
        return 10 * np.log10((np.sum((x[end + 1 - count:end + 1] - before) ** 2) + 1e-20) / (np.sum(before ** 2) + 1e-20))

    return off(last), min(off(last - 1), off(last + 1))


def riff(body):
    """Chunks of a RIFF body as (name, content), lists opened as (name of list, [chunks])."""
    found, at = [], 0
    while at + 8 <= len(body):
        name, size = body[at:at + 4], struct.unpack("<I", body[at + 4:at + 8])[0]
        content = body[at + 8:at + 8 + size]
        found.append((content[:4], riff(content[4:])) if name == b"LIST" else (name, content))
        at += 8 + size + (size & 1)
    return found


def dls_loops(file):
    """Of each region of a DLS file (DLS 2.2, `rgn2`): root key, first frame and length of its loop, or -1, -1, and the
    samples of its wave. Regions and waves are linked by `wlnk` through the pool table `ptbl`."""
    with open(file, "rb") as f:
        body = f.read()[12:]
    top = dict(riff(body))
    offsets = struct.unpack(f"<{(len(top[b'ptbl']) - 8) // 4}I", top[b"ptbl"][8:])
    pool, at, waves = body[body.index(b"wvpl") + 4:], 0, {}
    while at + 8 <= len(pool) and pool[at:at + 4] == b"LIST":
        size = struct.unpack("<I", pool[at + 4:at + 8])[0]
        waves[at] = dict(riff(pool[at + 12:at + 8 + size]))
        at += 8 + size + (size & 1)
    found = []
    for name, instrument in top[b"lins"]:
        for name, regions in instrument:
            if name != b"lrgn":
                continue
            for name, region in regions:
                parts = dict(region)
                wave = waves[offsets[struct.unpack("<HHII", parts[b"wlnk"])[3]]]
                sample = parts.get(b"wsmp", wave.get(b"wsmp"))
                size, root, fine, gain, options, loops = struct.unpack("<IHhiII", sample[:20])
                start, length = struct.unpack("<II", sample[size + 8:size + 16]) if loops else (-1, -1)
                depth = struct.unpack("<H", wave[b"fmt "][14:16])[0] // 8
                raw = np.frombuffer(wave[b"data"], "u1")
                raw = raw[:len(raw) // depth * depth].reshape(-1, depth)
                wide = np.zeros((len(raw), 4), "u1")
                wide[:, 4 - depth:] = raw
                found.append((root, start, length, wide.view("<i4")[:, 0] / 2.0 ** 31))
    return found
