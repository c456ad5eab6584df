"""Following a session while it is recorded, through dropped connections and restarted services."""
import threading
import time
from typing import Callable, Iterable, Iterator, Optional

import grpc

from .client import Client
from .errors import Problem
from .v1 import audio_pb2, session_pb2

#: Audio that is kept for a service that is gone, in bytes.
BACKLOG_BYTES = 64 << 20

#: A service keeps an interrupted session for half an hour, in seconds.
GIVE_UP_S = 30 * 60

FIRST_PAUSE_S, MAX_PAUSE_S = 0.25, 4.0

_WIDTHS = {
    audio_pb2.PCM_ENCODING_INT16: 2,
    audio_pb2.PCM_ENCODING_INT24: 3,
    audio_pb2.PCM_ENCODING_INT32: 4,
    audio_pb2.PCM_ENCODING_FLOAT32: 4,
}


class Backlog:
    """The latest audio of the recorder. It never holds up the recorder: what does not fit any more is dropped."""

    def __init__(self, pieces: Iterable[bytes]):
        self._changed = threading.Condition()
        self._data = bytearray()
        self._ended = False
        self.start = 0  # position of the oldest byte that is kept
        threading.Thread(target=self._fill, args=(pieces,), daemon=True).start()

    def _fill(self, pieces: Iterable[bytes]) -> None:
        try:
            for piece in pieces:
                with self._changed:
                    self._data += piece
                    over = len(self._data) - BACKLOG_BYTES
                    if over > 0:
                        del self._data[:over]
                        self.start += over
                    self._changed.notify_all()
        finally:
            with self._changed:
                self._ended = True
                self._changed.notify_all()

    def next(self, position: int, is_over: Callable[[], bool], max_bytes: int = 256 * 1024) -> Optional[bytes]:
        """Audio from a position on, as soon as there is some; None after its end, or once the call is over.

        :raises Dropped: if the audio there is no longer kept
        """
        with self._changed:
            while not self._ended and position >= self.start + len(self._data) and not is_over():
                self._changed.wait(0.2)
            if position < self.start:
                raise Dropped
            if is_over() or position >= self.start + len(self._data):
                return None
            at = position - self.start
            return bytes(self._data[at : at + max_bytes])


class Dropped(Exception):
    """Audio that the service wants is no longer kept."""


def follow(
    client: Client,
    config: session_pb2.FollowSessionConfig,
    pieces: Iterable[bytes],
    say: Callable[[str], None] = lambda line: None,
) -> Iterator[session_pb2.FollowSessionResponse]:
    """Sends the audio of a take while it is recorded, and yields what the service reports.

    After a dropped connection it calls again, continues the session where the service stands, and the notes are
    reported once more.

    :param pieces: the audio as it arrives
    :param say: takes a line about each drop and its outcome
    """
    backlog = Backlog(pieces)
    frame_bytes = _WIDTHS[config.format.encoding] * config.format.channels
    rate = config.format.sample_rate_hz
    session_id, gone_since, pause, skip = "", None, FIRST_PAUSE_S, False
    while True:
        call = _Call(client, config, session_id, backlog, frame_bytes, skip)
        skip = False
        try:
            for response in call.responses():
                if response.HasField("started"):
                    session_id = response.started.session_id
                    if gone_since is not None:
                        say(f"the service is back: continuing at {response.started.next_frame / rate:.1f} s")
                    if call.lost_frames:
                        say(f"{call.lost_frames / rate:.1f} s never reached the service, which treats them as silence")
                    gone_since, pause = None, FIRST_PAUSE_S
                yield response
            return
        except grpc.RpcError as error:
            if call.is_dropped:
                skip = True
                continue
            if not session_id or not _is_drop(error, call.is_started):
                raise
            if error.code() == grpc.StatusCode.NOT_FOUND:
                say("the service no longer knows the session: a new one begins")
                session_id, skip = "", True
            now = time.monotonic()
            if gone_since is None:
                gone_since = now
                say("the service is gone: retrying")
            elif now - gone_since > GIVE_UP_S:
                raise Problem(f"no service has answered at {client.server} for half an hour") from error
            time.sleep(pause)  # a service that starts again is writing its token
            pause = min(2 * pause, MAX_PAUSE_S)


def _is_drop(error: grpc.RpcError, is_started: bool) -> bool:
    """Whether calling again may help."""
    code = error.code()
    if code in (grpc.StatusCode.UNAVAILABLE, grpc.StatusCode.DEADLINE_EXCEEDED, grpc.StatusCode.CANCELLED):
        return True
    # The service has not noticed the drop yet, has no room yet, is writing its token, or has lost the session.
    return not is_started and code in (
        grpc.StatusCode.ABORTED,
        grpc.StatusCode.RESOURCE_EXHAUSTED,
        grpc.StatusCode.UNAUTHENTICATED,
        grpc.StatusCode.NOT_FOUND,
    )


class _Call:
    """One call of the session: the settings, then audio from where the service stands.

    :param skip: whether the audio begins with the oldest that is kept, and not where the session stands
    """

    def __init__(self, client, config, session_id, backlog, frame_bytes, skip):
        self._client = client
        self._backlog = backlog
        self._frame_bytes = frame_bytes
        self._config = session_pb2.FollowSessionConfig()
        self._config.CopyFrom(config)
        if session_id:
            self._config.ClearField("sheet")
            self._config.session_id = session_id
        self._first = -(-backlog.start // frame_bytes) if skip else None  # a whole frame
        if self._first:
            self._config.first_frame = self._first
        self._started = threading.Event()
        self._is_over = False
        self._stream = None
        self._next = 0
        self.lost_frames = 0
        self.is_dropped = False

    @property
    def is_started(self) -> bool:
        return self._started.is_set()

    def _requests(self) -> Iterator[session_pb2.FollowSessionRequest]:
        yield session_pb2.FollowSessionRequest(config=self._config)
        while not self._started.wait(0.2):
            if self._is_over:
                return
        # What the service has already it ignores.
        position = (self._next if self._first is None else self._first) * self._frame_bytes
        try:
            while (piece := self._backlog.next(position, lambda: self._is_over)) is not None:
                position += len(piece)
                yield session_pb2.FollowSessionRequest(audio=piece)
        except Dropped:
            self.is_dropped = True
            self._stream.cancel()

    def responses(self) -> Iterator[session_pb2.FollowSessionResponse]:
        try:
            self._stream = self._client.sessions.FollowSession(self._requests(), metadata=self._client.metadata)
            for response in self._stream:
                if response.HasField("started"):
                    self._next = response.started.next_frame
                    self.lost_frames = max(0, (self._first or 0) - self._next)
                    self._started.set()
                yield response
        finally:
            self._is_over = True
