// Where a sample begins and ends in its take, its fades, its loop and its gain: moved by handles and by
// keys, heard at once, and kept as a fix.
'use strict';

const Editor = (() => {
  const HEIGHT = 150; // CSS pixels of the wave
  const RULER = 18; // of these, kept free for words
  const SHORTEST_S = 0.02; // between start and end, and between the ends of a loop
  const HEARD_S = 1.2; // how much is heard after a handle was moved
  const LOOP_HEARD_S = 4;

  /** Of the note that was edited last: what is shown of it, and what was moved and not yet saved. */
  let kept = null;
  let heard = null; // when what is heard of a take began, as the mixer counts
  let isHeld = false; // by its loop
  let focusNext = null; // the handle that had the focus when the page was drawn anew
  let toHear = null; // the note whose fix was saved: it is heard once it is made again

  const HANDLES = {
    start_s: { name: 'Start', colour: 'orange', key: 'S' }, fade_in: { name: 'Fade-in ends', colour: 'sky' }, fade_out: { name: 'Fade-out begins', colour: 'sky' },
    end_s: { name: 'End', colour: 'orange', key: 'E' }, loop_start: { name: 'Loop start', colour: 'purple' }, loop_end: { name: 'Loop end', colour: 'purple' },
  };

  /** What the build made, with what was decided since, as the handles show it; times in the take. */
  function settings(row, picture, entry) {
    const start = entry?.start_s ?? row.start_s;
    const end = entry?.end_s ?? row.end_s;
    // A tuned sample is longer or shorter than its stretch.
    const perFrame = row.file && picture.after ? (row.end_s - row.start_s) / (picture.after.seconds * picture.sampleRate) : 0;
    const inTake = (frame) => row.start_s + frame * perFrame;
    const looped = row.loop_start !== null && row.loop_end !== null && perFrame > 0;
    const loop = entry?.loop === false ? null : entry?.loop_s ?? (looped ? [inTake(row.loop_start), inTake(row.loop_end)] : null);
    return {
      start_s: start, end_s: end,
      fade_in: start + (entry?.fade_in_ms !== undefined ? entry.fade_in_ms / 1000 : picture.fadeInS ?? 0.005),
      fade_out: end - (entry?.fade_out_ms !== undefined ? entry.fade_out_ms / 1000 : picture.fadeOutS ?? 0.02),
      loop_start: loop?.[0] ?? null, loop_end: loop?.[1] ?? null, gain_db: entry?.gain_db ?? 0, cents: entry?.cents ?? 0, cleaning_db: entry?.cleaning_db ?? null,
    };
  }

  /** The keys of a fix: those that it had, and those of what was moved since. */
  function fix(now, saved, entry) {
    const has = (...keys) => keys.some((key) => entry?.[key] !== undefined);
    const moved = (of) => Math.abs((of(now) ?? 0) - (of(saved) ?? 0)) > 1e-5;
    const fadeIn = (of) => of.fade_in - of.start_s;
    const fadeOut = (of) => of.end_s - of.fade_out;
    const out = {};
    if (has('start_s') || moved((of) => of.start_s)) out.start_s = now.start_s;
    if (has('end_s') || moved((of) => of.end_s)) out.end_s = now.end_s;
    if (has('fade_in_ms') || moved(fadeIn)) out.fade_in_ms = Math.max(0, 1000 * fadeIn(now));
    if (has('fade_out_ms') || moved(fadeOut)) out.fade_out_ms = Math.max(0, 1000 * fadeOut(now));
    if (has('loop', 'loop_s') || moved((of) => of.loop_start) || moved((of) => of.loop_end)) {
      if (now.loop_start === null) out.loop = false;
      else out.loop_s = [now.loop_start, now.loop_end];
    }
    if (now.gain_db) out.gain_db = now.gain_db;
    if (now.cents) out.cents = now.cents;
    if (now.cleaning_db !== null) out.cleaning_db = now.cleaning_db;
    return out;
  }

  const KEYS = ['start_s', 'end_s', 'fade_in_ms', 'fade_out_ms', 'loop_s', 'loop', 'gain_db', 'cents', 'cleaning_db'];

  /** A fade's curve, as the build's: half a cosine. */
  const rise = (share) => (share >= 1 ? 1 : 0.5 - 0.5 * Math.cos(Math.PI * share));

  /** The sound as it would be cut: faded and louder or softer, not cleaned. */
  function cut(take, now) {
    const samples = Sounds.part(take, now.start_s, now.end_s);
    const fadeIn = Math.max(1, (now.fade_in - now.start_s) * take.rate);
    const fadeOut = Math.max(1, (now.end_s - now.fade_out) * take.rate);
    for (let i = 0; i < samples.length; i++) samples[i] *= rise((i + 1) / fadeIn) * rise((samples.length - i) / fadeOut);
    return samples;
  }

  /** Plays what a handle has changed. */
  function hear(row, take, now, handle) {
    const seconds = now.end_s - now.start_s;
    const voice = { samples: cut(take, now), rate: take.rate, gainDb: now.gain_db, playbackRate: 2 ** (now.cents / 1200) };
    const rmsDbfs = Mixer.rmsDb(voice.samples) + now.gain_db;
    const say = { label: `${nameOf(row)} as moved`, rmsDbfs, voices: [voice], chosen: 0, fromS: 0 };
    if (handle?.startsWith('loop') && now.loop_start !== null) {
      voice.loop = [now.loop_start - now.start_s, now.loop_end - now.start_s];
      say.label = `${nameOf(row)} held by its loop`;
      say.fromS = Math.max(0, voice.loop[1] - HEARD_S);
      Player.play(say, true);
      heard = Mixer.startedAt();
      isHeld = true;
      const began = Mixer.startedAt();
      setTimeout(() => { if (Mixer.startedAt() === began) Player.stop(); }, 1000 * LOOP_HEARD_S);
      return;
    }
    if (handle === 'end_s' || handle === 'fade_out') say.fromS = Math.max(0, seconds - HEARD_S);
    else if (handle === 'start_s' || handle === 'fade_in') { voice.samples = voice.samples.slice(0, Math.round(HEARD_S * take.rate)); }
    Player.play(say, true);
    heard = Mixer.startedAt();
    isHeld = false;
  }

  /** A line that goes along with what is heard of the take. */
  function follow(surface, now, x) {
    const head = h('div', { class: 'head', 'aria-hidden': 'true', hidden: true });
    surface.append(head);
    const step = () => {
      if (!surface.isConnected) return;
      const { start_s: start, end_s: end, loop_start: loopStart, loop_end: loopEnd, cents } = now();
      let at = heard !== null && heard === Mixer.startedAt() ? start + Mixer.positionS() * 2 ** (cents / 1200) : null;
      if (at !== null && isHeld && at > loopEnd) at = loopStart + ((at - loopStart) % (loopEnd - loopStart));
      head.hidden = at === null || at > end || x(at) < 0;
      if (!head.hidden) head.style.left = `${x(at)}px`;
      requestAnimationFrame(step);
    };
    requestAnimationFrame(step);
  }

  function wave(context, width, take, outline, from, to) {
    context.fillStyle = colour('wave');
    const middle = RULER + (HEIGHT - RULER) / 2;
    const high = (HEIGHT - RULER) / 2;
    if (take) {
      let max = 1e-4;
      for (const x of take.samples) max = Math.max(max, Math.abs(x));
      for (let c = 0; c < width; c++) {
        let low = 1;
        let top = -1;
        const a = Math.floor((from + (c * (to - from)) / width - take.fromS) * take.rate);
        const b = Math.max(a + 1, Math.floor((from + ((c + 1) * (to - from)) / width - take.fromS) * take.rate));
        // Enough of the frames to see the outline; all of them where it is enlarged.
        const step = Math.max(1, Math.floor((b - a) / 200));
        for (let i = Math.max(0, a); i < Math.min(b, take.samples.length); i += step) { low = Math.min(low, take.samples[i]); top = Math.max(top, take.samples[i]); }
        if (top >= low) context.fillRect(c, middle - (high * 0.94 * top) / max, 1, Math.max(1, (high * 0.94 * (top - low)) / max));
      }
    } else {
      const values = bytes(outline.outline, Int8Array);
      for (let c = 0; c < values.length / 2; c++) {
        const at = outline.fromS + (c * outline.aroundS) / (values.length / 2);
        const x = ((at - from) / (to - from)) * width;
        context.fillRect(x, middle - (high * 0.94 * values[2 * c + 1]) / 127, Math.ceil((width * outline.aroundS) / (values.length / 2) / (to - from)), Math.max(1, (high * 0.94 * (values[2 * c + 1] - values[2 * c])) / 127));
      }
    }
  }

  function view(note, row) {
    const box = h('section', { class: 'editor', 'aria-label': 'Cut, fades, loop and gain' }, h('p', { class: 'none' }, 'Loading …'));
    make(note, row, box).catch(() => box.replaceChildren(h('p', { class: 'none' }, 'The take around it is not at hand here; build the library again, or open the page with build --watch.')));
    return box;
  }

  async function make(note, row, box) {
    const picture = await Takewright.picture(row);
    const take = Sounds.has(row) ? (await Sounds.of(row).catch(() => null))?.take ?? null : null;
    let saved = settings(row, picture, Decisions.of(note));
    let now = { ...saved };
    const range = take ? [take.fromS, take.fromS + take.samples.length / take.rate] : [picture.before.fromS, picture.before.fromS + picture.before.aroundS];
    const before = kept?.key === note.key ? kept : null;
    if (before?.now) now = before.now;
    let [from, to] = before ? [Math.max(range[0], before.from), Math.min(range[1], before.to)] : range;
    const keep = () => { kept = { key: note.key, from, to, focusOn, now: isChanged() ? now : null }; };
    const surface = h('div', { class: 'handles' });
    const readout = h('output', { class: 'readout', 'aria-live': 'off' });
    const after = h('input', { type: 'checkbox', checked: true });
    const handles = new Map();
    let focusOn = before?.focusOn ?? 'start_s';
    const width = () => surface.clientWidth || 900;
    const x = (s) => ((s - from) / (to - from)) * width();

    const clamp = (value, low, high) => Math.max(low, Math.min(high, value));
    const LIMITS = {
      start_s: () => [range[0], now.end_s - SHORTEST_S], end_s: () => [now.start_s + SHORTEST_S, range[1]],
      // A fade is at most half of the sample, as in the build.
      fade_in: () => [now.start_s, (now.start_s + now.end_s) / 2], fade_out: () => [(now.start_s + now.end_s) / 2, now.end_s],
      loop_start: () => [now.start_s, now.loop_end - SHORTEST_S], loop_end: () => [now.loop_start + SHORTEST_S, now.end_s],
    };

    function move(key, value) {
      const [low, high] = LIMITS[key]();
      const to = clamp(value, low, high);
      // A fade goes with the end that it belongs to.
      if (key === 'start_s') now.fade_in = clamp(now.fade_in + to - now.start_s, to, now.end_s);
      if (key === 'end_s') now.fade_out = clamp(now.fade_out + to - now.end_s, now.start_s, to);
      now[key] = to;
      changed();
    }

    const hearAfter = (key) => {
      if (!after.checked) return;
      if (take) hear(row, take, now, key);
      else if (!Takewright.isServed) Player.stretch(row, null, key === 'end_s' ? Math.max(now.start_s, now.end_s - HEARD_S) : now.start_s, key === 'start_s' ? Math.min(now.end_s, now.start_s + HEARD_S) : now.end_s);
    };
    let later = null;
    const soon = (key) => { clearTimeout(later); later = setTimeout(() => hearAfter(key), 180); };

    function draw() {
      const [canvasOf, context] = canvas(width(), HEIGHT, `The take around ${nameOf(row)}, ${clock(from)} to ${clock(to)}`);
      wave(context, width(), take, picture.before, from, to);
      context.fillStyle = colour('veil');
      context.fillRect(0, RULER, Math.max(0, x(now.start_s)), HEIGHT);
      context.fillRect(x(now.end_s), RULER, width(), HEIGHT);
      if (now.loop_start !== null) { context.fillStyle = colour('loop'); context.fillRect(x(now.loop_start), RULER, x(now.loop_end) - x(now.loop_start), HEIGHT); }
      // Flags may share a place: each word has a height of its own.
      for (const [line, flag] of row.flags.filter((f) => row.flagsAt[f]).entries()) {
        const [a, b] = row.flagsAt[flag];
        context.fillStyle = colour('fault');
        context.fillRect(x(a), RULER, Math.max(2, x(b) - x(a)), HEIGHT);
        context.fillStyle = colour('vermillion');
        context.font = '11px system-ui';
        context.fillText(flag.replaceAll('_', ' '), x(a) + 4, HEIGHT - 5 - 14 * line);
      }
      context.strokeStyle = colour('sky');
      context.lineWidth = 1.5;
      context.beginPath();
      context.moveTo(x(now.start_s), HEIGHT);
      context.lineTo(x(now.fade_in), RULER + 2);
      context.lineTo(x(now.fade_out), RULER + 2);
      context.lineTo(x(now.end_s), HEIGHT);
      context.stroke();
      if (row.onset_s !== null) {
        context.strokeStyle = colour('green');
        context.setLineDash([4, 3]);
        context.beginPath();
        context.moveTo(x(row.onset_s), RULER);
        context.lineTo(x(row.onset_s), HEIGHT);
        context.stroke();
      }
      surface.querySelector('canvas')?.remove();
      surface.prepend(canvasOf);
      for (const [key, handle] of handles) {
        const value = now[key];
        handle.hidden = value === null || x(value) < -8 || x(value) > width() + 8;
        if (value === null) continue;
        handle.style.left = `${x(value)}px`;
        const [low, high] = LIMITS[key]();
        handle.setAttribute('aria-valuemin', low.toFixed(3));
        handle.setAttribute('aria-valuemax', high.toFixed(3));
        handle.setAttribute('aria-valuenow', value.toFixed(4));
        const fade = key === 'fade_in' ? value - now.start_s : key === 'fade_out' ? now.end_s - value : null;
        handle.setAttribute('aria-valuetext', fade === null ? `${value.toFixed(3)} seconds in the take` : `${Math.round(1000 * fade)} milliseconds`);
      }
      readout.textContent = `${(now.end_s - now.start_s).toFixed(3)} s from ${clock(now.start_s)} to ${clock(now.end_s)}; fades ${Math.round(1000 * (now.fade_in - now.start_s))} and ${Math.round(1000 * (now.end_s - now.fade_out))} ms; ${now.loop_start === null ? 'no loop' : `loop of ${(now.loop_end - now.loop_start).toFixed(3)} s`}`;
    }

    const isChanged = () => JSON.stringify(now) !== JSON.stringify(saved);
    const isFixed = () => KEYS.some((key) => Decisions.of(note)?.[key] !== undefined);

    function changed() {
      keep();
      draw();
      save.disabled = revert.disabled = !isChanged();
      asBuilt.disabled = !isFixed();
      gain.value = now.gain_db;
      pitch.value = now.cents;
      cleaning.value = now.cleaning_db ?? '';
      hold.disabled = now.loop_start === null || !take;
      loopless.textContent = now.loop_start === null ? 'Loop here' : 'No loop';
    }

    for (const [key, { name, colour: paint }] of Object.entries(HANDLES)) {
      const handle = h('div', {
        role: 'slider', tabindex: 0, class: `handle ${paint} ${key}`, 'aria-label': name, title: name, 'data-handle': key, 'aria-orientation': 'horizontal',
        focus: () => { focusOn = key; keep(); },
        keydown: (event) => {
          const [small, large] = [0.001, 0.01];
          const steps = { ArrowLeft: -1, ArrowRight: 1, ArrowDown: -1, ArrowUp: 1, PageDown: -10, PageUp: 10 };
          if (event.ctrlKey || event.metaKey || !(event.key in steps)) return;
          move(key, now[key] + steps[event.key] * (event.shiftKey ? large : event.altKey ? small / 10 : small));
          soon(key);
          event.preventDefault();
          event.stopPropagation();
        },
        pointerdown: (event) => {
          handle.setPointerCapture(event.pointerId);
          handle.focus();
          const offset = event.clientX - surface.getBoundingClientRect().left - x(now[key]);
          const moving = (e) => move(key, from + ((e.clientX - surface.getBoundingClientRect().left - offset) / width()) * (to - from));
          handle.addEventListener('pointermove', moving);
          handle.addEventListener('pointerup', () => { handle.removeEventListener('pointermove', moving); hearAfter(key); }, { once: true });
          event.preventDefault();
        },
      });
      handles.set(key, handle);
      surface.append(handle);
    }

    /** Shows a shorter or longer stretch around a handle. */
    function zoom(factor, around = now[focusOn] ?? now.start_s) {
      const length = clamp((to - from) * factor, 0.02, range[1] - range[0]);
      const share = clamp((around - from) / (to - from), 0.1, 0.9);
      from = clamp(around - share * length, range[0], range[1] - length);
      to = from + length;
      keep();
      draw();
    }
    surface.addEventListener('wheel', (event) => {
      zoom(event.deltaY > 0 ? 1.25 : 0.8, from + ((event.clientX - surface.getBoundingClientRect().left) / width()) * (to - from));
      event.preventDefault();
    }, { passive: false });

    const number = (name, key, step, min, max, unit) => {
      const input = h('input', { type: 'number', step, min, max, 'aria-label': `${name}, ${unit}`, 'data-set': key, change: () => {
        now[key] = input.value === '' && key === 'cleaning_db' ? null : clamp(Number(input.value) || 0, min, max);
        changed();
        hearAfter(key);
      } });
      return [input, h('label', {}, `${name} `, input, ` ${unit}`)];
    };
    const [gain, gainLabel] = number('Gain', 'gain_db', 0.5, -24, 24, 'dB');
    const [pitch, pitchLabel] = number('Pitch', 'cents', 1, -100, 100, 'cents');
    const [cleaning, cleaningLabel] = number('Cleaning', 'cleaning_db', 1, 0, 60, 'dB');
    cleaning.placeholder = 'as it is';
    const button = (id, text, key, click) => h('button', { type: 'button', id, click }, `${text} `, key ? h('kbd', {}, key) : null);
    const hold = button('hear-loop', '▶ Loop as moved', 'h', () => hear(row, take, now, 'loop_start'));
    const play = button('hear-cut', '▶ As moved', 'm', () => (take ? hear(row, take, now, null) : hearAfter('start_s')));
    const save = button('save-fix', 'Save', 'Enter', () => keepIt());
    const revert = button('revert-fix', 'Back to saved', null, () => { now = { ...saved }; changed(); });
    const asBuilt = button('as-built', 'Take moves back', null, () => {
      Decisions.change([note], Object.fromEntries(KEYS.map((key) => [key, undefined])), `took moves back, ${nameOf(row)}`);
      now = { ...(saved = settings(row, picture, null)) };
      changed();
    });
    const loopless = button('no-loop', 'No loop', null, () => {
      if (now.loop_start !== null) { now.loop_start = now.loop_end = null; }
      else { const middle = (now.start_s + now.end_s) / 2; const half = (now.end_s - now.start_s) / 6; now.loop_start = middle - half; now.loop_end = middle + half; }
      changed();
    });

    function keepIt() {
      const before = Decisions.of(note) ?? {};
      const keys = fix(now, saved, before);
      const names = { start_s: 'start', end_s: 'end', fade_in_ms: 'fade-in', fade_out_ms: 'fade-out', loop_s: 'loop', loop: 'no loop', gain_db: 'gain', cents: 'pitch', cleaning_db: 'cleaning' };
      const what = Object.keys(keys).filter((key) => JSON.stringify(keys[key]) !== JSON.stringify(before[key])).map((key) => names[key]);
      Decisions.change([note], Object.fromEntries(KEYS.map((key) => [key, keys[key]])), `${what.join(', ') || 'moves taken back'}, ${nameOf(row)}`);
      saved = { ...now };
      toHear = note.key;
      changed();
    }

    box.addEventListener('keydown', (event) => {
      if (event.ctrlKey || event.metaKey || event.altKey) return;
      const zooms = { '+': 0.5, '-': 2, '=': 0.5 };
      if (event.target.tagName === 'INPUT' && event.key !== 'Enter') return;
      if (event.key in zooms) zoom(zooms[event.key]);
      else if (event.key === 'Enter' && event.target.tagName !== 'BUTTON') { event.target.blur?.(); event.target.focus?.(); keepIt(); }
      else return;
      event.preventDefault();
      event.stopPropagation();
    });
    box.replaceChildren(
      h('h3', {}, 'Cut, fades, loop and gain'), surface, readout,
      h('div', { class: 'row' }, gainLabel, pitchLabel, cleaningLabel, loopless,
        h('label', {}, after, ' play after each move'), h('button', { type: 'button', 'aria-label': 'Enlarge', click: () => zoom(0.5) }, '+'), h('button', { type: 'button', 'aria-label': 'Show more', click: () => zoom(2) }, '−')),
      h('div', { class: 'row' }, play, hold, save, revert, asBuilt,
        h('span', { class: 'more' }, take ? 'Arrows move a handle by 1 ms, with Shift 10 ms, with Alt 0.1 ms. Cleaning and tuning are heard after saving.' : 'Fades, loop and gain are heard in the page that build --watch opens.')));
    requestAnimationFrame(() => {
      changed();
      if (focusNext) handles.get(focusNext)?.focus({ preventScroll: true });
      focusNext = null;
    });
    new ResizeObserver(draw).observe(surface);
    follow(surface, () => now, x);
  }

  /** Whether a note is to be heard now that it was made again; asked once. */
  function isToHear(note) {
    const yes = toHear !== null && toHear === note?.key;
    if (yes) toHear = null;
    return yes;
  }

  /** Another note is looked at. */
  const forget = (note) => { if (kept?.key !== note.key) kept = null; };

  const focusAgain = (handle) => { focusNext = handle ?? null; };

  return { view, isToHear, forget, focusAgain };
})();
