// Each take as strips of a minute with its regions over its level, so that a wrong cut shows at once.
'use strict';

const Takes = (() => {
  const MINUTE = 60; // seconds per strip
  const HEIGHT = 68; // CSS pixels
  const WORD = 18; // of these, kept free above the level for a label

  /** Draws the level of a stretch of a take, in decibels. */
  function drawLevel(context, levels, stepS, fromS, toS, width, height, fill) {
    context.fillStyle = fill;
    const steps = Math.ceil((toS - fromS) / stepS);
    const from = Math.round(fromS / stepS);
    for (let i = 0; i < steps; i++) {
      const level = (levels[from + i] ?? 0) / 255;
      const x = Math.floor((i * width) / steps);
      context.fillRect(x, WORD + (height - WORD) * (1 - level), Math.max(1, Math.floor(((i + 1) * width) / steps) - x), (height - WORD) * level);
    }
  }

  /** Draws how loud the room is, or a sound must be, as a line over the level. */
  function drawCourse(context, course, stepS, fromS, toS, width, height, stroke) {
    context.fillStyle = stroke;
    for (let x = 0; x < width; x++) {
      const level = (course[Math.floor((fromS + ((toS - fromS) * x) / width) / stepS)] ?? 0) / 255;
      if (level > 0) context.fillRect(x, WORD + (height - WORD) * (1 - level), 1, 1.5);
    }
  }

  function region(row, fromS, lengthS, go, hereS) {
    const status = statusOf(row);
    const start = Math.max(row.start_s, fromS);
    const end = Math.min(row.end_s, fromS + lengthS);
    const words = `${clock(row.start_s)} ${nameOf(row)}: ${STATUS[status].word}${row.status === 'kept' ? '' : `, ${Reasons.leftOut(row)}`}`;
    return h('button', {
      type: 'button', class: `region ${status}${row.start_s === hereS ? ' here' : ''}`, title: words, 'aria-label': words, 'data-row': row.id, click: () => go(row),
      style: `left: ${(100 * (start - fromS)) / lengthS}%; width: ${(100 * (end - start)) / lengthS}%`,
    }, h('span', {}, status === 'kept' ? '' : `${STATUS[status].sign} `, row.status === 'rejected' ? row.flags[0] ?? '' : row.note));
  }

  function strip(take, rows, levels, fromS, lengthS, go, hereS = null) {
    const toS = fromS + lengthS;
    const inside = rows.filter((r) => r.start_s < toS && r.end_s > fromS);
    const bar = h('div', { class: 'bar', style: `height: ${HEIGHT}px` });
    const draw = () => {
      const width = bar.clientWidth || 1000;
      const [surface, context] = canvas(width, HEIGHT, `Level of ${take.name} from ${clock(fromS)}`);
      for (const [a, b] of take.roomTone) {
        context.fillStyle = colour('tone');
        context.fillRect(((a - fromS) / lengthS) * width, 0, ((b - a) / lengthS) * width, HEIGHT);
      }
      // Levels are counted from the beginning of the take, which may be a part of a longer file.
      drawLevel(context, levels, Takewright.library.stepS, fromS - take.fromS, toS - take.fromS, width, HEIGHT, colour('wave'));
      drawCourse(context, bytes(take.room), take.roomStepS, fromS - take.fromS, toS - take.fromS, width, HEIGHT, colour('learnt'));
      drawCourse(context, bytes(take.threshold), take.roomStepS, fromS - take.fromS, toS - take.fromS, width, HEIGHT, colour('threshold'));
      bar.replaceChildren(surface, ...inside.map((row) => region(row, fromS, lengthS, go, hereS)));
    };
    // Two hours are 120 strips; each is drawn when it becomes visible.
    new IntersectionObserver((seen, observer) => {
      if (seen.some((s) => s.isIntersecting)) { observer.disconnect(); draw(); }
    }, { rootMargin: '400px' }).observe(bar);
    return h('div', { class: 'strip' }, h('span', { class: 'at' }, clock(fromS).replace(/\.00$/, '')), bar);
  }

  /** The regions of a take. Layers share them, so one row of each is enough. */
  function regionsOf(takeAt) {
    const mine = Takewright.library.rows.filter((r) => r.takeAt === takeAt && r.start_s !== null);
    return [...groupBy(mine, (r) => r.start_s).values()].map((layers) => layers[0]);
  }

  /** The take around a time, with links to the neighbouring regions. */
  function around(takeAt, atS, go) {
    const take = Takewright.library.takes[takeAt];
    if (!take) return null;
    const fromS = Math.max(take.fromS, Math.min(atS - MINUTE / 4, take.seconds - MINUTE / 2));
    return strip(take, regionsOf(takeAt), bytes(take.levels), fromS, MINUTE / 2, go, atS);
  }

  function view(go) {
    const { takes, rows } = Takewright.library;
    const legend = Object.keys(STATUS).filter((s) => s !== 'missing').map((s) => h('span', { class: 'key' }, h('span', { class: `region ${s} swatch`, 'aria-hidden': 'true' }, STATUS[s].sign), ` ${STATUS[s].word}`));
    return h('section', { class: 'takes' }, h('h2', {}, 'Takes'), h('p', { class: 'row' }, legend, h('span', { class: 'key' }, h('span', { class: 'swatch tone', 'aria-hidden': 'true' }), ' room tone that the noise was learnt from'),
      h('span', { class: 'key' }, h('span', { class: 'swatch learnt', 'aria-hidden': 'true' }), ' the room as it was learnt'),
      h('span', { class: 'key' }, h('span', { class: 'swatch threshold', 'aria-hidden': 'true' }), ' the level from which a sound in all bands starts a region; a sound in a few bands starts one lower')),
      takes.map((take, at) => {
        const levels = bytes(take.levels);
        const mine = regionsOf(at);
        const missing = rows.filter((r) => r.takeAt === at && r.status === 'missing');
        const strips = [];
        for (let fromS = take.fromS; fromS < take.seconds; fromS += MINUTE) strips.push(strip(take, mine, levels, fromS, MINUTE, go));
        return h('article', {},
          h('h3', {}, `${take.name} `, h('small', {}, `${take.articulation}, ${clock(take.seconds - take.fromS)}, ${plural(mine.length, 'region')}${missing.length ? `, ${missing.length} missing` : ''}, room ${round(take.roomToneDbfs)} dBFS`)),
          strips);
      }));
  }

  return { view, around };
})();
