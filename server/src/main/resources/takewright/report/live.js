// A build that runs beside the page: its progress, and the page's data read again when it is over.
'use strict';

const Live = (() => {
  const EVERY_MS = 700; // as often as a build tells
  const EXPECTED_MS = 150; // while a rebuild after a decision is awaited
  let seen = null; // when the build began that the page shows
  let expecting = false;
  let isRefreshing = false;
  let quiet = 0;
  let last = '';
  let told = null; // number of the last build again that was told; null before the first look
  let wake = () => {};

  /** A decision was saved: the service will build. */
  function expect() {
    expecting = true;
    wake();
  }

  function show(now, hidden, broken = null) {
    const bar = document.getElementById('running');
    bar.hidden = hidden && !broken;
    bar.classList.toggle('broken', Boolean(broken));
    if (broken) {
      bar.textContent = `${broken.sheet ? `${broken.sheet} was saved` : 'Decided'}, but library and page stay as they were: ${broken.error.replace('`as_written`', '--as-written')}`;
      return;
    }
    if (Running.isOn()) {
      bar.replaceChildren(h('progress', { max: 1, value: now.done, 'aria-hidden': 'true' }), ` A build is running: ${Running.words()}. `,
        h('a', { href: '#build' }, 'Watch'), quiet > 20 ? ' It has reported nothing for a while; was it stopped?' : '');
    } else if (!now) bar.textContent = 'The build no longer answers. Open the page from disk.';
    else bar.textContent = now.error ? `The last build failed: ${now.error}` : `The last build ${now.state} at ${Math.round(100 * now.done)} %; this page may be older. Run it again: it continues where it stopped.`;
  }

  /** What changed, in words. */
  function words({ sheet, added, changed, vanished }) {
    if (!sheet) return 'saved and made again';
    const changes = added + changed + vanished ? `${plural(added, 'sample')} new, ${changed} changed, ${vanished} gone` : 'no sample changed';
    return `${sheet} was saved: ${changes}`;
  }

  /** What came of a build again that has just ended; null if the build was somebody else's. */
  async function newer(before) {
    for (let i = 0; i < 10; i++) {
      const said = Takewright.isServed ? await Saving.rebuilt() : null;
      if ((said?.number ?? 0) > before && !said.error) { told = said.number; return said; }
      await new Promise((resolve) => setTimeout(resolve, 50)); // it is told right after the page's data
    }
    return null;
  }

  /** One look; whether it should look again soon. */
  async function look(tabs, refresh) {
    const now = await Running.hear();
    const again = Takewright.isServed ? await Saving.rebuilt() : null;
    const broken = again?.error ? again : null;
    const number = again?.number ?? 0;
    if (told === null) told = number;
    if (broken && number > told) {
      const isLate = number > told + 1; // the one before succeeded, and was not looked at
      told = number;
      expecting = false;
      Saving.tell('');
      if (isLate) await refresh();
    }
    const wasOn = Running.isOn();
    const text = JSON.stringify(now);
    quiet = text === last ? quiet + 1 : 0;
    last = text;
    if (wasOn) {
      // What a decision makes again is told beside it: a bar that comes and goes would move the page.
      show(now, expecting || (location.hash === '#build' && quiet <= 20));
      if (expecting) Saving.tell(`saved; made again: ${Math.round(100 * now.done)} %`);
      return true;
    }
    if (now && now.state === 'done') {
      show(now, true, broken);
      if (seen !== null && now.startedMs !== seen && !isRefreshing) {
        isRefreshing = true;
        await refresh();
        isRefreshing = false;
        const news = await newer(told);
        Saving.tell(news || expecting ? words(news ?? {}) : '');
        expecting = false;
        Saving.sendAgain();
      }
    } else if (now || Takewright.isServed) {
      show(now, false, broken);
      if (now && now.startedMs !== seen && expecting) { expecting = false; Saving.tell(`saved, but the build ${now.state}`); }
    }
    if (now) seen = now.startedMs;
    tabs();
    return expecting || Takewright.isServed;
  }

  /** Looks now and then, as long as there is anything to expect. */
  async function follow(tabs, refresh) {
    const first = await Running.hear();
    seen = first && first.state !== 'running' ? first.startedMs : -1;
    if (!first && !Takewright.isServed) return;
    while (await look(tabs, refresh)) {
      const pause = Running.isOn() ? (expecting ? EXPECTED_MS : EVERY_MS) : expecting ? EXPECTED_MS : 2 * EVERY_MS;
      await new Promise((resolve) => { wake = resolve; setTimeout(resolve, pause); });
    }
  }

  return { follow, expect, isExpecting: () => expecting };
})();
