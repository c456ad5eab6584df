// What many notes have in common stands in one row: a note that is missing in all dynamics, a flag that
// a large part of an articulation has.
'use strict';

const Folds = (() => {
  /** A flag is systematic if this many notes of an articulation have it, and this share of them, */
  const MANY = 4;
  const SHARE = 1 / 3;

  /** Flags of less weight than this need no share: many of them are decided together. */
  const SERIOUS = 40;

  /** So many notes side by side that were not played are a part of the range. */
  const RANGE = 3;

  const counted = (n, all) => (n === all ? `all ${n}` : `${n} of ${all}`);

  /** Ways in which cells are missing together, the widest first: what they share, and how that is said. */
  const TOGETHER = [
    { least: 3, of: (r) => (r.dynamic ? [r.dynamic] : null), said: (r, what) => `${r.dynamic} is missing throughout ${what}` },
    { least: 3, of: (r) => (r.rr !== null ? [r.rr] : null), said: (r, what) => `Round robin ${r.rr} is missing throughout ${what}` },
    { least: 2, of: (r) => (r.midi !== null ? [r.midi] : null), said: (r, what) => `${r.note} is missing altogether in ${what}` },
    { least: 2, of: (r) => (r.midi !== null && r.rr !== null ? [r.midi, r.rr] : null), said: (r, what) => `${r.note} rr${r.rr} is missing in all dynamics of ${what}` },
    { least: 2, of: (r) => (r.midi !== null && r.dynamic ? [r.midi, r.dynamic] : null), said: (r, what) => `${r.note} ${r.dynamic} is missing in all round robins of ${what}` },
  ];

  /** Rows for parts of a range of which nothing was played. */
  function ranges(articulation, of, left, out) {
    const notes = [...groupBy(of.filter((note) => note.row.midi !== null), (note) => note.row.midi).values()].sort((a, b) => a[0].row.midi - b[0].row.midi);
    const isGone = (cells) => cells.every((note) => left.get(note.key)?.note.status === 'missing');
    for (let from = 0, to; from < notes.length; from = to) {
      to = from + 1;
      if (!isGone(notes[from])) continue;
      while (to < notes.length && isGone(notes[to])) to++;
      if (to - from < RANGE) continue;
      const items = notes.slice(from, to).flat().map((note) => left.get(note.key));
      items.forEach((item) => left.delete(item.note.key));
      const what = to - from === notes.length ? `All of ${articulation} is missing` : `${notes[from][0].row.note} to ${notes[to - 1][0].row.note} are missing altogether in ${articulation}`;
      out.push(fold(`missing ${articulation} from ${notes[from][0].row.midi}`, { flag: 'missing', kind: 'missing', weight: 100,
        todo: `Play them while the player is there, or correct "notes" in ${Takewright.library.sheet} if no more were meant.`, text: `${what}: ${plural(items.length, 'cell')}.` }, items));
    }
  }

  /** Rows for missing cells that belong together; takes their items out of `left`. */
  function missing(left, out) {
    const cells = groupBy(Notes.all().filter(Notes.isCell), (note) => note.row.articulation);
    for (const [articulation, of] of cells) {
      ranges(articulation, of, left, out);
      for (const { least, of: shared, said } of TOGETHER) {
        const groups = groupBy(of.filter((note) => shared(note.row)), (note) => shared(note.row).join(' '));
        if (groups.size < 2) continue; // of one value alone nothing is said
        for (const [value, notes] of groups) {
          const items = notes.map((note) => left.get(note.key));
          if (notes.length < least || !items.every((item) => item?.note.status === 'missing')) continue;
          items.forEach((item) => left.delete(item.note.key));
          out.push(fold(`missing ${articulation} ${least} ${value}`, { flag: 'missing', kind: 'missing', weight: 100, todo: items[0].reasons[0].todo,
            text: `${said(notes[0].row, articulation)}: ${plural(items.length, 'cell')}.` }, items));
        }
      }
    }
  }

  /** Rows for flags that many notes of an articulation have; those notes keep what else is said of them. */
  function flags(left, out) {
    const kept = groupBy(Notes.all().filter((note) => note.status === 'kept'), (note) => note.row.articulation);
    for (const [articulation, of] of kept) {
      const having = of.map((note) => left.get(note.key)).filter(Boolean);
      const kinds = groupBy(having.flatMap((item) => item.reasons.map((reason) => ({ item, reason }))), (pair) => pair.reason.flag);
      for (const [flag, pairs] of kinds) {
        const { reason } = pairs[0];
        if (pairs.length < MANY || (reason.weight >= SERIOUS && pairs.length < SHARE * of.length)) continue;
        const clause = FLAGS[flag] ? `${FLAGS[flag].meaning}.`.replaceAll('`', '"') : reason.text;
        out.push(fold(`${flag} ${articulation}`, { ...reason, text: `${counted(pairs.length, of.length)} notes of ${articulation}, of each: ${clause}` },
          pairs.map(({ item, reason: own }) => ({ note: item.note, reasons: [own], weight: own.weight }))));
        for (const { item } of pairs) {
          const others = item.reasons.filter((r) => r.flag !== flag);
          if (others.length) left.set(item.note.key, { ...item, reasons: others, weight: others[0].weight });
          else left.delete(item.note.key);
        }
      }
    }
  }

  const fold = (key, reason, items) => ({ key: `fold ${key}`, reason, reasons: [reason], items, weight: reason.weight + 0.5 });

  /** The items as rows, worst first: folds, each with its notes, and single notes. */
  function of(items) {
    const left = new Map(items.map((item) => [item.note.key, item]));
    const out = [];
    missing(left, out);
    flags(left, out);
    return [...out, ...[...left.values()].map((item) => ({ ...item, key: item.note.key }))]
      .sort((a, b) => b.weight - a.weight || (a.note?.row.id ?? a.items[0].note.row.id) - (b.note?.row.id ?? b.items[0].note.row.id));
  }

  return { of };
})();
