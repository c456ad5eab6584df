'use strict';
// The board of a session: asks the service five times a second, and waits where it does not answer.

const EVERY_MS = 200;
const AWAY_MS = 1000; // before the page says that nobody answers
const FLOOR_DB = -60; // bottom of the meter
const OTHERS = 4; // sounds beside the one that the buttons are about; more would not fit on a tablet
const HOT_DB = -6; // from here on little is left below full scale

const SIGNS = { good: '✓', listen: '?', again: '!', extra: '+', left_out: '✗', missing: '○', skipped: '–' };
const WORDS = { good: 'good', listen: 'listen', again: 'again', extra: 'extra', left_out: 'left out' };

const $ = (id) => document.getElementById(id);
let known = -1;
let state = null;
let answeredAt = 0;
let touchedNote = 0; // number of the note that was touched, and of the last one then
let touchedBefore = 0;
let clipsSeen = 0;
let clips = 0;

function text(element, words) {
  if (element.textContent !== words) element.textContent = words;
}

function cellName(cell, articulation) {
  return [cell.note || articulation, cell.dynamic].filter(Boolean).join(' ') + ', round robin ' + cell.rr;
}

function element(name, words, className) {
  const made = document.createElement(name);
  made.textContent = words;
  if (className) made.className = className;
  return made;
}

async function decide(what) {
  try {
    await fetch('decide', { method: 'POST', body: JSON.stringify(what) });
  } catch (gone) {
    text($('link'), 'The service does not answer: decide again when it does.');
  }
}

function placeOf(cell) {
  return state.cells.findIndex((one) => one.note === cell.note && one.dynamic === cell.dynamic && one.rr === cell.rr);
}

/** All names come from the sheet: where it does not say what is played, that comes first. */
function showDoubt() {
  $('doubt').hidden = !state.doubt;
  text($('doubt'), state.doubt ? `▲ ${state.doubt}` : '');
}

function showNext() {
  const next = state.next;
  const words = next ? next.note || state.articulation : 'Done';
  text($('next-note'), words);
  $('next-note').style.setProperty('--letters', words.length); // so that long words fit
  const several = state.cells.some((cell) => cell.rr > 1);
  text($('next-cell'), next ? next.dynamic + (several ? ', no. ' + next.rr : '') : 'nothing is missing');
  $('skip').hidden = !next;
}

function line(note) {
  if (note.verdict === 'left_out') return `${SIGNS.left_out} left out: ${note.flags[0] || note.note || 'a sound'}`;
  const rounded = Math.round(note.cents);
  const cents = note.cents === null ? '' : ` ${rounded >= 0 ? '+' : '−'}${Math.abs(rounded)} cents`;
  const where = note.cell ? ' ' + note.cell.dynamic : '';
  // That it was played again is no news of how it sounds, but nobody need play it once more.
  const done = note.replaced && note.verdict !== 'extra' ? ', played again' : '';
  return `${SIGNS[note.verdict]} ${WORDS[note.verdict]}: ${note.note || state.articulation}${where}${cents}${done}`;
}

/** What the buttons are about: the last note, not the knock or the word after it, unless another is touched. */
function chosen() {
  const notes = state.notes;
  const last = notes[notes.length - 1];
  const touched = last && last.number === touchedBefore ? notes.find((note) => note.number === touchedNote) : null;
  return touched || notes.findLast((note) => note.verdict !== 'left_out' || note.note) || last;
}

function choose(note) {
  touchedNote = note.number;
  touchedBefore = state.notes[state.notes.length - 1].number; // until something else is heard
  showLast();
}

function showLast() {
  const now = chosen();
  $('last-acts').hidden = !now;
  if (!now) return;
  text($('last-line'), line(now));
  $('last-line').className = now.verdict;
  text($('last-why'), (now.verdict === 'left_out' ? now.flags.slice(1) : now.flags).join('; '));
  $('again').setAttribute('aria-pressed', now.decided === 'drop');
  $('good').setAttribute('aria-pressed', now.decided === 'keep');
  $('undo').hidden = !now.decided;
  showOthers(state.notes.filter((note) => note !== now).reverse().slice(0, OTHERS));
}

/** The buttons of the other sounds as they were last drawn. */
let othersShown = '';

/** Drawn again only if something changed: a button that a finger is on must stay. */
function showOthers(others) {
  const shown = others.map((note) => [note.number, note.verdict, line(note)].join(' ')).join('\n');
  if (shown === othersShown) return;
  othersShown = shown;
  const focused = document.activeElement?.dataset?.note;
  $('recent').replaceChildren(...others.map((note) => {
    const item = document.createElement('li');
    const button = element('button', line(note), note.verdict);
    button.type = 'button';
    button.dataset.note = note.number;
    button.onclick = () => choose(note);
    item.append(button);
    return item;
  }));
  if (focused) document.querySelector(`[data-note="${focused}"]`)?.focus();
}

/** The cell that the grid was last scrolled to: a person may scroll elsewhere until another is next. */
let scrolledTo = -1;

/** Notes from left to right, as on a keyboard; a row for each dynamic and round robin. */
function showGrid() {
  const notes = [];
  const rows = new Map();
  state.cells.forEach((cell, place) => {
    const note = cell.note || state.articulation;
    if (!notes.includes(note)) notes.push(note);
    const row = `${cell.dynamic} ${cell.rr}`.trim();
    if (!rows.has(row)) rows.set(row, new Map());
    rows.get(row).set(note, { cell, place });
  });
  const next = state.next ? placeOf(state.next) : -1;
  const head = document.createElement('thead');
  const titles = document.createElement('tr');
  titles.append(element('th', ''), ...notes.map((note) => {
    const title = element('th', note);
    title.scope = 'col';
    return title;
  }));
  head.append(titles);
  const body = document.createElement('tbody');
  for (const [name, cells] of rows) {
    const row = document.createElement('tr');
    const title = element('th', name);
    title.scope = 'row';
    row.append(title);
    for (const note of notes) row.append(gridCell(cells.get(note), next));
    body.append(row);
  }
  const focused = document.activeElement?.dataset?.place;
  $('grid').replaceChildren(head, body);
  if (next !== scrolledTo) {
    scrolledTo = next;
    showNextCell();
  }
  if (focused) document.querySelector(`[data-place="${focused}"]`)?.focus();
}

/** Brings the next cell to the middle of a grid that is wider than the screen. */
function showNextCell() {
  const box = $('wide').getBoundingClientRect();
  const cell = document.querySelector('#grid .now')?.getBoundingClientRect();
  if (cell) $('wide').scrollLeft += (cell.left + cell.right - box.left - box.right) / 2;
}

function gridCell(found, next) {
  const box = document.createElement('td');
  if (!found) return box;
  const { cell, place } = found;
  if (place === next) box.className = 'now';
  const says = `${cellName(cell, state.articulation)}: ${cell.state.replace('_', ' ')}`;
  if (cell.state === 'missing' || cell.state === 'skipped') {
    const skip = cell.state === 'missing';
    const button = element('button', SIGNS[cell.state], cell.state);
    button.type = 'button';
    button.dataset.place = place;
    button.setAttribute('aria-label', says + (skip ? ', touch to skip' : ', touch to ask for it again'));
    button.onclick = () => decide({ cell: place, skip });
    box.append(button);
  } else {
    const sign = element('span', SIGNS[cell.state], cell.state);
    sign.setAttribute('role', 'img');
    sign.setAttribute('aria-label', says);
    box.append(sign);
  }
  return box;
}

function showLevels(now) {
  const share = Math.max(0, Math.min(1, 1 - now.peak / FLOOR_DB));
  $('bar').style.height = `${100 * share}%`;
  $('bar').classList.toggle('hot', now.peak > HOT_DB);
  $('meter').setAttribute('aria-valuenow', Math.max(FLOOR_DB, now.peak));
  text($('peak'), now.peak <= -200 ? 'no sound' : `peak ${now.peak.toFixed(0)} dBFS`);
  text($('room'), now.room <= -200 ? '' : `room ${now.room.toFixed(0)} dBFS`);
  clips = now.clipped;
  $('clip').hidden = clips <= clipsSeen;
  const seconds = Math.floor(now.elapsed);
  text($('elapsed'), `${Math.floor(seconds / 60)}:${String(seconds % 60).padStart(2, '0')}`);
}

async function ask() {
  try {
    const answer = await fetch('state?known=' + known, { signal: AbortSignal.timeout(5 * EVERY_MS * 2) });
    if (!answer.ok) throw new Error(answer.status);
    const now = await answer.json();
    answeredAt = Date.now();
    if ('state' in now && now.state) {
      state = now.state;
      known = now.version;
      text($('take'), `${state.library}, ${state.articulation}: ${state.take}`);
      document.title = `${state.missing} missing – ${state.library}`;
      text($('missing'), String(state.missing));
      showDoubt();
      showNext();
      showLast();
      showGrid();
    }
    showLevels(now);
    document.querySelector('main').dataset.ready = '';
    text($('link'), now.live ? '' : state ? 'No audio arrives: the take is over, or the recorder has stopped.' : '');
  } catch (gone) {
    if (Date.now() - answeredAt > AWAY_MS) {
      text($('link'), 'The service does not answer. This page waits for it.');
      known = -1; // a service that was started again counts anew
    }
  }
  setTimeout(ask, EVERY_MS);
}

$('again').onclick = () => decide({ note: chosen().number, verdict: 'drop' });
$('good').onclick = () => decide({ note: chosen().number, verdict: 'keep' });
$('undo').onclick = () => decide({ note: chosen().number, verdict: 'as_heard' });
$('skip').onclick = () => decide({ cell: placeOf(state.next), skip: true });
$('clip').onclick = () => { clipsSeen = clips; $('clip').hidden = true; };
ask();
