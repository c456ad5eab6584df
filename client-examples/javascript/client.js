// A client of the Takewright service: each operation on a file that the service reads, or on audio of this program.
import fs from 'node:fs';
import os from 'node:os';
import path from 'node:path';
import { pipeline } from 'node:stream/promises';
import { fileURLToPath } from 'node:url';
import grpc from '@grpc/grpc-js';
import protoLoader from '@grpc/proto-loader';
import { Problem } from './problem.js';
import { Sound, WavFile } from './wav.js';

/** How long a call may take, in seconds. */
export const TIMEOUT_S = 600;

/** The contract, read as it is: of the repository around this package, or the package's copy of it. */
function contract() {
  const place = (name) => fileURLToPath(new URL(name, import.meta.url));
  const folder = fs.existsSync(place('../../proto/takewright/v1')) ? place('../../proto') : place('proto');
  const files = ['library', 'naming', 'operations', 'server', 'session'].map((name) => `takewright/v1/${name}.proto`);
  const read = protoLoader.loadSync(files, {
    includeDirs: [folder],
    keepCase: true,
    defaults: true, // a field that is not marked optional always has a value
    enums: String,
    longs: Number, // frames stay exact up to 2^53: thousands of years of audio
    oneofs: true,
  });
  return grpc.loadPackageDefinition(read).takewright.v1;
}

/** Whether an address is one of this machine, which no proxy leads to. */
export function isLoopback(server) {
  const host = server.replace(/:\d*$/, '').replace(/^\[|\]$/g, '');
  return host === 'localhost' || host === '::1' || host.startsWith('127.');
}

/** Where a service of the same user writes its token. */
export const tokenFileOf = (server) => path.join(os.homedir(), '.takewright', `token-${server.split(':').pop()}`);

const isAudio = (source) => source instanceof Sound || source instanceof WavFile;

/** A connection to a service; `index.d.ts` describes what it takes and returns. */
export class Client {
  constructor({ server = '127.0.0.1:7171', tokenFile, tlsCa, timeoutS = TIMEOUT_S } = {}) {
    this.server = server;
    this.timeoutS = timeoutS;
    this.tokenFile = tokenFile ?? tokenFileOf(server);
    this.metadata(); // says at once where it cannot be read
    const { OperationsService, NamingService, LibraryService, ServerService, SessionService } = contract();
    let credentials = grpc.credentials.createInsecure();
    if (tlsCa !== undefined) {
      try {
        credentials = grpc.credentials.createSsl(fs.readFileSync(tlsCa));
      } catch (error) {
        throw new Problem(`${tlsCa} cannot be read (${error.code ?? error.message}); give the CA's certificate (PEM)`);
      }
    }
    // A proxy of the environment is for other machines, not for a service on this one.
    const options = { 'grpc.enable_http_proxy': isLoopback(server) ? 0 : 1 };
    const stub = (Service) => new Service(server, credentials, options);
    this.operations = stub(OperationsService);
    this.names = stub(NamingService);
    this.libraries = stub(LibraryService);
    this.facts = stub(ServerService);
    this.sessions = stub(SessionService);
  }

  /** What each call sends along: the token, read anew, since a service that starts again has another. */
  metadata() {
    const metadata = new grpc.Metadata();
    try {
      metadata.set('authorization', `Bearer ${fs.readFileSync(this.tokenFile, 'ascii').trim()}`);
    } catch {
      throw new Problem(`${this.tokenFile} cannot be read; ./takewright serve writes it as it starts and names it`);
    }
    return metadata;
  }

  deadline() {
    return { deadline: Date.now() + 1000 * this.timeoutS };
  }

  close() {
    for (const stub of [this.operations, this.names, this.libraries, this.facts, this.sessions]) {
      stub.close();
    }
  }

  info() {
    return this.#ask(this.facts, 'GetServerInfo', {});
  }

  async segment(take, settings = {}) {
    const regions = [];
    let sampleRateHz = 0;
    for await (const { region, input } of this.#call('Segment', take, settings)) {
      if (region) {
        regions.push(region);
      } else if (input) {
        sampleRateHz = input.sample_rate_hz;
      }
    }
    return { regions, sampleRateHz };
  }

  async analyse(sample, settings = {}) {
    let heard;
    for await (const { facts } of this.#call('Analyse', sample, settings)) {
      heard = facts ?? heard;
    }
    return heard;
  }

  denoise(sound, options, settings) {
    return this.#change('Denoise', sound, options, settings);
  }

  retune(sound, options, settings) {
    return this.#change('Retune', sound, options, settings);
  }

  layer(sound, options, settings) {
    return this.#change('Layer', sound, options, settings);
  }

  async formatName(facts, style) {
    return (await this.#ask(this.names, 'FormatName', { style, facts })).name;
  }

  async parseName(name, style) {
    return (await this.#ask(this.names, 'ParseName', { style, name })).facts;
  }

  async startBuild(sheet, outputFolder, settings = {}) {
    const request = { ...settings, sheet_file: path.resolve(sheet), output_folder: path.resolve(outputFolder) };
    return (await this.#ask(this.libraries, 'StartBuild', request)).build;
  }

  async resumeBuild(id) {
    return (await this.#ask(this.libraries, 'ResumeBuild', { build_id: id })).build;
  }

  watchBuild(id) {
    return this.libraries.WatchBuild({ build_id: id, with_pictures: true }, this.metadata()); // without a deadline
  }

  #ask(stub, method, request) {
    return new Promise((resolve, reject) => {
      stub[method](request, this.metadata(), this.deadline(), (error, answer) => (error ? reject(error) : resolve(answer)));
    });
  }

  async* #call(method, source, settings) {
    // The service has another working directory, so it needs the absolute path.
    const input = isAudio(source) ? { pcm: source.format } : { file: fs.realpathSync(source) };
    const call = this.operations[method](this.metadata(), this.deadline());
    yield* answers(call, { config: { ...settings, input } }, isAudio(source) ? source.pieces() : []);
  }

  async #change(method, source, { output, sink } = {}, settings = {}) {
    const target = output !== undefined ? { file: path.resolve(output) }
      : { pcm: isAudio(source) ? source.format.encoding : 'PCM_ENCODING_INT24' };
    const pieces = [];
    let pcm;
    let done;
    for await (const { format, audio, report } of this.#call(method, source, { ...settings, output: target })) {
      if (format) {
        pcm = format;
        sink?.begin(format);
      } else if (audio) {
        sink ? sink.write(audio) : pieces.push(audio);
      } else if (report) {
        done = report;
      }
    }
    return { sound: pcm && !sink ? new Sound(pcm, Buffer.concat(pieces)) : undefined, report: done };
  }
}

/** Sends the settings, then audio in pieces, no faster than the service takes it; the responses, one by one. */
export async function* answers(call, settings, pieces) {
  let broken;
  const sent = pipeline(
    async function* () {
      yield settings;
      for await (const piece of pieces) {
        yield { audio: piece };
      }
    },
    call,
  ).catch((error) => {
    // Both ends report an error of the call, and the receiving end has the service's message.
    if (error.syscall || error instanceof Problem) {
      broken = error;
      call.cancel();
    }
  });
  try {
    yield* call;
    await sent;
  } catch (error) {
    call.cancel();
    throw broken ?? error;
  } finally {
    call.cancel(); // where the reader has had enough
  }
}
