// The first view: what needs a person's eye or ear, worst first. Only visible rows are in the page, so
// that a thousand are as fast as ten.
'use strict';

const Attention = (() => {
  const HEIGHT = 66; // CSS pixels per row, as in the style sheet
  const BEYOND = 4; // rows drawn above and below the visible ones

  function row(item, place, count, open) {
    const { row: sample, reasons } = item;
    const more = reasons.length > 1 ? h('span', { class: 'more' }, ` and ${plural(reasons.length - 1, 'further reason')}`) : null;
    const decision = Decisions.of(sample);
    const playable = sample.file ? h('button', { type: 'button', tabindex: -1, class: 'play', 'aria-label': `Play ${nameOf(sample)}`, click: (e) => { e.stopPropagation(); Player.after(sample); } }, '▶') : null;
    return h('li', {
      class: 'item', role: 'option', id: `item-${place}`, 'data-row': sample.id, 'aria-posinset': place + 1, 'aria-setsize': count,
      style: `top: ${place * HEIGHT}px`, click: () => open(item, place),
    },
      sign(statusOf(sample)),
      h('div', { class: 'who' }, h('b', {}, nameOf(sample)), h('span', {}, placeOf(sample)),
        decision ? h('span', { class: 'decided' }, `✓ ${decision.why}`) : null),
      h('div', { class: 'why' }, h('span', { class: 'reason' }, reasons[0].text, more), h('span', { class: 'todo' }, reasons[0].todo)),
      playable);
  }

  function view(go) {
    const { rows, warnings } = Takewright.library;
    const all = Reasons.all(rows);
    let items = all;
    const list = h('ul', { id: 'attention', class: 'virtual', role: 'listbox', tabindex: 0, 'aria-label': 'What needs attention, worst first' });
    const space = h('li', { role: 'presentation', class: 'space' });
    let chosen = 0;
    const open = (item, place) => { chosen = place; go(item.row); };

    /** As high as the window allows and the rows need. */
    function fit() {
      const room = Math.max(4 * HEIGHT, innerHeight - list.getBoundingClientRect().top - 80);
      list.style.height = `${Math.min(room, items.length * HEIGHT + 2)}px`;
      space.style.height = `${items.length * HEIGHT}px`;
    }

    function draw() {
      const first = Math.max(0, Math.floor(list.scrollTop / HEIGHT) - BEYOND);
      const last = Math.min(items.length, Math.ceil((list.scrollTop + (list.clientHeight || 800)) / HEIGHT) + BEYOND);
      list.replaceChildren(space);
      for (let i = first; i < last; i++) {
        const element = row(items[i], i, items.length, open);
        element.setAttribute('aria-selected', String(i === chosen));
        list.append(element);
      }
      list.setAttribute('aria-activedescendant', items.length ? `item-${chosen}` : '');
    }

    function choose(place) {
      chosen = Math.max(0, Math.min(items.length - 1, place));
      const top = chosen * HEIGHT;
      if (top < list.scrollTop) list.scrollTop = top;
      if (top + HEIGHT > list.scrollTop + list.clientHeight) list.scrollTop = top + HEIGHT - list.clientHeight;
      draw();
    }

    list.addEventListener('scroll', () => requestAnimationFrame(draw));
    list.addEventListener('keydown', (event) => {
      const page = Math.max(1, Math.floor(list.clientHeight / HEIGHT) - 1);
      const steps = { ArrowDown: chosen + 1, ArrowUp: chosen - 1, PageDown: chosen + page, PageUp: chosen - page, Home: 0, End: items.length - 1 };
      const sample = items[chosen]?.row;
      if (event.ctrlKey || event.metaKey || event.altKey) return;
      if (event.key in steps) choose(steps[event.key]);
      else if (!sample) return;
      else if (event.key === 'Enter') open(items[chosen], chosen);
      else if (event.key === ' ' || event.key === 'p') { if (sample.file) Player.after(sample); }
      else if (event.key === 'k') Decisions.keep(sample);
      else if (event.key === 'd') Decisions.drop(sample);
      else if (event.key === 'w') Decisions.wrongNote(sample);
      else return;
      event.preventDefault();
      event.stopPropagation();
      if (!(event.key in steps)) draw();
    });
    requestAnimationFrame(() => { fit(); draw(); });
    new ResizeObserver(draw).observe(list);

    /** Buttons that show only the rows with one reason. */
    function filters() {
      const kinds = [...groupBy(all.flatMap((item) => item.reasons.map((reason) => ({ item, kind: reason.kind }))), (r) => r.kind)];
      if (kinds.length < 2) return null;
      const box = h('div', { class: 'row filters', role: 'group', 'aria-label': 'Show only' });
      const button = (kind, text, of) => h('button', { type: 'button', 'aria-pressed': String(kind === null), 'data-kind': kind, click: (event) => {
        items = of;
        chosen = 0;
        list.scrollTop = 0;
        box.querySelectorAll('button').forEach((b) => b.setAttribute('aria-pressed', String(b === event.currentTarget)));
        fit();
        draw();
      } }, text);
      box.append(button(null, `all ${all.length}`, all), ...kinds.map(([kind, of]) => button(kind, `${kind} ${of.length}`, of.map((r) => r.item))));
      return box;
    }

    const cells = rows.filter((r) => r.status === 'kept' || r.status === 'missing').length;
    const missing = rows.filter((r) => r.status === 'missing').length;
    return h('section', { class: 'attention' },
      h('h2', {}, items.length ? `${plural(items.length, 'row')} to check` : 'Nothing needs attention'),
      h('p', { class: 'lead' }, missing ? `${cells - missing} of ${cells} cells have a sample; ${plural(missing, 'cell')} ${missing === 1 ? 'is' : 'are'} missing.` : `All ${cells} cells have a sample.`),
      warnings.length ? h('details', { class: 'warnings', open: true }, h('summary', {}, `▲ ${plural(warnings.length, 'warning')} of the build`),
        h('ul', {}, warnings.map((warning) => h('li', {}, warning)))) : null,
      filters(), all.length ? list : null);
  }

  return { view };
})();
