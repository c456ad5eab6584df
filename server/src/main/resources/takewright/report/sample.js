// One sample, or a region that is none: its picture, its sounds, and the decisions about it.
'use strict';

const Sample = (() => {
  const FROM_DISK = 'The server does not serve the takes; open the page from disk to hear this';

  /** Plays a row from its take, if the page can reach it. */
  const stretch = (row, level) => (Takewright.isServed ? null : () => Player.stretch(row, level?.()));

  /** Buttons for all sounds of a row. */
  function sounds(row, rms) {
    const button = (id, text, key, click, title) => h('button', { type: 'button', id, click, title, disabled: !click }, `▶ ${text} `, h('kbd', {}, key));
    if (row.status !== 'kept') {
      return [button('play-before', 'In the take', 'b', row.start_s === null ? null : stretch(row), Takewright.isServed ? FROM_DISK : null)];
    }
    const kept = (part, label, level) => async () => {
      const sound = await Takewright.sound(row).catch(() => ({}));
      if (sound[part]) Player.play({ label: `${nameOf(row)} ${label(sound)}`, data: sound[part], rmsDbfs: level() });
      else Player.say(`There is no ${part} of ${nameOf(row)}; build the library again.`);
    };
    const extra = Takewright.library.allSounds || row.flags.length > 0;
    const only = 'Kept for flagged samples only; build with --all-sounds to keep it for all';
    return [
      button('play-after', 'After', 'p', () => Player.after(row, rms.after)),
      button('play-before', 'Before', 'b', extra ? kept('before', () => 'before', () => rms.before) : stretch(row, () => rms.before), !extra && Takewright.isServed ? FROM_DISK : null),
      button('play-removed', 'Removed', 'r', extra && !row.flags.includes('no_room_tone') ? kept('removed', (s) => `removed, raised by ${s.removedDb} dB`, () => null) : null, extra ? 'What the noise reduction took away' : only),
      button('play-loop', 'Loop', 'l', extra && row.loop_start !== null ? kept('loop', () => 'loop', () => rms.after) : null, row.loop_start === null ? 'It has no loop' : extra ? null : only),
      h('a', { id: 'play-context', href: `../play.html#sample=${encodeURIComponent(row.file)}` }, 'Play it in context'),
    ];
  }

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

  /** Neighbours in pitch, the same note at other dynamics and round robins, other attempts. */
  function neighbours(row) {
    const { rows } = Takewright.library;
    if (row.midi === null) {
      return row.status !== 'kept' ? [] : rows.filter((r) => r !== row && r.status === 'kept' && r.articulation === row.articulation && r.layer === row.layer && r.dynamic === row.dynamic)
        .sort((a, b) => Math.abs(a.rr - row.rr) - Math.abs(b.rr - row.rr)).slice(0, 6).sort((a, b) => a.rr - b.rr);
    }
    const same = rows.filter((r) => r !== row && r.articulation === row.articulation && r.midi === row.midi && !Takewright.sameRegion(r, row)
      && (r.layer === row.layer || !r.layer || !row.layer) && r.start_s !== null);
    const like = rows.filter((r) => r.status === 'kept' && r.articulation === row.articulation && r.layer === (row.layer || r.layer) && r.dynamic === row.dynamic && r.midi !== null && r.midi !== row.midi && (r.rr === row.rr || row.rr === null));
    const near = (sign) => like.filter((r) => Math.sign(r.midi - row.midi) === sign).sort((a, b) => Math.abs(a.midi - row.midi) - Math.abs(b.midi - row.midi)).slice(0, 2);
    const others = row.status === 'missing' ? Reasons.candidates(row, rows) : [];
    return [...new Set([...others, ...near(-1).reverse(), ...near(1), ...same])].slice(0, 14);
  }

  function neighbourList(row, go) {
    const list = neighbours(row);
    if (!list.length) return null;
    return h('section', {}, h('h3', {}, 'Neighbours'), h('ul', { class: 'beside' }, list.map((other) => h('li', {},
      h('button', { type: 'button', 'aria-label': `Play ${nameOf(other)}`, disabled: !other.file && Takewright.isServed, click: () => (other.file ? Player.after(other) : Player.stretch(other)) }, '▶'),
      h('button', { type: 'button', class: 'link', click: () => go(other) }, sign(statusOf(other)), ` ${nameOf(other)}`),
      h('span', {}, other.status === 'kept' ? `${round(other.level_lufs)} LUFS` : `${STATUS[other.status].word} ${clock(other.start_s)}`),
      other.status === 'retake' || other.status === 'extra' ? h('button', { type: 'button', 'data-instead': other.id, click: () => Decisions.instead(other) }, row.status === 'missing' ? 'Keep this one' : 'This one instead') : null))));
  }

  /** A missing cell has no sound; shows where in the take it should be. */
  function gap(row, go) {
    const around = Takewright.library.rows.filter((r) => r.takeAt === row.takeAt && r.status === 'kept' && r.midi !== null && row.midi !== null)
      .sort((a, b) => Math.abs(a.midi - row.midi) - Math.abs(b.midi - row.midi))[0];
    if (!around) return h('p', {}, `${row.take} has no sample at all.`);
    return h('div', {}, h('p', {}, `The nearest note in ${row.take} is ${nameOf(around)}, at ${clock(around.start_s)}:`), Takes.around(row.takeAt, around.start_s, go));
  }

  function view(row, go, back) {
    const rms = { before: null, after: null };
    const off = Reasons.levelsOff(Takewright.library.rows).get(row.id);
    const reasons = Reasons.of(row, Takewright.library.rows, off);
    const box = h('div', { class: 'pictures' }, row.file ? h('p', { class: 'none' }, 'Drawing…') : null);
    const decide = row.start_s === null ? null : Decisions.buttons(row);
    const element = h('section', { class: 'sample', 'data-row': row.id },
      h('div', { class: 'row' }, h('button', { type: 'button', id: 'back', click: back }, '← Back ', h('kbd', {}, 'Esc')),
        h('h2', { tabindex: -1 }, sign(statusOf(row)), ` ${nameOf(row)} `, h('small', {}, placeOf(row)))),
      reasons.length ? h('ul', { class: 'reasons' }, reasons.map((r) => h('li', {}, h('b', {}, r.text), ` ${r.todo}`))) : null,
      row.start_s === null ? null : Takes.around(row.takeAt, row.start_s, go),
      row.status === 'missing' ? gap(row, go) : h('div', { class: 'row sounds' }, sounds(row, rms), decide),
      h('div', { class: row.file ? 'split' : null }, row.file ? box : null, h('aside', {}, facts(row), neighbourList(row, go))));
    if (row.file) Pictures.fill(row, box, rms);
    element.decide = decide;
    return element;
  }

  return { view };
})();
