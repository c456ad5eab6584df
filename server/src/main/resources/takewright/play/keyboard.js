// The keyboard on the screen: a button for each key, so that mouse, touch, arrow keys and screen readers all reach it.
'use strict';

const Keyboard = (() => {
  const BLACK = new Set([1, 3, 6, 8, 10]);
  const isBlack = (key) => BLACK.has(key % 12);

  const element = h('div', { id: 'keyboard', role: 'group', 'aria-label': 'Keyboard. Arrow keys move, Enter or Space plays for as long as it is held.' });
  let keys = new Map(); // key to button
  let strike = () => {};
  let release = () => {};
  let names = [];
  const pointers = new Map(); // pointer to the key that it holds

  /** Whole octaves around the articulation's keys, at least two. */
  function span(articulation) {
    let low = articulation.lowKey - (articulation.lowKey % 12);
    let high = articulation.highKey - (articulation.highKey % 12) + 11;
    while (high - low < 23) if (high < 127) high += 12; else low -= 12;
    return [Math.max(0, low), Math.min(127, high)];
  }

  function build(library, articulation, onStrike, onRelease) {
    strike = onStrike;
    release = onRelease;
    names = library.notes;
    const [low, high] = span(articulation);
    const whites = Array.from({ length: high - low + 1 }, (_, i) => low + i).filter((key) => !isBlack(key));
    const roots = new Set(articulation.roots);
    const width = 100 / whites.length;
    keys = new Map();
    const focus = Math.min(Math.max(60, articulation.lowKey), articulation.highKey);
    for (let key = low; key <= high; key++) {
      const before = whites.filter((white) => white < key).length;
      const plays = articulation.plays(key);
      const button = h('button', {
        type: 'button', 'data-key': key, class: `key ${isBlack(key) ? 'black' : 'white'}${plays ? '' : ' silent'}${roots.has(key) ? ' root' : ''}`,
        'aria-label': `${names[key]}${plays ? '' : ', no sample'}`, 'aria-pressed': 'false', tabindex: key === focus ? 0 : -1,
      }, h('span', { class: 'letter', 'aria-hidden': 'true' }), key % 12 === 0 ? h('span', { class: 'octave', 'aria-hidden': 'true' }, names[key]) : null);
      button.style.left = `${isBlack(key) ? before * width - width * 0.31 : before * width}%`;
      button.style.width = `${isBlack(key) ? width * 0.62 : width}%`;
      keys.set(key, button);
    }
    element.style.setProperty('--whites', whites.length);
    element.replaceChildren(...keys.values());
  }

  const keyAt = (event) => {
    const button = document.elementFromPoint(event.clientX, event.clientY)?.closest('#keyboard .key');
    return button ? Number(button.dataset.key) : null;
  };

  /** Lower on a key is louder, as a finger further out on a lever is: 30 to 127. */
  const velocityAt = (event, key) => {
    const box = keys.get(key).getBoundingClientRect();
    return Math.round(30 + 97 * Math.min(1, Math.max(0, (event.clientY - box.top) / (box.height * 0.9))));
  };

  element.addEventListener('pointerdown', (event) => {
    const key = keyAt(event);
    if (key === null || event.button !== 0) return;
    element.setPointerCapture(event.pointerId);
    pointers.set(event.pointerId, key);
    keys.get(key).focus({ preventScroll: true });
    strike(key, velocityAt(event, key), `pointer${event.pointerId}`);
    event.preventDefault();
  });
  element.addEventListener('pointermove', (event) => {
    if (!pointers.has(event.pointerId)) return;
    const key = keyAt(event);
    if (key === null || key === pointers.get(event.pointerId)) return;
    release(pointers.get(event.pointerId), `pointer${event.pointerId}`);
    pointers.set(event.pointerId, key);
    strike(key, velocityAt(event, key), `pointer${event.pointerId}`);
  });
  for (const end of ['pointerup', 'pointercancel']) {
    element.addEventListener(end, (event) => {
      if (!pointers.has(event.pointerId)) return;
      release(pointers.get(event.pointerId), `pointer${event.pointerId}`);
      pointers.delete(event.pointerId);
    });
  }

  /** Arrow keys move by a semitone or an octave; Enter and Space hold the key that has the focus. */
  const STEPS = { ArrowLeft: -1, ArrowRight: 1, ArrowUp: 12, ArrowDown: -12 };
  let held = null;

  function letGo() {
    if (held !== null) release(held, 'focus');
    held = null;
  }

  element.addEventListener('keydown', (event) => {
    const key = Number(event.target.dataset.key);
    if (event.key === 'Enter' || event.key === ' ') {
      if (!event.repeat) {
        letGo();
        held = key;
        strike(key, null, 'focus');
      }
    } else if (STEPS[event.key] || event.key === 'Home' || event.key === 'End') {
      const all = [...keys.keys()];
      const to = event.key === 'Home' ? all[0] : event.key === 'End' ? all.at(-1) : key + STEPS[event.key];
      if (keys.has(to)) focus(to);
    } else return;
    event.preventDefault();
    event.stopPropagation();
  });
  element.addEventListener('keyup', (event) => {
    if (event.key !== 'Enter' && event.key !== ' ') return;
    letGo();
    event.preventDefault();
    event.stopPropagation();
  });
  element.addEventListener('focusout', letGo);

  function focus(key) {
    for (const [other, button] of keys) button.tabIndex = other === key ? 0 : -1;
    keys.get(key)?.focus({ preventScroll: false });
  }

  /** Shows which keys sound. */
  function show(sounding) {
    for (const [key, button] of keys) {
      const isOn = sounding.has(key);
      if ((button.getAttribute('aria-pressed') === 'true') !== isOn) button.setAttribute('aria-pressed', isOn);
    }
  }

  /** Shows which letter plays which key. */
  function letters(byKey) {
    for (const [key, button] of keys) button.firstChild.textContent = byKey.get(key) ?? '';
  }

  return { element, build, show, letters, focus };
})();
