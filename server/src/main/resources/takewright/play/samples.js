// Where samples come from (the server, or a folder that the user picked) and the cache of those that were read.
'use strict';

/** Bytes of decoded audio that are kept. What sounds is held beyond that until it ends. */
const CACHE_BYTES = 128 * 2 ** 20;

/**
 * Samples, decoded and moved in pitch when they are needed; the ones least recently used are dropped first.
 * Each is a buffer and its loop: the first frame and the one behind the last, or null.
 */
class SampleCache {
  /**
   * @param read gives a file's bytes as a promise of an ArrayBuffer
   * @param limit bytes of decoded audio to keep
   */
  constructor(read, limit = CACHE_BYTES) {
    this.read = read;
    this.limit = limit;
    this.bytes = 0;
    this.samples = new Map();
    this.making = new Map();
  }

  static size = ({ buffer }) => 4 * buffer.length * buffer.numberOfChannels;

  /** A sample by name, as a promise; made if it is not there. */
  get(name, make) {
    const sample = this.samples.get(name);
    if (sample) {
      this.samples.delete(name);
      this.samples.set(name, sample);
      return Promise.resolve(sample);
    }
    if (!this.making.has(name)) {
      this.making.set(name, make().then((made) => this.keep(name, made)).finally(() => this.making.delete(name)));
    }
    return this.making.get(name);
  }

  keep(name, sample) {
    this.samples.set(name, sample);
    this.bytes += SampleCache.size(sample);
    for (const [oldest, old] of this.samples) {
      if (this.bytes <= this.limit || oldest === name) break;
      this.samples.delete(oldest);
      this.bytes -= SampleCache.size(old);
    }
    return sample;
  }

  /** The sample of a zone as it is in the library. */
  asRecorded(zone) {
    return this.get(zone.file, async () => {
      try {
        const buffer = Wav.decode(await this.read(zone.file));
        const loops = zone.loopStart !== null && zone.loopEnd !== null && zone.loopEnd < buffer.length;
        return { buffer, loop: loops ? [zone.loopStart, zone.loopEnd + 1] : null };
      } catch (error) {
        throw new Error(`${zone.file} ${error.message}`);
      }
    });
  }

  /**
   * The sample of a zone for a key, and at what rate it is to be read.
   *
   * @param exact whether to wait until it is moved in pitch; else the browser moves it this time, by its own
   *     means, and it is ready when the key is struck again
   */
  async forKey(zone, key, exact) {
    const recorded = await this.asRecorded(zone);
    const semitones = key - zone.root;
    if (!semitones) return { ...recorded, rate: 1 };
    const name = `${zone.file} ${semitones}`;
    const isThere = this.samples.has(name);
    const moved = this.get(name, () => Shift.move(recorded.buffer, recorded.loop, semitones, () => new Promise((go) => setTimeout(go))));
    if (isThere || exact) return { ...(await moved), rate: 1 };
    return { ...recorded, rate: 2 ** (semitones / 12) };
  }

  /**
   * Makes samples ready, one at a time so that a key that is struck need not wait for more than one, until
   * half of the cache is full or other ones are asked for.
   *
   * @param wanted pairs of a zone and a key
   */
  async readAhead(wanted) {
    this.ahead = wanted;
    for (const [zone, key] of wanted) {
      if (this.ahead !== wanted || this.bytes > this.limit / 2) return;
      // What cannot be read is reported when it is played.
      await this.forKey(zone, key, true).catch(() => null);
    }
  }
}

/** The library's folder, reached in the way that this page can reach it. */
const Folder = (() => {
  const isServed = location.protocol !== 'file:';
  const KEPT = 'takewright play';
  let open = null; // gives a file by name; null before a folder was picked

  const address = (file) => file.split('/').map(encodeURIComponent).join('/');

  async function fetched(file) {
    const answer = await fetch(address(file));
    if (!answer.ok) throw new Error(`is not served (${answer.status}); the build or its service has ended, or the file was removed`);
    return answer.arrayBuffer();
  }

  async function picked(file) {
    if (!open) throw new Error('cannot be read before the folder was chosen');
    const found = await open(file);
    if (!found) throw new Error('is not in the folder that was chosen');
    return found.arrayBuffer();
  }

  /** The bytes of a file. */
  const read = isServed ? fetched : picked;

  /**
   * Uses the files of a picked folder; how many of the library's samples it holds. A folder without
   * any is not used.
   */
  function useFiles(files, samples) {
    const byName = new Map();
    for (const file of files) {
      const path = (file.webkitRelativePath || file.name).split('/');
      // Relative to the folder that was picked.
      byName.set(path.slice(1).join('/') || file.name, file);
    }
    const there = samples.filter((sample) => byName.has(sample)).length;
    if (there) open = async (name) => byName.get(name);
    return there;
  }

  /** The same by a handle, whose files are looked up when they are played. */
  async function useHandle(handle, samples) {
    const find = async (name) => {
      try {
        let folder = handle;
        const path = name.split('/');
        for (const part of path.slice(0, -1)) folder = await folder.getDirectoryHandle(part);
        return await (await folder.getFileHandle(path.at(-1))).getFile();
      } catch (error) {
        if (error.name === 'NotFoundError') return null;
        throw new Error(`cannot be read: ${error.message}`);
      }
    };
    const names = new Set();
    for await (const name of handle.keys()) names.add(name);
    const there = samples.filter((sample) => names.has(sample.split('/')[0])).length;
    if (there) open = find;
    return there;
  }

  /** A store of the browser that keeps handles, so that the folder is picked once. */
  const store = (mode, use) => new Promise((resolve, reject) => {
    const opening = indexedDB.open(KEPT, 1);
    opening.onupgradeneeded = () => opening.result.createObjectStore('folders');
    opening.onerror = () => reject(opening.error);
    opening.onsuccess = () => {
      const request = use(opening.result.transaction('folders', mode).objectStore('folders'));
      request.onsuccess = () => resolve(request.result);
      request.onerror = () => reject(request.error);
    };
  });

  const here = () => location.href.split('#')[0];
  const offersHandles = () => typeof window.showDirectoryPicker === 'function';
  const keep = (handle) => store('readwrite', (folders) => folders.put(handle, here())).catch(() => null);
  const kept = () => (offersHandles() ? store('readonly', (folders) => folders.get(here())).catch(() => null) : Promise.resolve(null));

  return { isServed, read, useFiles, useHandle, offersHandles, keep, kept, isOpen: () => isServed || open !== null };
})();
