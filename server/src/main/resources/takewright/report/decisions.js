// What a person decides on the page: entries of `fixes`, one for each region or cell, and how to take them back.
'use strict';

const Decisions = (() => {
  /** Entries { take, articulation, at or cell, name, what the person called it, and the keys of the fix }. */
  let made = [];
  let steps = []; // what was before each step, the last at the end
  let basis = '[]'; // the entries that the last build had read
  const listeners = [];
  const STEPS_KEPT = 50;
  // A server's address changes at each start, and holds a token that must not be stored.
  const place = () => `takewright decisions ${Takewright.isServed ? Takewright.library.name : location.pathname}`;

  function store() {
    try { localStorage.setItem(place(), JSON.stringify({ made, steps, basis })); } catch { /* kept for this visit only */ }
  }

  function remember() {
    store();
    listeners.forEach((listener) => listener());
  }

  /** The entries that the last build has read, called as they were when they were decided. */
  function ofBuild(known) {
    return (Takewright.library.decisions ?? []).map((entry) => {
      const same = known.find((other) => isSame(entry, other));
      return { ...entry, name: same?.name, why: same?.why };
    });
  }

  const has = (list, entry) => list.some((other) => isSame(entry, other));

  /** Brings together what stands on the page and what a build has read, which others may have changed too. */
  function merge(mine, old) {
    const read = ofBuild(mine);
    // From disk nobody says whether a build was made without them on purpose: none is dropped.
    const kept = mine.filter((entry) => !Takewright.isServed || has(read, entry) || !has(old, entry));
    made = kept.concat(read.filter((entry) => !has(mine, entry) && !has(old, entry)));
    basis = JSON.stringify(read);
    store();
  }

  /** At the beginning: what stands in the decisions file, and what was decided here since. */
  function recall() {
    let kept = null;
    try { kept = JSON.parse(localStorage.getItem(place())); } catch { /* nothing that can be read */ }
    steps = kept?.steps ?? [];
    merge(kept?.made ?? [], JSON.parse(kept?.basis ?? '[]'));
  }

  /** After another build. */
  const rebase = () => merge(made, JSON.parse(basis));

  const isSame = (a, b) => a.take === b.take && a.articulation === b.articulation && (a.at === undefined ? a.note === b.note && a.dynamic === b.dynamic && a.rr === b.rr
    : b.at !== undefined && Math.abs(a.at - b.at) < 0.005);

  const takeOf = (note) => Takewright.library.takes[note.row.takeAt]?.name ?? note.row.take;

  /** The middle of the sound, which stays inside it when a later build cuts slightly differently. */
  const timeIn = (row) => Math.round(50 * ((row.onset_s ?? row.start_s) + row.end_s)) / 100;

  function isAbout(entry, note) {
    const { row } = note;
    if (entry.take !== takeOf(note) || (entry.articulation && entry.articulation !== row.articulation)) return false;
    if (entry.at !== undefined) return note.isRegion && entry.at >= row.start_s && entry.at < row.end_s;
    return !note.isRegion && entry.note === (row.note || undefined) && (entry.dynamic ?? '') === (row.dynamic ?? '') && entry.rr === (row.rr ?? undefined);
  }

  const of = (note) => made.find((entry) => isAbout(entry, note)) ?? null;

  function fresh(note) {
    const { row } = note;
    const base = { take: takeOf(note), articulation: row.articulation, name: `${nameOf(row)} ${row.articulation}` };
    if (note.isRegion) return { ...base, at: timeIn(row) };
    return { ...base, note: row.note || undefined, dynamic: row.dynamic || undefined, rr: row.rr ?? undefined };
  }

  /** Keys that say where an entry belongs and what the page calls it; all others are the decision. */
  const PLACE = ['take', 'name', 'why', 'at', 'articulation'];
  const isEmpty = (entry) => Object.keys(entry).every((key) => PLACE.includes(key) || (entry.at === undefined && ['note', 'dynamic', 'rr'].includes(key)) || entry[key] === undefined);

  /** One step: for each note what changes in its entry (undefined removes a key); `word` says it for undoing. */
  function change(notes, patch, word) {
    const before = made;
    const now = made.map((entry) => ({ ...entry }));
    for (const note of notes) {
      let entry = now.find((e) => isAbout(e, note));
      if (!entry) now.push(entry = fresh(note));
      Object.assign(entry, typeof patch === 'function' ? patch(note, entry) : patch);
      for (const key of Object.keys(entry)) if (entry[key] === undefined) delete entry[key];
    }
    made = now.filter((entry) => !isEmpty(entry));
    if (JSON.stringify(made) === JSON.stringify(before)) return;
    steps = [...steps, { made: before, word }].slice(-STEPS_KEPT);
    remember();
  }

  const naming = (notes) => (notes.length === 1 ? nameOf(notes[0].row) : plural(notes.length, 'note'));
  const without = { keep: undefined, drop: undefined, why: undefined };

  /** A verdict; the same verdict again revokes it. */
  function decide(notes, verdict, why) {
    const regions = notes.filter((note) => note.isRegion);
    const revoke = regions.length > 0 && regions.every((note) => whyOf(of(note)) === why);
    if (regions.length) change(regions, revoke ? without : { ...without, [verdict]: true, why }, `${revoke ? 'took back: ' : ''}${why}, ${naming(regions)}`);
  }

  const keep = (notes) => decide(notes, 'keep', 'keep');
  const drop = (notes) => decide(notes, 'drop', 'drop');
  // A wrong note is dropped: a dropped region fills no cell.
  const wrongNote = (notes) => decide(notes, 'drop', 'wrong note');
  const instead = (notes) => decide(notes, 'keep', 'this one instead');

  /** Heard and found right: `kinds` says which flags of a note. */
  function accept(notes, kinds) {
    change(notes, (note, entry) => ({ accept: [...new Set([...(entry.accept ?? []), ...kinds(note)])] }), `accept, ${naming(notes)}`);
  }

  const isAccepted = (note, kind) => of(note)?.accept?.includes(kind) ?? false;

  function remove(entry) {
    steps = [...steps, { made, word: `take back, ${entry.name ?? entry.take}` }].slice(-STEPS_KEPT);
    made = made.filter((other) => other !== entry);
    remember();
  }

  function clear() {
    steps = [...steps, { made, word: 'take all back' }].slice(-STEPS_KEPT);
    made = [];
    remember();
  }

  /** Takes the last step back; what it was. */
  function undo() {
    const last = steps.at(-1);
    if (!last) return null;
    steps = steps.slice(0, -1);
    made = last.made;
    remember();
    return last.word;
  }

  const plain = (text) => (/^[A-Za-z][A-Za-z0-9_]*$/.test(text) && !/^(y|n|yes|no|on|off|true|false|null)$/i.test(text) ? text : JSON.stringify(text));
  const decimals = { start_s: 6, end_s: 6, loop_s: 6, at: 2 };

  function written(key, value) {
    if (Array.isArray(value)) return `[${value.map((v) => written(key, v)).join(', ')}]`;
    if (value === true) return 'yes';
    if (value === false) return 'no';
    return typeof value === 'number' ? String(Number(value.toFixed(decimals[key] ?? 3))) : plain(String(value));
  }

  const quoted = (name) => JSON.stringify(name);
  const comment = (entry) => [entry.name, entry.why].filter(Boolean).join(', ').replace(/[^\x20-\x7e\u00a0-\ud7ff]/g, ' ');

  /** The decisions file: the entries of `fixes`, take by take. */
  function text() {
    if (!made.length) return '';
    const out = [`# Decisions on ${comment({ name: Takewright.library.name })}, made on the page of its report.`, 'takes:'];
    for (const entries of groupBy(made, (entry) => `${entry.take}\n${entry.articulation}`).values()) {
      const { take, articulation } = entries[0];
      out.push(`  - file: ${quoted(take)}`);
      if (isShared(take)) out.push(`    articulation: ${quoted(articulation)}`);
      out.push('    fixes:');
      for (const entry of [...entries].sort((a, b) => (a.at ?? Infinity) - (b.at ?? Infinity))) {
        const keys = ['at', ...Object.keys(entry).filter((key) => !PLACE.includes(key))].filter((key) => entry[key] !== undefined);
        out.push(`      - {${keys.map((key) => `${key}: ${written(key, entry[key])}`).join(', ')}}${comment(entry) ? `  # ${comment(entry)}` : ''}`);
      }
    }
    return `${out.join('\n')}\n`;
  }

  /** Whether one file holds several takes of the sheet. */
  const isShared = (name) => Takewright.library.takes.filter((take) => take.name === name).length > 1;

  /** An entry in words. */
  function words(entry) {
    const cents = (value) => `${signed(value)} cents`;
    const how = {
      keep: () => entry.why ?? 'keep', drop: () => entry.why ?? 'drop', accept: () => `accept ${entry.accept.join(', ').replaceAll('_', ' ')}`,
      start_s: () => `starts at ${clock(entry.start_s)}`, end_s: () => `ends at ${clock(entry.end_s)}`, cents: () => cents(entry.cents),
      gain_db: () => `${signed(entry.gain_db)} dB`, cleaning_db: () => `cleaned by ${entry.cleaning_db} dB`, loop: () => 'no loop',
      loop_s: () => `loop ${entry.loop_s.map(clock).join(' to ')}`, note: () => (entry.at === undefined ? '' : `is ${entry.note}`),
      dynamic: () => (entry.at === undefined ? '' : `is ${entry.dynamic}`), rr: () => (entry.at === undefined ? '' : `is rr${entry.rr}`),
    };
    return Object.keys(entry).filter((key) => !PLACE.includes(key)).map((key) => how[key]?.() ?? `${key} ${entry[key]}`).filter(Boolean).join(', ');
  }

  const last = () => steps.at(-1)?.word ?? null;

  /** What an entry was called when it was decided; where nobody knows any more, its verdict. */
  const whyOf = (entry) => entry?.why ?? (entry?.keep ? 'keep' : entry?.drop ? 'drop' : null);

  return { recall, rebase, whyOf, of, change, keep, drop, wrongNote, instead, accept, isAccepted, remove, clear, undo, last, text, words,
    all: () => made, count: () => made.length, onChange: (f) => listeners.push(f) };
})();
