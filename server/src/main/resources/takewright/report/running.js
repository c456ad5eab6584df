// A running build: its progress, and its cells as they fill.
'use strict';

const Running = (() => {
  let now = null; // the last report of the build; null if none runs
  let plan = [];
  let parts = null; // the elements that change

  // By the letters in the build's report.
  const STATES = {
    '.': { state: 'awaited', sign: '', word: 'not heard yet' },
    m: { state: 'found', sign: '○', word: 'found' },
    k: { state: 'kept', sign: '', word: 'written' },
    f: { state: 'flagged', sign: '▲', word: 'written, flagged' },
    x: { state: 'missing', sign: '✕', word: 'missing' },
  };
  const STEPS = { segment: 'cutting', match: 'matching', write: 'writing', report: 'drawing the page' };

  const minutes = (seconds) => `${Math.floor(seconds / 60)}:${String(Math.floor(seconds % 60)).padStart(2, '0')}`;

  /** Its progress in a line. */
  function words() {
    const samples = now.samplesTotal ? `, ${now.samplesDone} of ${now.samplesTotal} samples` : '';
    // Before 5 % are done, the time left would be a guess.
    const left = now.done > 0.05 ? `, about ${minutes(Math.ceil(now.elapsedS * (1 / now.done - 1)))} left` : '';
    return `${STEPS[now.step] ?? now.step} ${now.take}${samples}${left}`;
  }

  function ofTake(take, states) {
    const cells = [];
    const rows = take.cells.map(([midi, note, dynamic, rr], at) => ({ midi, note, dynamic, rr, at }));
    const table = Grid.table({ articulation: take.articulation, layer: '', rows }, (row) => {
      cells[row.at] = h('span', { class: 'cell', role: 'img' });
      return cells[row.at];
    });
    const heard = h('small', {});
    return { rows, cells, heard, states: '', element: h('article', {}, h('h3', {}, `${take.articulation} · ${take.name} `, heard), h('div', { class: 'scroll' }, table)) };
  }

  /** Updates only what has changed: of thousands of cells, few change at a time. */
  function draw() {
    if (!parts?.section.isConnected) return;
    parts.bar.value = now.done;
    parts.words.textContent = words();
    parts.takes.forEach((part, i) => {
      const take = now.takes[i];
      const there = [...take.cells].filter((c) => c === 'k' || c === 'f').length;
      part.heard.textContent = take.regions === undefined ? 'not heard yet'
        : `${there} of ${part.rows.length} written, ${plural(take.regions, 'region')} heard, ${take.rejected} rejected`;
      for (let c = 0; c < part.rows.length; c++) {
        if (take.cells[c] === part.states[c]) continue;
        const { state, sign: mark, word } = STATES[take.cells[c]];
        const label = `${nameOf(part.rows[c])}: ${word}`;
        part.cells[c].className = `cell ${state}`;
        part.cells[c].textContent = mark;
        part.cells[c].title = label;
        part.cells[c].setAttribute('aria-label', label);
      }
      part.states = take.cells;
    });
  }

  function view() {
    const legend = Object.values(STATES).map(({ state, sign: mark, word }) => h('span', { class: 'key' }, h('span', { class: `cell ${state}`, 'aria-hidden': 'true' }, mark), ` ${word}`));
    const takes = plan.map(ofTake);
    const bar = h('progress', { max: 1, value: 0, 'aria-label': 'Progress' });
    const said = h('span', {});
    const section = h('section', { class: 'grids', id: 'build' }, h('h2', {}, 'Running build'), h('p', { class: 'row' }, bar, said), h('p', { class: 'row' }, legend), takes.map((t) => t.element));
    parts = { section, takes, bar, words: said };
    requestAnimationFrame(draw); // once it is in the page
    return section;
  }

  /** Takes the build's report; returns whether one runs. */
  async function hear() {
    const said = await Takewright.progress().catch(() => null);
    if (said?.state === 'running' && !now) plan = await Takewright.plan().catch(() => []);
    now = said?.state === 'running' && said.takes.length === plan.length ? said : null;
    if (now) draw();
    return said;
  }

  return { hear, view, words, isOn: () => now !== null, done: () => now?.done ?? 0 };
})();
