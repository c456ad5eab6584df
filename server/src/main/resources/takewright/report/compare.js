// Sounds side by side: a sample before and after, what was removed, and other attempts at its note. All run
// in step from their onsets, matched in level, and a switch changes which one is heard.
'use strict';

const Compare = (() => {
  let running = null; // of what plays: its choices and the function that marks one

  /** The sounds of a note that can be heard in step. */
  function choices(note, row) {
    const out = [];
    if (row.file) out.push({ id: 'after', text: 'Sample', key: 'p', row, make: (s) => s.after && { ...s.after, leadS: (row.onset_s ?? row.start_s) - row.start_s } });
    out.push({ id: 'before', text: row.file ? 'Take' : 'This one', key: 'b', row, make: (s) => inTake(s, row) });
    if (row.file) out.push({ id: 'removed', text: 'Removed', key: 'r', row, make: (s) => s.removed && { ...s.removed, leadS: row.onset_s - row.start_s, rawDb: s.removedDb } });
    for (const other of Notes.attempts(note)) {
      const of = other.rows.find((r) => r.layer === row.layer) ?? other.row;
      out.push({ id: `other-${of.id}`, text: `${other.status === 'kept' ? 'Kept' : 'Attempt'} at ${clock(of.start_s)}`, row: of, note: other, make: (s) => inTake(s, of) });
    }
    return out;
  }

  const STRIP = 54; // CSS pixels of the wave of one attempt

  /** The attempts at a note below each other, their onsets above each other; a click plays from there. */
  function strips(list, press) {
    const attempts = list.filter((choice) => choice.id === 'before' || choice.note);
    if (attempts.length < 2) return null;
    const leadOf = ({ row }) => (row.onset_s ?? row.start_s) - row.start_s;
    const lead = Math.max(...attempts.map(leadOf));
    const seconds = Math.max(...attempts.map((choice) => lead - leadOf(choice) + choice.row.end_s - choice.row.start_s));
    const head = h('div', { class: 'head', 'aria-hidden': 'true', hidden: true });
    const box = h('div', { class: 'strips', role: 'group', 'aria-label': 'Attempts, onset above onset' });
    for (const choice of attempts) {
      const surface = h('div', { class: 'attempt', style: `height: ${STRIP}px`, 'data-attempt': choice.id, title: 'Click: play from here', click: (event) => {
        const rect = surface.getBoundingClientRect();
        press(choice, ((event.clientX - rect.left) / rect.width) * seconds);
      } }, h('span', { class: 'at' }, choice.text));
      box.append(surface);
      Takewright.picture(choice.row).then(({ before }) => requestAnimationFrame(() => draw(surface, choice, before, (lead - leadOf(choice)), seconds))).catch(() => surface.remove());
    }
    box.append(head);
    const follow = () => {
      if (!box.isConnected) return;
      const at = running?.box === box.parentElement?.querySelector('.compare') ? Mixer.positionS() : null;
      head.hidden = at === null;
      if (at !== null) head.style.left = `${Math.min(100, (100 * at) / seconds)}%`;
      requestAnimationFrame(follow);
    };
    requestAnimationFrame(() => requestAnimationFrame(follow));
    return box;
  }

  function draw(surface, choice, before, lateS, seconds) {
    const width = surface.clientWidth || 600;
    const [canvasOf, context] = canvas(width, STRIP, `${nameOf(choice.row)} ${choice.text}`);
    const values = bytes(before.outline, Int8Array);
    const columns = values.length / 2;
    const { row } = choice;
    context.fillStyle = colour('wave');
    for (let c = 0; c < columns; c++) {
      const at = before.fromS + ((c + 0.5) * before.aroundS) / columns;
      if (at < row.start_s || at > row.end_s) continue;
      const x = ((lateS + at - row.start_s) / seconds) * width;
      context.fillRect(x, (STRIP / 2) * (1 - (0.94 * values[2 * c + 1]) / 127), Math.ceil((before.aroundS / columns / seconds) * width), Math.max(1, (STRIP / 2) * 0.94 * (values[2 * c + 1] - values[2 * c]) / 127));
    }
    context.strokeStyle = colour('green');
    context.setLineDash([4, 3]);
    const onset = ((lateS + (row.onset_s ?? row.start_s) - row.start_s) / seconds) * width;
    context.beginPath();
    context.moveTo(onset, 0);
    context.lineTo(onset, STRIP);
    context.stroke();
    surface.prepend(canvasOf);
  }

  const inTake = (sounds, row) => ({ samples: Sounds.part(sounds.take, row.start_s, row.end_s), rate: sounds.take.rate, leadS: (row.onset_s ?? row.start_s) - row.start_s });

  async function voicesOf(list) {
    const voices = await Promise.all(list.map(async (choice) => {
      const sounds = await Sounds.of(choice.row).catch(() => null);
      return sounds && choice.make(sounds);
    }));
    const there = list.map((choice, i) => ({ choice, voice: voices[i] })).filter(({ voice }) => voice?.samples.length);
    // The softest of what was played sets the level, so that nothing is made louder; what was removed is heard as it is.
    const levels = there.map(({ voice }) => Mixer.loudnessDb(voice));
    const softest = Math.min(...levels.filter((_, i) => there[i].choice.id !== 'removed'));
    there.forEach(({ choice, voice }, i) => { voice.gainDb = choice.id === 'removed' ? 0 : softest - levels[i]; });
    return { there, rmsDbfs: softest };
  }

  const labelOf = (choice) => `${nameOf(choice.row)} ${choice.text.toLowerCase()}`;

  function view(note, row, go) {
    const list = choices(note, row);
    const has = (choice) => Sounds.has(choice.row);
    const box = h('div', { class: 'compare', role: 'group', 'aria-label': 'Sounds, in step' });
    const mark = (id) => {
      box.querySelectorAll('[data-sound]').forEach((b) => b.setAttribute('aria-pressed', String(b.dataset.sound === id)));
      box.strips?.querySelectorAll('[data-attempt]').forEach((b) => b.classList.toggle('heard', b.dataset.attempt === id));
    };

    async function start(choice, fromS = 0) {
      const playable = list.filter(has);
      if (!playable.includes(choice)) { withoutSounds(choice); return; }
      const { there, rmsDbfs } = await voicesOf(playable);
      const at = there.findIndex((t) => t.choice === choice);
      if (at < 0) { Player.say(`There is no sound of that of ${nameOf(choice.row)}.`); return; }
      Player.play({ label: labelOf(choice), voices: there.map((t) => t.voice), chosen: at, fromS, rmsDbfs: choice.id === 'removed' ? null : rmsDbfs }, fromS > 0);
      running = Mixer.isPlaying() ? { box, choices: there.map((t) => t.choice) } : null;
      mark(running ? choice.id : null);
    }

    /** The page holds no sounds of it: the file and the take are played as the browser can. */
    function withoutSounds(choice) {
      running = null;
      mark(choice.id);
      if (choice.id === 'after') Player.after(choice.row);
      else if (choice.id !== 'removed' && !Takewright.isServed) Player.stretch(choice.row);
    }

    function press(choice) {
      const at = running?.box === box && Mixer.isPlaying() ? running.choices.indexOf(choice) : -1;
      if (at >= 0 && Mixer.chosen() !== at) {
        Player.choose(at, labelOf(choice));
        mark(choice.id);
      } else start(choice);
    }

    /** The next of the sounds that play in step. */
    box.next = () => {
      const playing = running?.box === box && Mixer.isPlaying();
      const of = playing ? running.choices : list.filter((c) => c.id !== 'removed');
      const now = playing ? Mixer.chosen() : -1;
      const next = of.filter((c) => c.id !== 'removed')[(of.filter((c) => c.id !== 'removed').indexOf(of[now]) + 1) % Math.max(1, of.filter((c) => c.id !== 'removed').length)];
      if (next) press(next);
    };

    const ONLY = 'Only the page that build --watch opens, or a build with --all-sounds, has it for every sample';
    box.append(...list.map((choice) => {
      const missing = !has(choice) && (choice.id === 'removed' || (choice.id !== 'after' && Takewright.isServed));
      const none = choice.id === 'removed' && row.flags.includes('no_room_tone');
      return h('span', { class: 'choice' },
        h('button', { type: 'button', id: `play-${choice.id}`, 'data-sound': choice.id, 'aria-pressed': 'false', disabled: missing || none, title: none ? 'Its noise was not reduced' : missing ? ONLY : null, click: () => press(choice) }, `▶ ${choice.text} `, choice.key ? h('kbd', {}, choice.key) : null),
        choice.note && choice.note.status !== 'kept' ? h('button', { type: 'button', 'data-instead': choice.row.id, 'aria-label': `${note.status === 'missing' ? 'Keep' : 'Take instead'}: ${nameOf(choice.row)} at ${clock(choice.row.start_s)}`, click: () => Decisions.instead([choice.note]) }, note.status === 'missing' ? 'Keep it' : 'Take it instead') : null,
        choice.note ? h('button', { type: 'button', class: 'link', click: () => go(choice.row) }, 'open') : null);
    }));
    if (row.file && row.loop_start !== null) {
      const can = Sounds.has(row);
      box.append(h('button', { type: 'button', id: 'play-loop', disabled: !can, title: can ? 'Held for 8 s by its loop' : ONLY, click: () => holdLoop(row) }, '▶ Loop ', h('kbd', {}, 'l')));
    }
    box.strips = strips(list, (choice, fromS) => start(choice, fromS));
    if (list.length > 1) box.append(h('span', { class: 'more' }, 'All run in step; ', h('kbd', {}, 'c'), ' switches to the next.'));
    return box;
  }

  /** Whether a row can be heard: its file, or its stretch of the take. */
  const canPlay = (row) => row.start_s !== null && (Boolean(row.file) || Sounds.has(row) || !Takewright.isServed);

  /** Plays the file of a row, or its stretch of the take. */
  async function playRow(row) {
    if (row.file) { Player.after(row); return; }
    if (!Sounds.has(row)) { Player.stretch(row); return; }
    const sounds = await Sounds.of(row).catch(() => null);
    if (!sounds) { Player.say(`There is no sound of ${nameOf(row)} at ${clock(row.start_s)}.`); return; }
    const voice = inTake(sounds, row);
    Player.play({ label: `${nameOf(row)} in the take`, rmsDbfs: Mixer.rmsDb(voice.samples), fromS: 0, chosen: 0, voices: [{ ...voice, gainDb: 0 }] });
  }

  /** Heard before and after a place, in seconds, so that it is known again. */
  const AROUND_S = 0.4;

  /** Plays the take around the place where the reason of a flag is heard. */
  async function playPlace(row, [fromS, toS]) {
    const [from, to] = [Math.max(0, fromS - AROUND_S), toS + AROUND_S];
    const take = Sounds.has(row) ? (await Sounds.of(row).catch(() => null))?.take : null;
    if (!take) { Player.stretch(row, null, from, to); return; }
    const samples = Sounds.part(take, from, to);
    Player.play({ label: `${nameOf(row)} around ${clock(fromS)} in the take`, rmsDbfs: Mixer.rmsDb(samples), fromS: 0, chosen: 0, voices: [{ samples, rate: take.rate, leadS: 0, gainDb: 0 }] }, true);
  }

  const HELD_S = 8;

  /** A sample as a sampler holds it past the end of its loop. */
  async function holdLoop(row) {
    const after = (await Sounds.of(row).catch(() => null))?.after;
    if (!after) { Player.say(`There is no sound of ${nameOf(row)}; build the library again.`); return; }
    // The last frame of a loop is part of it.
    const loop = [row.loop_start / after.rate, (row.loop_end + 1) / after.rate];
    const fromS = Math.max(0, loop[1] - 2.5);
    Player.play({ label: `${nameOf(row)} held by its loop`, rmsDbfs: Mixer.rmsDb(after.samples), fromS, chosen: 0, voices: [{ ...after, gainDb: 0, loop }] });
    const began = Mixer.startedAt();
    setTimeout(() => { if (Mixer.startedAt() === began) Player.stop(); }, 1000 * HELD_S);
  }

  return { view, canPlay, playRow, playPlace };
})();
