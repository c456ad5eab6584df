// Which files sound, and what was heard last, each with a link to its page in the report.
'use strict';

const Sounding = (() => {
  const LAST = 8;
  const list = h('ol', { id: 'sounding', 'aria-label': 'Samples, the latest first' });
  const said = h('p', { class: 'visually-hidden', role: 'status', 'aria-live': 'polite' });
  let rows = []; // { note, zone, element }
  let telling = 0;

  const reportOf = (zone) => `report/index.html#sample-${zone.row}`;

  function words(note, zone, names) {
    const shift = note.key - zone.root;
    const played = shift ? `played at ${names[note.key]}, ${signed(shift, 0)} ${Math.abs(shift) === 1 ? 'semitone' : 'semitones'}` : null;
    return [names[zone.root], zone.dynamic, zone.rrCount > 1 ? `rr${zone.rr} of ${zone.rrCount}` : null, zone.layer, `velocity ${note.velocity}`, played].filter(Boolean).join(' · ');
  }

  function rowOf(note, zone, names) {
    const element = h('li', {},
      h('span', { class: 'lamp', 'aria-hidden': 'true' }),
      h('b', {}, words(note, zone, names)),
      h('code', {}, zone.file),
      h('a', { href: reportOf(zone), 'aria-label': `${zone.file} in the report` }, 'In the report'));
    return { note, zone, element };
  }

  /** Takes note of what sounds now. */
  function update(notes, names) {
    const known = new Set(rows.map((row) => row.note));
    let added = null;
    for (const note of notes) {
      if (known.has(note) || !note.voices.length) continue;
      rows.unshift(...note.zones.map((zone) => rowOf(note, zone, names)));
      added = note;
    }
    // What sounds stays, and of the rest as many as there is room for.
    let kept = 0;
    rows = rows.filter((row) => notes.has(row.note) || ++kept <= LAST).slice(0, 4 * LAST);
    for (const row of rows) row.element.classList.toggle('on', notes.has(row.note));
    list.replaceChildren(...rows.map((row) => row.element));
    if (!rows.length) list.append(h('li', { class: 'none' }, 'Nothing has been played yet.'));
    if (added) tell(`${words(added, added.zones[0], names)}, ${added.zones[0].file}`);
  }

  /** Says it when the hands rest: a run would be read for minutes. */
  function tell(text) {
    clearTimeout(telling);
    telling = setTimeout(() => { said.textContent = text; }, 600);
  }

  return { list, said, update };
})();
