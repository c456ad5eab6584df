// Samples at other pitches. A browser's own source reads between frames by a straight line, which dulls a
// tone at 10 kHz by 1.3 dB and leaves images 24 dB below it (48 kHz); here a windowed sinc does it.
'use strict';

const Shift = (() => {
  /** Zero crossings of the sinc on either side, and filters between two frames. */
  const ZEROS = 16;
  const PHASES = 512;
  /** J. F. Kaiser's window (1974) for about -90 dB; the pass band is narrowed to make way for its slope. */
  const BETA = 9;
  const PASS = 0.93;

  function bessel0(x) {
    let sum = 1;
    let term = 1;
    for (let k = 1; term > 1e-12 * sum; k++) {
      term *= (x / (2 * k)) ** 2;
      sum += term;
    }
    return sum;
  }

  const banks = new Map();

  /** For each of the phases a filter that is as many frames long on either side as `half`. */
  function bank(ratio) {
    const name = ratio.toFixed(4);
    if (!banks.has(name)) {
      // Read faster than it was recorded, what would be above the new half of the rate is taken out.
      const cutoff = PASS * Math.min(1, 1 / ratio);
      const half = Math.ceil(ZEROS / cutoff);
      const taps = new Float32Array((PHASES + 1) * 2 * half);
      for (let phase = 0; phase <= PHASES; phase++) {
        for (let k = 0; k < 2 * half; k++) {
          const t = k - half + 1 - phase / PHASES;
          const inside = Math.max(0, 1 - (t / half) ** 2);
          const sinc = t === 0 ? 1 : Math.sin(Math.PI * cutoff * t) / (Math.PI * cutoff * t);
          taps[phase * 2 * half + k] = cutoff * sinc * bessel0(BETA * Math.sqrt(inside)) / bessel0(BETA);
        }
      }
      banks.set(name, { half, taps });
    }
    return banks.get(name);
  }

  /**
   * How a sample is read at a shift in semitones: from which frame, in what steps, and where its loop lies
   * then. The step is so near to the shift (0.05 cents for a loop of 20,000 frames) that the loop stays a
   * whole number of frames, since a browser joins others by a straight line.
   */
  function plan(frames, loop, semitones) {
    const ratio = 2 ** (semitones / 12);
    if (!loop) return { ratio, from: 0, frames: Math.ceil(frames / ratio), loop: null };
    const [start, end] = loop;
    const length = Math.max(1, Math.round((end - start) / ratio));
    const step = (end - start) / length;
    const before = Math.floor(start / step);
    return { ratio: step, from: start - before * step, frames: before + length, loop: [before, before + length] };
  }

  /** A channel with some silence before it, and behind it silence or what the loop goes on with. */
  function padded(x, loop, half) {
    const end = loop ? loop[1] : x.length;
    const out = new Float32Array(end + 2 * half + 2);
    out.set(x.subarray(0, end), half);
    for (let i = end; loop && i < end + half + 2; i++) out[half + i] = out[half + i - (loop[1] - loop[0])];
    return out;
  }

  /**
   * A sample at another pitch.
   *
   * @param loop its first frame and the one behind its last; null for none
   * @param pause awaited now and then, so that a long sample does not hold up the page; null: it need not
   * @return a promise of the buffer and its loop
   */
  async function move(buffer, loop, semitones, pause = null) {
    const planned = plan(buffer.length, loop, semitones);
    const { half, taps } = bank(planned.ratio);
    const width = 2 * half;
    const moved = new AudioBuffer({ numberOfChannels: buffer.numberOfChannels, length: Math.max(1, planned.frames), sampleRate: buffer.sampleRate });
    for (let c = 0; c < buffer.numberOfChannels; c++) {
      const x = padded(buffer.getChannelData(c), loop, half);
      const out = moved.getChannelData(c);
      for (let begin = 0; begin < planned.frames; begin += SLICE) {
        if (pause && begin) await pause();
        fill(out, begin, Math.min(planned.frames, begin + SLICE), x, planned, taps, width);
      }
    }
    return { buffer: moved, loop: planned.loop };
  }

  /** Frames of output between two pauses. */
  const SLICE = 16384;

  function fill(out, begin, end, x, { from, ratio }, taps, width) {
    for (let i = begin; i < end; i++) {
      const at = from + i * ratio;
      const frame = Math.floor(at);
      const phase = (at - frame) * PHASES;
      const row = Math.floor(phase);
      const part = phase - row;
      const first = row * width;
      let here = 0;
      let next = 0;
      for (let k = 0; k < width; k++) {
        const value = x[frame + 1 + k];
        here += value * taps[first + k];
        next += value * taps[first + width + k];
      }
      out[i] = here + part * (next - here);
    }
  }

  return { move };
})();
