// Small helpers: elements whose text is always text, numbers as people read them, colours.
'use strict';

/** An element. Attributes that are functions listen; children that are no elements become text. */
function h(name, attributes = {}, ...children) {
  const element = document.createElement(name);
  for (const [key, value] of Object.entries(attributes)) {
    if (value === null || value === undefined || value === false) continue;
    if (typeof value === 'function') element.addEventListener(key, value);
    else element.setAttribute(key, value === true ? '' : value);
  }
  element.append(...children.flat().filter((child) => child !== null && child !== undefined));
  return element;
}

/** What each status is called, and the sign that says it beside the colour. */
const STATUS = {
  kept: { sign: '●', word: 'kept' },
  flagged: { sign: '▲', word: 'to check' },
  missing: { sign: '✕', word: 'missing' },
  retake: { sign: '↻', word: 'played again' },
  extra: { sign: '+', word: 'extra' },
  rejected: { sign: '–', word: 'rejected' },
};

/** As the page colours a row: kept ones that need a look stand out. */
const statusOf = (row) => (row.status === 'kept' && Reasons.isOpen(row) ? 'flagged' : row.status);

const sign = (status) =>
  h('span', { class: `sign ${status}`, 'aria-hidden': 'true' }, STATUS[status]?.sign ?? '?');

/** A row in a few words. */
function nameOf(row) {
  const cell = [row.note, row.dynamic, row.rr !== null ? `rr${row.rr}` : ''].filter(Boolean);
  const what = row.status === 'rejected' ? row.flags[0] ?? 'rejected' : row.kind || 'region';
  return cell.join(' ') || `${what.replaceAll('_', ' ')} at ${clock(row.start_s)}`;
}

const placeOf = (row) => [row.articulation, row.layer].filter(Boolean).join(' · ');

/** A time in a take: 1:02.50. */
function clock(seconds) {
  if (seconds === null || seconds === undefined) return '';
  const whole = Math.round(seconds * 100) / 100;
  const minutes = Math.floor(whole / 60);
  const rest = (whole - 60 * minutes).toFixed(2).padStart(5, '0');
  return `${minutes}:${rest}`;
}

/** A number as the commands and tables write it: a half as it is written goes away from zero, and zero has no sign. */
function round(value, digits = 1) {
  if (value === null || value === undefined) return '–';
  if (!Number.isFinite(value)) return String(value);
  // Binary fractions are a little off what was written: 18.45 is 18.4499…, which toFixed alone would round down.
  const written = Math.abs(value).toFixed(digits + 6);
  const steps = Math.round(Number(`${written}e${digits}`));
  return `${value < 0 && steps > 0 ? '−' : ''}${(steps / 10 ** digits).toFixed(digits)}`;
}

function signed(value, digits = 1) {
  const text = round(value, digits);
  return value > 0 && /[1-9]/.test(text) ? `+${text}` : text;
}

const plural = (n, one, more = `${one}s`) => `${n} ${n === 1 ? one : more}`;

/** A colour of the style sheet. */
const colour = (name) => getComputedStyle(document.documentElement).getPropertyValue(`--${name}`).trim();

/** Bytes, signed or not, from Base64. */
function bytes(base64, Type = Uint8Array) {
  const text = atob(base64);
  const out = new Type(text.length);
  for (let i = 0; i < text.length; i++) out[i] = text.charCodeAt(i);
  return out;
}

/** A canvas sharp on this screen, whose context counts in CSS pixels. */
function canvas(width, height, label) {
  const scale = window.devicePixelRatio || 1;
  const element = h('canvas', { role: 'img', 'aria-label': label });
  element.width = Math.round(width * scale);
  element.height = Math.round(height * scale);
  element.style.width = `${width}px`;
  element.style.height = `${height}px`;
  const context = element.getContext('2d');
  context.scale(scale, scale);
  return [element, context];
}

function median(values) {
  if (!values.length) return null;
  const sorted = [...values].sort((a, b) => a - b);
  const middle = sorted.length >> 1;
  return sorted.length % 2 ? sorted[middle] : (sorted[middle - 1] + sorted[middle]) / 2;
}

/** Rows by what `key` says of them, in order of appearance. */
function groupBy(rows, key) {
  const groups = new Map();
  for (const row of rows) {
    const k = key(row);
    if (!groups.has(k)) groups.set(k, []);
    groups.get(k).push(row);
  }
  return groups;
}
