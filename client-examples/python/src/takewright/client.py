"""A client of the Takewright service: each operation on a file that the service reads, or on audio of this program."""
import os
from typing import Any, Callable, Iterable, Iterator, List, Optional, Tuple, Union

import grpc

from .errors import Problem
from .v1 import (
    audio_pb2,
    library_pb2,
    library_pb2_grpc,
    naming_pb2,
    naming_pb2_grpc,
    operations_pb2,
    operations_pb2_grpc,
    server_pb2,
    server_pb2_grpc,
    session_pb2_grpc,
)
from .wav import Sound, WavFile

Source = Union[str, os.PathLike, Sound, WavFile]
Sink = Callable[[Union[audio_pb2.PcmFormat, bytes]], None]

#: How long a call may take, in seconds.
TIMEOUT_S = 600.0


def is_loopback(server: str) -> bool:
    """Whether an address is one of this machine, which no proxy leads to."""
    host = server.rpartition(":")[0].strip("[]")
    return host == "localhost" or host == "::1" or host.startswith("127.")


def token_file_of(server: str) -> str:
    """Where a service of the same user writes its token."""
    return os.path.expanduser("~/.takewright/token-" + server.rpartition(":")[2])


class Client:
    """A connection to a service.

    :param server: host and port
    :param token_file: the file with the service's token; by default the one that a service of this user writes
    :param tls_ca: a file with the certificate of the authority that signed the service's; None for a service of this
        machine, which needs none
    :param timeout_s: how long a call may take, in seconds
    :raises Problem: if a file cannot be read
    :raises grpc.RpcError: from each call that the service refuses, with what to do in its details
    """

    def __init__(
        self,
        server: str = "127.0.0.1:7171",
        token_file: Optional[str] = None,
        tls_ca: Optional[str] = None,
        timeout_s: float = TIMEOUT_S,
    ):
        self.server = server
        self.timeout_s = timeout_s
        self.token_file = token_file or token_file_of(server)
        self.metadata  # says at once where it cannot be read
        # A proxy of the environment is for other machines, not for a service on this one.
        options = [("grpc.enable_http_proxy", 0 if is_loopback(server) else 1)]
        if tls_ca is None:
            self._channel = grpc.insecure_channel(server, options=options)
        else:
            try:
                with open(tls_ca, "rb") as file:
                    credentials = grpc.ssl_channel_credentials(file.read())
            except OSError as error:
                raise Problem(f"{tls_ca}: {error.strerror}; give the CA's certificate (PEM)") from error
            self._channel = grpc.secure_channel(server, credentials, options=options)
        self._operations = operations_pb2_grpc.OperationsServiceStub(self._channel)
        self._libraries = library_pb2_grpc.LibraryServiceStub(self._channel)
        self._server = server_pb2_grpc.ServerServiceStub(self._channel)
        self._names = naming_pb2_grpc.NamingServiceStub(self._channel)
        self.sessions = session_pb2_grpc.SessionServiceStub(self._channel)

    @property
    def metadata(self) -> Tuple[Tuple[str, str], ...]:
        """What each call sends along: the token, read anew, since a service that starts again has another."""
        try:
            with open(self.token_file, encoding="ascii") as file:
                return (("authorization", "Bearer " + file.read().strip()),)
        except (OSError, UnicodeDecodeError) as error:
            raise Problem(
                f"{self.token_file} cannot be read; ./takewright serve writes it as it starts and names it"
            ) from error

    def close(self) -> None:
        """Ends the connection."""
        self._channel.close()

    def __enter__(self) -> "Client":
        return self

    def __exit__(self, *_: Any) -> None:
        self.close()

    def info(self) -> server_pb2.GetServerInfoResponse:
        """The service's version, limits and formats, and the folders whose files it may read and write."""
        request = server_pb2.GetServerInfoRequest()
        return self._server.GetServerInfo(request, metadata=self.metadata, timeout=self.timeout_s)

    def segment(self, take: Source, **settings: Any) -> Tuple[List[operations_pb2.Region], int]:
        """The regions of a take, and its sample rate in hertz.

        :param settings: fields of SegmentConfig, for instance ``lead_in_ms=20``
        """
        regions, rate = [], 0
        for response in self._call(self._operations.Segment, "Segment", take, settings):
            if response.HasField("region"):
                regions.append(response.region)
            elif response.HasField("input"):
                rate = response.input.sample_rate_hz
        return regions, rate

    def analyse(self, sample: Source, **settings: Any) -> operations_pb2.SampleFacts:
        """What is heard in a sample. :param settings: fields of AnalyseConfig"""
        facts = operations_pb2.SampleFacts()
        for response in self._call(self._operations.Analyse, "Analyse", sample, settings):
            if response.HasField("facts"):
                facts = response.facts
        return facts

    def denoise(self, sound: Source, output: Optional[str] = None, sink: Optional[Sink] = None, **settings: Any):
        """Removes the noise of the room; see :meth:`retune` for what it takes and returns."""
        return self._change(self._operations.Denoise, "Denoise", sound, output, sink, settings)

    def retune(self, sound: Source, output: Optional[str] = None, sink: Optional[Sink] = None, **settings: Any):
        """Moves the pitch of a sample.

        :param sound: a path that the service reads, or audio of this program
        :param output: a path that the service writes; else the sound is returned
        :param sink: takes the format and then each piece of the result, so that not all of it is in memory
        :param settings: fields of RetuneConfig, for instance ``cents=-14``
        :returns: the result, None where it went to ``output`` or ``sink``, and the report
        """
        return self._change(self._operations.Retune, "Retune", sound, output, sink, settings)

    def layer(self, sound: Source, output: Optional[str] = None, sink: Optional[Sink] = None, **settings: Any):
        """Puts a sample in a room or through effects; see :meth:`retune` for what it takes and returns."""
        return self._change(self._operations.Layer, "Layer", sound, output, sink, settings)

    def format_name(self, style: Optional[naming_pb2.NamingStyle] = None, **facts: Any) -> str:
        """The file name of a sample, without extension, for instance ``library="Larkfell", midi=61``."""
        request = naming_pb2.FormatNameRequest(style=style, facts=naming_pb2.NameFacts(**facts))
        return self._names.FormatName(request, metadata=self.metadata, timeout=self.timeout_s).name

    def parse_name(self, name: str, style: Optional[naming_pb2.NamingStyle] = None) -> naming_pb2.NameFacts:
        """The facts in a file name."""
        request = naming_pb2.ParseNameRequest(style=style, name=name)
        return self._names.ParseName(request, metadata=self.metadata, timeout=self.timeout_s).facts

    def start_build(self, sheet: str, output_folder: str, **settings: Any) -> library_pb2.Build:
        """Starts a build, which goes on without its caller. :param settings: fields of StartBuildRequest"""
        request = library_pb2.StartBuildRequest(
            sheet_file=os.path.abspath(sheet), output_folder=os.path.abspath(output_folder), **settings
        )
        return self._libraries.StartBuild(request, metadata=self.metadata, timeout=self.timeout_s).build

    def resume_build(self, build_id: str) -> library_pb2.Build:
        """Continues a build that was cancelled, failed or was cut off by the end of its service."""
        request = library_pb2.ResumeBuildRequest(build_id=build_id)
        return self._libraries.ResumeBuild(request, metadata=self.metadata, timeout=self.timeout_s).build

    def watch_build(self, build_id: str) -> Iterator[library_pb2.WatchBuildResponse]:
        """The progress of a build, then its result once the pictures of its report are there too; without a deadline."""
        request = library_pb2.WatchBuildRequest(build_id=build_id, with_pictures=True)
        return self._libraries.WatchBuild(request, metadata=self.metadata)

    def _call(self, method: Any, name: str, source: Source, settings: dict) -> Iterator[Any]:
        request = getattr(operations_pb2, name + "Request")
        config = getattr(operations_pb2, name + "Config")
        if isinstance(source, (Sound, WavFile)):
            audio_input, pieces = audio_pb2.AudioInput(pcm=source.format), source.pieces()
        else:
            if not os.path.isfile(source):
                raise Problem(f"{source} " + ("is not a file" if os.path.exists(source) else "does not exist"))
            # The service has another working directory, so it needs the absolute path.
            audio_input, pieces = audio_pb2.AudioInput(file=os.path.realpath(source)), iter(())

        def requests(pieces: Iterable[bytes]) -> Iterator[Any]:
            yield request(config=config(input=audio_input, **settings))
            # gRPC asks for the next request only when it can send it, so only one piece is in memory.
            for piece in pieces:
                yield request(audio=piece)

        return method(requests(pieces), metadata=self.metadata, timeout=self.timeout_s)

    def _change(
        self, method: Any, name: str, source: Source, output: Optional[str], sink: Optional[Sink], settings: dict
    ) -> Tuple[Optional[Sound], Any]:
        if output is not None:
            target = audio_pb2.AudioOutput(file=os.path.abspath(output))
        elif isinstance(source, (Sound, WavFile)):
            target = audio_pb2.AudioOutput(pcm=source.format.encoding)
        else:
            target = audio_pb2.AudioOutput(pcm=audio_pb2.PCM_ENCODING_INT24)
        pcm, data, report = None, bytearray(), None
        for response in self._call(method, name, source, dict(settings, output=target)):
            if response.HasField("format"):
                pcm = response.format
                if sink:
                    sink(pcm)
            elif response.HasField("audio"):
                if sink:
                    sink(response.audio)
                else:
                    data += response.audio
            elif response.HasField("report"):
                report = response.report
        return (Sound(pcm, bytes(data)) if pcm is not None and not sink else None), report
