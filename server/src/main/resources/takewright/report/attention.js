// The first view: the notes that need a person's eye or ear, worst first, and decisions about one or
// several. Only visible rows are in the page, so that a thousand are as fast as ten.
'use strict';

const Attention = (() => {
  const HEIGHT = 62; // CSS pixels per row, as in the style sheet
  const BEYOND = 4; // rows drawn above and below the visible ones
  const PLACE = 'takewright list';

  /** Where the list is; kept while other views are looked at, and when the page is read again. */
  let place = { show: 'check', search: '', at: null, top: 0, open: [], marked: [] };
  try { place = { ...place, ...JSON.parse(sessionStorage.getItem(PLACE)) }; } catch { /* from the top */ }
  const keepPlace = () => { try { sessionStorage.setItem(PLACE, JSON.stringify(place)); } catch { /* for this visit only */ } };

  const asRow = (note) => ({ key: note.key, note, reasons: Reasons.open(note) });

  /** What there is to show: by name, its notes as rows. */
  function shelves() {
    const items = Reasons.all();
    const kinds = groupBy(items.flatMap((item) => item.reasons.map((reason) => ({ item, kind: reason.kind }))), (pair) => pair.kind);
    const decided = Notes.all().filter((note) => Decisions.of(note));
    return [
      { name: 'check', title: 'To check', notes: items.length, rows: () => Folds.of(items) },
      ...[...kinds].map(([kind, of]) => ({ name: `kind ${kind}`, title: kind, notes: of.length, rows: () => of.map(({ item }) => ({ ...item, key: item.note.key })) })),
      { name: 'decided', title: 'Decided', notes: decided.length, rows: () => decided.map(asRow) },
      { name: 'left', title: 'Left out', notes: Notes.counts().left, rows: () => Notes.all().filter((note) => !Notes.isCell(note)).map(asRow) },
      { name: 'all', title: 'All notes', notes: Notes.counts().kept + Notes.counts().missing, rows: () => Notes.all().filter(Notes.isCell).map(asRow) },
    ];
  }

  /** The rows of a shelf that match the search, with the notes of open folds below their fold. */
  function lines(shelf) {
    const out = [];
    for (const row of shelf.rows()) {
      if (!row.items) {
        if (Notes.matches(row.note, place.search)) out.push({ ...row, level: 1 });
        continue;
      }
      const inside = row.items.filter((item) => Notes.matches(item.note, place.search));
      if (!inside.length) continue;
      out.push({ ...row, items: inside, level: 1 });
      if (place.open.includes(row.key)) out.push(...inside.map((item) => ({ ...item, key: `${row.key} ${item.note.key}`, level: 2 })));
    }
    return out;
  }

  const notesOf = (line) => (line.items ?? [line]).map((item) => item.note);
  const kindsOf = (line) => (note) => (line.items ?? [line]).filter((item) => item.note === note).flatMap((item) => item.reasons.map((reason) => reason.flag));

  function who(line) {
    if (line.items) return h('div', { class: 'who' }, h('b', {}, plural(line.items.length, line.reason.flag === 'missing' ? 'cell' : 'note')), h('span', {}, line.items[0].note.row.articulation));
    const { note } = line;
    return h('div', { class: 'who' }, h('b', {}, nameOf(note.row)), h('span', {}, note.row.articulation, note.layers.length > 1 ? ` · ${note.layers.join(', ')}` : note.layers.length ? ` · ${note.layers[0]}` : ''));
  }

  function what(line) {
    const [first, ...more] = line.reasons;
    const entry = line.items ? null : Decisions.of(line.note);
    const layers = first && line.note && line.note.layers.length > 1 && first.layers.length < line.note.layers.length ? `${first.layers.join(', ')}: ` : '';
    const text = first ? layers + first.text : line.note.status === 'kept' ? 'Nothing to check.' : Reasons.leftOut(line.note.row);
    return h('div', { class: 'why' },
      h('span', { class: 'reason' }, text, more.length ? h('span', { class: 'more' }, ` and ${plural(more.length, 'further reason')}`) : null),
      entry ? h('span', { class: 'decided' }, `✓ ${Decisions.words(entry) || entry.why}`) : h('span', { class: 'todo' }, first?.todo ?? ''));
  }

  function view(go) {
    const { warnings } = Takewright.library;
    const doubts = warnings.filter((warning) => warning.reason === 'PLAN_DOUBTED');
    const others = warnings.filter((warning) => !doubts.includes(warning));
    const plain = (text) => text.replaceAll('`', '"');
    const warningOf = ({ place, key, what, remedy }) => h('li', {}, h('b', {}, `${place ? `${place}: ` : ''}${key ? `${key} ` : ''}${plain(what)}.`), ' ', h('span', {}, `${plain(remedy[0].toUpperCase() + remedy.slice(1))}.`));
    const list = h('ul', { id: 'attention', class: 'virtual', role: 'tree', 'aria-multiselectable': 'true', tabindex: 0, 'aria-label': 'Notes to check, worst first' });
    const space = h('li', { role: 'presentation', class: 'space' });
    const heading = h('h2', {});
    const bar = h('div', { class: 'row marked', hidden: true, role: 'group', 'aria-label': 'Decide on the selected' });
    const filters = h('div', { class: 'row filters', role: 'group', 'aria-label': 'Show only' });
    const elsewhere = h('p', { class: 'lead', 'aria-live': 'polite' });
    const search = h('input', { type: 'search', id: 'search', placeholder: 'Search: G5 f, hall, tremolo rr2 …', 'aria-label': 'Search notes', value: place.search, input: () => { place.search = search.value; place.at = null; list.scrollTop = 0; gather(); } });
    let shown = [];
    let at = 0;

    function gather() {
      const all = shelves();
      const shelf = all.find((s) => s.name === place.show) ?? all[0];
      place.show = shelf.name;
      shown = lines(shelf);
      at = shown.findIndex((line) => line.key === place.at);
      // What was decided has left the list; its place is taken by the next.
      if (at < 0) at = Math.max(0, Math.min(place.index ?? 0, shown.length - 1));
      const marked = new Set(place.marked);
      place.marked = shown.filter((line) => marked.has(line.key)).map((line) => line.key);
      const { missing, kept } = Notes.counts();
      const check = all[0].notes;
      const rows = Folds.of(Reasons.all()).length;
      heading.textContent = check ? `${plural(check, 'note')} to check${rows < check ? ` in ${plural(rows, 'row')}` : ''}` : Takewright.library.rows.length ? 'Nothing needs attention' : 'Nothing has been built yet';
      lead.textContent = `${kept} of ${kept + missing} cells have a sample${missing ? `; ${missing === 1 ? 'one is' : `${missing} are`} missing` : ''}.`;
      filters.replaceChildren(...all.filter((s) => s.notes || s.name === 'check' || s.name === place.show).map((s) => h('button', {
        type: 'button', 'data-show': s.name, 'aria-pressed': String(s.name === place.show), click: () => { place.show = s.name; place.at = null; place.index = 0; list.scrollTop = 0; gather(); } }, `${s.title} ${s.notes}`)));
      const others = place.search && place.show !== 'all' ? Notes.all().filter((n) => Notes.isCell(n) && Notes.matches(n, place.search)).length : 0;
      elsewhere.replaceChildren(...(place.search ? [`${plural(new Set(shown.flatMap(notesOf)).size, 'note')} found here. `,
        others ? h('button', { type: 'button', class: 'link', id: 'search-all', click: () => { place.show = 'all'; gather(); } }, `Search all notes: ${others}`) : ''] : []));
      keepPlace();
      fit();
      draw();
    }

    /** As high as the window allows and the rows need. */
    function fit() {
      const room = Math.max(4 * HEIGHT, innerHeight - list.getBoundingClientRect().top - 90);
      list.style.height = `${Math.min(room, shown.length * HEIGHT + 2)}px`;
      list.hidden = !shown.length;
      space.style.height = `${shown.length * HEIGHT}px`;
    }

    function element(line, i) {
      const { note } = line;
      const isOpen = line.items && place.open.includes(line.key);
      const isMarked = place.marked.includes(line.key);
      const act = (text, label, click, name) => h('button', { type: 'button', tabindex: -1, class: name, 'aria-label': label, title: label, click: (e) => { e.stopPropagation(); click(); } }, text);
      const name = note ? nameOf(note.row) : plural(line.items.length, 'note');
      return h('li', {
        class: `item level${line.level}${i === at ? ' at' : ''}`, role: 'treeitem', id: `item-${i}`, 'data-row': note?.row.id, 'aria-level': line.level, 'aria-posinset': i + 1, 'aria-setsize': shown.length,
        'aria-label': [name, (note?.row ?? line.items[0].note.row).articulation, line.reasons[0]?.text ?? '', isMarked ? 'selected' : ''].filter(Boolean).join(', '),
        'aria-expanded': line.items ? String(Boolean(isOpen)) : null, 'aria-selected': String(isMarked || i === at), 'aria-checked': String(isMarked), style: `top: ${i * HEIGHT}px`,
        click: (event) => { if (event.shiftKey) extend(i); else if (event.ctrlKey || event.metaKey) mark(i); else openLine(i); },
      },
        act(isMarked ? '☑' : '☐', `Select ${name}`, () => mark(i), 'mark'),
        line.items ? h('span', { class: 'sign', 'aria-hidden': 'true' }, isOpen ? '▾' : '▸') : sign(note.status === 'kept' && line.reasons.length ? 'flagged' : note.status),
        who(line), what(line),
        h('span', { class: 'acts' },
          note && canPlay(note) ? act('▶', `Play ${name}`, () => playLine(line), 'play') : null,
          note && note.status === 'missing' && Reasons.regionFor(note) !== note ? act('✓ Keep that', `Keep what was left out for ${name}`, () => { at = i; Decisions.keep([Reasons.regionFor(note)]); }, 'keep') : null,
          line.reasons.length ? act(line.reasons[0].flag === 'missing' ? '✓ Leave empty' : '✓ Accept', `Accept ${name}`, () => { at = i; accept([line]); }, 'accept') : null));
    }

    function draw() {
      const first = Math.max(0, Math.floor(list.scrollTop / HEIGHT) - BEYOND);
      const last = Math.min(shown.length, Math.ceil((list.scrollTop + (list.clientHeight || 800)) / HEIGHT) + BEYOND);
      list.replaceChildren(space);
      for (let i = first; i < last; i++) list.append(element(shown[i], i));
      list.setAttribute('aria-activedescendant', shown.length ? `item-${at}` : '');
      const n = place.marked.length;
      if (bar.hidden === n > 0) {
        bar.hidden = !n;
        fit();
      }
      const button = (text, key, click, id) => h('button', { type: 'button', id, click }, `${text} `, h('kbd', {}, key));
      bar.replaceChildren(h('b', {}, `${n} selected`), button('Accept', 'a', () => accept(acting()), 'accept-marked'), button('Keep', 'k', () => Decisions.keep(acting().flatMap(notesOf).map(Reasons.regionFor)), 'keep-marked'),
        button('Drop', 'd', () => Decisions.drop(acting().flatMap(notesOf)), 'drop-marked'), button('Select none', 'Esc', () => { place.marked = []; draw(); }, 'mark-none'));
    }

    /** What a decision is about: what is selected, or else the row that one is on. */
    const acting = () => (place.marked.length ? shown.filter((line) => place.marked.includes(line.key)) : shown.slice(at, at + 1));

    function accept(of) {
      const kinds = new Map();
      for (const line of of) for (const note of notesOf(line)) kinds.set(note, [...(kinds.get(note) ?? []), ...kindsOf(line)(note)]);
      const notes = [...kinds.keys()].filter((note) => kinds.get(note).length);
      place.marked = [];
      if (notes.length) Decisions.accept(notes, (note) => kinds.get(note));
    }

    const heardOf = (note) => note.rows.find((r) => r.file) ?? Reasons.regionFor(note).row;
    const canPlay = (note) => Boolean(heardOf(note).file) || Compare.canPlay(heardOf(note));
    const playLine = ({ note }) => { if (note && canPlay(note)) Compare.playRow(heardOf(note)); };

    function openLine(i) {
      choose(i);
      if (!shown[i]) return;
      if (shown[i].items) unfold(i);
      else go(flaggedRow(shown[i]));
    }

    /** The layer that the first reason is about. */
    const flaggedRow = ({ note, reasons }) => note.rows.find((r) => reasons[0]?.layers.includes(r.layer)) ?? note.row;

    /** Plays the place that the first reason with one is about. */
    function hearPlace({ note, reasons }) {
      const reason = note && reasons.find((r) => r.place);
      if (reason) Compare.playPlace(reason.row, reason.place);
    }

    function unfold(i, wanted = !place.open.includes(shown[i].key)) {
      const { key, items } = shown[i];
      if (!items || wanted === place.open.includes(key)) return;
      place.open = wanted ? [...place.open, key] : place.open.filter((k) => k !== key);
      gather();
    }

    function mark(i, wanted = !place.marked.includes(shown[i].key)) {
      const { key } = shown[i];
      place.marked = wanted ? [...new Set([...place.marked, key])] : place.marked.filter((k) => k !== key);
      choose(i);
    }

    function extend(i) {
      const [from, to] = [Math.min(at, i), Math.max(at, i)];
      place.marked = [...new Set([...place.marked, ...shown.slice(from, to + 1).map((line) => line.key)])];
      choose(i);
    }

    function choose(i) {
      at = Math.max(0, Math.min(shown.length - 1, i));
      place.at = shown[at]?.key ?? null;
      place.index = at;
      const top = at * HEIGHT;
      if (top < list.scrollTop) list.scrollTop = top;
      if (top + HEIGHT > list.scrollTop + list.clientHeight) list.scrollTop = top + HEIGHT - list.clientHeight;
      keepPlace();
      draw();
    }

    list.addEventListener('scroll', () => { place.top = list.scrollTop; keepPlace(); requestAnimationFrame(draw); });
    list.addEventListener('keydown', (event) => {
      const page = Math.max(1, Math.floor(list.clientHeight / HEIGHT) - 1);
      const steps = { ArrowDown: at + 1, ArrowUp: at - 1, PageDown: at + page, PageUp: at - page, Home: 0, End: shown.length - 1 };
      if ((event.ctrlKey || event.metaKey) && event.key === 'a') { place.marked = shown.filter((l) => l.level === 1).map((l) => l.key); draw(); event.preventDefault(); return; }
      if (event.ctrlKey || event.metaKey || event.altKey || !shown[at]) return;
      const notes = () => acting().flatMap(notesOf);
      const keys = {
        Enter: () => openLine(at), ' ': () => playLine(shown[at]), p: () => playLine(shown[at]), e: () => hearPlace(shown[at]), x: () => mark(at), a: () => accept(acting()),
        k: () => Decisions.keep(notes().map(Reasons.regionFor)), d: () => Decisions.drop(notes()), w: () => Decisions.wrongNote(notes()), i: () => Decisions.instead(notes()),
        ArrowRight: () => unfold(at, true), ArrowLeft: () => unfold(at, false), Escape: () => { place.marked = []; draw(); },
      };
      if (event.key in steps) { if (event.shiftKey) extend(Math.max(0, Math.min(shown.length - 1, steps[event.key]))); else choose(steps[event.key]); }
      else if (keys[event.key]) keys[event.key]();
      else return;
      event.preventDefault();
      event.stopPropagation();
    });
    search.addEventListener('keydown', (event) => {
      if (event.key === 'ArrowDown' || event.key === 'Enter') { list.focus(); event.preventDefault(); }
      if (event.key === 'Escape' && search.value) { search.value = place.search = ''; gather(); }
    });
    const lead = h('p', { class: 'lead' });
    requestAnimationFrame(() => { const { top } = place; gather(); list.scrollTop = top; draw(); });
    new ResizeObserver(draw).observe(list);
    const refit = () => { if (list.isConnected) { fit(); draw(); } else removeEventListener('resize', refit); };
    addEventListener('resize', refit);

    const section = h('section', { class: 'attention' },
      h('div', { class: 'row' }, heading, search), lead,
      doubts.length ? h('div', { class: 'doubts', role: 'alert' }, h('p', {}, '▲ The sheet may not say what was played. Correct it first: all names come from it.'), h('ul', {}, doubts.map(warningOf))) : null,
      others.length ? h('details', { class: 'warnings', open: others.length < 6 }, h('summary', {}, `▲ ${plural(others.length, 'warning')} of the build`),
        h('ul', {}, others.map(warningOf))) : null,
      filters, elsewhere, bar, list);
    section.redraw = gather;
    return section;
  }

  return { view };
})();
