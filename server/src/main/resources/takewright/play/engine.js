// What is heard: voices, layers, the wheel's filter, the room, and the guard before the speakers.
//
// A note runs: sample -> gain (velocity, release) -> layer's fader -> filter -> [direct, room] -> level -> limiter -> ceiling.
'use strict';

const toGain = (db) => 10 ** (db / 20);

/** A computed room: noise that falls by 60 dB and darkens as it does. Always the same noise. */
function roomImpulse(sampleRate) {
  const DECAY_S = 1.6;
  const PRE_DELAY_S = 0.018;
  const delay = Math.round(PRE_DELAY_S * sampleRate);
  const frames = Math.round(DECAY_S * sampleRate);
  const impulse = new AudioBuffer({ numberOfChannels: 2, length: delay + frames, sampleRate });
  let seed = 1;
  const noise = () => {
    seed = (Math.imul(seed, 1664525) + 1013904223) | 0; // a linear congruential generator (Knuth; Numerical Recipes)
    return seed / 2 ** 31;
  };
  for (let c = 0; c < 2; c++) {
    const out = impulse.getChannelData(c);
    let low = 0;
    for (let i = 0; i < frames; i++) {
      // Air and walls take the high frequencies first: from 9 kHz down to 1.5 kHz.
      const hz = 9000 * (1500 / 9000) ** (i / frames);
      low += (1 - Math.exp(-2 * Math.PI * hz / sampleRate)) * (noise() - low);
      out[delay + i] = low * 10 ** (-3 * i / frames);
    }
  }
  return impulse;
}

/** Peaks above this are lowered, in dBFS. */
const LIMIT_DB = -6;

/** The guard before the speakers: nothing passes -1 dBFS. */
function guard(context) {
  const RATIO = 20;
  const limiter = new DynamicsCompressorNode(context, { threshold: LIMIT_DB, knee: 0, ratio: RATIO, attack: 0.002, release: 0.12 });
  // The standard's compressor raises its output by 0.6 of what full scale is reduced by; here that is undone.
  const madeUp = new GainNode(context, { gain: toGain(0.6 * (LIMIT_DB - LIMIT_DB / RATIO)) });
  // A straight curve: what is beyond full scale is held there. Its gain of -1 dB is made good before it.
  const ceiling = toGain(-1);
  const inside = new GainNode(context, { gain: 1 / ceiling });
  const hold = new WaveShaperNode(context, { curve: new Float32Array([-ceiling, 0, ceiling]), oversample: 'none' });
  limiter.connect(madeUp).connect(inside).connect(hold).connect(context.destination);
  return limiter;
}

class Engine {
  /** Most voices at a time; the oldest gives way. */
  static VOICES = 96;

  /** A release is heard down to this, in dB; the map's times are to -60 dB. */
  static RELEASED_DB = -90;

  /** A voice that gives way fades in this time, in seconds. */
  static YIELD_S = 0.02;

  /** A change of a fader takes about this time, in seconds, so that it does not click. */
  static GLIDE_S = 0.015;

  /**
   * @param context a live or an offline context
   * @param library what readLibrary gives
   * @param cache a SampleCache
   * @param options levelDb and roomDb: with which it begins, so that nothing is louder before they hold;
   *     faders: layers' names to decibels, where they were moved, which is kept up to date;
   *     changed: called when a note begins or ends, and with an Error when one cannot be played
   */
  constructor(context, library, cache, { levelDb = 0, roomDb = -Infinity, faders = new Map(), changed = () => {} } = {}) {
    this.context = context;
    this.library = library;
    this.cache = cache;
    this.changed = changed;
    this.articulation = library.articulations[0];
    this.notes = new Set();
    this.turns = new Map();
    this.pedal = false;
    this.bend = 0;
    this.faders = faders;
    this.buses = new Map();
    this.mix = new GainNode(context);
    this.level = new GainNode(context, { gain: toGain(levelDb) });
    this.send = new GainNode(context, { gain: toGain(roomDb) });
    const source = this.makeFilter();
    source.connect(this.level);
    source.connect(this.send);
    this.send.connect(new ConvolverNode(context, { buffer: roomImpulse(context.sampleRate) })).connect(this.level);
    this.level.connect(guard(context));
    this.meter = new AnalyserNode(context, { fftSize: 8192 });
    this.level.connect(this.meter);
  }

  /** The wheel's filter where the sheet has one; what the rest listens to. */
  makeFilter() {
    const { wheel } = this.library;
    if (!wheel) return this.mix;
    this.filter = new BiquadFilterNode(this.context, { type: 'lowpass' });
    this.setWheel(0, 0);
    return this.mix.connect(this.filter);
  }

  /** The filter's cutoff at a position of the wheel, in hertz. At half the sample rate it lets all pass. */
  cutoff(value) {
    const { fromHz, toHz } = this.library.wheel;
    const open = this.context.sampleRate / 2;
    const hz = fromHz * (toHz / fromHz) ** (value / 127);
    return hz >= 19999 ? open : Math.min(hz, open);
  }

  /** Moves the wheel, 0 to 127. */
  setWheel(value, when = this.context.currentTime) {
    if (!this.filter) return;
    const { fromDb, toDb } = this.library.wheel;
    const moves = [[this.filter.frequency, this.cutoff(value)], [this.filter.Q, fromDb + (toDb - fromDb) * value / 127]];
    for (const [param, to] of moves) {
      if (when === 0) param.value = to;
      else param.setTargetAtTime(to, when, Engine.GLIDE_S);
    }
  }

  glide(param, value) {
    if (this.context.currentTime === 0) param.value = value;
    else param.setTargetAtTime(value, this.context.currentTime, Engine.GLIDE_S);
  }

  /** Whether the limiter had to lower a peak in the last sixth of a second. The compressor's own meter is wrong in its first second. */
  isLimited() {
    const x = new Float32Array(this.meter.fftSize);
    this.meter.getFloatTimeDomainData(x);
    return x.some((value) => Math.abs(value) > toGain(LIMIT_DB));
  }

  setLevel(db) { this.glide(this.level.gain, toGain(db)); }

  /** Sends the sound to the room at a level in dB; -Infinity: not at all. */
  setRoom(db) { this.glide(this.send.gain, toGain(db)); }

  /** Sets a layer's fader in dB; a layer at -Infinity is not even read. */
  setFader(layer, db) {
    this.faders.set(layer, db);
    this.glide(this.bus(layer).gain, toGain(db));
  }

  bus(layer) {
    if (!this.buses.has(layer)) {
      const bus = new GainNode(this.context, { gain: toGain(this.articulation.faderOf(layer, this.faders)) });
      bus.connect(this.mix);
      this.buses.set(layer, bus);
    }
    return this.buses.get(layer);
  }

  /** The samples of a stroke, one for each audible layer; all take the same turn of their round robins. */
  choose(key, velocity, rr = null) {
    const answering = this.articulation.audible(this.faders).map((layer) => Articulation.answering(layer, key, velocity)).filter((zones) => zones.length);
    if (!answering.length) return [];
    if (rr !== null) return answering.map((zones) => zones.find((zone) => zone.rr === rr) ?? zones[0]);
    // Keys beside a root share its round robins, so that no sample sounds twice in a row.
    const { root, lowVelocity } = answering[0][0];
    const cell = `${this.articulation.name}/${root}/${lowVelocity}`;
    const turn = this.turns.get(cell) ?? 0;
    this.turns.set(cell, turn + 1);
    return answering.map((zones) => zones[turn % zones.length]);
  }

  /**
   * Strikes a key; null if nothing answers it. The note's samples are read first where they are not there yet.
   *
   * @param options when in seconds of the context's time, the round robin if it is not to be the next, and
   *     whether it may begin later so that it is moved in pitch exactly
   */
  strike(key, velocity, { when = this.context.currentTime, rr = null, exact = false } = {}) {
    const zones = this.choose(key, velocity, rr);
    if (!zones.length) return null;
    const note = { key, velocity, zones, voices: [], struckAt: when, isDown: true, releasedAt: null, over: false };
    this.notes.add(note);
    this.makeRoom();
    note.ready = this.start(note, exact).catch((error) => {
      this.end(note);
      this.changed(error);
    });
    return note;
  }

  async start(note, exact) {
    const samples = await Promise.all(note.zones.map((zone) => this.cache.forKey(zone, note.key, exact)));
    if (note.over) return;
    const at = Math.max(note.struckAt, this.context.currentTime);
    note.voices = note.zones.map((zone, i) => this.voice(note, zone, samples[i], at));
    // Let go while it was read: it is held for as long as the key was.
    if (note.releasedAt !== null) this.fade(note, at + note.releasedAt - note.struckAt);
    this.changed();
  }

  voice(note, zone, { buffer, loop, rate }, at) {
    const isOnlyDynamic = zone.lowVelocity === 1 && zone.highVelocity === 127;
    // With a single dynamic, velocity sets the level by the curve of DLS and General MIDI 2; several keep their levels.
    const db = zone.gainDb + (isOnlyDynamic ? 40 * Math.log10(note.velocity / 127) : 0);
    const source = new AudioBufferSourceNode(this.context, { buffer, playbackRate: rate, detune: this.bend });
    if (loop) {
      source.loop = true;
      [source.loopStart, source.loopEnd] = loop.map((frame) => frame / buffer.sampleRate);
    }
    const gain = new GainNode(this.context, { gain: toGain(db) });
    source.connect(gain).connect(this.bus(zone.layer));
    source.onended = () => {
      gain.disconnect();
      note.sounding -= 1;
      if (!note.sounding) this.end(note);
    };
    note.sounding = (note.sounding ?? 0) + 1;
    source.start(at);
    return { zone, source, gain, at };
  }

  end(note) {
    note.over = true;
    if (this.notes.delete(note)) this.changed();
  }

  /** Lets a key go; with the pedal down the note sounds on. */
  release(note, when = this.context.currentTime) {
    if (!note || !note.isDown) return;
    note.isDown = false;
    if (!this.pedal) this.letGo(note, when);
  }

  letGo(note, when) {
    if (note.releasedAt !== null) return;
    note.releasedAt = when;
    if (note.voices.length) this.fade(note, when);
  }

  /** Lets a note die away in the time of each sample. */
  fade(note, when) {
    for (const { zone, source, gain, at } of note.voices) {
      const from = Math.max(when, at);
      const seconds = Math.max(0.005, zone.releaseMs / 1000);
      gain.gain.setTargetAtTime(0, from, seconds / Math.log(1000)); // -60 dB after that time
      source.stop(from + seconds * Engine.RELEASED_DB / -60);
    }
  }

  setPedal(isDown, when = this.context.currentTime) {
    this.pedal = isDown;
    if (!isDown) for (const note of this.notes) if (!note.isDown) this.letGo(note, when);
  }

  /** Bends all that sounds, in cents. */
  setBend(cents) {
    this.bend = cents;
    for (const note of this.notes) for (const { source } of note.voices) source.detune.setTargetAtTime(cents, this.context.currentTime, 0.005);
  }

  /** Ends the oldest notes where there would be too many voices. */
  makeRoom() {
    let voices = 0;
    for (const note of this.notes) if (!note.yielded) voices += note.zones.length;
    for (const note of this.notes) {
      if (voices <= Engine.VOICES) return;
      if (note.yielded) continue;
      voices -= note.zones.length;
      this.yield(note);
    }
  }

  yield(note) {
    note.yielded = true;
    note.isDown = false;
    if (!note.voices.length) {
      this.end(note);
      return;
    }
    const now = this.context.currentTime;
    for (const { source, gain } of note.voices) {
      gain.gain.cancelScheduledValues(now);
      gain.gain.setTargetAtTime(0, now, Engine.YIELD_S / 5);
      source.stop(now + Engine.YIELD_S);
    }
  }

  /** Silence, at once and without a click. */
  stop() {
    for (const note of [...this.notes]) this.yield(note);
  }
}
