// WAV files as the audio of a call: read piece by piece, and written when a call returns sound. The header is that of
// the RIFF multimedia standards of 1991 and 1994, with the extensible format that most programs write at 24 bits, and
// RF64 (EBU Tech 3306).
import fs from 'node:fs';
import { Problem } from './problem.js';

/** The service takes messages of up to 1 MiB. */
export const CHUNK_BYTES = 256 * 1024;

const PCM = 1;
const FLOAT = 3;
const EXTENSIBLE = 0xfffe;
const LAYOUTS = {
  PCM_ENCODING_INT16: { code: PCM, bytes: 2 },
  PCM_ENCODING_INT24: { code: PCM, bytes: 3 },
  PCM_ENCODING_INT32: { code: PCM, bytes: 4 },
  PCM_ENCODING_FLOAT32: { code: FLOAT, bytes: 4 },
};

/** Bytes in a frame of this format. */
export const frameBytes = (format) => LAYOUTS[format.encoding].bytes * format.channels;

/** Audio in memory: interleaved little-endian samples, and what they mean. */
export class Sound {
  constructor(format, data) {
    this.format = format;
    this.data = data;
  }

  /** The audio in pieces that fit into a message. */
  * pieces() {
    for (let at = 0; at < this.data.length; at += CHUNK_BYTES) {
      yield this.data.subarray(at, at + CHUNK_BYTES);
    }
  }
}

/** A WAV file, of which only one piece at a time is in memory. */
export class WavFile {
  constructor(path) {
    this.path = path;
    const file = fs.openSync(path, 'r');
    try {
      this.#readHeader(file);
    } finally {
      fs.closeSync(file);
    }
  }

  #readHeader(file) {
    const status = fs.fstatSync(file);
    if (!status.isFile()) {
      throw new Problem(`${this.path} is not a file`);
    }
    const { size } = status;
    const read = (at, count) => {
      const bytes = Buffer.alloc(count);
      if (fs.readSync(file, bytes, 0, count, at) < count) {
        throw new Problem(`${this.path} ends within its header; copy or export it again`);
      }
      return bytes;
    };
    const head = read(0, 12);
    if (!['RIFF', 'RF64', 'BW64'].includes(head.toString('latin1', 0, 4)) || head.toString('latin1', 8) !== 'WAVE') {
      throw new Problem(`${this.path} is no WAV file; leave out --stream and let the service read it`);
    }
    let large;
    for (let at = 12; ;) {
      const chunk = read(at, 8);
      const name = chunk.toString('latin1', 0, 4);
      let bytes = chunk.readUInt32LE(4);
      const start = at + 8;
      if (name === 'ds64') {
        large = Number(read(start, 16).readBigUInt64LE(8));
      } else if (name === 'fmt ') {
        this.format = this.#format(read(start, Math.min(bytes, 40)));
      } else if (name === 'data') {
        if (!this.format) {
          throw new Problem(`${this.path} has no fmt chunk before its audio; export it again`);
        }
        if (bytes === 0xffffffff) { // longer than 32 bits say, or a recording that was never completed
          bytes = large ?? size - start;
        }
        if (bytes > size - start) {
          throw new Problem(`${this.path} is cut off: ${size - start} of ${bytes} bytes of audio are there; copy it again`);
        }
        this.start = start;
        this.bytes = bytes;
        return;
      }
      at = start + bytes + (bytes % 2);
    }
  }

  #format(fmt) {
    if (fmt.length < 16) {
      throw new Problem(`${this.path} ends within its header; copy or export it again`);
    }
    const bits = fmt.readUInt16LE(14);
    let code = fmt.readUInt16LE(0);
    if (code === EXTENSIBLE && fmt.length >= 26) {
      code = fmt.readUInt16LE(24);
    }
    const encoding = Object.keys(LAYOUTS).find((key) => LAYOUTS[key].code === code && 8 * LAYOUTS[key].bytes === bits);
    if (!encoding) {
      throw new Problem(`${this.path} holds samples of ${bits} bits (format ${code}); 16, 24 or 32-bit integers or 32-bit`
        + ' floats can be streamed; leave out --stream and let the service read it');
    }
    return { encoding, sample_rate_hz: fmt.readUInt32LE(4), channels: fmt.readUInt16LE(2) };
  }

  /** The audio in pieces that fit into a message. */
  pieces() {
    return this.bytes === 0 ? []
      : fs.createReadStream(this.path, { start: this.start, end: this.start + this.bytes - 1, highWaterMark: CHUNK_BYTES });
  }
}

/** Writes a new WAV file, which appears under its name only when `finish` completes it. */
export class WavWriter {
  #file;
  #format;
  #bytes = 0;

  constructor(path) {
    this.path = path;
    this.part = `${path}.${process.pid}.part`;
    if (fs.lstatSync(path, { throwIfNoEntry: false })) {
      throw new Problem(`${path} is there already and is not replaced; give another name`);
    }
  }

  /** Takes the format of the audio that follows. */
  begin(format) {
    this.#format = format;
    this.#try(() => {
      this.#file = fs.openSync(this.part, 'wx');
    });
    this.#put(this.#header());
  }

  /** Appends audio. */
  write(piece) {
    this.#bytes += piece.length;
    if (this.#bytes > 0xffffffff - 100) {
      throw new Problem(`${this.path} would pass 4 GiB; leave out --stream and let the service write it`);
    }
    this.#put(piece);
  }

  #put(bytes, position) {
    this.#try(() => {
      for (let done = 0; done < bytes.length;) {
        done += fs.writeSync(this.#file, bytes, done, undefined, position === undefined ? undefined : position + done);
      }
    });
  }

  #try(step) {
    try {
      step();
    } catch (error) {
      throw new Problem(`${this.path} cannot be written (${error.code})`);
    }
  }

  #header() {
    const { encoding, sample_rate_hz: rate, channels } = this.#format;
    const { code, bytes } = LAYOUTS[encoding];
    const isExtensible = code === PCM && (channels > 2 || bytes > 2); // such a header is asked for then
    const fmt = Buffer.alloc(isExtensible ? 40 : 16);
    fmt.writeUInt16LE(isExtensible ? EXTENSIBLE : code, 0);
    fmt.writeUInt16LE(channels, 2);
    fmt.writeUInt32LE(rate, 4);
    fmt.writeUInt32LE(rate * bytes * channels, 8);
    fmt.writeUInt16LE(bytes * channels, 12);
    fmt.writeUInt16LE(8 * bytes, 14);
    if (isExtensible) {
      fmt.writeUInt16LE(22, 16);
      fmt.writeUInt16LE(8 * bytes, 18);
      fmt.writeUInt16LE(code, 24);
      Buffer.from('000000001000800000aa00389b71', 'hex').copy(fmt, 26);
    }
    const sizes = Buffer.alloc(8);
    sizes.writeUInt32LE(4 + 8 + fmt.length + 8 + this.#bytes + (this.#bytes % 2), 0);
    sizes.writeUInt32LE(this.#bytes, 4);
    const fmtSize = Buffer.from([fmt.length, 0, 0, 0]);
    return Buffer.concat([Buffer.from('RIFF'), sizes.subarray(0, 4), Buffer.from('WAVEfmt '), fmtSize, fmt,
      Buffer.from('data'), sizes.subarray(4)]);
  }

  /** Completes the file and gives it its name. */
  finish() {
    this.#put(Buffer.alloc(this.#bytes % 2));
    this.#put(this.#header(), 0);
    this.#try(() => {
      fs.fsyncSync(this.#file);
      fs.renameSync(this.part, this.path);
    });
    fs.closeSync(this.#file);
    this.#file = undefined;
  }

  /** Leaves nothing of a file that was not completed. */
  close() {
    if (this.#file !== undefined) {
      fs.closeSync(this.#file);
      fs.unlinkSync(this.part);
      this.#file = undefined;
    }
  }
}
