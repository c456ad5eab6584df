// Where samples come from (the server, or a folder that the user picked) and the cache of those that were read.
'use strict';

/** Bytes of decoded audio that are kept. What sounds is held beyond that until it ends. */
const CACHE_BYTES = 192 * 2 ** 20;

/** Decoded samples, read when they are needed; the ones least recently used are dropped first. */
class SampleCache {
  /**
   * @param read gives a file's bytes as a promise of an ArrayBuffer
   * @param limit bytes of decoded audio to keep
   */
  constructor(read, limit = CACHE_BYTES) {
    this.read = read;
    this.limit = limit;
    this.bytes = 0;
    this.buffers = new Map();
    this.loading = new Map();
  }

  static size = (buffer) => 4 * buffer.length * buffer.numberOfChannels;

  /** A sample, as a promise of an AudioBuffer. */
  get(file) {
    const buffer = this.buffers.get(file);
    if (buffer) {
      this.buffers.delete(file);
      this.buffers.set(file, buffer);
      return Promise.resolve(buffer);
    }
    if (!this.loading.has(file)) {
      this.loading.set(file, this.load(file).finally(() => this.loading.delete(file)));
    }
    return this.loading.get(file);
  }

  async load(file) {
    let buffer;
    try {
      buffer = Wav.decode(await this.read(file));
    } catch (error) {
      throw new Error(`${file} ${error.message}`);
    }
    this.buffers.set(file, buffer);
    this.bytes += SampleCache.size(buffer);
    for (const [oldest, old] of this.buffers) {
      if (this.bytes <= this.limit || oldest === file) break;
      this.buffers.delete(oldest);
      this.bytes -= SampleCache.size(old);
    }
    return buffer;
  }

  /**
   * Reads files ahead, one at a time so that a key that is struck need not wait for more than one,
   * until half of the cache is full or another list is given.
   */
  async readAhead(files) {
    this.ahead = files;
    for (const file of files) {
      if (this.ahead !== files || this.bytes > this.limit / 2) return;
      // What cannot be read is reported when it is played.
      await this.get(file).catch(() => null);
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
