// Plots over the keys. Each point is a sample; a click, or arrow keys and Enter, open it.
'use strict';

const Plots = (() => {
  const SHAPES = ['circle', 'square', 'triangle', 'diamond', 'cross'];
  const COLOURS = ['sky', 'orange', 'green', 'purple', 'vermillion', 'yellow', 'blue'];
  let open = [];

  function shape(path, kind, x, y, r) {
    if (kind === 'square') path.rect(x - r, y - r, 2 * r, 2 * r);
    else if (kind === 'triangle') { path.moveTo(x, y - r * 1.2); path.lineTo(x + r * 1.1, y + r); path.lineTo(x - r * 1.1, y + r); path.closePath(); }
    else if (kind === 'diamond') { path.moveTo(x, y - r * 1.3); path.lineTo(x + r * 1.3, y); path.lineTo(x, y + r * 1.3); path.lineTo(x - r * 1.3, y); path.closePath(); }
    else if (kind === 'cross') { path.rect(x - r * 1.2, y - r * 0.35, r * 2.4, r * 0.7); path.rect(x - r * 0.35, y - r * 1.2, r * 0.7, r * 2.4); }
    else { path.moveTo(x + r, y); path.arc(x, y, r, 0, 2 * Math.PI); }
  }

  /** What uPlot asks for to draw a series as points of one shape. */
  function pointsAs(kind, hollow) {
    return (u, series, from, to) => {
      const path = new Path2D();
      const r = 3.4 * (window.devicePixelRatio || 1);
      const xs = u.data[0];
      const ys = u.data[series];
      for (let i = from; i <= to; i++) {
        if (ys[i] !== null && ys[i] !== undefined) shape(path, kind, u.valToPos(xs[i], 'x', true), u.valToPos(ys[i], 'y', true), r);
      }
      return { stroke: path, fill: hollow ? null : path };
    };
  }

  /** Series of points and lines as the one table, sorted by x, that uPlot takes. */
  function aligned(series) {
    const all = series.flatMap((s, at) => s.points.map((p) => ({ ...p, at }))).sort((a, b) => a.x - b.x);
    const data = [all.map((p) => p.x), ...series.map((_, at) => all.map((p) => (p.at === at ? p.y : null)))];
    return { all, data };
  }

  function plot(box, spec, go) {
    const series = spec.series.filter((s) => s.points.length);
    const readout = h('output', { class: 'readout' }, 'Point at a sample, or use the arrow keys.');
    const frame = h('div', { class: 'frame', tabindex: 0, role: 'application', 'aria-label': `${spec.title}: arrow keys select a sample, Enter opens it` });
    const legend = h('p', { class: 'legend' }, [...series.filter((s) => !s.line), ...series.filter((s) => s.line).slice(0, 1)].map((s) => {
      const [swatch, context] = canvas(s.line ? 22 : 14, 14, '');
      swatch.setAttribute('aria-hidden', 'true');
      context.fillStyle = context.strokeStyle = colour(s.colour);
      context.lineWidth = s.line ? 2 : 1.3;
      const path = new Path2D();
      if (s.line) { path.moveTo(0, 7); path.lineTo(22, 7); if (s.dash) context.setLineDash([5, 3]); } else shape(path, s.shape, 7, 7, 4);
      if (!s.hollow && !s.line) context.fill(path);
      context.stroke(path);
      return h('span', { class: 'key' }, swatch, ` ${s.label}`);
    }));
    box.append(h('h3', {}, spec.title), legend, frame, readout);
    const { all, data } = aligned(series);
    if (!all.length) {
      frame.replaceWith(h('p', { class: 'none' }, 'There is nothing to plot.'));
      readout.remove();
      return;
    }
    let at = -1;
    const marker = h('div', { class: 'marker', 'aria-hidden': 'true', hidden: true });
    const name = (p) => `${series[p.at].label}, ${p.row ? `${nameOf(p.row)}: ` : ''}${round(p.y, spec.digits ?? 1)} ${spec.unit}`;
    const choose = (i) => {
      at = i;
      marker.hidden = i < 0;
      if (i < 0) return;
      readout.textContent = name(all[i]);
      marker.style.left = `${u.valToPos(all[i].x, 'x')}px`;
      marker.style.top = `${u.valToPos(all[i].y, 'y')}px`;
    };
    const axis = { stroke: colour('muted'), grid: { stroke: colour('rule'), width: 1 }, ticks: { stroke: colour('rule') }, font: '12px system-ui' };
    const [first, last] = [all[0].x, all[all.length - 1].x];
    const u = new uPlot({
      width: Math.max(280, frame.clientWidth), height: 240, legend: { show: false }, padding: [8, 12, 0, 0],
      cursor: { drag: { x: true, y: false }, points: { show: false }, y: false },
      scales: { x: { time: false, range: (_, from, to) => (from === first && to === last ? [from - 0.6, to + 0.6] : [from, to]) }, y: {} },
      axes: [
        { ...axis, values: (_, ticks) => ticks.map((t) => (spec.xNames ? spec.xNames.get(t) ?? '' : t)), splits: spec.xNames ? (_v, _i, from, to) => named(spec.xNames, from, to) : undefined, incrs: [1, 2, 5, 10, 20, 50, 100] },
        { ...axis, label: spec.unit, size: 56, labelSize: 18, labelFont: '12px system-ui' }],
      series: [{}, ...series.map((s) => (s.line
        ? { stroke: colour(s.colour), width: 2, spanGaps: true, dash: s.dash, points: { show: false } }
        : { stroke: colour(s.colour), fill: colour(s.colour), width: 1.3, paths: pointsAs(s.shape, s.hollow), points: { show: false } }))],
    }, data, frame);
    open.push(u);
    u.over.append(marker);
    u.over.addEventListener('mousemove', (event) => {
      let best = -1;
      let nearest = 20 ** 2; // a point is hit within 20 pixels
      all.forEach((p, i) => {
        if (!p.row) return;
        const d = (u.valToPos(p.x, 'x') - event.offsetX) ** 2 + (u.valToPos(p.y, 'y') - event.offsetY) ** 2;
        if (d < nearest) { nearest = d; best = i; }
      });
      choose(best);
      u.over.style.cursor = best < 0 ? '' : 'pointer';
    });
    u.over.addEventListener('click', () => { if (at >= 0) go(all[at].row); });
    frame.addEventListener('keydown', (event) => {
      const step = { ArrowRight: 1, ArrowLeft: -1, ArrowUp: 10, ArrowDown: -10 }[event.key];
      if (step) {
        let i = Math.max(-1, at);
        do { i += Math.sign(step); } while (all[i] && !all[i].row);
        for (let more = Math.abs(step) - 1; more > 0 && all[i + Math.sign(step)]?.row; more--) i += Math.sign(step);
        if (all[i]) choose(i);
      } else if (event.key === 'Home') choose(all.findIndex((p) => p.row));
      else if (event.key === 'Enter' && at >= 0) go(all[at].row);
      else return;
      event.preventDefault();
    });
  }

  /** Keys to label on an axis: as many as fit. */
  function named(xNames, from, to) {
    const keys = [...xNames.keys()].filter((k) => k >= from && k <= to).sort((a, b) => a - b);
    const each = Math.max(1, Math.ceil(keys.length / 14));
    return keys.filter((_, i) => i % each === 0);
  }

  /** A line through the medians of each key and its neighbours up to three semitones away. */
  function through(points) {
    const keys = [...new Set(points.map((p) => Math.round(p.x)))].sort((a, b) => a - b);
    return keys.map((x) => ({ x, y: median(points.filter((p) => Math.abs(p.x - x) <= 3.5).map((p) => p.y)) }));
  }

  /** The curve that levels were matched to, if the index has it. */
  const CURVES = ['level_curve_lufs', 'target_lufs', 'level_target_lufs'];

  function specs(rows) {
    const keyed = rows.some((r) => r.midi !== null);
    const dynamics = [...groupBy(rows, (r) => r.dynamic).keys()];
    const place = new Map(rows.map((r, i) => [r.id, i + 1]));
    const x = (r) => (keyed ? r.midi + 0.16 * (dynamics.indexOf(r.dynamic) - (dynamics.length - 1) / 2) : place.get(r.id));
    const points = (of, value) => of.filter((r) => (!keyed || r.midi !== null) && Number.isFinite(value(r))).map((row) => ({ x: x(row), y: value(row), row }));
    const xNames = keyed ? new Map(rows.filter((r) => r.midi !== null).map((r) => [r.midi, r.note])) : null;
    const perDynamic = (value) => dynamics.map((dynamic, i) => ({
      label: dynamic || 'all', colour: COLOURS[i % COLOURS.length], shape: SHAPES[i % SHAPES.length], points: points(rows.filter((r) => r.dynamic === dynamic), value) }));
    const known = (value) => (value === null || value === undefined || value === '' ? NaN : Number(value));
    const two = (before, after) => [
      { label: 'before', colour: 'orange', shape: 'circle', hollow: true, points: points(rows, (r) => known(r[before])) },
      { label: 'after', colour: 'sky', shape: 'diamond', points: points(rows, (r) => known(r[after])) }];
    const levels = perDynamic((r) => known(r.level_lufs));
    const curve = CURVES.find((column) => rows.some((r) => r[column]));
    const curves = !keyed ? [] : levels.filter((s) => s.points.length > 2).map((s) => ({
      label: curve ? 'fitted curve of each dynamic' : 'median of the neighbouring keys', colour: s.colour, line: true, dash: curve ? undefined : [6, 4],
      points: curve ? s.points.map((p) => ({ x: Math.round(p.x), y: known(p.row[curve]) })).filter((p) => Number.isFinite(p.y)) : through(s.points) }));
    return [
      ...(keyed ? [{ title: 'Tuning before and after', unit: 'cents', series: two('cents_before', 'cents_after') }] : []),
      { title: 'Level per dynamic', unit: 'LUFS', series: [...levels, ...curves] },
      { title: 'Lead-in: time before the onset', unit: 'ms', digits: 2, series: perDynamic((r) => (r.onset_s === null ? NaN : 1000 * (r.onset_s - r.start_s))) },
      { title: 'Noise floor before and after', unit: 'dBFS', series: two('floor_before_dbfs', 'floor_after_dbfs') },
      { title: 'Length', unit: 's', digits: 2, series: perDynamic((r) => (r.end_s === null ? NaN : r.end_s - r.start_s)) },
    ].map((spec) => ({ ...spec, xNames }));
  }

  function view(go) {
    close();
    const kept = Takewright.library.rows.filter((r) => r.status === 'kept');
    const groups = groupBy(kept, placeOf);
    const box = h('div', { class: 'plots' });
    const choice = h('select', { id: 'group', change: () => draw(choice.value) }, [...groups.keys()].map((name) => h('option', { value: name }, name)));
    function draw(name) {
      close();
      box.replaceChildren();
      sessionStorage.setItem('takewright group', name);
      const all = specs(groups.get(name) ?? []);
      // All frames first: their width depends on their number.
      const parts = all.map(() => h('article', { class: 'plot' }));
      box.append(...parts);
      parts.forEach((part, i) => plot(part, all[i], go));
    }
    const before = sessionStorage.getItem('takewright group');
    if (groups.has(before)) choice.value = before;
    // Once it is in the page: plots are as wide as their frames.
    requestAnimationFrame(() => groups.size && draw(choice.value));
    return h('section', {}, h('div', { class: 'row' }, h('h2', {}, 'Plots'), h('label', {}, 'Of ', choice)), box);
  }

  function close() {
    open.forEach((u) => u.destroy());
    open = [];
  }

  return { view, close };
})();
