// Why something needs a person's eye, in words, and what to do about it; worst first.
'use strict';

const Reasons = (() => {
  /** Beyond this a file is audibly out of tune beside others, in cents. */
  const OUT_OF_TUNE = 3;

  /** Nearer than the next semitone by enough to be the note after all, in cents. */
  const NEAR = 80;

  /** Players miss a note by less than this; the semitone beside it is not much further, in cents. */
  const FAR_OFF = 35;

  /** Beyond this a level stands out from those of its neighbours in pitch, in dB. */
  const LEVEL_OFF = 6;

  const AGAIN = 'Play it again while the player is there, or take another attempt of this note.';

  // Weight, what it is, what to do. Heavier is worse.
  const FLAGS = {
    silent: [96, 'There is no sound in it.', 'Look at the take around it; play it again.'],
    clipped: [90, 'It is clipped: its tops are cut flat.', `Listen to its loudest part. ${AGAIN}`],
    beyond_limit: [86, '', 'Listen: a wrong note, or one to play again. It was left as it sounds.'],
    dropout: [82, 'There are gaps in the sound.', `Look at disk and cable. ${AGAIN}`],
    no_pitch: [76, 'No pitch is heard in it, so it was not tuned.', 'Listen: is it the note?'],
    octave_unsure: [72, 'It may sound an octave off.', 'Listen: is it in the right octave?'],
    unsure: [66, 'It does not sound like one clear note; only its place in the order says what it is.',
      'Listen: keep it, or drop it.'],
    several_pitches: [62, 'Several pitches sound at once.', 'Listen for an open string or a second player.'],
    short_of_bars: [55, 'The sound is over well before its bars are.', 'Listen: was it broken off?'],
    no_room_tone: [46, 'No quiet stretch was found in the take, so its noise is still there.',
      'Leave some seconds of silence in the next take.'],
    dc: [40, 'It does not swing around zero (direct current).', 'Look at the recording interface.'],
    rings_on: [58, 'It rings on into the next note, and is cut where that begins.', 'Listen to its end; wait longer between notes when it is played again.'],
    in_tail: [57, 'It begins while the note before still rings.', 'Listen to its beginning.'],
    level_limit: [44, 'Its level was moved as far as the sheet allows, and is still off.', 'Compare it with its neighbours.'],
    layer_limit: [36, 'This layer was lowered by itself, or it would have passed full scale.', 'Compare it with its neighbours, or give the layer a lower gain.'],
    no_loop: [38, 'No loop was found in it.', 'Listen: is the note long and steady enough?'],
    forced: [5, 'It is kept at your word.', 'Nothing, unless you changed your mind.'],
  };

  // Why a region was left out.
  const LEFT_OUT = {
    talk: 'somebody talks', knock: 'a knock', breath: 'a breath', count_in: 'a count-in',
    too_short: 'too short for a note', too_long: 'too long for a note', no_pitch: 'no pitch is heard in it',
    clipped: 'its tops are cut flat', dropout: 'there are gaps in it', dropped: 'dropped at your word',
    false_start: 'broken off and begun again', forced: 'kept at your word',
  };

  const words = (flag) => flag.replaceAll('_', ' ');
  const why = (row) => row.flags.map((flag) => LEFT_OUT[flag] ?? words(flag)).join(', ');

  const cents = (value) => `${round(Math.abs(value), 0)} cents ${value > 0 ? 'sharp' : 'flat'}`;

  /** Left-out regions of the take that sound nearly like a missing cell, nearest first. */
  function candidates(row, rows) {
    const off = (r) => Math.abs(100 * (r.midi - row.midi) + (r.cents_before ?? 0));
    return row.midi === null ? [] : rows.filter((r) => r.takeAt === row.takeAt && r.midi !== null && off(r) <= NEAR
      && (r.status === 'extra' || r.status === 'rejected')).sort((a, b) => off(a) - off(b));
  }

  function missing(row, rows) {
    const [near] = candidates(row, rows);
    if (near?.status === 'rejected') {
      return ['missing', 100, `Missing: what was played at ${clock(near.start_s)} of ${row.take} was left out, ${why(near)}.`,
        'Play it again while the player is there; or open it there, and keep it in spite of that.'];
    }
    if (near) {
      const off = 100 * (near.midi - row.midi) + (near.cents_before ?? 0);
      return ['missing', 100, `Missing; but at ${clock(near.start_s)} of ${row.take} there is something ${cents(off)} of it.`,
        'Open it there: keep it if it is the note, else play the note again.'];
    }
    return ['missing', 100, `Missing: nothing in ${row.take} fills this cell.`,
      'Play it while the player is there.'];
  }

  function ofFlag(flag, row) {
    if (flag === 'beyond_limit') {
      const how = row.cents_before === null ? 'far off' : cents(row.cents_before);
      return ['out of tune', FLAGS[flag][0], `It is out of tune: ${how}, too far to be tuned.`, FLAGS[flag][2]];
    }
    return [words(flag), ...(FLAGS[flag] ?? [30, `It is flagged: ${words(flag)}.`, 'Listen to it.'])];
  }

  /** The reasons for one row, worst first. */
  function of(row, rows, levelOff = 0) {
    if (row.status === 'missing') return [missing(row, rows)].map(shaped);
    if (row.status !== 'kept') return [];
    const found = row.flags.map((flag) => ofFlag(flag, row));
    if (Math.abs(row.cents_after ?? 0) > OUT_OF_TUNE && !row.flags.includes('beyond_limit')) {
      found.push(['out of tune', 70, `The file is still ${signed(row.cents_after)} cents off.`,
        'Listen; a note that slides may be right as it is.']);
    }
    if (Math.abs(row.cents_before ?? 0) > FAR_OFF && !row.flags.includes('beyond_limit')) {
      found.push(['out of tune', 64, `It was out of tune: ${cents(row.cents_before)} before it was tuned.`,
        'Listen: moved so far it may sound strange, or be another note.']);
    }
    if (Math.abs(levelOff) > LEVEL_OFF) {
      found.push(['level', 25, `It is ${round(Math.abs(levelOff))} dB ${levelOff > 0 ? 'louder' : 'softer'} than the notes around it.`,
        'Compare it with its neighbours.']);
    }
    return found.map(shaped).sort((a, b) => b.weight - a.weight);
  }

  const shaped = ([kind, weight, text, todo]) => ({ kind, weight, text, todo });

  /** How far each kept row's level is from the median of its neighbours in pitch, by row id. */
  function levelsOff(rows) {
    const off = new Map();
    const heard = rows.filter((r) => r.status === 'kept' && r.midi !== null && Number.isFinite(r.level_lufs));
    const groups = groupBy(heard, (r) => [r.articulation, r.layer, r.dynamic].join('\u0000'));
    for (const group of groups.values()) {
      group.sort((a, b) => a.midi - b.midi);
      group.forEach((row, i) => {
        // Four to either side in pitch: as many as make a median that one outlier does not move.
        const near = group.slice(Math.max(0, i - 4), i + 5).filter((r) => r !== row);
        if (near.length >= 4) off.set(row.id, row.level_lufs - median(near.map((r) => r.level_lufs)));
      });
    }
    return off;
  }

  /** Everything that needs a person's eye, worst first. */
  function all(rows) {
    const off = levelsOff(rows);
    const items = [];
    for (const row of rows) {
      const reasons = of(row, rows, off.get(row.id));
      if (reasons.length) {
        const sum = reasons.reduce((total, reason) => total + reason.weight, 0);
        items.push({ row, reasons, weight: reasons[0].weight + sum / 10000 });
      }
    }
    return items.sort((a, b) => b.weight - a.weight || a.row.id - b.row.id);
  }

  /** Why a region is not in the library. */
  function leftOut(row) {
    const what = { retake: 'Played again later', extra: 'More than the sheet asks for', rejected: 'Rejected' };
    return (what[row.status] ?? row.status) + (row.flags.length ? `: ${why(row)}` : '');
  }

  return { of, all, leftOut, levelsOff, candidates };
})();
