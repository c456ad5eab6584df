// The page as a whole: views by address (#grid, #sample-12), keys, light and dark, a running build.
'use strict';

(() => {
  const main = document.getElementById('main');
  const VIEWS = [
    ['attention', 'Attention', Attention.view], ['grid', 'Cells', Grid.view], ['plots', 'Plots', Plots.view],
    ['takes', 'Takes', Takes.view], ['decisions', 'Decisions', Decisions.view]];
  const BUILD = ['build', 'Build', Running.view]; // while one runs
  let from = 'attention';
  let sample = null;

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
      main.replaceChildren(sample);
      sample.querySelector('h2').focus();
      scrollTo(0, 0);
    } else {
      const [name, , make] = views().find(([n]) => n === view) ?? VIEWS[0];
      const last = from;
      from = name;
      main.replaceChildren(make(go));
      if (last !== name || name === 'attention') main.querySelector('[role=listbox]')?.focus({ preventScroll: true });
    }
    tabs();
  }

  const views = () => (Running.isOn() ? [...VIEWS, BUILD] : VIEWS);

  function tabs() {
    const nav = document.getElementById('views');
    const current = sample ? null : from;
    nav.replaceChildren(...views().map(([name, title], i) => h('a', { href: `#${name}`, 'aria-current': name === current ? 'page' : null },
      `${title}${name === 'decisions' && Decisions.count() ? ` (${Decisions.count()})` : ''} `, h('kbd', {}, i + 1))));
  }

  function counts() {
    const { rows } = Takewright.library;
    const of = (test) => rows.filter(test).length;
    const part = (status, id, n, title) => h('span', { class: 'count', id, title }, sign(status), ` ${n} ${STATUS[status].word}`);
    document.getElementById('counts').replaceChildren(
      part('kept', 'count-kept', of((r) => r.status === 'kept'), 'samples in the library'),
      part('flagged', 'count-flagged', of((r) => r.status === 'kept' && r.flags.length), 'of these to listen to'),
      part('missing', 'count-missing', of((r) => r.status === 'missing'), 'cells without a sample'),
      h('span', { class: 'count', id: 'count-left', title: 'regions that are not samples' }, `${of((r) => ['retake', 'extra', 'rejected'].includes(r.status))} left out`));
  }

  const KEYS = [
    ['1 – 5', 'the views (6: a running build)'], ['↑ ↓ PgUp PgDn', 'move in a list or a plot'], ['Enter', 'open the selection'], ['Esc', 'back'],
    ['p or Space', 'play the sample'], ['b r l', 'play before, removed, loop'], ['s', 'stop'],
    ['k d w i', 'keep, drop, wrong note, this one instead'], ['n N', 'next and previous row to check'], ['t', 'light or dark'], ['?', 'this list']];

  function help() {
    const dialog = document.getElementById('keys');
    dialog.replaceChildren(h('h2', {}, 'Keys'), h('dl', { class: 'facts' }, KEYS.flatMap(([key, what]) => [h('dt', {}, h('kbd', {}, key)), h('dd', {}, what)])),
      h('form', { method: 'dialog' }, h('button', {}, 'Close')));
    dialog.showModal();
  }

  function next(step) {
    const items = Reasons.all(Takewright.library.rows);
    const at = items.findIndex((item) => sample && item.row.id === Number(sample.dataset.row));
    const item = items[at + step];
    if (item) go(item.row);
  }

  function onKey(event) {
    if (event.ctrlKey || event.metaKey || event.altKey || /^(INPUT|TEXTAREA|SELECT)$/.test(event.target.tagName)) return;
    if (document.getElementById('keys').open) return;
    const press = (selector) => main.querySelector(selector)?.click();
    const keys = {
      '?': help, t: theme, s: Player.stop, n: () => next(1), N: () => next(-1),
      ...Object.fromEntries(views().map(([name], i) => [String(i + 1), () => { location.hash = name; }])),
      ...(sample ? {
        Escape: back, p: () => press('#play-after, #play-before'), b: () => press('#play-before'), r: () => press('#play-removed'), l: () => press('#play-loop'),
        k: () => press('[data-decide="keep"]'), d: () => press('[data-decide="drop"]'), w: () => press('[data-decide="wrong note"]'), i: () => press('[data-decide="this one instead"]'),
      } : {}),
    };
    if (event.key === ' ' && sample && event.target.tagName !== 'BUTTON') press('#play-after, #play-before');
    else if (keys[event.key]) keys[event.key]();
    else return;
    event.preventDefault();
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

  /** Follows a running build, which writes its progress beside the page. */
  async function follow(said) {
    const bar = document.getElementById('running');
    const seen = Running.isOn();
    let last = '';
    let quiet = 0;
    for (let now = said; ; now = await Running.hear()) {
      if (!Running.isOn()) {
        if (seen && now?.state === 'done') location.reload();
        bar.hidden = now ? now.state === 'done' : !seen;
        if (!now) bar.textContent = 'The build no longer answers. Open the page from disk.';
        else if (now.state !== 'done') bar.textContent = `The last build ${now.state} at ${Math.round(100 * now.done)} %; this page may be older. Run it again: it continues where it stopped.`;
        tabs();
        return;
      }
      const text = JSON.stringify(now);
      quiet = text === last ? quiet + 1 : 0;
      last = text;
      bar.hidden = from === 'build' && !sample && quiet <= 20;
      bar.replaceChildren(h('progress', { max: 1, value: now.done, 'aria-hidden': 'true' }), ` A build is running: ${Running.words()}. `,
        h('a', { href: '#build' }, 'Watch'), quiet > 20 ? ' It has reported nothing for a while; was it stopped?' : '');
      await new Promise((resolve) => setTimeout(resolve, 700));
    }
  }

  async function start() {
    Player.build(document.getElementById('player'));
    firstTheme();
    const { name, rows } = await Takewright.open();
    const said = await Running.hear();
    if (Running.isOn() && !rows.length && !location.hash) history.replaceState(null, '', '#build');
    document.title = `${name}: report`;
    document.getElementById('title').textContent = name;
    Decisions.recall();
    Decisions.onChange(() => {
      tabs();
      sample?.decide?.redraw();
      if (!sample && from === 'decisions') show();
    });
    counts();
    addEventListener('hashchange', show);
    addEventListener('keydown', onKey);
    document.getElementById('help').addEventListener('click', help);
    document.getElementById('theme').addEventListener('click', theme);
    show();
    main.dataset.ready = rows.length;
    follow(said);
  }

  start();
})();
