#!/usr/bin/env node
// The command line of the client: each operation once, with results as lines for a script. `--help` prints its usage.
import fs from 'node:fs';
import path from 'node:path';
import { fileURLToPath } from 'node:url';
import { parseArgs } from 'node:util';

const HELP = `usage:
  takewright-client info              the version, limits and folders of the service
  takewright-client segment FILE      the regions of a take, one line each
  takewright-client analyse FILE...   note, cents and loudness of samples, one line each
  takewright-client denoise FILE OUT  removes the noise of the room (--amount-db DB)
  takewright-client retune FILE OUT   moves a sample to its nearest note (or by --cents CENTS)
  takewright-client layer FILE OUT    puts a sample in a computed room (--wet-db DB)
  takewright-client name              a name from --library, --articulation, --layer, --midi, --dynamic, --rr
  takewright-client name NAME         the facts in a name
  takewright-client build SHEET OUT   starts a build of a library and watches it; it goes on if this program ends
  takewright-client watch ID          watches a build; its progress, then its result
  takewright-client resume ID         continues a build that was cut off, and watches it
  takewright-client follow SHEET --pcm ENCODING,HZ,CH
                                      follows raw audio on standard input: one line per note, and the missing cells
options:
  --server HOST:PORT   where the service listens (127.0.0.1:7171)
  --token-file FILE    file with its token (~/.takewright/token-PORT)
  --tls-ca FILE        certificate of the CA of a service on another machine (PEM)
  --timeout SECONDS    how long a call may take (600)
  --stream             reads and writes WAV files here and sends the audio; else the service reads and writes them
  --take NAME          the take of the sheet that is followed (the only one)
  --pcm ENCODING,HZ,CH format of standard input: int16, int24, int32 or float32, sample rate, channels: int24,48000,2
Fields are separated by tabs.`;

const CLOSED_PIPE = 141; // as the shell has it for SIGPIPE
const FACTS = ['library', 'articulation', 'layer', 'midi', 'dynamic', 'rr'];

let grpc;
let takewright;
try {
  grpc = (await import('@grpc/grpc-js')).default;
  takewright = await import('./index.js');
} catch (error) {
  stop(`${error.message.split('\n')[0]}; run "npm ci" in ${path.dirname(fileURLToPath(import.meta.url))} once`);
}
const { Client, Problem, WavFile, WavWriter, follow: followSession } = takewright;

// Whoever read the lines has gone.
process.stdout.on('error', (error) => process.exit(error.code === 'EPIPE' ? CLOSED_PIPE : 2));

const line = (...fields) => process.stdout.write(`${fields.join('\t')}\n`);
const say = (message) => console.error(`takewright: ${message}`);
const number = (value, places) => value?.toFixed(places) ?? '';
const source = (file, { stream }) => (stream ? new WavFile(file) : file);

const flagWords = (flags) => flags.map((flag) => flag.replace('FLAG_', '').toLowerCase()).join(' ');

/** Prints facts about the service, named as in the contract. */
async function info(client) {
  const facts = await client.info();
  line('fact', 'value');
  line('version', facts.version);
  facts.granted_folders.forEach((folder) => line('granted_folders', folder));
  Object.entries(facts.limits).forEach(([limit, value]) => line(limit, value));
  facts.input_formats.forEach((extension) => line('input_formats', extension));
  facts.output_formats.forEach((extension) => line('output_formats', extension));
  if (facts.http_port) {
    line('http_port', facts.http_port);
  }
  line('cores', facts.cores);
}

async function segment(client, [file], options) {
  const { regions, sampleRateHz } = await client.segment(source(file, options));
  line('start_s', 'onset_s', 'end_s', 'note');
  const kept = regions.filter(({ status }) => status === 'REGION_STATUS_KEPT');
  for (const { start_frame: start, onset_frame: onset, end_frame: end, pitch } of kept) {
    line(...[start, onset, end].map((frame) => (frame / sampleRateHz).toFixed(6)), pitch?.note ?? '');
  }
  if (kept.length < regions.length) {
    console.error(`${regions.length - kept.length} more sounds were no notes of the instrument`);
  }
}

async function analyse(client, files, options) {
  line('file', 'note', 'cents', 'level_lufs');
  let failed = 0;
  for (const file of files) {
    try {
      const { pitch, level_lufs: level } = await client.analyse(source(file, options));
      line(file, pitch?.note ?? '', number(pitch?.cents, 1), number(level, 1));
    } catch (error) {
      const message = explain(error, options.server);
      if (error.code === grpc.status.UNAVAILABLE || error.code === grpc.status.UNAUTHENTICATED) {
        throw error; // no other file will fare better
      }
      failed += 1;
      say(message.includes(path.basename(file)) ? message : `${file}: ${message}`);
    }
  }
  return failed === 0 ? 0 : failed < files.length ? 1 : 2;
}

/** One operation that makes sound: written by the service, or sent back and written here. Its report. */
async function change(client, method, [file, out], options, settings) {
  if (!options.stream) {
    return (await client[method](file, { output: out }, settings)).report;
  }
  const sink = new WavWriter(out);
  try {
    const { report } = await client[method](new WavFile(file), { sink }, settings);
    sink.finish();
    return report;
  } finally {
    sink.close();
  }
}

async function denoise(client, files, options) {
  const report = await change(client, 'denoise', files, options, { amount_db: real(options, 'amount-db') });
  line('floor_before_dbfs', 'floor_after_dbfs', 'flags');
  line(number(report.floor_before_dbfs, 1), number(report.floor_after_dbfs, 1), flagWords(report.flags));
}

async function retune(client, files, options) {
  const report = await change(client, 'retune', files, options, { cents: real(options, 'cents') });
  line('note', 'moved_cents', 'flags');
  line(report.before?.note ?? '', number(report.moved_cents, 1), flagWords(report.flags));
}

async function layer(client, files, options) {
  const report = await change(client, 'layer', files, options, { wet_db: real(options, 'wet-db') });
  line('frames', 'gain_db');
  line(report.frames, number(report.gain_db, 1));
}

async function name(client, [given], options) {
  if (given === undefined) {
    const facts = Object.fromEntries(FACTS.filter((fact) => options[fact] !== undefined)
      .map((fact) => [fact, fact === 'midi' || fact === 'rr' ? real(options, fact) : options[fact]]));
    line(await client.formatName(facts));
    return;
  }
  const facts = await client.parseName(given);
  line(...FACTS);
  line(...FACTS.map((fact) => facts[fact] ?? ''));
}

/** Starts a build and watches it; it goes on if this program ends. */
async function build(client, [sheet, out]) {
  await watchBuild(client, (await client.startBuild(sheet, out)).build_id);
}

const watch = (client, [id]) => watchBuild(client, id);

/** Continues a build that was cut off, and watches it. */
async function resume(client, [id]) {
  await watchBuild(client, (await client.resumeBuild(id)).build_id);
}

/** Prints the id of a build, its progress and its result. */
async function watchBuild(client, id) {
  line('build', id);
  for await (const { progress, result } of client.watchBuild(id)) {
    if (progress) {
      const { done, step, take } = progress;
      line('progress', number(done, 2), step.replace('BUILD_STEP_', '').toLowerCase(), take);
    } else if (result) {
      const { samples, missing, flagged, left_out: leftOut, index_file: index, warnings } = result;
      for (const warning of warnings) {
        console.error(`warning: ${warning}`);
      }
      line('result', samples, missing, flagged, leftOut, index);
    }
  }
}

const cellName = ({ midi, dynamic, rr }) => [midi, dynamic, `rr${rr}`].filter((part) => part !== undefined && part !== '').join(' ');

/** Prints one line per note during the session; a later line with its number replaces it. */
async function follow(client, [sheet], options) {
  const format = pcmFormat(options.pcm);
  const config = { sheet_text: read(sheet), take: options.take, format };
  const seconds = (frame) => (frame / format.sample_rate_hz).toFixed(6);
  for await (const { note, missing } of followSession(client, config, process.stdin, say)) {
    if (note) {
      const { number: count, onset_frame: onset, end_frame: end, pitch, status, cell, flags } = note;
      line('note', count, seconds(onset), seconds(end), pitch?.note ?? '', number(pitch?.cents, 1),
        status.replace('NOTE_STATUS_', '').toLowerCase(), cell ? cellName(cell) : '', flagWords(flags));
    } else if (missing) {
      const { cells } = missing;
      line('missing', cells.length, cells.map(cellName).join(', '));
    }
  }
}

function read(file) {
  try {
    return fs.readFileSync(file, 'utf8');
  } catch (error) {
    throw new Problem(`${file} cannot be read (${error.code})`);
  }
}

function pcmFormat(text) {
  const match = /^(int16|int24|int32|float32),(\d+),(\d+)$/.exec(text ?? '');
  if (!match) {
    throw new Problem(text === undefined ? 'follow needs --pcm, for instance --pcm int24,48000,2'
      : `--pcm ${text} is not of the form int24,48000,2 (encoding, hertz, channels)`);
  }
  return { encoding: `PCM_ENCODING_${match[1].toUpperCase()}`, sample_rate_hz: Number(match[2]), channels: Number(match[3]) };
}

/** A number that an option gives; undefined where it is not given. */
function real(options, key) {
  const value = options[key];
  if (value !== undefined && !/^-?\d+(\.\d+)?$/.test(value)) {
    throw new Problem(`--${key} ${value} is not a number`);
  }
  return value === undefined ? undefined : Number(value);
}

/** What went wrong, and the remedy. */
function explain(error, server) {
  if (error instanceof Problem) {
    return error.message;
  }
  if (error.syscall && error.path) { // what is written says so by a Problem
    return `${error.path} cannot be read (${error.code})`;
  }
  if (typeof error.code !== 'number') {
    throw error; // a mistake in this program
  }
  const code = grpc.status[error.code];
  switch (error.code) {
    case grpc.status.UNAVAILABLE:
      return explainConnection(error.details ?? '', server);
    case grpc.status.DEADLINE_EXCEEDED:
      return `${code}: ${error.details}; --timeout gives a call more seconds`;
    case grpc.status.PERMISSION_DENIED:
      return `${code}: ${error.details}, or send the audio with --stream`;
    default:
      return `${code}: ${error.details}`;
  }
}

/** Why there is no connection: the library tells it in words only. */
function explainConnection(details, server) {
  if (/stopping/.test(details)) {
    return details;
  }
  if (/wrong version number|EPROTO/i.test(details)) {
    return `the service at ${server} does not use TLS; leave --tls-ca out`;
  }
  if (/certificate required|ECONNRESET|Last error: Failed to connect|connection dropped|closed/i.test(details)) {
    return `${server} closed the connection; if the service uses TLS, name its CA with --tls-ca; if it wants clients to`
      + ' have a certificate, use ./takewright with --tls-cert and --tls-key';
  }
  if (/certificate|self-signed|issuer/i.test(details)) {
    return `the certificate of ${server} is not signed by the CA that --tls-ca names; name the right one`;
  }
  return `no service answers at ${server}; start one with ./takewright serve --allow FOLDER`;
}

function stop(message) {
  console.error(`takewright: ${message}`);
  process.exit(2);
}

// How many words each command takes: the least and the most.
const COMMANDS = {
  info: [info, 0, 0],
  segment: [segment, 1, 1],
  analyse: [analyse, 1, Infinity],
  denoise: [denoise, 2, 2],
  retune: [retune, 2, 2],
  layer: [layer, 2, 2],
  name: [name, 0, 1],
  build: [build, 2, 2],
  watch: [watch, 1, 1],
  resume: [resume, 1, 1],
  follow: [follow, 1, 1],
};

async function main() {
  const text = { type: 'string' };
  let options;
  let words;
  try {
    // parseArgs takes "--cents -14" for two options.
    const args = process.argv.slice(2).reduce((all, word) => (/^-\d/.test(word) && /^--[a-z-]+$/.test(all.at(-1) ?? '')
      ? [...all.slice(0, -1), `${all.at(-1)}=${word}`] : [...all, word]), []);
    ({ values: options, positionals: words } = parseArgs({
      args,
      allowPositionals: true,
      options: {
        server: { type: 'string', default: '127.0.0.1:7171' },
        'token-file': text,
        'tls-ca': text,
        timeout: { type: 'string', default: '600' },
        stream: { type: 'boolean' },
        pcm: text,
        take: { type: 'string', default: '' },
        'amount-db': text,
        cents: text,
        'wet-db': text,
        ...Object.fromEntries(FACTS.map((fact) => [fact, text])),
        help: { type: 'boolean' },
      },
    }));
  } catch (error) {
    stop(`${error.message}\n${HELP}`);
  }
  if (options.help) {
    line(HELP);
    return 0;
  }
  const [command, ...rest] = words;
  const [run, min, max] = COMMANDS[command] ?? [];
  if (!run || rest.length < min || rest.length > max) {
    stop(`what is asked for is not complete\n${HELP}`);
  }
  let client;
  try {
    client = new Client({
      server: options.server,
      tokenFile: options['token-file'],
      tlsCa: options['tls-ca'],
      timeoutS: real(options, 'timeout'),
    });
    return await run(client, rest, options) ?? 0;
  } catch (error) {
    say(explain(error, options.server));
    return 2;
  } finally {
    client?.close();
  }
}

const status = await main();
// A pipe is written in the background: all of it goes out first.
process.stdout.write('', () => process.exit(status));
