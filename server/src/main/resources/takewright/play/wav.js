// Reads the library's WAV files (RIFF and RF64; PCM of 16, 24 or 32 bits) into audio buffers. The
// browser's own decoder would change them to the sample rate of its output, and move their loops.
'use strict';

const Wav = (() => {
  const PCM = 1;
  const EXTENSIBLE = 0xfffe;
  const UNKNOWN_SIZE = 0xffffffff;

  const tag = (view, at) => String.fromCharCode(view.getUint8(at), view.getUint8(at + 1), view.getUint8(at + 2), view.getUint8(at + 3));

  /** Where the audio lies, and what it is. Throws an Error that says what is wrong. */
  function layout(view) {
    const form = view.byteLength >= 12 ? tag(view, 0) : '';
    if (!(form === 'RIFF' || form === 'RF64') || tag(view, 8) !== 'WAVE') throw new Error('is not a WAV file');
    let format = null;
    let longSize = 0;
    for (let at = 12; at + 8 <= view.byteLength;) {
      const id = tag(view, at);
      let size = view.getUint32(at + 4, true);
      if (id === 'ds64') longSize = Number(view.getBigUint64(at + 16, true));
      if (id === 'fmt ') {
        const code = view.getUint16(at + 8, true);
        format = {
          code: code === EXTENSIBLE ? view.getUint16(at + 32, true) : code,
          channels: view.getUint16(at + 10, true), rate: view.getUint32(at + 12, true), bits: view.getUint16(at + 22, true),
        };
      }
      if (id === 'data') {
        if (!format) throw new Error('has no format before its audio');
        if (size === UNKNOWN_SIZE) size = longSize;
        const frameBytes = format.channels * format.bits / 8;
        const frames = Math.floor(Math.min(size, view.byteLength - at - 8) / frameBytes);
        return { ...format, frameBytes, frames, at: at + 8 };
      }
      at += 8 + size + (size & 1);
    }
    throw new Error('holds no audio');
  }

  const READERS = {
    16: (view, at) => view.getInt16(at, true) / 32768,
    24: (view, at) => (view.getUint16(at, true) | view.getInt8(at + 2) << 16) / 8388608,
    32: (view, at) => view.getInt32(at, true) / 2147483648,
  };

  /** The first two channels of a file as an AudioBuffer at the file's own sample rate. */
  function decode(bytes) {
    const view = new DataView(bytes);
    const { code, channels, rate, bits, frameBytes, frames, at } = layout(view);
    const read = READERS[bits];
    if (code !== PCM || !read) throw new Error(`holds ${bits}-bit audio of format ${code}, which this page does not read`);
    if (!frames) throw new Error('holds no audio');
    const buffer = new AudioBuffer({ numberOfChannels: Math.min(2, channels), length: frames, sampleRate: rate });
    for (let c = 0; c < buffer.numberOfChannels; c++) {
      const out = buffer.getChannelData(c);
      for (let i = 0, byte = at + c * bits / 8; i < frames; i++, byte += frameBytes) out[i] = read(view, byte);
    }
    return buffer;
  }

  return { decode };
})();
