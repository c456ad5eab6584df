// What a person decides on the page, as lines for the sheet: `keep` and `drop` of a take, by time.
'use strict';

const Decisions = (() => {
  let made = [];
  const listeners = [];
  // A server's address changes at each start, and holds a token that must not be stored.
  const place = () => `takewright decisions ${Takewright.isServed ? Takewright.library.name : location.pathname}`;

  function remember() {
    try { localStorage.setItem(place(), JSON.stringify(made)); } catch { /* kept for this visit only */ }
    listeners.forEach((listener) => listener());
  }

  function recall() {
    try { made = JSON.parse(localStorage.getItem(place())) ?? []; } catch { made = []; }
  }

  /** The middle of the sound, which stays inside it when a later build cuts slightly differently. */
  const timeIn = (row) => ((row.onset_s ?? row.start_s) + row.end_s) / 2;

  const isAbout = (decision, row) =>
    decision.takeAt === row.takeAt && decision.atS >= row.start_s && decision.atS < row.end_s;

  const of = (row) => made.find((decision) => isAbout(decision, row)) ?? null;

  /** Decides about a region; the same decision again revokes it. */
  function decide(row, verdict, why) {
    if (row.start_s === null || row.takeAt < 0) return;
    const before = of(row);
    made = made.filter((decision) => !isAbout(decision, row));
    if (!before || before.why !== why) {
      made.push({ takeAt: row.takeAt, atS: timeIn(row), startS: row.start_s, endS: row.end_s, verdict, why, name: `${nameOf(row)} ${row.articulation}` });
    }
    remember();
  }

  const keep = (row) => decide(row, 'keep', 'keep');
  const drop = (row) => decide(row, 'drop', 'drop');
  // A wrong note is dropped: the sheet needs no other word, since a dropped region fills no cell.
  const wrongNote = (row) => decide(row, 'drop', 'wrong note');
  const instead = (row) => decide(row, 'keep', 'this one instead');

  function remove(decision) {
    made = made.filter((other) => other !== decision);
    remember();
  }

  /** A time of the sheet in seconds: 12.5, 1:02.5, 1:00:02.5. */
  const seconds = (text) => text.trim().split(':').reduce((sum, part) => 60 * sum + Number(part), 0);

  /** Whether an entry of the sheet concerns the same region as a new decision. */
  function isOverruled(text, decisions) {
    const [from, to] = text.split('-').map(seconds);
    return decisions.some((d) => (to ?? from) >= d.startS && from < d.endS);
  }

  const quoted = (text) => (/^[0-9.]+$/.test(text) ? text : `"${text}"`);

  /** The lines, take by take. */
  function lines() {
    const out = [];
    Takewright.library.takes.forEach((take, takeAt) => {
      const mine = made.filter((d) => d.takeAt === takeAt).sort((a, b) => a.atS - b.atS);
      if (!mine.length) return;
      const old = take.keep.length + take.drop.length > 0;
      out.push(`# ${take.name}, the take on line ${take.line} of ${Takewright.library.sheet}: ${old ? 'replacing its `keep` and `drop`' : 'below its other lines'}`);
      for (const d of mine) out.push(`#   ${d.atS.toFixed(2)}: ${d.why}, ${d.name}`.replace(/[\r\n]/g, ' '));
      for (const verdict of ['keep', 'drop']) {
        const times = take[verdict].filter((text) => !isOverruled(text, mine)).map(quoted)
          .concat(mine.filter((d) => d.verdict === verdict).map((d) => d.atS.toFixed(2)));
        if (times.length) out.push(`    ${verdict}: [${times.join(', ')}]`);
      }
      out.push('');
    });
    return out.join('\n');
  }

  /** Buttons for the decisions that are possible for a row. */
  function buttons(row) {
    const box = h('div', { class: 'decide', role: 'group', 'aria-label': 'Decide' });
    const draw = () => {
      const now = of(row)?.why;
      const button = (why, text, key, act) => h('button', {
        type: 'button', 'data-decide': why, 'aria-pressed': String(now === why), click: act }, `${now === why ? '✓ ' : ''}${text} `, h('kbd', {}, key));
      box.replaceChildren(
        row.status === 'kept' || row.status === 'extra' || row.status === 'rejected' ? button('keep', 'Keep', 'k', () => keep(row)) : '',
        row.status === 'retake' || row.status === 'extra' ? button('this one instead', 'This one instead', 'i', () => instead(row)) : '',
        button('drop', 'Drop', 'd', () => drop(row)),
        row.status === 'kept' ? button('wrong note', 'Wrong note', 'w', () => wrongNote(row)) : '');
    };
    draw();
    box.redraw = draw;
    return box;
  }

  /** The view of all decisions. */
  function view() {
    const text = lines();
    const area = h('textarea', { id: 'lines', rows: Math.max(6, text.split('\n').length + 1), readonly: true, spellcheck: 'false', 'aria-label': 'Lines for the sheet' });
    area.value = text || '# No decisions yet.';
    const download = () => {
      const link = h('a', { href: URL.createObjectURL(new Blob([text], { type: 'text/yaml' })), download: 'decisions.yaml' });
      link.click();
      setTimeout(() => URL.revokeObjectURL(link.href), 1000);
    };
    const copy = (event) => {
      area.select();
      const done = () => { event.target.textContent = 'Copied'; };
      if (navigator.clipboard) navigator.clipboard.writeText(text).then(done, () => document.execCommand('copy') && done());
      else if (document.execCommand('copy')) done();
    };
    return h('section', { class: 'decisions' },
      h('h2', {}, 'Decisions'),
      h('p', {}, `What you decide on samples and takes stands here as lines for ${Takewright.library.sheet}. Put them into the take they name, as deep as its other lines (within braces with a comma before); the next build obeys them.`),
      h('div', { class: 'row' },
        h('button', { type: 'button', click: copy, disabled: !text }, 'Copy'),
        h('button', { type: 'button', id: 'download', click: download, disabled: !text }, 'Download'),
        h('button', { type: 'button', disabled: !made.length, click: () => { made = []; remember(); } }, 'Take all back')),
      area,
      h('ul', { class: 'made' }, made.map((d) => h('li', {},
        h('b', {}, d.why), ` ${d.name}, ${Takewright.library.takes[d.takeAt]?.name} at ${clock(d.atS)} `,
        h('button', { type: 'button', click: () => remove(d) }, 'Take back')))));
  }

  return { recall, of, keep, drop, wrongNote, instead, lines, buttons, view, count: () => made.length, onChange: (f) => listeners.push(f) };
})();
