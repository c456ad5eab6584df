// One note in one of its layers, or a region that is none: its sounds, its cut, its pictures, and the
// decisions about it.
'use strict';

const Sample = (() => {
  const FACTS = [
    ['cents_before', 'Before tuning', ' cents', signed], ['cents_after', 'After tuning', ' cents', signed],
    ['level_lufs', 'Level', ' LUFS'], ['peak_dbtp', 'True peak', ' dBTP'], ['gain_db', 'Gain', ' dB', signed],
    ['floor_before_dbfs', 'Floor before', ' dBFS'], ['floor_after_dbfs', 'Floor after', ' dBFS'], ['release_ms', 'Release', ' ms'],
  ];

  function facts(row) {
    const list = [['Status', row.status === 'kept' ? STATUS[statusOf(row)].word : Reasons.leftOut(row)]];
    if (row.start_s !== null) list.push(['In the take', `${row.take}, ${clock(row.start_s)} to ${clock(row.end_s)}`]);
    for (const [column, name, unit, how] of FACTS) if (row[column] !== null) list.push([name, (how ?? round)(row[column]) + unit]);
    if (row.loop_reason) list.push([row.loop_start === null ? 'No loop' : 'Loop is weakest in', row.loop_reason.replaceAll('_', ' ')]);
    if (row.flags.length) list.push(['Flags', row.flags.join(', ').replaceAll('_', ' ')]);
    if (row.file) list.push(['File', row.file]);
    return h('dl', { class: 'facts' }, list.flatMap(([name, value]) => [h('dt', {}, name), h('dd', {}, value)]));
  }

  /** Neighbours in pitch, and the same note at other dynamics and round robins. */
  function neighbours(row) {
    const { rows } = Takewright.library;
    if (row.midi === null) {
      return row.status !== 'kept' ? [] : rows.filter((r) => r !== row && r.status === 'kept' && r.articulation === row.articulation && r.layer === row.layer && r.dynamic === row.dynamic)
        .sort((a, b) => Math.abs(a.rr - row.rr) - Math.abs(b.rr - row.rr)).slice(0, 6).sort((a, b) => a.rr - b.rr);
    }
    // A cell without a sample has no layer: of each note there, the main microphone is enough.
    const isOfLayer = (r) => (row.layer ? r.layer === row.layer : Notes.of(r).row === r);
    const same = rows.filter((r) => r !== row && r.articulation === row.articulation && r.midi === row.midi && !Takewright.sameRegion(r, row)
      && (!r.layer || isOfLayer(r)) && r.start_s !== null);
    const like = rows.filter((r) => r.status === 'kept' && r.articulation === row.articulation && isOfLayer(r) && r.dynamic === row.dynamic && r.midi !== null && r.midi !== row.midi && (r.rr === row.rr || row.rr === null));
    const near = (sign) => like.filter((r) => Math.sign(r.midi - row.midi) === sign).sort((a, b) => Math.abs(a.midi - row.midi) - Math.abs(b.midi - row.midi)).slice(0, 2);
    const others = row.status === 'missing' ? Reasons.candidates(row, rows) : [];
    return [...new Set([...others, ...near(-1).reverse(), ...near(1), ...same])].slice(0, 14);
  }

  function neighbourList(row, go) {
    const list = neighbours(row);
    if (!list.length) return null;
    return h('section', {}, h('h3', {}, 'Neighbours'), h('ul', { class: 'beside' }, list.map((other) => h('li', {},
      h('button', { type: 'button', 'aria-label': `Play ${nameOf(other)}`, disabled: !Compare.canPlay(other), click: () => Compare.playRow(other) }, '▶'),
      h('button', { type: 'button', class: 'link', click: () => go(other) }, sign(statusOf(other)), ` ${nameOf(other)}`),
      h('span', {}, other.status === 'kept' ? `${round(other.level_lufs)} LUFS` : `${STATUS[other.status].word} ${clock(other.start_s)}`),
      row.status === 'missing' && other.status !== 'kept' ? h('button', { type: 'button', 'data-instead': other.id, click: () => Decisions.instead([Notes.of(other)]) }, 'Keep this one') : null))));
  }

  /** A missing cell has no sound; shows where in the take it should be. */
  function gap(row, go) {
    const around = Takewright.library.rows.filter((r) => r.takeAt === row.takeAt && r.status === 'kept' && r.midi !== null && row.midi !== null)
      .sort((a, b) => Math.abs(a.midi - row.midi) - Math.abs(b.midi - row.midi))[0];
    if (!around) return h('p', {}, `${row.take} has no sample at all.`);
    return h('div', {}, h('p', {}, `The nearest note in ${row.take} is ${nameOf(around)}, at ${clock(around.start_s)}:`), Takes.around(row.takeAt, around.start_s, go));
  }

  /** The layers and microphones of the same note. */
  function layers(note, row, go) {
    if (note.rows.length < 2) return null;
    return h('nav', { class: 'row layers', 'aria-label': 'Layers of this note' }, note.rows.map((other) => h('button', {
      type: 'button', 'data-layer': other.layer, 'aria-current': other === row ? 'true' : null, click: () => go(other) }, sign(statusOf(other)), ` ${other.layer || 'sample'}`)));
  }

  /** Says what a region is, where the build took it for something else. */
  function identity(note, row) {
    const { rows } = Takewright.library;
    const entry = Decisions.of(note);
    const same = rows.filter((r) => r.articulation === row.articulation);
    const notes = [...new Map(same.filter((r) => r.midi !== null).sort((a, b) => a.midi - b.midi).map((r) => [r.note, r.midi])).keys()];
    const choice = (key, name, values) => {
      const select = h('select', { 'aria-label': name, 'data-is': key }, h('option', { value: '' }, '–'), values.map((v) => h('option', { value: v }, v)));
      select.value = entry?.[key] ?? row[key] ?? '';
      return select;
    };
    const selects = { note: choice('note', 'Note', notes), dynamic: choice('dynamic', 'Dynamic', [...new Set(same.map((r) => r.dynamic).filter(Boolean))]), rr: choice('rr', 'Round robin', [...new Set(same.map((r) => r.rr).filter((v) => v !== null))].sort((a, b) => a - b)) };
    const set = () => {
      const patch = { note: selects.note.value || undefined, dynamic: selects.dynamic.value || undefined, rr: selects.rr.value ? Number(selects.rr.value) : undefined, drop: undefined, why: undefined };
      Decisions.change([note], patch, `is ${[patch.note, patch.dynamic, patch.rr ? `rr${patch.rr}` : ''].filter(Boolean).join(' ')}: ${nameOf(row)}`);
    };
    return h('details', { class: 'identity' }, h('summary', {}, 'It is another note'), h('div', { class: 'row' }, selects.note, selects.dynamic, selects.rr, h('button', { type: 'button', id: 'set-identity', click: set }, 'It is this')));
  }

  /** Plays the place where the reason of a flag is heard. */
  const hearButton = (row, flag, word = 'Hear that') => h('button', { type: 'button', class: 'hear', 'data-hear': flag, click: () => Compare.playPlace(row, row.flagsAt[flag]) }, `▶ ${word} `);

  /** The same for all flags of a region that was left out, whose reasons stand in one sentence. */
  function hearButtons(row) {
    const placed = row.flags.filter((flag) => row.flagsAt[flag]);
    return placed.map((flag) => hearButton(row, flag, placed.length > 1 ? `Hear: ${flag.replaceAll('_', ' ')}` : undefined));
  }

  function view(row, go, back) {
    const note = Notes.of(row);
    Editor.forget(note);
    const kinds = () => Reasons.open(note).map((reason) => reason.flag);
    const box = h('div', { class: 'pictures' }, h('p', { class: 'none' }, 'Drawing…'));
    const decide = Deciding.buttons(note, kinds);
    const reasons = h('ul', { class: 'reasons' });
    const sounds = note.isRegion ? Compare.view(note, row, go) : null;
    const redraw = () => {
      const open = Reasons.open(note);
      const entry = Decisions.of(note);
      const isLeft = note.isRegion && note.status !== 'kept';
      reasons.hidden = !open.length && !entry && !isLeft;
      reasons.replaceChildren(...(isLeft ? [h('li', {}, h('b', {}, `${Reasons.leftOut(row)}.`), hearButtons(row))] : []), ...open.map((r) => h('li', {}, h('b', {}, note.layers.length > 1 && r.layers.length < note.layers.length ? `${r.layers.join(', ')}: ` : '', r.text), ` ${r.todo}`,
        r.place ? hearButton(r.row, r.flag) : null)),
        ...(entry ? [h('li', { class: 'decided' }, `✓ ${Decisions.words(entry) || entry.why}`)] : []));
      reasons.querySelector('.hear')?.append(h('kbd', {}, 'e')); // the key is that of the first
      decide.redraw();
    };
    const was = Changes.wasOf(row);
    const element = h('section', { class: 'sample', 'data-row': row.id },
      h('div', { class: 'row' }, h('button', { type: 'button', id: 'back', click: back }, '← Back ', h('kbd', {}, 'Esc')),
        h('h2', { tabindex: -1 }, sign(statusOf(row)), ` ${nameOf(row)} `, h('small', {}, placeOf(row))), decide),
      reasons, layers(note, row, go),
      note.isRegion ? h('div', { class: 'row sounds' }, sounds, was,
        row.file ? h('a', { id: 'play-context', href: `../play.html#sample=${encodeURIComponent(row.file)}` }, 'Play it in context') : null) : gap(row, go),
      sounds?.strips ?? null,
      Takewright.hasPicture(row) ? Editor.view(note, row) : null,
      note.isRegion ? identity(note, row) : null,
      note.isRegion ? Takes.around(row.takeAt, row.start_s, go) : null,
      h('div', { class: Takewright.hasPicture(row) ? 'split' : null }, Takewright.hasPicture(row) ? box : null, h('aside', {}, facts(row), neighbourList(row, go))));
    if (Takewright.hasPicture(row)) Pictures.fill(row, box);
    element.redraw = redraw;
    element.sounds = sounds;
    redraw();
    return element;
  }

  return { view };
})();
