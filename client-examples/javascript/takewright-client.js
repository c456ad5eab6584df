#!/usr/bin/env node
// A small client of the Takewright service, to copy from. `--help` prints its usage.
import fs from 'node:fs';
import os from 'node:os';
import path from 'node:path';
import { pipeline } from 'node:stream/promises';
import { fileURLToPath } from 'node:url';
import { parseArgs } from 'node:util';

const HELP = `usage:
  takewright-client.js segment FILE     the regions of a take, one line each
  takewright-client.js analyse FILE...  note, cents and loudness of samples, one line each
  takewright-client.js follow SHEET     follows raw audio on standard input, whose format is --pcm:
                                        prints one line per note, and the missing cells
options:
  --server HOST:PORT       where the service listens (127.0.0.1:7171)
  --token-file FILE        file with its token (~/.takewright/token-PORT)
  --pcm ENCODING,HZ,CH     FILE holds raw little-endian PCM that this program sends; - is standard
                           input. ENCODING: int16, int24, int32, float32. Example: int24,48000,2
  --take NAME              the take of the sheet that is recorded (the only one)
Without --pcm the service reads the files itself. Lines are fields separated by tabs.`;

/** A problem to report to the user in one line. */
class Problem extends Error {}

let grpc;
let protoLoader;
try {
  grpc = await import('@grpc/grpc-js');
  protoLoader = await import('@grpc/proto-loader');
} catch (error) {
  stop(`${error.message.split('\n')[0]}; run "npm ci" in ${path.dirname(fileURLToPath(import.meta.url))} once`);
}

/** Reads the contract; nothing is generated. */
function connect(server) {
  const folder = fileURLToPath(new URL('../../proto', import.meta.url));
  const contract = protoLoader.loadSync(['takewright/v1/operations.proto', 'takewright/v1/session.proto'], {
    includeDirs: [folder],
    keepCase: true,
    enums: String,
    longs: Number, // frames stay exact up to 2^53: thousands of years of audio
    oneofs: true,
  });
  const { OperationsService, SessionService } = grpc.loadPackageDefinition(contract).takewright.v1;
  // A proxy of the environment is for other machines, not for a service on this one.
  const channel = [server, grpc.credentials.createInsecure(), { 'grpc.enable_http_proxy': 0 }];
  return { operations: new OperationsService(...channel), sessions: new SessionService(...channel) };
}

function parsePcm(text) {
  const match = /^(int16|int24|int32|float32),(\d+),(\d+)$/.exec(text);
  if (!match) {
    throw new Problem(`--pcm ${text} is not of the form int24,48000,2 (encoding, hertz, channels)`);
  }
  return {
    encoding: `PCM_ENCODING_${match[1].toUpperCase()}`,
    sample_rate_hz: Number(match[2]),
    channels: Number(match[3]),
  };
}

/**
 * The audio of a call's settings: the format of what this program will stream, or an absolute path,
 * since the service has another working directory.
 */
const input = (file, pcm) => (pcm ? { pcm } : { file: fs.realpathSync(file) });

/** Sends the settings, then, only for raw PCM, the audio in pieces; waits if the service is slower. */
async function send(call, config, file, pcm) {
  if (!pcm) {
    call.end({ config });
    return;
  }
  const source = file === '-' ? process.stdin : fs.createReadStream(file);
  await pipeline(
    source,
    async function* (pieces) {
      yield { config };
      for await (const piece of pieces) {
        yield { audio: piece }; // as read: at most 64 KiB; the service accepts up to 1 MiB
      }
    },
    call,
  );
}

/** The responses of a call, one by one. */
async function* answers(call, config, file, pcm) {
  let broken;
  // Both ends report an error of the call; the receiving end has the service's message.
  const sent = send(call, config, file, pcm).catch((error) => {
    if (error.syscall) {
      broken = error;
      call.cancel();
    }
  });
  try {
    yield* call;
    await sent;
  } catch (error) {
    await sent;
    throw broken ?? error;
  }
}

const line = (...fields) => console.log(fields.join('\t'));

async function segment({ operations }, metadata, [file], { pcm }) {
  line('start_s', 'onset_s', 'end_s', 'note');
  // Regions are in frames, and only the summary holds the rate, so they are kept until then.
  const kept = [];
  let rejected = 0;
  for await (const { region, summary } of answers(operations.Segment(metadata), { input: input(file, pcm) }, file, pcm)) {
    if (region?.status === 'REGION_STATUS_KEPT') {
      kept.push(region);
    } else if (region) {
      rejected += 1;
    } else if (summary) {
      for (const { start_frame, onset_frame, end_frame, pitch } of kept) {
        const seconds = [start_frame, onset_frame, end_frame].map((f) => (f / summary.sample_rate_hz).toFixed(6));
        line(...seconds, pitch?.note ?? '');
      }
    }
  }
  if (rejected > 0) {
    console.error(`${rejected} more sounds were no notes of the instrument`);
  }
}

async function analyse({ operations }, metadata, files, { pcm }) {
  line('file', 'note', 'cents', 'level_lufs');
  for (const file of files) {
    // A deadline, so that a script never waits forever.
    const call = operations.Analyse(metadata, { deadline: Date.now() + 60_000 });
    for await (const { facts } of answers(call, { input: input(file, pcm) }, file, pcm)) {
      if (facts) {
        const { pitch, level_lufs: level } = facts;
        line(file, pitch?.note ?? '', pitch?.cents.toFixed(1) ?? '', level?.toFixed(1) ?? '');
      }
    }
  }
}

const cellName = ({ midi, dynamic, rr }) => [midi, dynamic, `rr${rr}`].filter((part) => part !== undefined && part !== '').join(' ');

/** Prints one line per note during the session; a later line with its number replaces it. */
async function follow({ sessions }, metadata, [sheet], { pcm, take }) {
  if (!pcm) {
    throw new Problem('follow needs --pcm, for instance --pcm int24,48000,2');
  }
  const config = { sheet_text: fs.readFileSync(sheet, 'utf8'), take, format: pcm };
  const seconds = (frame) => (frame / pcm.sample_rate_hz).toFixed(6);
  for await (const { note, missing } of answers(sessions.FollowSession(metadata), config, '-', pcm)) {
    if (note) {
      const { number, onset_frame, end_frame, pitch, status, cell, flags } = note;
      line('note', number, seconds(onset_frame), seconds(end_frame), pitch?.note ?? '', pitch?.cents.toFixed(1) ?? '',
        status.replace('NOTE_STATUS_', '').toLowerCase(), cell ? cellName(cell) : '', (flags ?? []).map((flag) => flag.replace('FLAG_', '').toLowerCase()).join(' '));
    } else if (missing) {
      const cells = missing.cells ?? [];
      line('missing', cells.length, cells.map(cellName).join(', '));
    }
  }
}

/** What went wrong, and the remedy. */
function explain(error, server) {
  if (error instanceof Problem) {
    return error.message;
  }
  if (error.syscall) {
    return `${error.path} cannot be read (${error.code})`;
  }
  if (error.code === undefined) {
    throw error; // a mistake in this program
  }
  const name = grpc.status[error.code];
  switch (error.code) {
    case grpc.status.UNAVAILABLE:
      return `no service answers at ${server}; start one with ./takewright serve --allow FOLDER`;
    case grpc.status.PERMISSION_DENIED:
      return `${name}: ${error.details}, or send the audio with --pcm`;
    default:
      return `${name}: ${error.details}`;
  }
}

function stop(message) {
  console.error(`takewright: ${message}`);
  process.exit(2);
}

function readToken(given, server) {
  const file = given ?? path.join(os.homedir(), '.takewright', `token-${server.split(':').pop()}`);
  try {
    return fs.readFileSync(file, 'ascii').trim();
  } catch {
    throw new Problem(`${file} cannot be read; ./takewright serve writes it as it starts and names it`);
  }
}

async function main() {
  let options;
  try {
    options = parseArgs({
      allowPositionals: true,
      options: {
        server: { type: 'string', default: '127.0.0.1:7171' },
        'token-file': { type: 'string' },
        pcm: { type: 'string' },
        take: { type: 'string', default: '' },
        help: { type: 'boolean' },
      },
    });
  } catch (error) {
    stop(`${error.message}\n${HELP}`);
  }
  const { values, positionals } = options;
  if (values.help) {
    console.log(HELP);
    return;
  }
  const [command, ...files] = positionals;
  const run = { segment, analyse, follow }[command];
  if (!run || files.length === 0 || (run !== analyse && files.length > 1)) {
    stop(`what is asked for is not complete\n${HELP}`);
  }
  let services;
  try {
    const metadata = new grpc.Metadata();
    metadata.set('authorization', `Bearer ${readToken(values['token-file'], values.server)}`);
    services = connect(values.server);
    await run(services, metadata, files, { pcm: values.pcm && parsePcm(values.pcm), take: values.take });
  } catch (error) {
    stop(explain(error, values.server));
  } finally {
    services?.operations.close();
    services?.sessions.close();
  }
}

await main();
