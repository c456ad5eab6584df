// Why a row needs attention, in words, and what to do about it; worst first. FLAGS comes with the
// program and holds the weight, meaning and remedy of each flag.
'use strict';

const Reasons = (() => {
  /** Beyond this a file is audibly out of tune with others, in cents. */
  const OUT_OF_TUNE = 3;

  /** Near enough to be the missing note after all, in cents: clearly nearer than the next semitone. */
  const NEAR = 80;

  /** Players miss a note by less than this, in cents; beyond it another note may be meant. */
  const FAR_OFF = 35;

  /** Beyond this a level differs audibly from its neighbours in pitch, in dB. */
  const LEVEL_OFF = 6;

  const words = (flag) => flag.replaceAll('_', ' ');
  const sentence = (clause) => `${clause[0].toUpperCase()}${clause.slice(1)}.`.replaceAll('`', '"');
  const why = (row) => row.flags.map((flag) => FLAGS[flag].meaning).join('; ');

  const cents = (value) => `${round(Math.abs(value), 0)} cents ${value > 0 ? 'sharp' : 'flat'}`;

  /** Shorter than this share of a usual note of its articulation, a sound is hardly the missing one. */
  const LONG_ENOUGH = 0.5;

  /** Nobody takes these for a note, whatever pitch a detector hears in them. */
  const NO_NOTES = ['talk', 'knock', 'breath', 'count_in', 'too_short'];

  let usual = { rows: null, lengths: null }; // found once for an index

  /** The usual length of the notes of an articulation at a dynamic, in seconds; 0 where none is kept. */
  function usualLength(row, rows) {
    const key = (r) => `${r.articulation}\u0000${r.dynamic ?? ''}`;
    if (usual.rows !== rows) {
      const kept = groupBy(rows.filter((r) => r.status === 'kept' && r.start_s !== null), key);
      usual = { rows, lengths: new Map([...kept].map(([name, of]) => [name, median(of.map((r) => r.end_s - r.start_s))])) };
    }
    return usual.lengths.get(key(row)) ?? 0;
  }

  /**
   * Regions that were left out and may be a missing cell, nearest in pitch first: long enough for a note
   * and no talk; further attempts only where they are at its dynamic.
   */
  function candidates(row, rows) {
    if (row.midi === null) return [];
    const off = (r) => Math.abs(100 * (r.midi - row.midi) + (r.cents_before ?? 0));
    const least = LONG_ENOUGH * usualLength(row, rows);
    return rows.filter((r) => r.takeAt === row.takeAt && r.midi !== null && off(r) <= NEAR && r.end_s - r.start_s >= least
      && !r.flags.some((flag) => NO_NOTES.includes(flag))
      && (r.status === 'extra' || r.status === 'rejected' || (r.status === 'retake' && r.dynamic === row.dynamic))).sort((a, b) => off(a) - off(b));
  }

  /** The region that a decision about a note is about: of a missing cell, what was left out and may be it. */
  function regionFor(note) {
    if (note.isRegion) return note;
    const [near] = candidates(note.row, Takewright.library.rows);
    return near ? Notes.of(near) : note;
  }

  function missing(row, rows) {
    const [near] = candidates(row, rows);
    if (near?.status === 'rejected' || near?.status === 'retake') {
      return ['missing', 100, `Missing: what was played at ${clock(near.start_s)} of ${row.take} was left out${near.flags.length ? `: ${why(near)}` : ' for another attempt'}.`,
        'Listen to that: keep it if it is the note; otherwise play the note again.'];
    }
    if (near) {
      const off = 100 * (near.midi - row.midi) + (near.cents_before ?? 0);
      return ['missing', 100, `Missing, but a region at ${clock(near.start_s)} of ${row.take} is only ${cents(off)}.`,
        'Listen to that: keep it if it is the note; otherwise play the note again.'];
    }
    return ['missing', 100, `Missing: nothing in ${row.take} fills this cell.`,
      'Play it while the player is there.'];
  }

  /** A shorter reason is at one moment, in seconds. */
  const MOMENT_S = 0.1;

  /** Where in the sample and in its take a flag's reason is heard, to begin a sentence with; empty where it has no place. */
  function where(flag, row) {
    if (!row.flagsAt?.[flag]) return '';
    const [from, to] = row.flagsAt[flag];
    const into = (s) => `${round(Math.max(0, s - row.start_s), 2)} s`;
    return to - from < MOMENT_S ? `At ${into(from)} (${clock(from)} in the take) ` : `From ${into(from)} to ${into(to)} (${clock(from)} in the take) `;
  }

  function ofFlag(flag, row) {
    const { weight, meaning, remedy } = FLAGS[flag];
    const text = flag === 'out_of_tune' && row.cents_before !== null
      ? `It is out of tune: ${cents(row.cents_before)}, too far for tuning.` : sentence(where(flag, row) + meaning);
    return [flag, weight, text, sentence(remedy), row.flagsAt?.[flag]];
  }

  /** What a tuner's own doubt allows on top, in cents: two standard deviations. */
  const doubt = (row) => 2 * (row.cents_uncertainty ?? 0);

  /** The reasons for one row, worst first; `flag` is the word by which each is accepted. */
  function of(row, rows, levelOff = 0) {
    if (row.status === 'missing') return [missing(row, rows)].map(shaped);
    if (row.status !== 'kept') return [];
    const found = row.flags.map((flag) => ofFlag(flag, row));
    const isMain = (Notes.of(row)?.row ?? row) === row;
    // Other microphones and layers move with the first, so that they stay in phase.
    const tuned = isMain && (Takewright.library.takes[row.takeAt]?.tuned ?? true);
    const known = row.flags.includes('out_of_tune');
    if (tuned && !known && Math.abs(row.cents_after ?? 0) > OUT_OF_TUNE + doubt(row)) {
      found.push(['out_of_tune', 70, `The file is still ${signed(row.cents_after)} cents off.`,
        'Listen to it: a note that slides may be right as it is.']);
    } else if (tuned && !known && Math.abs(row.cents_before ?? 0) > FAR_OFF + doubt(row)) {
      found.push(['out_of_tune', 64, `It was out of tune: ${cents(row.cents_before)} before tuning.`,
        'Listen to it: after so large a shift it may sound unnatural, or be another note.']);
    }
    // A room lifts one note and swallows another, so only the main microphone is compared.
    if (isMain && Math.abs(levelOff) > LEVEL_OFF && !row.flags.includes('level_limit')) {
      found.push(['level_limit', 25, `It is ${round(Math.abs(levelOff))} dB ${levelOff > 0 ? 'louder' : 'softer'} than the notes around it.`,
        'Compare it with its neighbours.']);
    }
    return found.map(shaped).sort((a, b) => b.weight - a.weight);
  }

  const shaped = ([flag, weight, text, todo, place = null]) => ({ flag, kind: words(flag), weight, text, todo, place });

  /** The reasons for a note: those of its layers, each flag once, and the layers that have it. */
  function ofNote(note, off) {
    const found = new Map();
    for (const row of note.rows) {
      for (const reason of of(row, Takewright.library.rows, off.get(row.id))) {
        if (!found.has(reason.flag)) found.set(reason.flag, { ...reason, row, layers: [] });
        found.get(reason.flag).layers.push(row.layer);
      }
    }
    return [...found.values()].sort((a, b) => b.weight - a.weight);
  }

  /** Reasons of a note that nobody has accepted; a dropped or a left-out region has none. */
  const open = (note, off = levelsOff()) => ofNote(note, off).filter((reason) => !Decisions.isAccepted(note, reason.flag));

  let levels = { rows: null, off: null }; // found once for an index

  /** Deviation of each kept row's level from the median of its neighbours in pitch, by row id. */
  function levelsOff(rows = Takewright.library.rows) {
    if (levels.rows === rows) return levels.off;
    const off = new Map();
    levels = { rows, off };
    const heard = rows.filter((r) => r.status === 'kept' && r.midi !== null && Number.isFinite(r.level_lufs));
    const groups = groupBy(heard, (r) => [r.articulation, r.layer, r.dynamic].join('\u0000'));
    for (const group of groups.values()) {
      group.sort((a, b) => a.midi - b.midi);
      group.forEach((row, i) => {
        // Four on either side in pitch: enough for a median that one outlier does not move.
        const near = group.slice(Math.max(0, i - 4), i + 5).filter((r) => r !== row);
        if (near.length >= 4) off.set(row.id, row.level_lufs - median(near.map((r) => r.level_lufs)));
      });
    }
    return off;
  }

  /** Whether anything about a kept row is open. */
  const isOpen = (row) => of(row, Takewright.library.rows, levelsOff().get(row.id)).some((reason) => !Decisions.isAccepted(Notes.of(row), reason.flag));

  /** All notes that need attention, with what is open about each, worst first. */
  function all() {
    const off = levelsOff();
    const items = [];
    for (const note of Notes.all()) {
      if (Decisions.of(note)?.drop) continue;
      const reasons = open(note, off);
      if (reasons.length) {
        const sum = reasons.reduce((total, reason) => total + reason.weight, 0);
        items.push({ note, reasons, weight: reasons[0].weight + sum / 10000 });
      }
    }
    return items.sort((a, b) => b.weight - a.weight || a.note.row.id - b.note.row.id);
  }

  /** Why a region is not in the library. */
  function leftOut(row) {
    const what = { retake: 'Played again later', extra: 'More than the sheet asks for', rejected: 'Rejected' };
    return (what[row.status] ?? row.status) + (row.flags.length ? `: ${why(row)}` : '');
  }

  return { of, isOpen, ofNote, open, all, leftOut, levelsOff, candidates, regionFor, sentence };
})();
