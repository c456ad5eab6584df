// Hands decisions to the service that shows the page, where there is one.
'use strict';

const Saving = (() => {
  let file = null; // where the service saves decisions; null if it does not
  let state = '';
  let waiting = null;
  const listeners = [];
  /** Decisions made in one go are sent together, in milliseconds. */
  const PAUSE_MS = 150;

  let isLost = false; // whether the last decisions were not saved

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

  /** What came of the last build after a decision or an edit of the sheet; null if there was none. */
  async function rebuilt() {
    try {
      const answer = await fetch('../rebuilt', { cache: 'no-store' });
      const said = answer.ok ? await answer.json() : null;
      return said?.number ? said : null;
    } catch { return null; /* the service is gone, which the page says elsewhere */ }
  }

  async function send() {
    tell('saving …');
    try {
      const answer = await fetch('../decisions', { method: 'POST', headers: { 'Content-Type': 'text/yaml' }, body: Decisions.text() || '# No decisions.\n' });
      const said = await answer.json().catch(() => ({ error: 'the service did not take it' }));
      if (said.file) file = said.file;
      isLost = !answer.ok;
      tell(answer.ok ? 'saved; the samples are being made again …' : `not saved: ${said.error}`);
      if (answer.ok) Live.expect();
    } catch {
      tell('not saved: the service no longer answers. Copy the lines from the view Decisions.');
    }
  }

  /** Sends again what could not be saved, once the sheet can be read again. */
  const sendAgain = () => { if (isLost) send(); };

  return { begin, rebuilt, sendAgain, isOn: () => file !== null, file: () => file, words: () => state, tell, onChange: (f) => listeners.push(f) };
})();
