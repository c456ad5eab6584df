"""WAV files as the audio of a call: read piece by piece, and written when a call returns sound.

Python's own ``wave`` module refuses the extensible headers that most programs write at 24 bits, and floats, so the
header is read here (RIFF multimedia standards of 1991 and 1994; RF64 as in EBU Tech 3306).
"""
import os
import struct
from contextlib import contextmanager
from dataclasses import dataclass
from typing import BinaryIO, Iterator, Optional

from .errors import Problem
from .v1 import audio_pb2

CHUNK_BYTES = 256 * 1024  # the service takes messages of up to 1 MiB

_PCM, _FLOAT, _EXTENSIBLE = 1, 3, 0xFFFE
_ENCODINGS = {  # by format code and bytes in a sample
    (_PCM, 2): audio_pb2.PCM_ENCODING_INT16,
    (_PCM, 3): audio_pb2.PCM_ENCODING_INT24,
    (_PCM, 4): audio_pb2.PCM_ENCODING_INT32,
    (_FLOAT, 4): audio_pb2.PCM_ENCODING_FLOAT32,
}
_LAYOUTS = {encoding: layout for layout, encoding in _ENCODINGS.items()}


@dataclass
class Sound:
    """Audio in memory: interleaved little-endian samples, and what they mean."""

    format: audio_pb2.PcmFormat
    data: bytes

    def pieces(self) -> Iterator[bytes]:
        """The audio in pieces that fit into a message."""
        for at in range(0, len(self.data), CHUNK_BYTES):
            yield self.data[at : at + CHUNK_BYTES]


class WavFile:
    """A WAV file, of which only one piece at a time is in memory."""

    format: audio_pb2.PcmFormat

    def __init__(self, path: str):
        self.path = path
        if os.path.isdir(path):
            raise Problem(f"{path} is not a file")
        try:
            with open(path, "rb") as file:
                self._read_header(file)
        except OSError as error:
            raise Problem(f"{path}: {error.strerror}") from error
        except struct.error as error:
            raise Problem(f"{path} ends within its header; copy or export it again") from error

    def _read_header(self, file: BinaryIO) -> None:
        form, _, kind = struct.unpack("<4sI4s", file.read(12))
        if form not in (b"RIFF", b"RF64", b"BW64") or kind != b"WAVE":
            raise Problem(f"{self.path} is no WAV file; leave out --stream and let the service read it")
        encoding = rate = channels = large = None
        while True:
            name, size = struct.unpack("<4sI", file.read(8))
            start = file.tell()
            if name == b"ds64":
                _, large = struct.unpack("<QQ", file.read(16))
            elif name == b"fmt ":
                code, channels, rate, _, _, bits = struct.unpack("<HHIIHH", file.read(16))
                if code == _EXTENSIBLE and size >= 40:
                    file.read(8)  # size of what follows, bits that mean something, loudspeakers
                    (code,) = struct.unpack("<H", file.read(2))
                encoding = _ENCODINGS.get((code, bits // 8 if bits % 8 == 0 else 0))
                if encoding is None:
                    raise Problem(
                        f"{self.path} holds samples of {bits} bits (format {code}); 16, 24 or 32-bit integers or"
                        " 32-bit floats can be streamed; leave out --stream and let the service read it"
                    )
            elif name == b"data":
                break
            file.seek(start + size + (size & 1))
        if encoding is None:
            raise Problem(f"{self.path} has no fmt chunk before its audio; export it again")
        there = os.fstat(file.fileno()).st_size - start
        if size == 0xFFFFFFFF:  # longer than 32 bits say, or a recording that was never completed
            size = large if large is not None else there
        if size > there:
            raise Problem(f"{self.path} is cut off: {there} of {size} bytes of audio are there; copy it again")
        self._start, self._size = start, size
        self.format = audio_pb2.PcmFormat(encoding=encoding, sample_rate_hz=rate, channels=channels)

    def pieces(self) -> Iterator[bytes]:
        """The audio in pieces that fit into a message."""
        with open(self.path, "rb") as file:
            file.seek(self._start)
            left = self._size
            while left > 0 and (piece := file.read(min(left, CHUNK_BYTES))):
                left -= len(piece)
                yield piece


class WavWriter:
    """Writes a new WAV file, which appears under its name only when it is complete."""

    def __init__(self, path: str):
        self.path = path
        self._part = f"{path}.{os.getpid()}.part"
        self._file: Optional[BinaryIO] = None
        self._frames_bytes = 0
        if os.path.lexists(path):
            raise Problem(f"{path} is there already and is not replaced; give another name")

    def __enter__(self) -> "WavWriter":
        return self

    def begin(self, pcm: audio_pb2.PcmFormat) -> None:
        """Takes the format of the audio that follows."""
        self._format = pcm
        with self._failures():
            self._file = open(self._part, "xb")
            self._file.write(self._header())

    def write(self, piece: bytes) -> None:
        """Appends audio."""
        assert self._file is not None
        self._frames_bytes += len(piece)
        if self._frames_bytes > 0xFFFFFFFF - 100:
            raise Problem(f"{self.path} would pass 4 GiB; leave out --stream and let the service write it")
        with self._failures():
            self._file.write(piece)

    @contextmanager
    def _failures(self) -> Iterator[None]:
        try:
            yield
        except OSError as error:
            raise Problem(f"{self.path} cannot be written: {error.strerror}") from error

    def _header(self) -> bytes:
        code, width = _LAYOUTS[self._format.encoding]
        rate, channels = self._format.sample_rate_hz, self._format.channels
        frame = width * channels
        layout = struct.pack("<HHIIHH", code, channels, rate, rate * frame, frame, 8 * width)
        if code == _PCM and (channels > 2 or width > 2):  # such a header is asked for then
            layout = struct.pack("<H", _EXTENSIBLE) + layout[2:]
            layout += struct.pack("<HHIIIQ", 22, 8 * width, 0, code, 0x00100000, 0x719B3800AA000080)
        size = self._frames_bytes
        pad = size & 1
        chunks = b"fmt " + struct.pack("<I", len(layout)) + layout + b"data" + struct.pack("<I", size)
        return b"RIFF" + struct.pack("<I", 4 + len(chunks) + size + pad) + b"WAVE" + chunks

    def __exit__(self, kind, error, trace) -> None:
        if self._file is None:
            return
        try:
            with self._failures(), self._file as file:
                if kind is None:
                    file.write(b"\0" * (self._frames_bytes & 1))
                    file.seek(0)
                    file.write(self._header())
                    file.flush()
                    os.fsync(file.fileno())
                    os.rename(self._part, self.path)
        finally:
            if os.path.lexists(self._part):  # it was not completed
                os.unlink(self._part)
