// Plays one sound at a time, at a level that harms nobody.
'use strict';

const Player = (() => {
  const audio = h('audio', { preload: 'none' });
  const said = h('output', { class: 'said', 'aria-live': 'polite' }, 'Nothing is playing.');
  const stopButton = h('button', { type: 'button', click: stop, disabled: true }, '■ Stop');
  const level = h('input', { type: 'range', min: 0, max: 100, value: 40, 'aria-label': 'Listening level', input: apply });
  const matched = h('input', { type: 'checkbox', id: 'matched', checked: true, change: apply });
  let playing = null;

  /** Level to which louder sounds are lowered when matched, RMS in dBFS; nothing is made louder. */
  const MATCHED_DBFS = -32;

  function build(footer) {
    footer.append(
      stopButton, said,
      h('label', {}, 'Level ', level),
      h('label', { title: `Sounds above ${MATCHED_DBFS} dBFS RMS are lowered to that level, so that louder does not seem better.` },
        matched, ' Level-matched'),
      h('p', { class: 'word' }, 'Loud or sudden sound harms ears: turn the level down first, then raise it slowly.'),
      audio);
    audio.addEventListener('playing', () => tell('playing'));
    audio.addEventListener('pause', () => tell('stopped'));
    audio.addEventListener('ended', () => tell('stopped'));
    audio.addEventListener('error', () => { if (playing) tell('failed'); });
  }

  function tell(state) {
    audio.dataset.state = state;
    stopButton.disabled = state !== 'playing';
    said.textContent = {
      playing: `▶ ${playing?.label}`,
      failed: `${playing?.label} cannot be played: ${playing?.why ?? 'the file is no longer where it was when the library was built.'}`,
    }[state] ?? 'Nothing is playing.';
  }

  function apply() {
    const over = playing && matched.checked && playing.rmsDbfs !== null ? playing.rmsDbfs - MATCHED_DBFS : 0;
    // The fader is linear in dB, over 40 dB.
    const fader = Number(level.value) === 0 ? 0 : 10 ** ((Number(level.value) - 100) * 0.4 / 20);
    audio.volume = Math.min(1, fader * 10 ** (-Math.max(0, over) / 20));
  }

  /**
   * Plays a sound: `address` of a file, or `data` in Base64 of a WAV file, from `fromS` to `toS`.
   * If the same sound is playing, stops it instead.
   */
  function play(sound) {
    const same = playing && playing.label === sound.label && !audio.paused;
    stop();
    if (same) return;
    playing = { rmsDbfs: null, ...sound };
    const stretch = sound.fromS === undefined ? '' : `#t=${sound.fromS.toFixed(3)},${sound.toS.toFixed(3)}`;
    audio.src = sound.data ? `data:audio/wav;base64,${sound.data}` : sound.address + stretch;
    apply();
    audio.play().catch(() => { if (playing === sound) tell('failed'); });
  }

  function stop() {
    audio.pause();
  }

  const say = (text) => { said.textContent = text; };

  /** A sample as it is in the library. */
  const after = (row, rmsDbfs = null) => play({
    label: `${nameOf(row)} after`, address: `../${row.file.split("/").map(encodeURIComponent).join("/")}`, rmsDbfs: rmsDbfs ?? row.level_lufs });

  /** A stretch of a take, as recorded. */
  function stretch(row, rmsDbfs = null) {
    const take = Takewright.library.takes[row.takeAt];
    const files = take?.files[row.layer] ?? Object.values(take?.files ?? {})[0];
    // Of files that continue each other, the one in which the region begins.
    const file = files?.filter((f) => f.fromS <= row.start_s).pop();
    if (!file) return;
    const { address } = file;
    play({
      label: `${nameOf(row)} in the take`, address, fromS: row.start_s - file.fromS, toS: row.end_s - file.fromS, rmsDbfs,
      why: /\.aif[fc]?$/i.test(address) ? 'browsers do not play AIFF.' : undefined });
  }

  return { build, play, stop, say, after, stretch };
})();
