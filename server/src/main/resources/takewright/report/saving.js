// Hands decisions to the service that shows the page, where there is one.
'use strict';

const Saving = (() => {
  let file = null; // where the service saves decisions; null if it does not
  let state = '';
  let waiting = null;
  const listeners = [];
  /** Decisions made in one go are sent together, in milliseconds. */
  const PAUSE_MS = 150;

  const tell = (now) => { state = now; listeners.forEach((listener) => listener()); };

  /** Asks the service whether it takes decisions. */
  async function begin() {
    if (!Takewright.isServed) return;
    try {
      const answer = await fetch('../decisions', { cache: 'no-store' });
      if (!answer.ok) return;
      file = (await answer.json()).file;
      tell('');
      Decisions.onChange(() => { clearTimeout(waiting); waiting = setTimeout(send, PAUSE_MS); });
    } catch { /* the page is looked at without its service */ }
  }

  async function send() {
    tell('saving …');
    try {
      const answer = await fetch('../decisions', { method: 'POST', headers: { 'Content-Type': 'text/yaml' }, body: Decisions.text() || '# No decisions.\n' });
      const said = await answer.json().catch(() => ({ error: 'the service did not take it' }));
      if (said.file) file = said.file;
      tell(answer.ok ? 'saved; the samples are being made again …' : `not saved: ${said.error}`);
      if (answer.ok) Live.expect();
    } catch {
      tell('not saved: the service no longer answers. Copy the lines from the view Decisions.');
    }
  }

  return { begin, isOn: () => file !== null, file: () => file, words: () => state, tell, onChange: (f) => listeners.push(f) };
})();
