// The page as a whole: views by address (#grid, #sample-12), keys, light and dark, a running build.
'use strict';

(() => {
  const main = document.getElementById('main');
  const VIEWS = [
    ['attention', 'Attention', Attention.view], ['grid', 'Cells', Grid.view], ['plots', 'Plots', Plots.view],
    ['takes', 'Takes', Takes.view], ['decisions', 'Decisions', Deciding.view], ['changes', 'Changes', Changes.view]];
  const BUILD = ['build', 'Build', Running.view]; // while one runs
  let from = 'attention';
  let sample = null;
  let place = 0; // of the sample in the list of notes to check, or where it was before it was done

  const go = (row) => { location.hash = `sample-${row.id}`; };
  const back = () => { location.hash = from; };

  function show() {
    const [, view, id] = /^#([a-z]+)-?(\d*)$/.exec(location.hash) ?? [null, 'attention', ''];
    Player.stop();
    Plots.close();
    sample = null;
    if (view === 'sample' && Takewright.library.rows[id]) {
      const row = Takewright.library.rows[id];
      sample = Sample.view(row, go, back);
      const at = Reasons.all().findIndex((item) => item.note === Notes.of(row));
      if (at >= 0) place = at;
      main.replaceChildren(sample);
      sample.querySelector('h2').focus();
      scrollTo(0, 0);
    } else {
      const [name, , make] = views().find(([n]) => n === view) ?? VIEWS[0];
      const last = from;
      from = name;
      main.replaceChildren(make(go));
      if (last !== name || name === 'attention') main.querySelector('[role=tree]')?.focus({ preventScroll: true });
    }
    tabs();
  }

  const views = () => (Running.isOn() && !Live.isExpecting() ? [...VIEWS, BUILD] : VIEWS);

  function tabs() {
    const nav = document.getElementById('views');
    const current = sample ? null : from;
    const number = { decisions: Decisions.count(), changes: (Takewright.library.changes ?? []).length };
    nav.replaceChildren(...views().map(([name, title], i) => h('a', { href: `#${name}`, 'aria-current': name === current ? 'page' : null },
      `${title}${number[name] ? ` (${number[name]})` : ''} `, h('kbd', {}, i + 1))));
  }

  /** All counts are of notes: a note with three layers counts once. */
  function counts() {
    const { kept, missing } = Notes.counts();
    const check = Reasons.all().length;
    const part = (status, id, words, title) => h('span', { class: 'count', id, title }, sign(status), ` ${words}`);
    document.getElementById('counts').replaceChildren(
      part('kept', 'count-kept', `${kept} of ${kept + missing} cells filled`, 'notes in the library, of those that the sheet asks for'),
      part('flagged', 'count-check', `${check} to check`, 'notes to look at or listen to, missing ones included, without those that you accepted'));
  }

  const KEYS = [
    ['1 – 6', 'the views (7: a running build)'], ['/', 'search'], ['↑ ↓ PgUp PgDn', 'move in a list or a plot'], ['Enter', 'open; save what was moved'], ['Esc', 'back; select none'],
    ['x, Shift ↑ ↓', 'select several'], ['→ ←', 'show and hide what a row holds'], ['a', 'accept: heard and found right'], ['k d w i', 'keep, drop, wrong note, this one instead'], ['u', 'undo the last decision'],
    ['p or Space', 'play the sample'], ['e', 'play what a reason is about, where it has a place'], ['b r l', 'the take, what was removed, the loop'], ['c', 'switch to the next sound in step'], ['s', 'stop'],
    ['[ ] ; \' ', 'move the start and the end by 10 ms'], ['m h', 'play what was moved, its loop'], ['+ −', 'enlarge, show more'], ['n N', 'next and previous note to check'], ['t', 'light or dark'], ['?', 'this list']];

  function help() {
    const dialog = document.getElementById('keys');
    dialog.replaceChildren(h('h2', {}, 'Keys'), h('dl', { class: 'facts' }, KEYS.flatMap(([key, what]) => [h('dt', {}, h('kbd', {}, key)), h('dd', {}, what)])),
      h('form', { method: 'dialog' }, h('button', {}, 'Close')));
    dialog.showModal();
  }

  /** The next note to check, in the order of the list; a note that is done has left it. */
  function next(step) {
    const items = Reasons.all();
    const row = sample && Takewright.library.rows[sample.dataset.row];
    const at = items.findIndex((item) => row && item.note === Notes.of(row));
    const item = items[at < 0 && row ? place - (step > 0 ? 1 : 0) + step : at + step];
    if (item) { go(item.note.rows.find((r) => item.reasons[0].layers.includes(r.layer)) ?? item.note.row); }
  }

  function press(selector) {
    const button = main.querySelector(selector);
    if (button && !button.disabled) button.click();
  }

  /** A key for a handle, wherever the focus is. */
  function nudge(handle, key) {
    const of = main.querySelector(`[data-handle="${handle}"]`);
    of?.dispatchEvent(new KeyboardEvent('keydown', { key, shiftKey: true }));
  }

  function onKey(event) {
    if (event.ctrlKey || event.metaKey || event.altKey || /^(INPUT|TEXTAREA|SELECT)$/.test(event.target.tagName)) return;
    if (document.getElementById('keys').open) return;
    const decide = (why) => () => press(`[data-decide="${why}"]`);
    const keys = {
      '?': help, t: theme, s: Player.stop, u: Deciding.undo, n: () => next(1), N: () => next(-1), '/': search,
      ...Object.fromEntries(views().map(([name], i) => [String(i + 1), () => { location.hash = name; }])),
      ...(sample ? {
        Escape: back, p: () => press('#play-after, #play-before'), b: () => press('#play-before'), r: () => press('#play-removed'), l: () => press('#play-loop'), e: () => press('[data-hear]'), c: () => sample.sounds?.next(),
        m: () => press('#hear-cut'), h: () => press('#hear-loop'), a: decide('accept'), k: decide('keep'), d: decide('drop'), w: decide('wrong note'), i: decide('this one instead'),
        '[': () => nudge('start_s', 'ArrowLeft'), ']': () => nudge('start_s', 'ArrowRight'), ';': () => nudge('end_s', 'ArrowLeft'), "'": () => nudge('end_s', 'ArrowRight'),
      } : {}),
    };
    if (event.key === ' ' && sample && event.target.tagName !== 'BUTTON' && event.target.tagName !== 'SUMMARY') press('#play-after, #play-before');
    else if (keys[event.key]) keys[event.key]();
    else return;
    event.preventDefault();
  }

  function search() {
    if (from !== 'attention' || sample) { location.hash = 'attention'; setTimeout(() => main.querySelector('#search')?.focus(), 50); }
    main.querySelector('#search')?.focus();
  }

  const THEME = 'takewright theme';

  function setTheme(wanted) {
    document.documentElement.dataset.theme = wanted;
    document.getElementById('theme').textContent = wanted === 'dark' ? 'Light' : 'Dark';
  }

  function firstTheme() {
    let kept = null;
    try { kept = localStorage.getItem(THEME); } catch { /* as the system is set */ }
    setTheme(kept ?? (matchMedia('(prefers-color-scheme: light)').matches ? 'light' : 'dark'));
  }

  function theme() {
    setTheme(document.documentElement.dataset.theme === 'dark' ? 'light' : 'dark');
    try { localStorage.setItem(THEME, document.documentElement.dataset.theme); } catch { /* asked again next time */ }
    show(); // canvases hold their colours
  }

  function redraw() {
    tabs();
    counts();
    if (sample) sample.redraw();
    else if (from === 'decisions') show();
    else main.firstElementChild?.redraw?.();
  }

  /** The row that stands where a row of the index before stood. */
  function counterpart(row) {
    const { rows } = Takewright.library;
    if (row.start_s === null) return rows.find((r) => Notes.cellKey(r) === Notes.cellKey(row));
    const shared = (r) => Math.min(r.end_s, row.end_s) - Math.max(r.start_s, row.start_s);
    const over = rows.filter((r) => r.takeAt === row.takeAt && r.start_s !== null && shared(r) > 0).sort((a, b) => shared(b) - shared(a));
    const same = row.region ? rows.filter((r) => r.region === row.region) : over;
    return same.find((r) => r.layer === row.layer) ?? same[0] ?? over[0];
  }

  /** After another build: the same place with its data. */
  async function refresh() {
    const row = sample && Takewright.library.rows[sample.dataset.row];
    await Takewright.reopen();
    Decisions.rebase();
    counts();
    main.dataset.ready = Takewright.library.rows.length;
    main.dataset.builds = Number(main.dataset.builds ?? 0) + 1;
    const now = row && counterpart(row);
    const hash = now ? `#sample-${now.id}` : row || location.hash === '#build' ? '#attention' : location.hash;
    if (hash !== location.hash) history.replaceState(null, '', hash);
    const { scrollY } = window;
    Editor.focusAgain(document.activeElement?.dataset.handle);
    show();
    if (now) scrollTo(0, scrollY);
    if (now?.file && Editor.isToHear(Notes.of(now))) press('#play-after');
    else Player.say(now?.file ? `${nameOf(now)} was made again.` : 'The library was built again.');
  }

  async function start() {
    Player.build(document.getElementById('player'));
    firstTheme();
    const { name, rows } = await Takewright.open();
    await Running.hear();
    if (Running.isOn() && !rows.length && !location.hash) history.replaceState(null, '', '#build');
    document.title = `${name}: report`;
    document.getElementById('title').textContent = name;
    Decisions.recall();
    await Saving.begin();
    Decisions.onChange(redraw);
    counts();
    Deciding.bar(document.getElementById('last'));
    addEventListener('hashchange', show);
    addEventListener('keydown', onKey);
    document.getElementById('help').addEventListener('click', help);
    document.getElementById('theme').addEventListener('click', theme);
    show();
    main.dataset.ready = rows.length;
    Live.follow(tabs, refresh);
  }

  start();
})();
