// Plays one sound at a time, at a level that harms nobody: files and stretches of takes as the browser
// plays them, and sounds that the page holds by way of the mixer.
'use strict';

const Player = (() => {
  const audio = h('audio', { preload: 'none' });
  const said = h('output', { class: 'said', 'aria-live': 'polite' }, 'Nothing is playing.');
  const stopButton = h('button', { type: 'button', id: 'stop', click: stop, disabled: true }, '■ Stop ', h('kbd', {}, 's'));
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

  /** The fader as a factor: linear in dB, over 40 dB. */
  const fader = () => (Number(level.value) === 0 ? 0 : 10 ** ((Number(level.value) - 100) * 0.4 / 20));

  /** By how much a sound is lowered so that louder does not seem better, in dB. */
  const lowered = (rmsDbfs) => (matched.checked && Number.isFinite(rmsDbfs) ? Math.max(0, rmsDbfs - MATCHED_DBFS) : 0);

  function apply() {
    audio.volume = Math.min(1, fader() * 10 ** (-lowered(playing?.rmsDbfs ?? null) / 20));
    Mixer.setLevel(fader() * 10 ** (-lowered(playing?.rmsDbfs ?? null) / 20));
  }

  /**
   * Plays a sound: `address` of a file, from `fromS` to `toS`, or `voices` of the mixer. If the same
   * sound is playing, stops it instead, unless `again`.
   */
  function play(sound, again = false) {
    const same = playing && playing.label === sound.label && isPlaying();
    stop();
    if (same && !again) return;
    playing = { rmsDbfs: null, ...sound };
    const mine = playing;
    if (sound.voices) {
      apply();
      Mixer.play(sound.voices, { chosen: sound.chosen, fromS: sound.fromS, level: fader() * 10 ** (-lowered(mine.rmsDbfs) / 20), ended: () => tell('stopped') });
      tell('playing');
      return;
    }
    const stretch = sound.fromS === undefined ? '' : `#t=${sound.fromS.toFixed(3)},${sound.toS.toFixed(3)}`;
    audio.src = sound.address + stretch;
    apply();
    audio.play().catch(() => { if (playing === mine) tell('failed'); });
  }

  const isPlaying = () => !audio.paused || Mixer.isPlaying();

  function stop() {
    audio.pause();
    if (Mixer.isPlaying()) {
      Mixer.stop();
      tell('stopped');
    }
  }

  /** Another of the voices that play is heard; its name is shown. */
  function choose(i, label) {
    Mixer.choose(i);
    if (playing) playing.label = label;
    tell('playing');
  }

  const say = (text) => { said.textContent = text; };

  /** A sample as it is in the library. */
  const after = (row, rmsDbfs = null) => play({
    label: `${nameOf(row)} ${row.layer} after`, address: `../${row.file.split('/').map(encodeURIComponent).join('/')}${Takewright.stamp()}`, rmsDbfs: rmsDbfs ?? row.level_lufs });

  /** A stretch of a take, as recorded. */
  function stretch(row, rmsDbfs = null, fromS = row.start_s, toS = row.end_s) {
    const take = Takewright.library.takes[row.takeAt];
    const files = take?.files[row.layer] ?? Object.values(take?.files ?? {})[0];
    // Of files that continue each other, the one in which the region begins.
    const file = files?.filter((f) => f.fromS <= fromS).pop();
    if (!file) return;
    const { address } = file;
    play({
      label: `${nameOf(row)} in the take`, address, fromS: fromS - file.fromS, toS: toS - file.fromS, rmsDbfs,
      why: /\.aif[fc]?$/i.test(address) ? 'browsers do not play AIFF.' : undefined }, fromS !== row.start_s || toS !== row.end_s);
  }

  return { build, play, stop, choose, say, after, stretch };
})();
