// What decisions look like: buttons beside a note, the word on the last one, and the view of all.
'use strict';

const Deciding = (() => {
  /** Buttons for the decisions that are possible for a note; `kinds` says what there is to accept. */
  function buttons(note, kinds) {
    const box = h('div', { class: 'decide', role: 'group', 'aria-label': 'Decide' });
    const draw = () => {
      const entry = Decisions.of(note);
      const button = (why, text, key, act, pressed = Decisions.whyOf(entry) === why || (why === 'this one instead' && Decisions.whyOf(entry) === 'keep')) => h('button', {
        type: 'button', 'data-decide': why, 'aria-pressed': String(pressed), click: act }, `${pressed ? '✓ ' : ''}${text} `, h('kbd', {}, key));
      const open = kinds();
      const { status } = note;
      box.replaceChildren(...[
        open.length || entry?.accept ? button('accept', note.status === 'missing' ? 'Stays empty' : 'Accept', 'a', () => toggleAccept(note, open), !open.length) : null,
        status === 'missing' && Reasons.regionFor(note) !== note ? button('keep', 'Keep what was left out', 'k', () => Decisions.keep([Reasons.regionFor(note)])) : null,
        status === 'rejected' || status === 'extra' ? button('keep', 'Keep', 'k', () => Decisions.keep([note])) : null,
        status === 'retake' || status === 'extra' ? button('this one instead', 'This one instead', 'i', () => Decisions.instead([note])) : null,
        note.isRegion && status !== 'rejected' ? button('drop', 'Drop', 'd', () => Decisions.drop([note])) : null,
        status === 'kept' ? button('wrong note', 'Wrong note', 'w', () => Decisions.wrongNote([note])) : null,
      ].filter(Boolean));
    };
    draw();
    box.redraw = draw;
    return box;
  }

  /** Accepts what is open; where nothing is, takes the acceptance back. */
  function toggleAccept(note, open) {
    if (open.length) Decisions.accept([note], () => open);
    else Decisions.change([note], { accept: undefined }, `took back: accept, ${nameOf(note.row)}`);
  }

  /** The last decision, how to take it back, and what the last build again came to. */
  function bar(element) {
    const draw = () => {
      const last = Decisions.last();
      element.hidden = !last && !Saving.words();
      element.replaceChildren(last ? h('span', {}, `Last: ${last}. `) : '', last ? h('button', { type: 'button', id: 'undo', click: undo }, 'Undo ', h('kbd', {}, 'u')) : '',
        h('span', { id: 'saved', class: last ? 'more' : '' }, Saving.words()));
    };
    draw();
    Decisions.onChange(draw);
    Saving.onChange(draw);
  }

  function undo() {
    const word = Decisions.undo();
    Player.say(word ? `Taken back: ${word}.` : 'There is nothing to take back.');
  }

  /** The view of all decisions. */
  function view(go) {
    const text = Decisions.text();
    const area = h('textarea', { id: 'lines', rows: Math.min(24, Math.max(6, text.split('\n').length + 1)), readonly: true, spellcheck: 'false', 'aria-label': 'The decisions file' });
    area.value = text || '# No decisions yet.';
    const download = () => {
      const link = h('a', { href: URL.createObjectURL(new Blob([text], { type: 'text/yaml' })), download: 'decisions.yaml' });
      link.click();
      setTimeout(() => URL.revokeObjectURL(link.href), 1000);
    };
    const copy = (event) => {
      area.select();
      const done = () => { event.target.textContent = 'Copied'; };
      if (navigator.clipboard) navigator.clipboard.writeText(text).then(done, () => document.execCommand('copy') && done());
      else if (document.execCommand('copy')) done();
    };
    const noteOf = (entry) => Notes.all().find((note) => Decisions.of(note) === entry);
    return h('section', { class: 'decisions' },
      h('h2', {}, 'Decisions'),
      h('p', {}, Saving.isOn()
        ? `Each decision is saved to ${Saving.file()} at once, and the samples that it concerns are made again.`
        : ['Download these lines and build with ', h('code', {}, '--decisions decisions.yaml'), ', or copy the items of ', h('code', {}, 'fixes'),
          ` to their takes in ${Takewright.library.sheet}. On the page that `, h('code', {}, 'build --watch'), ' opens they are saved as you decide.']),
      h('div', { class: 'row' },
        h('button', { type: 'button', click: copy, disabled: !text }, 'Copy'),
        h('button', { type: 'button', id: 'download', click: download, disabled: !text }, 'Download'),
        h('button', { type: 'button', disabled: !Decisions.last(), click: undo }, 'Undo the last ', h('kbd', {}, 'u')),
        h('button', { type: 'button', disabled: !Decisions.count(), click: Decisions.clear }, 'Take all back')),
      area,
      h('ul', { class: 'made' }, Decisions.all().map((entry) => {
        const note = noteOf(entry);
        return h('li', {},
          h('b', {}, Decisions.words(entry) || entry.why), ' ',
          note ? h('button', { type: 'button', class: 'link', click: () => go(note.row) }, entry.name ?? nameOf(note.row)) : `${entry.name ?? ''}`,
          ` ${entry.take}${entry.at === undefined ? '' : ` at ${clock(entry.at)}`} `,
          h('button', { type: 'button', 'aria-label': `Take back: ${Decisions.words(entry)} ${entry.name ?? ''}`, click: () => Decisions.remove(entry) }, 'Take back'));
      })));
  }

  return { buttons, bar, view, undo, toggleAccept };
})();
