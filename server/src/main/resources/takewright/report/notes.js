// Rows of the index as notes: a region with all its layers and microphones, or a cell that is missing.
// Lists, counts and decisions are about notes.
'use strict';

const Notes = (() => {
  let all = [];
  let byRow = new Map();
  let byKey = new Map();

  const cellKey = (row) => `cell ${row.takeAt} ${row.articulation} ${row.midi} ${row.dynamic} ${row.rr}`;
  const keyOf = (row) => (row.start_s === null ? cellKey(row) : `region ${row.takeAt} ${row.region || row.start_s}`);

  /** Groups the rows of the index; the first row of a note is the one that its place and decisions come from. */
  function gather(rows) {
    byKey = groupBy(rows, keyOf);
    all = [...byKey].map(([key, of]) => ({
      key, rows: of, row: of[0], status: of[0].status, flags: [...new Set(of.flatMap((r) => r.flags))],
      layers: of.map((r) => r.layer).filter(Boolean), isRegion: of[0].start_s !== null,
    }));
    byKey = new Map(all.map((note) => [note.key, note]));
    byRow = new Map(all.flatMap((note) => note.rows.map((row) => [row.id, note])));
  }

  /** The note of a row of the index. */
  const of = (row) => byRow.get(row.id);

  const isCell = (note) => note.status === 'kept' || note.status === 'missing';

  /** Where else the cell of a note was played: the regions that were left out for it, and the one that was kept. */
  function attempts(note) {
    const { row } = note;
    if (row.midi === null) return [];
    const near = (other) => Math.abs(100 * (other.row.midi - row.midi)) < 50;
    return all.filter((other) => other !== note && other.isRegion && other.row.articulation === row.articulation && other.row.midi !== null && near(other)
      && (other.status === 'retake' || other.status === 'extra' || note.status === 'retake' || note.status === 'extra' || note.status === 'missing')
      && (other.status !== 'kept' || note.status !== 'kept')
      && (!row.dynamic || !other.row.dynamic || other.row.dynamic === row.dynamic));
  }

  /** Text that a search looks in. */
  function words(note) {
    const { row } = note;
    return [row.note, row.dynamic, row.rr !== null ? `rr${row.rr}` : '', row.articulation, ...note.layers, row.take, row.kind,
      STATUS[note.status]?.word, note.status, ...note.flags.map((f) => f.replaceAll('_', ' ')), ...note.rows.map((r) => r.file)].join(' ').toLowerCase();
  }

  /** Whether a note has every word that is looked for. */
  const matches = (note, search) => search.toLowerCase().split(/\s+/).filter(Boolean)
    .every((word) => (/^([a-g][#sb]?-?\d|pp?|mp|mf|ff?|rr\d+)$/.test(word) ? ` ${words(note)} `.includes(` ${word} `) : words(note).includes(word)));

  const counts = () => ({
    kept: all.filter((n) => n.status === 'kept').length,
    missing: all.filter((n) => n.status === 'missing').length,
    left: all.filter((n) => !isCell(n)).length,
  });

  return { gather, of, attempts, matches, counts, isCell, cellKey, all: () => all, withKey: (key) => byKey.get(key) };
})();
