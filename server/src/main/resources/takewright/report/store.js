// The library's data: what the index says, and pictures and sounds as they are asked for.
// Everything is loaded by script tags, since a page opened from disk may not read files.
'use strict';

const Takewright = (() => {
  const arrived = new Map();
  const asked = new Map();
  let generation = 0; // builds seen since the page was opened

  /** What a data script calls to hand itself over. */
  function receive(kind, name, content) {
    arrived.set(`${kind} ${name}`, content);
  }

  function loadScript(address) {
    return new Promise((resolve, reject) => {
      const script = document.createElement('script');
      script.src = address;
      script.onload = () => { script.remove(); resolve(); };
      script.onerror = () => { script.remove(); reject(new Error(`${address} does not exist`)); };
      document.head.append(script);
    });
  }

  /** A piece of data; loaded once, unless `again`. */
  async function load(kind, name, address, again = false) {
    const key = `${kind} ${name}`;
    if (again || !asked.has(key)) {
      // Another address each time, or the browser would not look.
      asked.set(key, loadScript(again ? `${address}?${Date.now()}` : address));
    }
    try {
      await asked.get(key);
    } catch (failure) {
      asked.delete(key); // it may be there later
      throw failure;
    }
    return arrived.get(key);
  }

  /** Name of a row's picture and sounds, also where it has no file. */
  const scriptOf = (row) => library.scripts[row.id];
  /** Whether a row has a picture: on the disk, samples and other attempts at notes have one. */
  const hasPicture = (row) => row.start_s !== null && (isServed || row.file || row.status === 'retake' || row.status === 'extra');
  const picture = (row) => (hasPicture(row) ? load('picture', scriptOf(row), `pictures/${encodeURIComponent(scriptOf(row))}${stamp()}`)
    : Promise.reject(new Error('no picture')));
  const sound = (row) => load('sound', scriptOf(row), `sounds/${encodeURIComponent(scriptOf(row))}${stamp()}`);

  /** Another address after each build that is seen, or the browser would show what it has. */
  const stamp = () => (generation ? `?${generation}` : '');

  const NUMBERS = ['midi', 'cents_before', 'cents_after', 'cents_uncertainty', 'rr', 'start_s', 'onset_s', 'end_s',
    'level_lufs', 'peak_dbtp', 'floor_before_dbfs', 'floor_after_dbfs', 'gain_db', 'loop_start',
    'loop_end', 'release_ms'];

  const number = (text) => {
    if (text === '' || text === undefined) return null;
    if (text === 'inf') return Infinity;
    if (text === '-inf') return -Infinity;
    const value = Number(text);
    return Number.isNaN(value) ? null : value;
  };

  /** Where in the take a flag's reason is heard, from and to in seconds, by the flag's word. */
  const placesOf = (text) => Object.fromEntries((text ?? '').split(' ').filter(Boolean).map((word) => {
    const [flag, range] = word.split('@');
    return [flag, range.split('-').map(Number)];
  }));

  /** Each line of index.csv as an object by column, whatever columns there are. */
  function rowsOf(index) {
    return index.rows.map((cells, id) => {
      const row = {};
      index.columns.forEach((column, i) => { row[column] = cells[i] ?? ''; });
      // Rows are found by their place on the page; the index's id stays from build to build.
      row.region = row.id ?? '';
      row.id = id;
      for (const column of NUMBERS) row[column] = number(row[column]);
      row.flags = row.flags ? row.flags.split(' ') : [];
      row.flagsAt = placesOf(row.flags_at);
      return row;
    });
  }

  const library = { rows: [], takes: [], warnings: [], allSounds: false, name: '', sheet: '', stepS: 0.05 };

  /** Reads index.csv's copy; afterwards `library` is filled. */
  async function open() {
    const index = await load('index', '', 'data/index.js', generation > 0);
    library.name = index.library;
    library.sheet = index.sheet;
    library.warnings = index.warnings;
    library.allSounds = index.allSounds;
    library.sounds = index.sounds ?? [];
    library.scripts = index.scripts ?? [];
    library.takes = index.takes;
    library.decisions = index.decisions ?? [];
    library.changes = index.changes ?? [];
    library.first = index.first ?? false;
    library.stepS = index.stepS;
    library.rows = rowsOf(index);
    for (const row of library.rows) {
      // Several takes may be parts of one file.
      row.takeAt = index.takes.findLastIndex((take) => take.name === row.take
        && take.articulation === row.articulation && (row.onset_s === null || take.fromS <= row.onset_s && row.onset_s < take.seconds));
    }
    Notes.gather(library.rows);
    return library;
  }

  /** Reads all of it again after another build. */
  async function reopen() {
    generation = Date.now();
    asked.clear();
    arrived.clear();
    return open();
  }

  /** What the build that runs is asked for, take by take. */
  const plan = () => load('plan', '', 'data/plan.js', true);

  /** A server shows the output folder alone; takes lie elsewhere and are heard from disk only. */
  const isServed = location.protocol !== 'file:';

  const progress = () => load('progress', '', 'data/progress.js', true);

  /** Whether a row is a stretch of a take, in whatever layer. */
  const sameRegion = (a, b) => a.takeAt === b.takeAt && a.start_s !== null && a.start_s === b.start_s;

  return { receive, open, reopen, stamp, scriptOf, hasPicture, picture, sound, plan, progress, isServed, library, sameRegion };
})();
