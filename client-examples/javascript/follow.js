// Following a session while it is recorded, through dropped connections and restarted services.
import { setTimeout as sleep } from 'node:timers/promises';
import grpc from '@grpc/grpc-js';
import { answers } from './client.js';
import { CHUNK_BYTES, frameBytes } from './wav.js';
import { Problem } from './problem.js';

/** Audio that is kept for a service that is gone, in bytes. */
export const BACKLOG_BYTES = 64 * 1024 * 1024;

/** A service keeps an interrupted session for half an hour, in seconds. */
const GIVE_UP_S = 30 * 60;
const FIRST_PAUSE_MS = 250;
const MAX_PAUSE_MS = 4000;

const { ABORTED, CANCELLED, DEADLINE_EXCEEDED, NOT_FOUND, RESOURCE_EXHAUSTED, UNAUTHENTICATED, UNAVAILABLE } = grpc.status;

/** The latest audio of the recorder. It never holds up the recorder: what does not fit any more is dropped. */
class Backlog {
  #pieces = [];
  #end = 0;
  #ended = false;
  #failure;
  #wake = () => {};
  start = 0; // position of the oldest byte that is kept

  constructor(source) {
    this.#fill(source).catch((error) => { this.#failure = error; }).finally(() => {
      this.#ended = true;
      this.wake();
    });
  }

  async #fill(source) {
    for await (const piece of source) {
      this.#pieces.push(piece);
      this.#end += piece.length;
      while (this.#end - this.start > BACKLOG_BYTES) {
        this.start += this.#pieces.shift().length;
      }
      this.wake();
    }
  }

  wake() {
    this.#wake();
  }

  /** Audio from a position on, as soon as there is some; undefined after its end, or once the call is over. */
  async next(position, isOver) {
    while (!this.#ended && position >= this.#end && !isOver()) {
      await new Promise((resolve) => { this.#wake = resolve; });
    }
    if (this.#failure) {
      throw this.#failure;
    }
    if (position < this.start) {
      throw new Dropped();
    }
    if (isOver() || position >= this.#end) {
      return undefined;
    }
    let at = this.start;
    for (const piece of this.#pieces) {
      if (position < at + piece.length) {
        return piece.subarray(position - at, position - at + CHUNK_BYTES);
      }
      at += piece.length;
    }
    return undefined;
  }
}

/** Audio that the service wants is no longer kept. */
class Dropped extends Problem {}

/** Whether calling again may help. */
function isDrop(code, isStarted) {
  return [UNAVAILABLE, DEADLINE_EXCEEDED, CANCELLED].includes(code)
    // The service has not noticed the drop yet, has no room yet, is writing its token, or has lost the session.
    || (!isStarted && [ABORTED, RESOURCE_EXHAUSTED, UNAUTHENTICATED, NOT_FOUND].includes(code));
}

/**
 * Sends the audio of a take while it is recorded, and yields what the service reports. After a dropped connection it
 * calls again, continues the session where the service stands, and the notes are reported once more.
 */
export async function* follow(client, config, source, say = () => {}) {
  const backlog = new Backlog(source);
  const size = frameBytes(config.format);
  const seconds = (frames) => (frames / config.format.sample_rate_hz).toFixed(1);
  let sessionId = '';
  let goneSince;
  let pauseMs = FIRST_PAUSE_MS;
  let skip = false; // whether the audio begins with the oldest that is kept, and not where the session stands
  for (;;) {
    const first = skip ? Math.ceil(backlog.start / size) : undefined;
    skip = false;
    const settings = { ...config };
    if (sessionId) {
      delete settings.sheet_text;
      delete settings.sheet_file;
      settings.session_id = sessionId;
    }
    if (first) {
      settings.first_frame = first;
    }
    const call = client.sessions.FollowSession(client.metadata());
    let isOver = false;
    let begin;
    let isStarted = false;
    const started = new Promise((resolve) => { begin = resolve; });
    const pieces = async function* () {
      // What the service has already it ignores.
      let position = (first ?? await started) * size;
      for (let piece; (piece = await backlog.next(position, () => isOver)) !== undefined;) {
        position += piece.length;
        yield piece;
      }
    };
    try {
      for await (const response of answers(call, { config: settings }, pieces())) {
        if (response.started) {
          const { session_id: id, next_frame: next = 0 } = response.started;
          sessionId = id;
          isStarted = true;
          begin(next);
          if (goneSince !== undefined) {
            say(`the service is back: continuing at ${seconds(next)} s`);
          }
          if ((first ?? 0) > next) {
            say(`${seconds(first - next)} s never reached the service, which treats them as silence`);
          }
          goneSince = undefined;
          pauseMs = FIRST_PAUSE_MS;
        }
        yield response;
      }
      return;
    } catch (error) {
      if (error instanceof Dropped) {
        skip = true;
        continue;
      }
      if (!sessionId || !isDrop(error.code, isStarted)) {
        throw error;
      }
      if (error.code === NOT_FOUND) {
        say('the service no longer knows the session: a new one begins');
        sessionId = '';
        skip = true;
      }
      if (goneSince === undefined) {
        goneSince = Date.now();
        say('the service is gone: retrying');
      } else if (Date.now() - goneSince > 1000 * GIVE_UP_S) {
        throw new Problem(`no service has answered at ${client.server} for half an hour`);
      }
      await sleep(pauseMs);
      pauseMs = Math.min(2 * pauseMs, MAX_PAUSE_MS);
    } finally {
      isOver = true;
      begin(0);
      backlog.wake();
    }
  }
}
