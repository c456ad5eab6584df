import type { AnalyseConfig } from './types/takewright/v1/AnalyseConfig.js';
import type { Build__Output } from './types/takewright/v1/Build.js';
import type { DenoiseConfig } from './types/takewright/v1/DenoiseConfig.js';
import type { DenoiseReport__Output } from './types/takewright/v1/DenoiseReport.js';
import type { FollowSessionConfig } from './types/takewright/v1/FollowSessionConfig.js';
import type { FollowSessionResponse__Output } from './types/takewright/v1/FollowSessionResponse.js';
import type { GetServerInfoResponse__Output } from './types/takewright/v1/GetServerInfoResponse.js';
import type { LayerConfig } from './types/takewright/v1/LayerConfig.js';
import type { LayerReport__Output } from './types/takewright/v1/LayerReport.js';
import type { NameFacts, NameFacts__Output } from './types/takewright/v1/NameFacts.js';
import type { NamingStyle } from './types/takewright/v1/NamingStyle.js';
import type { PcmFormat } from './types/takewright/v1/PcmFormat.js';
import type { Region__Output } from './types/takewright/v1/Region.js';
import type { RetuneConfig } from './types/takewright/v1/RetuneConfig.js';
import type { RetuneReport__Output } from './types/takewright/v1/RetuneReport.js';
import type { SampleFacts__Output } from './types/takewright/v1/SampleFacts.js';
import type { SegmentConfig } from './types/takewright/v1/SegmentConfig.js';
import type { StartBuildRequest } from './types/takewright/v1/StartBuildRequest.js';
import type { WatchBuildResponse__Output } from './types/takewright/v1/WatchBuildResponse.js';

/** How long a call may take, in seconds. */
export const TIMEOUT_S: number;

/** A problem to report to the user in one line. */
export class Problem extends Error {}

/** Audio in memory: interleaved little-endian samples, and what they mean. */
export class Sound {
  constructor(format: PcmFormat, data: Uint8Array);
  readonly format: PcmFormat;
  readonly data: Uint8Array;
}

/** A WAV file, of which only one piece at a time is in memory. */
export class WavFile {
  constructor(path: string);
  readonly format: PcmFormat;
}

/** Takes the sound that a call returns, piece by piece. */
export interface Sink {
  begin(format: PcmFormat): void;
  write(piece: Uint8Array): void;
}

/** Writes a new WAV file, which appears under its name only when `finish` completes it. */
export class WavWriter implements Sink {
  constructor(path: string);
  begin(format: PcmFormat): void;
  write(piece: Uint8Array): void;
  finish(): void;
  /** Leaves nothing of a file that was not completed. */
  close(): void;
}

/** A path that the service reads, or audio of this program. */
export type Source = string | Sound | WavFile;

/** Where a result goes: a path that the service writes, or a sink. Without either it is returned. */
export interface Target {
  output?: string;
  sink?: Sink;
}

export interface Options {
  /** Host and port. Default: 127.0.0.1:7171. */
  server?: string;
  /** The file with the service's token. Default: the one that a service of this user writes. */
  tokenFile?: string;
  /** A file with the CA's certificate (PEM) of a service on another machine. */
  tlsCa?: string;
  /** How long a call may take, in seconds. */
  timeoutS?: number;
}

/** A connection to a service. What the service refuses is an error of gRPC, whose details say what to do. */
export class Client {
  constructor(options?: Options);
  readonly server: string;
  close(): void;
  /** The service's version, limits and formats, and the folders whose files it may read and write. */
  info(): Promise<GetServerInfoResponse__Output>;
  segment(take: Source, settings?: Omit<SegmentConfig, 'input'>): Promise<{ regions: Region__Output[]; sampleRateHz: number }>;
  analyse(sample: Source, settings?: Omit<AnalyseConfig, 'input'>): Promise<SampleFacts__Output>;
  denoise(sound: Source, target?: Target, settings?: Omit<DenoiseConfig, 'input' | 'output'>): Promise<{ sound?: Sound; report: DenoiseReport__Output }>;
  retune(sound: Source, target?: Target, settings?: Omit<RetuneConfig, 'input' | 'output'>): Promise<{ sound?: Sound; report: RetuneReport__Output }>;
  layer(sound: Source, target?: Target, settings?: Omit<LayerConfig, 'input' | 'output'>): Promise<{ sound?: Sound; report: LayerReport__Output }>;
  /** The file name of a sample, without extension. */
  formatName(facts: NameFacts, style?: NamingStyle): Promise<string>;
  /** The facts in a file name. */
  parseName(name: string, style?: NamingStyle): Promise<NameFacts__Output>;
  /** Starts a build, which goes on without its caller. */
  startBuild(sheet: string, outputFolder: string, settings?: Omit<StartBuildRequest, 'sheet_file' | 'output_folder'>): Promise<Build__Output>;
  /** Continues a build that was cancelled, failed or was cut off by the end of its service. */
  resumeBuild(id: string): Promise<Build__Output>;
  /** The progress of a build, then its result once its pictures are there too; without a deadline. */
  watchBuild(id: string): AsyncIterable<WatchBuildResponse__Output>;
}

/**
 * Sends the audio of a take while it is recorded, and yields what the service reports, through dropped connections.
 * @param source the audio as it arrives
 * @param say takes a line about each drop and its outcome
 */
export function follow(
  client: Client,
  config: FollowSessionConfig,
  source: AsyncIterable<Uint8Array> | Iterable<Uint8Array>,
  say?: (line: string) => void,
): AsyncGenerator<FollowSessionResponse__Output>;

/** Whether an address is one of this machine, which no proxy leads to. */
export function isLoopback(server: string): boolean;

/** Where a service of the same user writes its token. */
export function tokenFileOf(server: string): string;
