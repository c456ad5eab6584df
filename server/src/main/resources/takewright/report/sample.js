// One sample, or one region that is none: how it looks, how it sounds, and what to do with it.
'use strict';

const Sample = (() => {
  let width = 560; // CSS pixels of a picture: two side by side where there is room
  const WAVE = 100;
  const SPECTRUM = 130;
  const PITCH = 96;

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

  /** The take around the region: what was cut off is dim. */
  function waveBefore(row, before, full) {
    const [surface, context] = canvas(width, WAVE, `The take around ${nameOf(row)}, with cut and onset`);
    const x = (s) => ((s - before.fromS) / before.aroundS) * width;
    outline(context, before, full);
    shade(context, 0, x(row.start_s), WAVE, colour('veil'));
    shade(context, x(row.end_s), width, WAVE, colour('veil'));
    mark(context, x(row.start_s), WAVE, 'cut', colour('orange'), 0);
    mark(context, x(row.end_s), WAVE, 'cut', colour('orange'), 0);
    mark(context, x(row.onset_s), WAVE, 'onset', colour('green'), 1, [4, 3]);
    scale(context, full);
    return surface;
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
      context.lineTo(x(picture.fadeInS), 1);
      context.lineTo(x(after.seconds - picture.fadeOutS), 1);
      context.lineTo(width, WAVE);
      context.stroke();
    }
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
    if (!before.pitch && !after.pitch) return null;
    const [surface, context] = canvas(width, PITCH, `Pitch of ${nameOf(row)} over time, before and after`);
    const known = [...(before.pitch ?? []), ...(after.pitch ?? [])].filter((c) => c !== null).map(Math.abs);
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
    const seconds = Math.max(before.seconds, after.seconds);
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
    line(after, colour('sky'), []);
    return surface;
  }

  const figure = (title, surface) => (surface ? h('figure', {}, h('figcaption', {}, title), surface) : null);

  async function pictures(row, box, rms) {
    try {
      const picture = await Takewright.picture(row);
      const room = box.clientWidth || 560;
      width = Math.floor(room >= 760 ? (room - 12) / 2 : room);
      const full = Math.max(picture.before.peak, picture.after.peak);
      rms.before = picture.before.rmsDbfs;
      rms.after = picture.after.rmsDbfs;
      box.replaceChildren(...[
        figure('In the take: what was cut, and where it sets in', waveBefore(row, picture.before, full)),
        figure(`The sample: fades, onset, loop; ${round(picture.after.seconds, 2)} s`, waveAfter(row, picture, full)),
        figure(`Spectrum before, ${round(picture.before.seconds, 2)} s`, spectrum(row, picture.before, 'before')),
        figure(`Spectrum after, ${round(picture.after.seconds, 2)} s`, spectrum(row, picture.after, 'after')),
        figure('Pitch: before (dashed) and after (whole line)', pitch(row, picture)),
      ].filter(Boolean));
    } catch {
      box.replaceChildren(h('p', { class: 'none' }, 'There is no picture of it; build the library again.'));
    }
  }

  /** Buttons for all that can be heard of it. */
  function sounds(row, rms) {
    const button = (id, text, key, click, title) => h('button', { type: 'button', id, click, title, disabled: !click }, `▶ ${text} `, h('kbd', {}, key));
    if (row.status !== 'kept') {
      return [button('play-before', 'In the take', 'b', row.start_s === null ? null : () => Player.stretch(row))];
    }
    const kept = (part, label, level) => async () => {
      const sound = await Takewright.sound(row).catch(() => ({}));
      if (sound[part]) Player.play({ label: `${nameOf(row)} ${label(sound)}`, data: sound[part], rmsDbfs: level() });
      else Player.say(`There is no ${part} of ${nameOf(row)}; build the library again.`);
    };
    const extra = Takewright.library.allSounds || row.flags.length > 0;
    const only = 'Kept for flagged samples; build with --all-sounds to have it for all';
    return [
      button('play-after', 'After', 'p', () => Player.after(row, rms.after)),
      button('play-before', 'Before', 'b', extra ? kept('before', () => 'before', () => rms.before) : () => Player.stretch(row, rms.before)),
      button('play-residue', 'Residue', 'r', extra && !row.flags.includes('no_room_tone') ? kept('residue', (s) => `residue, raised by ${s.residueDb} dB`, () => null) : null, extra ? 'What the noise reduction took away' : only),
      button('play-loop', 'Loop', 'l', extra && row.loop_start !== null ? kept('loop', () => 'loop', () => rms.after) : null, row.loop_start === null ? 'It has no loop' : extra ? null : only),
    ];
  }

  const FACTS = [
    ['cents_before', 'Before tuning', ' cents', signed], ['cents_after', 'After tuning', ' cents', signed],
    ['level_lufs', 'Level', ' LUFS'], ['peak_dbtp', 'True peak', ' dBTP'], ['gain_db', 'Gain', ' dB', signed],
    ['floor_before_dbfs', 'Floor before', ' dBFS'], ['floor_after_dbfs', 'Floor after', ' dBFS'], ['release_ms', 'Release', ' ms'],
  ];

  function facts(row) {
    const list = [['Status', row.status === 'kept' ? STATUS[statusOf(row)].word : Reasons.leftOut(row)]];
    if (row.start_s !== null) list.push(['In the take', `${row.take}, ${clock(row.start_s)} to ${clock(row.end_s)}`]);
    for (const [column, name, unit, how] of FACTS) if (row[column] !== null) list.push([name, (how ?? round)(row[column]) + unit]);
    if (row.loop_reason) list.push(['No loop', row.loop_reason.replaceAll('_', ' ')]);
    if (row.flags.length) list.push(['Flags', row.flags.join(', ').replaceAll('_', ' ')]);
    if (row.file) list.push(['File', row.file]);
    return h('dl', { class: 'facts' }, list.flatMap(([name, value]) => [h('dt', {}, name), h('dd', {}, value)]));
  }

  /** Notes beside it in pitch, the same note at other dynamics and round robins, other attempts. */
  function neighbours(row) {
    const { rows } = Takewright.library;
    if (row.midi === null) {
      return row.status !== 'kept' ? [] : rows.filter((r) => r !== row && r.status === 'kept' && r.articulation === row.articulation && r.layer === row.layer && r.dynamic === row.dynamic)
        .sort((a, b) => Math.abs(a.rr - row.rr) - Math.abs(b.rr - row.rr)).slice(0, 6).sort((a, b) => a.rr - b.rr);
    }
    const same = rows.filter((r) => r !== row && r.articulation === row.articulation && r.midi === row.midi && !Takewright.sameRegion(r, row)
      && (r.layer === row.layer || !r.layer || !row.layer) && r.start_s !== null);
    const like = rows.filter((r) => r.status === 'kept' && r.articulation === row.articulation && r.layer === (row.layer || r.layer) && r.dynamic === row.dynamic && r.midi !== null && r.midi !== row.midi && (r.rr === row.rr || row.rr === null));
    const near = (sign) => like.filter((r) => Math.sign(r.midi - row.midi) === sign).sort((a, b) => Math.abs(a.midi - row.midi) - Math.abs(b.midi - row.midi)).slice(0, 2);
    const others = row.status === 'missing' ? Reasons.candidates(row, rows) : [];
    return [...new Set([...others, ...near(-1).reverse(), ...near(1), ...same])].slice(0, 14);
  }

  function neighbourList(row, go) {
    const list = neighbours(row);
    if (!list.length) return null;
    return h('section', {}, h('h3', {}, 'Beside it'), h('ul', { class: 'beside' }, list.map((other) => h('li', {},
      h('button', { type: 'button', 'aria-label': `Play ${nameOf(other)}`, click: () => (other.file ? Player.after(other) : Player.stretch(other)) }, '▶'),
      h('button', { type: 'button', class: 'link', click: () => go(other) }, sign(statusOf(other)), ` ${nameOf(other)}`),
      h('span', {}, other.status === 'kept' ? `${round(other.level_lufs)} LUFS` : `${STATUS[other.status].word} ${clock(other.start_s)}`),
      other.status === 'retake' || other.status === 'extra' ? h('button', { type: 'button', 'data-instead': other.id, click: () => Decisions.instead(other) }, row.status === 'missing' ? 'Keep this one' : 'This one instead') : null))));
  }

  /** A missing cell has no sound of its own: where it should lie is all there is to say. */
  function gap(row, go) {
    const around = Takewright.library.rows.filter((r) => r.takeAt === row.takeAt && r.status === 'kept' && r.midi !== null && row.midi !== null)
      .sort((a, b) => Math.abs(a.midi - row.midi) - Math.abs(b.midi - row.midi))[0];
    if (!around) return h('p', {}, `Nothing of ${row.take} is there.`);
    return h('div', {}, h('p', {}, `The nearest note that is there is ${nameOf(around)}, at ${clock(around.start_s)} of ${row.take}:`), Takes.around(row.takeAt, around.start_s, go));
  }

  function view(row, go, back) {
    const rms = { before: null, after: null };
    const off = Reasons.levelsOff(Takewright.library.rows).get(row.id);
    const reasons = Reasons.of(row, Takewright.library.rows, off);
    const box = h('div', { class: 'pictures' }, row.file ? h('p', { class: 'none' }, 'Drawing…') : null);
    const decide = row.start_s === null ? null : Decisions.buttons(row);
    const element = h('section', { class: 'sample', 'data-row': row.id },
      h('div', { class: 'row' }, h('button', { type: 'button', id: 'back', click: back }, '← Back ', h('kbd', {}, 'Esc')),
        h('h2', { tabindex: -1 }, sign(statusOf(row)), ` ${nameOf(row)} `, h('small', {}, placeOf(row)))),
      reasons.length ? h('ul', { class: 'reasons' }, reasons.map((r) => h('li', {}, h('b', {}, r.text), ` ${r.todo}`))) : null,
      row.start_s === null ? null : Takes.around(row.takeAt, row.start_s, go),
      row.status === 'missing' ? gap(row, go) : h('div', { class: 'row sounds' }, sounds(row, rms), decide),
      h('div', { class: row.file ? 'split' : null }, row.file ? box : null, h('aside', {}, facts(row), neighbourList(row, go))));
    if (row.file) pictures(row, box, rms);
    element.decide = decide;
    return element;
  }

  return { view };
})();
