// The page: brings keys, faders and sound together.
'use strict';

const Play = (() => {
  const library = readLibrary(PLAYED_LIBRARY);
  const cache = new SampleCache(Folder.read);
  const main = document.getElementById('main');
  const START_DB = -18;
  let engine = null;
  let velocity = 80;
  let wheel = null;
  let pedalBox = null;
  let shown = new Map(); // who holds a key, to its note
  const dynamicsBox = h('div', {});
  const layersBox = h('div', { class: 'panel', id: 'layers' });
  const articulationBox = h('div', {});
  const limited = h('p', { id: 'limited', hidden: true }, 'The limiter is at work: lower the level to hear the samples as they are.');
  const settings = { levelDb: START_DB, roomDb: -Infinity, wheel: 0, pedal: false };

  /** The sound begins with the first gesture, as browsers ask for; the faders hold until then. */
  function sound() {
    if (!engine) {
      const context = new AudioContext({ latencyHint: 'interactive', sampleRate: library.sampleRate });
      engine = new Engine(context, library, cache, { ...settings, faders, changed });
      engine.articulation = articulation;
      if (library.wheel) engine.setWheel(settings.wheel);
      engine.setPedal(settings.pedal);
    }
    if (engine.context.state !== 'running') engine.context.resume();
    return engine;
  }

  let articulation = library.articulations[0];
  const faders = new Map(); // layer's name to dB

  function changed(error) {
    if (error) problem(error.message);
    const sounding = new Set([...engine.notes].filter((note) => note.voices.length && !note.yielded).map((note) => note.key));
    Keyboard.show(sounding);
    Sounding.update(engine.notes, library.notes);
    watchLimiter();
  }

  function problem(text) {
    const box = document.getElementById('problem');
    box.hidden = !text;
    box.textContent = text ?? '';
  }

  function strike(key, how, who) {
    if (!Folder.isOpen()) {
      problem('Choose the library’s folder first.');
      return;
    }
    release(key, who);
    Phrases.stop();
    const at = how ?? velocity;
    const note = sound().strike(key, at);
    if (note) shown.set(who, note);
    markDynamics(key, at);
  }

  let watching = 0;
  let limitedAt = -Infinity;

  /** Says when the limiter works, for as long as anything sounds. */
  function watchLimiter() {
    clearTimeout(watching);
    const now = performance.now();
    if (engine.isLimited()) limitedAt = now;
    limited.hidden = now - limitedAt > 1500;
    if (engine.notes.size || !limited.hidden) watching = setTimeout(watchLimiter, 100);
  }

  function release(key, who) {
    engine?.release(shown.get(who));
    shown.delete(who);
  }

  function pedal(isDown) {
    settings.pedal = isDown;
    pedalBox.checked = isDown;
    engine?.setPedal(isDown);
  }

  function stop() {
    Phrases.stop();
    shown = new Map();
    engine?.stop();
  }

  function moveWheel(value) {
    settings.wheel = value;
    wheel?.set(value);
    engine?.setWheel(value);
  }

  let lastKey = 60;

  function markDynamics(key = lastKey, at = velocity) {
    lastKey = articulation.plays(key) ? key : articulation.roots[articulation.roots.length >> 1];
    dynamicsBox.replaceChildren(Controls.dynamics(articulation.dynamics(lastKey), at));
  }

  function readAhead() {
    if (Folder.isOpen()) cache.readAhead(articulation.likely(faders, velocity));
  }

  async function showLetters() {
    Keyboard.letters(await Letters.byKey());
  }

  function octave(semitones) {
    Letters.setLowest(Letters.lowest() + semitones);
    showLetters();
  }

  function choose(to) {
    stop();
    articulation = to;
    if (engine) engine.articulation = to;
    Keyboard.build(library, articulation, strike, release);
    Letters.setLowest(Letters.octaveFor(articulation));
    showLetters();
    layersBox.replaceChildren(h('h2', {}, 'Layers'), ...articulation.layers.map((layer, i) => Controls.dbFader({
      id: `layer-${i}`, value: articulation.faderOf(layer.name, faders), label: h('span', {}, layer.name, h('small', {}, layer.isRecorded ? ' microphone' : ' made')),
      change: (db) => {
        faders.set(layer.name, db);
        engine?.setFader(layer.name, db);
        readAhead();
      },
    }).element));
    markDynamics();
    readAhead();
  }

  function chooseByName(name) {
    choose(library.articulations.find((a) => a.name === name));
    drawArticulations();
  }

  function drawArticulations() {
    articulationBox.replaceChildren(Controls.choice('articulation', 'Articulation', library.articulations.map((a) => a.name), articulation.name,
      (name) => choose(library.articulations.find((a) => a.name === name))));
  }

  function panels() {
    const level = Controls.dbFader({ id: 'level', label: 'Level', value: START_DB, max: 0, change: (db) => { settings.levelDb = db; engine?.setLevel(db); } });
    const room = Controls.dbFader({ id: 'room', label: 'Room', value: -Infinity, max: 0, title: 'Sends the sound to a computed room, on this page only', change: (db) => { settings.roomDb = db; engine?.setRoom(db); } });
    const hz = (value) => (library.wheel ? `${Math.round(library.wheel.fromHz * (library.wheel.toHz / library.wheel.fromHz) ** (value / 127))} Hz` : '');
    wheel = library.wheel ? Controls.fader({ id: 'wheel', label: 'Mod wheel', min: 0, max: 127, value: 0, words: (value) => `${value}: ${hz(value)}`, title: 'Moves the cutoff of a low-pass filter', change: moveWheel }) : null;
    const strength = Controls.fader({ id: 'velocity', label: 'Velocity', min: 1, max: 127, value: velocity, words: String, title: 'How hard letters, Enter and Space strike a key', change: (value) => { velocity = value; markDynamics(); } });
    strength.slider.addEventListener('change', readAhead);
    pedalBox = h('input', { type: 'checkbox', id: 'pedal', change: (event) => pedal(event.target.checked) });
    return h('div', { class: 'panels' }, layersBox,
      h('div', { class: 'panel' }, h('h2', {}, 'Touch'), strength.element, dynamicsBox,
        h('div', { class: 'row' }, h('label', { class: 'check' }, pedalBox, ' Sustain pedal'),
          h('button', { type: 'button', id: 'scale', click: () => phrase(Phrases.scale(articulation)) }, '▶ C major'),
          h('button', { type: 'button', id: 'stop', click: stop }, '■ Stop all'))),
      h('div', { class: 'panel' }, h('h2', {}, 'Sound'), wheel?.element, room.element, level.element, limited,
        h('p', { class: 'word' }, 'Loud or sudden sound harms ears and speakers. Begin low, play one note, then raise the level slowly. A limiter holds peaks at −1 dBFS.')));
  }

  function phrase(notes, at = velocity) {
    if (!Folder.isOpen()) problem('Choose the library’s folder first.');
    else Phrases.play(sound(), notes, at);
  }

  /** The folder, for a page that was opened from disk. */
  async function source() {
    const box = document.getElementById('source');
    if (Folder.isOpen()) { box.hidden = true; return; }
    const use = async (there) => {
      if (!there) { problem(`That folder holds none of this library’s ${library.files.length} samples. Choose the folder that this page lies in.`); return; }
      problem(there < library.files.length ? `${library.files.length - there} of the ${library.files.length} samples are not in that folder; their keys stay silent.` : null);
      box.hidden = true;
      readAhead();
      Keyboard.focus(Math.min(Math.max(60, articulation.lowKey), articulation.highKey));
    };
    const input = h('input', { type: 'file', id: 'folder', webkitdirectory: true, multiple: true, change: (event) => use(Folder.useFiles(event.target.files, library.files)) });
    const failed = (error) => { if (error.name !== 'AbortError') problem(`The folder cannot be read: ${error.message}`); };
    const pick = async () => {
      try {
        const handle = await showDirectoryPicker({ id: 'takewright' });
        await use(await Folder.useHandle(handle, library.files));
        Folder.keep(handle);
      } catch (error) { failed(error); }
    };
    const again = async (handle) => {
      try {
        if (await handle.requestPermission({ mode: 'read' }) === 'granted') await use(await Folder.useHandle(handle, library.files));
      } catch (error) { failed(error); }
    };
    const title = h('h2', {}, 'Choose the library’s folder');
    const buttons = h('p', { class: 'row' },
      Folder.offersHandles() ? h('button', { type: 'button', class: 'main', id: 'pick', click: pick }, 'Choose the folder…') : null,
      h('label', {}, Folder.offersHandles() ? 'or by a file dialog ' : 'Folder: ', input));
    box.replaceChildren(title,
      h('p', {}, 'This page was opened from disk, where a browser lets a page read only the folder that you choose: the one that this page lies in. Nothing is uploaded; the samples are read on this machine.'),
      buttons,
      h('p', { class: 'word' }, 'Or run ', h('code', {}, 'takewright build SHEET --out THIS-FOLDER --watch'), ' while the service runs, open the address that it prints, and follow the link “Play” there.'));
    box.hidden = false;
    const kept = await Folder.kept();
    if (!kept) return;
    title.textContent = 'Open the library’s folder again';
    buttons.prepend(h('button', { type: 'button', class: 'main', id: 'again', click: () => again(kept) }, `Open ${kept.name}`));
    document.getElementById('pick').className = '';
  }

  /** A sample that the report asks for: play.html#sample=FILE. */
  function asked() {
    const box = document.getElementById('asked');
    const file = new URLSearchParams(location.hash.slice(1)).get('sample');
    const zone = file ? library.byFile.get(file) : null;
    box.hidden = !file;
    if (!file) return;
    if (!zone) { box.replaceChildren(h('p', {}, `${file} is not in this library’s key map.`)); return; }
    // Heard alone, as the report means it.
    for (const layer of library.articulations.find((a) => a.name === zone.articulation).layers) {
      faders.set(layer.name, layer.name === zone.layer ? 0 : -Infinity);
      engine?.setFader(layer.name, faders.get(layer.name));
    }
    chooseByName(zone.articulation);
    const at = Articulation.velocityOf(zone);
    const cell = [library.notes[zone.root], zone.dynamic, zone.rrCount > 1 ? `rr${zone.rr}` : ''].filter(Boolean).join(' ');
    box.replaceChildren(h('h2', {}, `${cell} `, h('small', {}, `${zone.articulation} · ${zone.layer}`)),
      h('p', { class: 'row' },
        h('button', { type: 'button', class: 'main', id: 'context', click: () => phrase(Phrases.context(articulation, zone), at) }, '▶ Among its neighbours'),
        h('button', { type: 'button', id: 'alone', click: () => phrase([{ key: zone.root, holdS: 2, rr: zone.rr }], at) }, '▶ Alone'),
        h('a', { href: `report/index.html#sample-${zone.row}` }, 'Back to its page in the report')));
    markDynamics(zone.root, at);
  }

  const KEYS = [
    ['A W S E D … ;', 'play, as the white and black keys lie'], ['Z X', 'an octave down, up'], ['Space', 'sustain pedal, while it is held'], ['Esc', 'stop all sound'],
    ['← → ↑ ↓', 'on the keyboard: move by a semitone or an octave'], ['Enter or Space', 'on the keyboard: play for as long as it is held'],
    ['Mouse or touch', 'lower on a key is louder'], ['MIDI', 'notes, pitch bend, CC1 mod wheel, CC64 sustain pedal']];

  function help() {
    const dialog = document.getElementById('keys');
    dialog.replaceChildren(h('h2', {}, 'Keys'), h('dl', { class: 'facts' }, KEYS.flatMap(([key, what]) => [h('dt', {}, h('kbd', {}, key)), h('dd', {}, what)])),
      h('form', { method: 'dialog' }, h('button', {}, 'Close')));
    dialog.showModal();
  }

  async function openMidi() {
    const button = document.getElementById('midi');
    try {
      await Midi.open({ strike, release, pedal, stop, wheel: moveWheel, bend: (cents) => engine?.setBend(cents) }, (names) => {
        button.textContent = names.length ? `MIDI: ${names.join(', ')}` : 'No MIDI keyboard is connected';
      });
    } catch (error) {
      problem(`MIDI keyboards cannot be used: ${error.message}. Allow it for this page in the browser’s settings.`);
    }
  }

  const THEME = 'takewright theme'; // the report's, so that both look alike

  function setTheme(wanted) {
    document.documentElement.dataset.theme = wanted;
    document.getElementById('theme').textContent = wanted === 'dark' ? 'Light' : 'Dark';
  }

  function firstTheme() {
    let kept = null;
    try { kept = localStorage.getItem(THEME); } catch { /* as the system is set */ }
    setTheme(kept ?? (matchMedia('(prefers-color-scheme: light)').matches ? 'light' : 'dark'));
  }

  function theme() {
    setTheme(document.documentElement.dataset.theme === 'dark' ? 'light' : 'dark');
    try { localStorage.setItem(THEME, document.documentElement.dataset.theme); } catch { /* asked again next time */ }
  }

  async function start() {
    firstTheme();
    document.title = `${library.name}: play`;
    document.getElementById('title').textContent = library.name;
    const { Player: player, Instrument: instrument } = library.about;
    document.getElementById('about').textContent = [instrument, player, plural(library.files.length, 'sample'), plural(library.articulations.length, 'articulation')].filter(Boolean).join(' · ');
    document.getElementById('made').replaceChildren(...Object.entries(library.about).flatMap(([name, said]) => [h('dt', {}, name), h('dd', {}, said)]));
    document.getElementById('theme').addEventListener('click', theme);
    document.getElementById('help').addEventListener('click', help);
    const midi = document.getElementById('midi');
    midi.hidden = !Midi.isOffered;
    midi.addEventListener('click', openMidi);
    if (!library.articulations.length) {
      main.append(h('p', {}, 'The library has no samples on the keys yet.'));
    } else {
      main.append(articulationBox, Keyboard.element, panels(), h('section', { class: 'heard' }, h('h2', {}, 'Sounding'), Sounding.list, Sounding.said));
      drawArticulations();
      choose(articulation);
      Sounding.update(new Set(), library.notes);
      Letters.listen({ strike, release, pedal, octave, stop });
      addEventListener('hashchange', asked);
      source();
      asked();
    }
    main.dataset.ready = library.files.length;
  }

  start();
  return { library, cache, engine: () => engine };
})();
