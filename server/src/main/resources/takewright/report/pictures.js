// How a sample looks: outline, spectrum and pitch, before and after.
'use strict';

const Pictures = (() => {
  let width = 560; // CSS pixels of a picture: two side by side where there is room
  const WAVE = 100;
  const SPECTRUM = 130;
  const PITCH = 96;

  /** Pictures that are still being drawn are looked for at this interval, in milliseconds; after this many looks without one more, no longer. */
  const LOOK_MS = 700;
  const PATIENCE = 20;

  /** Lowest and highest frequency of a spectrum's picture, in hertz, as it was drawn. */
  const LOWEST_HZ = 30;
  const HIGHEST_HZ = 16000;

  /** The outline of a sound; `full` is the amplitude that fills the height. */
  function outline(context, side, full) {
    const values = bytes(side.outline, Int8Array);
    const columns = values.length / 2;
    const scaled = (value) => (WAVE / 2) * (1 - (0.94 * value * side.peak) / (127 * full));
    context.fillStyle = colour('wave');
    for (let c = 0; c < columns; c++) {
      const top = scaled(values[2 * c + 1]);
      const x = Math.floor((c * width) / columns);
      context.fillRect(x, top, Math.max(1, Math.floor(((c + 1) * width) / columns) - x), Math.max(1, scaled(values[2 * c]) - top));
    }
  }

  function scale(context, full) {
    const word = `height: ±${round(full, 2)} of full scale`;
    context.font = '11px system-ui';
    say(context, word, width - context.measureText(word).width - 4, WAVE - 4, colour('muted'));
  }

  /** A word on its own ground, readable over whatever is below. */
  function say(context, word, x, y, paint) {
    context.font = '11px system-ui';
    context.fillStyle = colour('surface');
    context.fillRect(x - 2, y - 10, context.measureText(word).width + 4, 13);
    context.fillStyle = paint;
    context.fillText(word, x, y);
  }

  /** An upright line with its word, on its own height so that words do not cover each other. */
  function mark(context, x, height, word, paint, line, dash = []) {
    context.strokeStyle = context.fillStyle = paint;
    context.setLineDash(dash);
    context.lineWidth = 1.5;
    context.beginPath();
    context.moveTo(x, 0);
    context.lineTo(x, height);
    context.stroke();
    context.setLineDash([]);
    context.font = '11px system-ui';
    const wide = context.measureText(word).width + 6;
    const left = x + wide > width ? x - wide : x + 4;
    say(context, word, left, 12 + 15 * line, paint);
  }

  function shade(context, from, to, height, paint) {
    context.fillStyle = paint;
    context.fillRect(from, 0, Math.max(1, to - from), height);
  }

  /** Marks where the reasons of a row's flags are heard; `x` gives the column of a time in the take. */
  function faults(context, row, x) {
    for (const [line, flag] of row.flags.filter((f) => row.flagsAt[f]).entries()) {
      const [from, to] = row.flagsAt[flag];
      shade(context, x(from), Math.max(x(from) + 2, x(to)), WAVE, colour('fault'));
      say(context, flag.replaceAll('_', ' '), Math.min(x(from) + 4, width - 60), WAVE - 4 - 14 * line, colour('vermillion'));
    }
  }

  /** The same in words. */
  const faultsIn = (row) => row.flags.filter((f) => row.flagsAt[f]).map((f) => `; ${f.replaceAll('_', ' ')} at ${clock(row.flagsAt[f][0])}`).join('');

  /** The take around the region: what was cut off is dim. */
  function waveBefore(row, before, full) {
    const [surface, context] = canvas(width, WAVE, `The take around ${nameOf(row)}, with cut and onset${faultsIn(row)}`);
    const x = (s) => ((s - before.fromS) / before.aroundS) * width;
    outline(context, before, full);
    shade(context, 0, x(row.start_s), WAVE, colour('veil'));
    shade(context, x(row.end_s), width, WAVE, colour('veil'));
    faults(context, row, x);
    mark(context, x(row.start_s), WAVE, 'cut', colour('orange'), 0);
    mark(context, x(row.end_s), WAVE, 'cut', colour('orange'), 0);
    mark(context, x(row.onset_s), WAVE, 'onset', colour('green'), 1, [4, 3]);
    scale(context, full);
    return surface;
  }

  /** How long a sample fades: as usual, or as was decided. */
  function fades(row, picture) {
    const entry = Decisions.of(Notes.of(row));
    return { fadeInS: (entry?.fade_in_ms ?? 1000 * picture.fadeInS) / 1000, fadeOutS: (entry?.fade_out_ms ?? 1000 * picture.fadeOutS) / 1000 };
  }

  /** The sample: its fades, and its loop where it has one. */
  function waveAfter(row, picture, full) {
    const { after } = picture;
    const [surface, context] = canvas(width, WAVE, `${nameOf(row)} as it is in the library`);
    const x = (s) => (s / after.seconds) * width;
    outline(context, after, full);
    if (row.loop_start !== null && row.loop_end !== null) {
      shade(context, x(row.loop_start / picture.sampleRate), x(row.loop_end / picture.sampleRate), WAVE, colour('loop'));
      mark(context, x(row.loop_start / picture.sampleRate), WAVE, 'loop', colour('purple'), 0);
      mark(context, x(row.loop_end / picture.sampleRate), WAVE, 'loop end', colour('purple'), 1);
    }
    // Layers that are made from a recording fade by themselves.
    if (row.layer in Takewright.library.takes[row.takeAt].files) {
      context.strokeStyle = colour('sky');
      context.lineWidth = 1.5;
      context.beginPath();
      context.moveTo(0, WAVE);
      const { fadeInS, fadeOutS } = fades(row, picture);
      context.lineTo(x(fadeInS), 1);
      context.lineTo(x(after.seconds - fadeOutS), 1);
      context.lineTo(width, WAVE);
      context.stroke();
    }
    // A tuned sample is longer or shorter than its stretch of the take.
    faults(context, row, (s) => x(((s - row.start_s) * after.seconds) / (row.end_s - row.start_s)));
    mark(context, x(row.onset_s - row.start_s), WAVE, 'onset', colour('green'), 1, [4, 3]);
    scale(context, full);
    return surface;
  }

  /** A spectrum in colours whose lightness alone tells the level. */
  function spectrum(row, side, word) {
    const [surface, context] = canvas(width, SPECTRUM, `Spectrum of ${nameOf(row)} ${word}`);
    const image = new Image();
    image.onload = () => {
      const small = document.createElement('canvas');
      small.width = image.width;
      small.height = image.height;
      const inner = small.getContext('2d', { willReadFrequently: true });
      inner.drawImage(image, 0, 0);
      const pixels = inner.getImageData(0, 0, image.width, image.height);
      for (let i = 0; i < pixels.data.length; i += 4) {
        const level = pixels.data[i] / 255;
        // From near black through blue to a pale yellow, lighter all the way.
        pixels.data[i] = 255 * Math.min(1, 0.03 + 1.35 * Math.max(0, level - 0.28) ** 1.1);
        pixels.data[i + 1] = 255 * Math.min(1, 0.03 + 1.02 * level ** 1.7);
        pixels.data[i + 2] = 255 * Math.min(1, 0.08 + 1.5 * level * (1 - 0.62 * level));
      }
      inner.putImageData(pixels, 0, 0);
      context.imageSmoothingEnabled = true;
      context.drawImage(small, 0, 0, width, SPECTRUM);
      context.font = '11px system-ui';
      for (const hz of [100, 1000, 10000]) {
        const y = SPECTRUM * (1 - Math.log(hz / LOWEST_HZ) / Math.log(HIGHEST_HZ / LOWEST_HZ));
        context.fillStyle = 'rgb(255 255 255 / 35%)';
        context.fillRect(0, y, width, 1);
        say(context, hz >= 1000 ? `${hz / 1000} kHz` : `${hz} Hz`, 4, Math.max(12, y - 3), colour('muted'));
      }
    };
    image.src = `data:image/png;base64,${side.spectrum}`;
    return surface;
  }

  /** How the pitch goes, before and after, around the note. */
  function pitch(row, picture) {
    const { before, after } = picture;
    if (!before.pitch && !after?.pitch) return null;
    const [surface, context] = canvas(width, PITCH, `Pitch of ${nameOf(row)} over time, before and after`);
    const known = [...(before.pitch ?? []), ...(after?.pitch ?? [])].filter((c) => c !== null).map(Math.abs);
    const most = Math.max(20, Math.min(100, 1.5 * ([...known].sort((a, b) => a - b)[Math.floor(known.length * 0.9)] ?? 0)));
    const y = (cents) => (PITCH / 2) * (1 - cents / (most * 1.15));
    context.font = '11px system-ui';
    for (const cents of [-most, 0, most]) {
      context.fillStyle = colour('rule');
      context.fillRect(0, y(cents), width, 1);
      context.fillStyle = colour('muted');
      context.fillText(`${signed(cents, 0)} cents`, 3, Math.max(11, y(cents) - 2));
    }
    // One scale of time: a layer rings longer than what it was made from.
    const seconds = Math.max(before.seconds, after?.seconds ?? 0);
    const line = (side, paint, dash) => {
      if (!side.pitch) return;
      context.strokeStyle = paint;
      context.lineWidth = 1.8;
      context.setLineDash(dash);
      context.beginPath();
      let pen = false;
      side.pitch.forEach((cents, i) => {
        if (cents === null) { pen = false; return; }
        const x = ((i + 0.5) * side.pitchStepS / seconds) * width;
        if (pen) context.lineTo(x, y(cents)); else context.moveTo(x, y(cents));
        pen = true;
      });
      context.stroke();
    };
    line(before, colour('orange'), [5, 3]);
    if (after) line(after, colour('sky'), []);
    return surface;
  }

  const figure = (title, surface) => (surface ? h('figure', {}, h('figcaption', {}, title), surface) : null);

  /** Where pictures are still being drawn, says so and looks again; otherwise there is none. */
  async function lack(row, box, before) {
    const now = await Takewright.progress().catch(() => null);
    const waited = now?.drawn === before.drawn ? before.waited + 1 : 0;
    if (now?.state !== 'done' || !(now.drawn < 1) || waited > PATIENCE) {
      box.replaceChildren(h('p', { class: 'none' }, 'There is no picture of it; build the library again.'));
      return;
    }
    box.replaceChildren(h('p', { class: 'none' }, `The pictures are being drawn: ${Math.round(100 * now.drawn)} %.`));
    setTimeout(() => { if (box.isConnected) fill(row, box, { drawn: now.drawn, waited }); }, LOOK_MS);
  }

  /** Draws all there is of a sample into a box. */
  async function fill(row, box, before = { drawn: 0, waited: 0 }) {
    try {
      const picture = await Takewright.picture(row);
      const room = box.clientWidth || 560;
      width = Math.floor(room >= 760 ? (room - 12) / 2 : room);
      const full = Math.max(picture.before.peak, picture.after?.peak ?? 0);
      box.replaceChildren(...[
        figure('In the take: what was cut, and where it sets in', waveBefore(row, picture.before, full)),
        picture.after ? figure(`The sample: fades, onset, loop; ${round(picture.after.seconds, 2)} s`, waveAfter(row, picture, full)) : null,
        figure(`Spectrum ${picture.after ? 'before' : 'in the take'}, ${round(picture.before.seconds, 2)} s`, spectrum(row, picture.before, 'before')),
        picture.after ? figure(`Spectrum after, ${round(picture.after.seconds, 2)} s`, spectrum(row, picture.after, 'after')) : null,
        figure(picture.after ? 'Pitch: before (dashed) and after (whole line)' : 'Pitch', pitch(row, picture)),
      ].filter(Boolean));
    } catch {
      await lack(row, box, before);
    }
  }

  return { fill };
})();
