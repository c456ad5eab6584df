// What the last build made anew, changed and took away, beside what was there before.
'use strict';

const Changes = (() => {
  const WORDS = { new: 'New', changed: 'Changed', gone: 'Gone' };

  const all = () => Takewright.library.changes ?? [];

  /** The change of a row's file, if the last build made one. */
  const of = (row) => all().find((change) => change.file === row.file) ?? null;

  const playOld = (change) => Player.play({ label: `${change.file} as it was`, address: `../${change.old.split('/').map(encodeURIComponent).join('/')}${Takewright.stamp()}` });

  /** A button that plays the sample as it was before the last build. */
  function wasOf(row) {
    const change = row.file ? of(row) : null;
    return change?.old ? h('button', { type: 'button', id: 'play-old', click: () => playOld(change) }, '▶ Before the last build') : null;
  }

  function nothing() {
    const { rows, first } = Takewright.library;
    if (!rows.length) return 'Nothing: no build has ended yet.';
    return first ? 'This was the first build: all samples are new.' : 'Nothing: all samples are as they were.';
  }

  function view(go) {
    const list = all();
    const { rows } = Takewright.library;
    return h('section', { class: 'changes' }, h('h2', {}, 'What the last build changed'),
      h('p', { class: 'lead' }, list.length ? ['new', 'changed', 'gone'].map((kind) => [list.filter((c) => c.change === kind).length, kind]).filter(([n]) => n).map(([n, kind]) => `${n} ${kind}`).join(', ') : nothing()),
      h('ul', { class: 'beside' }, [...groupBy(list.map((change) => ({ change, row: rows.find((r) => r.file === change.file) })),
        ({ change, row }) => `${change.change} ${row ? Notes.of(row).key : change.file}`).values()].map((of) => line(of, go))));
  }

  /** One note, with what changed in each of its layers. */
  function line(of, go) {
    const [{ change: first, row: firstRow }] = of;
    return h('li', {}, h('b', {}, WORDS[first.change] ?? first.change),
      firstRow ? h('button', { type: 'button', class: 'link', click: () => go(firstRow) }, `${nameOf(firstRow)} ${firstRow.articulation}`) : first.file,
      of.map(({ change, row }) => h('span', { class: 'choice' }, row?.layer ?? '', ' ',
        row?.file ? h('button', { type: 'button', 'aria-label': `Play ${nameOf(row)} ${row.layer} now`, click: () => Player.after(row) }, '▶ now') : null,
        change.old ? h('button', { type: 'button', 'aria-label': `Play ${change.file} as it was`, click: () => playOld(change) }, '▶ before') : null)));
  }

  return { view, of, wasOf, any: () => all().length > 0 };
})();
