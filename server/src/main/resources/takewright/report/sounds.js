// The sounds of a row besides its file: the take around it, what the noise reduction removed, and the
// sample itself, decoded. A service makes them when they are asked for; a page on the disk holds those of
// flagged samples and of notes that were played several times.
'use strict';

const Sounds = (() => {
  const decoded = new Map();

  async function load(row) {
    const sound = await Takewright.sound(row);
    if (!sound) throw new Error('no sound');
    const part = (name) => (sound[name] ? Mixer.decode(sound[name]) : null);
    return { take: { ...part('take'), fromS: sound.takeFromS }, removed: part('removed'), removedDb: sound.removedDb, after: part('after') };
  }

  /** All sounds of a row; fails where the page has none. */
  function of(row) {
    const key = Takewright.scriptOf(row) + Takewright.stamp();
    if (!decoded.has(key)) {
      if (decoded.size > 12) decoded.delete(decoded.keys().next().value);
      decoded.set(key, load(row));
    }
    return decoded.get(key);
  }

  /** Whether the page may have them. */
  const has = (row) => row.start_s !== null && (Takewright.isServed || Takewright.library.allSounds || (Takewright.library.sounds ?? []).includes(Takewright.scriptOf(row)));

  /** A stretch of the take's sound, by times in the take. */
  function part(take, fromS, toS) {
    const from = Math.max(0, Math.round((fromS - take.fromS) * take.rate));
    const to = Math.min(take.samples.length, Math.round((toS - take.fromS) * take.rate));
    return take.samples.slice(from, Math.max(from, to));
  }

  return { of, has, part };
})();
