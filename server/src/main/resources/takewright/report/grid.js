// Keys by dynamics by round robins: which cells are filled, flagged or missing.
'use strict';

const Grid = (() => {
  const key = (midi, dynamic, rr) => `${midi} ${dynamic} ${rr}`;

  /** The cells of one articulation in one layer. A missing cell is missing in each of its layers. */
  function sections(rows) {
    const cells = rows.filter((r) => r.status === 'kept' || r.status === 'missing');
    const out = [];
    for (const [articulation, group] of groupBy(cells, (r) => r.articulation)) {
      const layers = [...new Set(group.map((r) => r.layer).filter(Boolean))];
      for (const layer of layers.length ? layers : ['']) {
        out.push({ articulation, layer, rows: group.filter((r) => r.layer === layer || r.status === 'missing') });
      }
    }
    return out;
  }

  function cell(row, go) {
    const status = statusOf(row);
    const words = `${nameOf(row)} ${placeOf(row)}: ${STATUS[status].word}`;
    return h('button', {
      type: 'button', class: `cell ${status}`, tabindex: -1, title: words, 'aria-label': words, 'data-row': row.id, click: () => go(row),
    }, status === 'kept' ? '' : STATUS[status].sign);
  }

  /** Without notes there is one line with the round robins side by side. */
  function line(section, make) {
    const rows = [...section.rows].sort((a, b) => a.rr - b.rr);
    const lines = [...groupBy(rows, (r) => r.dynamic)];
    const most = Math.max(...lines.map(([, of]) => of.length));
    return h('table', { class: 'grid', 'aria-label': `${section.articulation} ${section.layer}` },
      h('thead', {}, h('tr', {}, h('td', {}), Array.from({ length: most }, (_, i) => h('th', { scope: 'col' }, h('span', {}, `rr${i + 1}`))))),
      h('tbody', {}, lines.map(([dynamic, of]) => h('tr', {}, h('th', { scope: 'row' }, dynamic), of.map((row) => h('td', {}, make(row)))))));
  }

  /** Notes across, dynamics and round robins down; `make` makes the element of a row. */
  function table(section, make) {
    if (section.rows.every((r) => r.midi === null)) return line(section, make);
    const byCell = new Map(section.rows.map((r) => [key(r.midi, r.dynamic, r.rr), r]));
    const notes = [...groupBy(section.rows, (r) => r.midi)].map(([midi, rows]) => ({ midi, name: rows[0].note || '·' }))
      .sort((a, b) => (a.midi ?? -1) - (b.midi ?? -1));
    const lines = [...groupBy(section.rows, (r) => r.dynamic)].flatMap(([dynamic, rows]) =>
      [...new Set(rows.map((r) => r.rr))].sort((a, b) => a - b).map((rr) => ({ dynamic, rr })));
    return h('table', { class: 'grid', 'aria-label': `${section.articulation} ${section.layer}` },
      h('thead', {}, h('tr', {}, h('td', {}), notes.map((n) => h('th', { scope: 'col', class: /[#sb♭♯]/.test(n.name.slice(1)) ? 'black' : 'white' }, h('span', {}, n.name))))),
      h('tbody', {}, lines.map(({ dynamic, rr }, i) => h('tr', { class: i > 0 && lines[i - 1].dynamic !== dynamic ? 'first' : null },
        h('th', { scope: 'row' }, `${dynamic} rr${rr}`),
        notes.map((n) => {
          const row = byCell.get(key(n.midi, dynamic, rr));
          return h('td', {}, row ? make(row) : null);
        })))));
  }

  /** Arrow keys go from cell to cell; one cell of the table is in the tab order. */
  function roam(element) {
    const first = element.querySelector('.cell.missing, .cell.flagged') ?? element.querySelector('.cell');
    first?.setAttribute('tabindex', 0);
    element.addEventListener('keydown', (event) => {
      const at = event.target.closest('td');
      if (!at) return;
      const [dx, dy] = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[event.key] ?? [0, 0];
      if (!dx && !dy) return;
      event.preventDefault();
      const lines = [...element.tBodies[0].rows];
      let y = lines.indexOf(at.parentElement) + dy;
      let x = at.cellIndex + dx;
      for (; lines[y] && x >= 1 && x < lines[y].cells.length; x += dx, y += dy) {
        const next = lines[y].cells[x].querySelector('.cell');
        if (next) {
          element.querySelectorAll('.cell[tabindex="0"]').forEach((c) => c.setAttribute('tabindex', -1));
          next.setAttribute('tabindex', 0);
          next.focus();
          return;
        }
      }
    });
    return element;
  }

  function view(go) {
    const parts = sections(Takewright.library.rows);
    const legend = ['kept', 'flagged', 'missing'].map((s) => h('span', { class: 'key' }, h('span', { class: `cell ${s}`, 'aria-hidden': 'true' }, s === 'kept' ? '' : STATUS[s].sign), ` ${STATUS[s].word}`));
    return h('section', { class: 'grids' }, h('h2', {}, 'Cells'), h('p', { class: 'row' }, legend),
      parts.map((part) => {
        const missing = part.rows.filter((r) => r.status === 'missing').length;
        return h('article', {},
          h('h3', {}, `${part.articulation}${part.layer ? ` · ${part.layer}` : ''}`, h('small', {}, ` ${part.rows.length - missing} of ${part.rows.length}`)),
          h('div', { class: 'scroll' }, roam(table(part, (row) => cell(row, go)))));
      }));
  }

  return { view, table };
})();
