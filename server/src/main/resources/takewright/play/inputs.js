// The computer's keys and MIDI keyboards.
'use strict';

/** Letters as keys of a piano, by where they lie and not by what is printed on them. */
const Letters = (() => {
  const CODES = ['KeyA', 'KeyW', 'KeyS', 'KeyE', 'KeyD', 'KeyF', 'KeyT', 'KeyG', 'KeyY', 'KeyH', 'KeyU', 'KeyJ', 'KeyK', 'KeyO', 'KeyL', 'KeyP', 'Semicolon'];
  let lowest = 60;
  const held = new Map(); // code to key

  /** The letters by the key that each plays, as this keyboard prints them where the browser tells. */
  async function byKey() {
    const layout = await navigator.keyboard?.getLayoutMap?.().catch(() => null);
    const printed = (code) => (layout?.get(code) ?? (code === 'Semicolon' ? ';' : code.slice(3))).toUpperCase();
    return new Map(CODES.map((code, i) => [lowest + i, printed(code)]));
  }

  const isTyping = (event) => event.ctrlKey || event.metaKey || event.altKey
    || (/^(INPUT|TEXTAREA|SELECT)$/.test(event.target.tagName) && !/^(range|checkbox|radio)$/.test(event.target.type));

  function listen({ strike, release, pedal, octave, stop }) {
    const letGo = (code) => {
      if (!held.has(code)) return;
      release(held.get(code), code);
      held.delete(code);
    };
    addEventListener('keydown', (event) => {
      if (isTyping(event) || document.querySelector('dialog[open]')) return;
      const at = CODES.indexOf(event.code);
      const isControl = /^(INPUT|BUTTON|A|SUMMARY)$/.test(event.target.tagName);
      if (event.repeat && (at >= 0 || event.code === 'Space')) { if (!isControl || at >= 0) event.preventDefault(); return; }
      if (at >= 0) {
        if (lowest + at > 127) return;
        held.set(event.code, lowest + at);
        strike(lowest + at, null, event.code);
      } else if (event.code === 'KeyZ' || event.code === 'KeyX') {
        for (const code of [...held.keys()]) letGo(code);
        octave(event.code === 'KeyZ' ? -12 : 12);
      } else if (event.code === 'Space' && !isControl) {
        pedal(true);
      } else if (event.code === 'Escape') {
        stop();
      } else return;
      event.preventDefault();
    });
    addEventListener('keyup', (event) => {
      letGo(event.code);
      if (event.code === 'Space' && !/^(INPUT|BUTTON|A|SUMMARY)$/.test(event.target.tagName)) pedal(false);
    });
    // A key that is let go in another window is never told of.
    addEventListener('blur', () => {
      for (const code of [...held.keys()]) letGo(code);
      pedal(false);
    });
  }

  const setLowest = (key) => { lowest = Math.min(108, Math.max(0, key)); };

  /** The C from which the letters reach most of an articulation's keys; of several the one nearest to middle C. */
  function octaveFor(articulation) {
    const reached = (low) => CODES.filter((code, i) => low + i < 128 && articulation.plays(low + i)).length;
    return Array.from({ length: 10 }, (_, i) => 12 * i).sort((a, b) => reached(b) - reached(a) || Math.abs(a - 60) - Math.abs(b - 60))[0];
  }

  return { listen, byKey, octaveFor, setLowest, lowest: () => lowest };
})();

/** MIDI keyboards, where the browser offers them (Web MIDI). */
const Midi = (() => {
  const isOffered = typeof navigator.requestMIDIAccess === 'function';
  const BEND_CENTS = 200; // the usual range of a wheel, two semitones (MIDI 1.0, registered parameter 0)

  /** Messages of MIDI 1.0, of whatever channel. */
  function receive([status, first, second], to) {
    switch (status & 0xf0) {
      case 0x90: if (second > 0) to.strike(first, second, `midi${first}`); else to.release(first, `midi${first}`); break;
      case 0x80: to.release(first, `midi${first}`); break;
      case 0xe0: to.bend(((second << 7 | first) - 8192) / 8192 * BEND_CENTS); break;
      case 0xb0:
        if (first === 1) to.wheel(second);
        else if (first === 64) to.pedal(second >= 64);
        else if (first === 120 || first === 123) to.stop();
        break;
      default: // neither keys nor controllers
    }
  }

  /** Asks for access; told the names of the keyboards whenever one is plugged in or out. */
  async function open(to, told) {
    const access = await navigator.requestMIDIAccess();
    const connect = () => {
      const inputs = [...access.inputs.values()].filter((input) => input.state !== 'disconnected');
      for (const input of inputs) input.onmidimessage = (event) => receive(event.data, to);
      told(inputs.map((input) => input.name ?? 'MIDI keyboard'));
    };
    access.onstatechange = connect;
    connect();
  }

  return { isOffered, open };
})();
