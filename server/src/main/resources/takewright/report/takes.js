// Each take as strips of a minute, its regions over its level, so that a wrong cut is seen at once.
'use strict';

const Takes = (() => {
  const LINE_S = 60; // seconds a strip
  const HEIGHT = 68; // CSS pixels
  const WORD = 18; // of these, left free above the level for a word

  /** The level of a stretch of a take, as a shape on a scale of decibels. */
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

  function region(row, fromS, go) {
    const status = statusOf(row);
    const start = Math.max(row.start_s, fromS);
    const end = Math.min(row.end_s, fromS + LINE_S);
    const words = `${clock(row.start_s)} ${nameOf(row)}: ${STATUS[status].word}${row.status === 'kept' ? '' : `, ${Reasons.leftOut(row)}`}`;
    return h('button', {
      type: 'button', class: `region ${status}`, title: words, 'aria-label': words, 'data-row': row.id, click: () => go(row),
      style: `left: ${(100 * (start - fromS)) / LINE_S}%; width: ${(100 * (end - start)) / LINE_S}%`,
    }, h('span', {}, status === 'kept' ? '' : `${STATUS[status].sign} `, row.status === 'rejected' ? row.flags[0] ?? '' : row.note));
  }

  function strip(take, rows, levels, fromS, go) {
    const toS = fromS + LINE_S;
    const inside = rows.filter((r) => r.start_s < toS && r.end_s > fromS);
    const bar = h('div', { class: 'bar', style: `height: ${HEIGHT}px` });
    const draw = () => {
      const width = bar.clientWidth || 1000;
      const [surface, context] = canvas(width, HEIGHT, `Level of ${take.name} from ${clock(fromS)}`);
      for (const [a, b] of take.roomTone) {
        context.fillStyle = colour('tone');
        context.fillRect(((a - fromS) / LINE_S) * width, 0, ((b - a) / LINE_S) * width, HEIGHT);
      }
      drawLevel(context, levels, Takewright.library.stepS, fromS, toS, width, HEIGHT, colour('wave'));
      bar.replaceChildren(surface, ...inside.map((row) => region(row, fromS, go)));
    };
    // Two hours are 120 strips: each is drawn when it comes into sight.
    new IntersectionObserver((seen, observer) => {
      if (seen.some((s) => s.isIntersecting)) { observer.disconnect(); draw(); }
    }, { rootMargin: '400px' }).observe(bar);
    return h('div', { class: 'strip' }, h('span', { class: 'at' }, clock(fromS).replace(/\.00$/, '')), bar);
  }

  function view(go) {
    const { takes, rows } = Takewright.library;
    const legend = Object.keys(STATUS).filter((s) => s !== 'missing').map((s) => h('span', { class: 'key' }, h('span', { class: `region ${s} swatch`, 'aria-hidden': 'true' }, STATUS[s].sign), ` ${STATUS[s].word}`));
    return h('section', { class: 'takes' }, h('h2', {}, 'Takes'), h('p', { class: 'row' }, legend, h('span', { class: 'key' }, h('span', { class: 'swatch tone', 'aria-hidden': 'true' }), ' room tone, learnt from')),
      takes.map((take, at) => {
        const levels = bytes(take.levels);
        // Layers share their regions: one of each is enough.
        const mine = [...groupBy(rows.filter((r) => r.takeAt === at && r.start_s !== null), (r) => r.start_s).values()].map((g) => g[0]);
        const missing = rows.filter((r) => r.takeAt === at && r.status === 'missing');
        const strips = [];
        for (let fromS = 0; fromS < take.seconds; fromS += LINE_S) strips.push(strip(take, mine, levels, fromS, go));
        return h('article', {},
          h('h3', {}, `${take.name} `, h('small', {}, `${take.articulation}, ${clock(take.seconds)}, ${plural(mine.length, 'region')}${missing.length ? `, ${missing.length} missing` : ''}, room ${round(take.roomToneDbfs)} dBFS`)),
          strips);
      }));
  }

  return { view };
})();
