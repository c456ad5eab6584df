// Short phrases that the page plays by itself: a scale, and a note among its neighbours.
'use strict';

const Phrases = (() => {
  const MAJOR = [0, 2, 4, 5, 7, 9, 11];
  const STEP_S = 0.45;

  /** C major through one and a half octaves, from the C nearest to the middle of the articulation. */
  function scale(articulation) {
    const keys = [];
    for (let key = articulation.lowKey; key <= articulation.highKey; key++) if (MAJOR.includes(key % 12) && articulation.plays(key)) keys.push(key);
    const middle = (articulation.lowKey + articulation.highKey) / 2;
    const starts = keys.filter((key) => key % 12 === 0).sort((a, b) => Math.abs(a + 6 - middle) - Math.abs(b + 6 - middle));
    const from = starts.length ? keys.indexOf(starts[0]) : 0;
    return keys.slice(from, from + 11).map((key) => ({ key, holdS: STEP_S }));
  }

  /** The two roots below a sample, the sample itself held for longer, and the two above. */
  function context(articulation, zone) {
    const at = articulation.roots.indexOf(zone.root);
    const around = articulation.roots.slice(Math.max(0, at - 2), at + 3);
    return around.map((root) => ({ key: root, holdS: root === zone.root ? 3 * STEP_S : STEP_S, rr: root === zone.root ? zone.rr : null }));
  }

  let playing = 0;

  /**
   * Strikes notes one after the other. Each is timed when its turn comes, so that a sample that is still
   * being read delays the phrase and is not left out.
   */
  async function play(engine, notes, velocity) {
    const mine = ++playing;
    const after = (seconds) => new Promise((resolve) => setTimeout(resolve, 1000 * seconds));
    for (const { key, holdS, rr = null } of notes) {
      if (mine !== playing) return;
      const note = engine.strike(key, velocity, { rr, exact: true });
      await note?.ready;
      await after(holdS);
      engine.release(note);
    }
  }

  const stop = () => { playing++; };

  return { scale, context, play, stop };
})();
