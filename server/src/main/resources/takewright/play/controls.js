// Faders and choices.
'use strict';

const Controls = (() => {
  /** A fader: label, slider, and what it says in words, which screen readers hear too. */
  function fader({ id, label, min, max, value, step = 1, words, change, title = null }) {
    const slider = h('input', { type: 'range', id, min, max, step, value, title });
    const said = h('output', { for: id });
    const show = () => {
      said.textContent = words(Number(slider.value));
      slider.setAttribute('aria-valuetext', said.textContent);
    };
    slider.addEventListener('input', () => { show(); change(Number(slider.value)); });
    show();
    const element = h('div', { class: 'fader' }, h('label', { for: id }, label), slider, said);
    return { element, slider, set: (to) => { slider.value = to; show(); } };
  }

  /** The lowest step of a fader in dB is off. */
  const OFF_DB = -48;
  const db = (value) => (value <= OFF_DB ? -Infinity : value);
  const dbWords = (value) => (value <= OFF_DB ? 'off' : `${signed(value, 0)} dB`);

  function dbFader(options) {
    return fader({ min: OFF_DB, max: 6, words: dbWords, ...options, value: Math.max(OFF_DB, options.value), change: (value) => options.change(db(value)) });
  }

  /** One of several, as radio buttons in a row. */
  function choice(name, legend, options, chosen, change) {
    return h('fieldset', { class: 'choice' }, h('legend', {}, legend), options.map((option, i) => h('label', {},
      h('input', { type: 'radio', name, value: i, checked: option === chosen, change: () => change(option) }), h('span', {}, option))));
  }

  /** The dynamics over the velocities, with the one that would play now marked. */
  function dynamics(list, velocity) {
    return h('div', { class: 'dynamics', role: 'img', 'aria-label': `Velocity layers: ${list.map((d) => `${d.name || 'one dynamic'} ${d.low} to ${d.high}`).join(', ') || 'none'}` },
      list.map((d) => {
        const part = h('span', { class: velocity >= d.low && velocity <= d.high ? 'now' : null, title: `${d.low} to ${d.high}` }, d.name || 'one dynamic');
        part.style.flexGrow = d.high - d.low + 1;
        return part;
      }));
  }

  return { fader, dbFader, choice, dynamics, db };
})();
