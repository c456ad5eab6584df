#!/usr/bin/env node
// A small client of the Takewright service, to copy from. `--help` says how it is called.
import fs from 'node:fs';
import os from 'node:os';
import path from 'node:path';
import { pipeline } from 'node:stream/promises';
import { fileURLToPath } from 'node:url';
import { parseArgs } from 'node:util';

const HELP = `usage:
  takewright-client.js segment FILE     the regions of a take, one line each
  takewright-client.js analyse FILE...  note, cents and loudness of samples, one line each
options:
  --server HOST:PORT       where the service listens (127.0.0.1:7171)
  --token-file FILE        the token that it wrote (~/.takewright/token-PORT)
  --pcm ENCODING,HZ,CH     FILE holds raw little-endian PCM that this program sends; - is standard
                           input. ENCODING: int16, int24, int32, float32. Example: int24,48000,2
Without --pcm the service reads the files itself. Lines are separated by tabs, after a header.`;

/** Something to tell the user in one line. */
class Problem extends Error {}

let grpc;
let protoLoader;
try {
  grpc = await import('@grpc/grpc-js');
  protoLoader = await import('@grpc/proto-loader');
} catch (error) {
  stop(`${error.message.split('\n')[0]}; run "npm ci" in ${path.dirname(fileURLToPath(import.meta.url))} once`);
}

/** Reads the contract itself; nothing is generated. */
function connect(server) {
  const folder = fileURLToPath(new URL('../../proto', import.meta.url));
  const contract = protoLoader.loadSync('takewright/v1/operations.proto', {
    includeDirs: [folder],
    keepCase: true,
    enums: String,
    longs: Number, // frames stay exact up to 2^53: thousands of years of audio
    oneofs: true,
  });
  const { OperationsService } = grpc.loadPackageDefinition(contract).takewright.v1;
  // A proxy that the environment names is for the outside world, not for a service on this machine.
  return new OperationsService(server, grpc.credentials.createInsecure(), { 'grpc.enable_http_proxy': 0 });
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

/** Settings first, then, only for raw PCM, the audio in pieces; waits where the service is slower. */
async function send(call, file, pcm) {
  if (!pcm) {
    // The service's own working directory is another one, so it wants the whole path.
    call.end({ config: { input: { file: fs.realpathSync(file) } } });
    return;
  }
  const source = file === '-' ? process.stdin : fs.createReadStream(file);
  await pipeline(
    source,
    async function* (pieces) {
      yield { config: { input: { pcm } } };
      for await (const piece of pieces) {
        yield { audio: piece }; // as read: at most 64 KiB, and the service takes up to 1 MiB
      }
    },
    call,
  );
}

/** The answers of a call, one by one. */
async function* answers(call, file, pcm) {
  let broken;
  // An error of the call comes out of both ends; the answering end has the service's own words.
  const sent = send(call, file, pcm).catch((error) => {
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

async function segment(service, metadata, [file], pcm) {
  line('start_s', 'onset_s', 'end_s', 'note');
  // Regions are in frames, and the rate is known only with the summary: so they are kept till then.
  const kept = [];
  let rejected = 0;
  for await (const { region, summary } of answers(service.Segment(metadata), file, pcm)) {
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

async function analyse(service, metadata, files, pcm) {
  line('file', 'note', 'cents', 'level_lufs');
  for (const file of files) {
    // A deadline, so that a script never waits for ever.
    const call = service.Analyse(metadata, { deadline: Date.now() + 60_000 });
    for await (const { facts } of answers(call, file, pcm)) {
      if (facts) {
        const { pitch, level_lufs: level } = facts;
        line(file, pitch?.note ?? '', pitch?.cents.toFixed(1) ?? '', level?.toFixed(1) ?? '');
      }
    }
  }
}

/** What went wrong, and the way out. */
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
  const run = { segment, analyse }[command];
  if (!run || files.length === 0 || (run === segment && files.length > 1)) {
    stop(`what is asked for is not complete\n${HELP}`);
  }
  let service;
  try {
    const metadata = new grpc.Metadata();
    metadata.set('authorization', `Bearer ${readToken(values['token-file'], values.server)}`);
    service = connect(values.server);
    await run(service, metadata, files, values.pcm && parsePcm(values.pcm));
  } catch (error) {
    stop(explain(error, values.server));
  } finally {
    service?.close();
  }
}

await main();
