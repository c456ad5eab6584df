// Plays sounds that the page holds, by Web Audio: several at once in step, of which one is heard, with
// loops that turn round at the frame.
'use strict';

const Mixer = (() => {
  let context = null;
  let out = null;
  let playing = null; // { voices, chosen, startedAt, fromS, ended }
  const SWITCH_S = 0.008; // long enough for no click, too short to be heard as a fade
  const AHEAD_S = 0.03; // so that all voices begin together

  /** Peak that a voice is lowered to, whatever its gain: -1 dBFS. */
  const MAX_PEAK = 0.89;

  /** A mono WAV file of 16-bit samples in Base64, as the page's data hold them. */
  function decode(base64) {
    const data = bytes(base64);
    const view = new DataView(data.buffer);
    const rate = view.getUint32(24, true);
    const samples = new Float32Array((data.length - 44) / 2);
    for (let i = 0; i < samples.length; i++) samples[i] = view.getInt16(44 + 2 * i, true) / 32768;
    return { samples, rate };
  }

  function rmsDb(samples, from = 0, to = samples.length) {
    let sum = 0;
    for (let i = from; i < to; i++) sum += samples[i] * samples[i];
    return 10 * Math.log10(Math.max(1e-12, sum / Math.max(1, to - from)));
  }

  function peak(samples) {
    let max = 1e-6;
    for (const x of samples) max = Math.max(max, Math.abs(x));
    return max;
  }

  const LISTENED_S = 2;

  /** Level of a voice from where it meets the others, where attempts can be compared, in dBFS. */
  const loudnessDb = (voice) => rmsDb(voice.samples, Math.round((voice.leadS ?? 0) * voice.rate), Math.min(voice.samples.length, Math.round(((voice.leadS ?? 0) + LISTENED_S) * voice.rate)));

  const amplitude = (db) => 10 ** (db / 20);

  /** What plays a voice in a context: where it turns round and how fast it runs. */
  function sourceOf(audio, voice) {
    const buffer = audio.createBuffer(1, Math.max(1, voice.samples.length), voice.rate);
    buffer.copyToChannel(voice.samples, 0);
    const source = audio.createBufferSource();
    source.buffer = buffer;
    source.playbackRate.value = voice.playbackRate ?? 1;
    if (voice.loop) {
      source.loop = true;
      [source.loopStart, source.loopEnd] = voice.loop;
    }
    return source;
  }

  /**
   * Plays voices in step. Each has samples, rate, gainDb, leadS (from its beginning to where all
   * meet, an onset) and perhaps loop [from, to] in seconds and playbackRate. `ended` is told when it is over.
   */
  function play(voices, { chosen = 0, fromS = 0, level, ended = () => {} }) {
    stop();
    context ??= new AudioContext();
    context.resume();
    out ??= context.createGain();
    out.connect(context.destination);
    out.gain.value = level;
    const startedAt = context.currentTime + AHEAD_S;
    const lead = Math.max(...voices.map((v) => v.leadS ?? 0));
    const mine = { chosen, startedAt, fromS, lead, voices: [], ended };
    playing = mine;
    let left = voices.length;
    mine.voices = voices.map((voice, i) => {
      const source = sourceOf(context, voice);
      const gain = context.createGain();
      const loud = Math.min(amplitude(voice.gainDb ?? 0), MAX_PEAK / peak(voice.samples));
      gain.gain.value = i === chosen ? loud : 0;
      source.connect(gain).connect(out);
      const late = lead - (voice.leadS ?? 0);
      source.start(startedAt + Math.max(0, late - fromS), Math.max(0, fromS - late));
      source.onended = () => { if (--left === 0 && playing === mine) { playing = null; mine.ended(); } };
      return { source, gain, loud, levelDb: loudnessDb(voice) + 20 * Math.log10(loud) };
    });
  }

  /** Another voice is heard from now on; nothing starts again. */
  function choose(i) {
    if (!playing?.voices[i]) return;
    playing.voices.forEach(({ gain, loud }, at) => gain.gain.setTargetAtTime(at === i ? loud : 0, context.currentTime, SWITCH_S));
    playing.chosen = i;
  }

  function stop() {
    const mine = playing;
    playing = null;
    mine?.voices.forEach(({ source }) => { source.onended = null; try { source.stop(); } catch { /* not begun */ } });
  }

  function setLevel(level) {
    if (out) out.gain.value = level;
  }

  /** Seconds since the beginning of what plays, or null. */
  const positionS = () => (playing ? Math.max(0, context.currentTime - playing.startedAt) + playing.fromS : null);

  return { play, sourceOf, choose, stop, setLevel, positionS, decode, rmsDb, loudnessDb, heardDb: () => playing?.voices.map((voice) => voice.levelDb) ?? [], isPlaying: () => playing !== null, chosen: () => playing?.chosen ?? null,
    startedAt: () => playing?.startedAt ?? null };
})();
