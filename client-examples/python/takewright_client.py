#!/usr/bin/env python3
"""A small client of the Takewright service, to copy from.

    takewright_client.py segment FILE       the regions of a take, one line each
    takewright_client.py analyse FILE...    note, cents and loudness of samples, one line each
    takewright_client.py follow SHEET --pcm int24,48000,2
                                            follows raw audio on standard input: prints one line
                                            per note, and the cells that are still missing

The service reads the files; with --stream this program reads them (WAV) and streams the audio. Fields are
separated by tabs, so that a script can make markers from the lines.
"""
import argparse
import os
import sys
import wave

HERE = os.path.dirname(os.path.abspath(__file__))
sys.path.insert(0, os.path.join(HERE, "generated"))

try:
    import grpc
    from takewright.v1 import audio_pb2, operations_pb2, operations_pb2_grpc, session_pb2, session_pb2_grpc
except ImportError as error:
    if error.name and error.name.startswith("takewright"):
        remedy = "run " + os.path.join(HERE, "generate.sh") + " once"
    else:
        remedy = "pip install grpcio protobuf, or on Debian: apt install python3-grpcio python3-protobuf"
    print(f"takewright: {error}; {remedy}", file=sys.stderr)
    sys.exit(2)

CHUNK_BYTES = 256 * 1024  # the service takes messages of up to 1 MiB
ENCODINGS = {  # by bytes per sample, as the wave module reads them
    2: audio_pb2.PCM_ENCODING_INT16,
    3: audio_pb2.PCM_ENCODING_INT24,
    4: audio_pb2.PCM_ENCODING_INT32,
}


class Problem(Exception):
    """A problem to report to the user in one line."""


def from_path(file, request, config):
    """The request of a call whose audio the service reads from a path."""
    if not os.path.isfile(file):
        raise Problem(f"{file} does not exist")
    # The service has another working directory, so it needs the absolute path.
    source = audio_pb2.AudioInput(file=os.path.realpath(file))
    return iter([request(config=config(input=source))])


def from_stream(file, request, config):
    """The requests of a call that carries the audio: settings first, then PCM in pieces."""
    try:
        sound = wave.open(file, "rb")
    except OSError as error:
        raise Problem(f"{file}: {error.strerror}") from error
    except (wave.Error, EOFError) as error:
        raise Problem(
            f"{file} is no WAV that Python reads ({error}); leave out --stream and let the service read it"
        ) from error
    width = sound.getsampwidth()
    if width not in ENCODINGS:
        raise Problem(f"{file} has {8 * width} bits a sample; 16, 24 or 32 are needed")
    pcm = audio_pb2.PcmFormat(
        encoding=ENCODINGS[width],
        sample_rate_hz=sound.getframerate(),
        channels=sound.getnchannels(),
    )

    # gRPC asks for the next request only when it can send it, so only one piece is in memory.
    def requests():
        with sound:
            yield request(config=config(input=audio_pb2.AudioInput(pcm=pcm)))
            frames = CHUNK_BYTES // (width * sound.getnchannels())
            while piece := sound.readframes(frames):
                yield request(audio=piece)

    return requests()


def segment(channel, options):
    """Prints the kept regions of one take."""
    service = operations_pb2_grpc.OperationsServiceStub(channel)
    requests = from_stream if options.stream else from_path
    calls = requests(options.files[0], operations_pb2.SegmentRequest, operations_pb2.SegmentConfig)
    print("start_s", "onset_s", "end_s", "note", sep="\t")
    # Regions are in frames, and only the summary holds the rate, so they are kept until then.
    kept, rejected, rate = [], 0, None
    for response in service.Segment(calls, metadata=options.metadata):
        if response.HasField("region"):
            if response.region.status == operations_pb2.REGION_STATUS_KEPT:
                kept.append(response.region)
            else:
                rejected += 1
        elif response.HasField("summary"):
            rate = response.summary.sample_rate_hz
    for region in kept:
        note = region.pitch.note if region.HasField("pitch") else ""
        seconds = [
            f"{frame / rate:.6f}" for frame in (region.start_frame, region.onset_frame, region.end_frame)
        ]
        print(*seconds, note, sep="\t")
    if rejected:
        print(f"{rejected} more sounds were no notes of the instrument", file=sys.stderr)


def analyse(channel, options):
    """Prints what is heard in each sample."""
    service = operations_pb2_grpc.OperationsServiceStub(channel)
    requests = from_stream if options.stream else from_path
    print("file", "note", "cents", "level_lufs", sep="\t")
    for file in options.files:
        calls = requests(file, operations_pb2.AnalyseRequest, operations_pb2.AnalyseConfig)
        # A deadline, so that a script never waits forever.
        for response in service.Analyse(calls, metadata=options.metadata, timeout=60):
            if response.HasField("facts"):
                facts = response.facts
                pitched = facts.HasField("pitch")
                print(
                    file,
                    facts.pitch.note if pitched else "",
                    f"{facts.pitch.cents:.1f}" if pitched else "",
                    f"{facts.level_lufs:.1f}" if facts.HasField("level_lufs") else "",
                    sep="\t",
                )


def pcm_format(text):
    """Reads the value of --pcm, for instance int24,48000,2."""
    try:
        encoding, rate, channels = text.split(",")
        return audio_pb2.PcmFormat(
            encoding=audio_pb2.PcmEncoding.Value("PCM_ENCODING_" + encoding.upper()),
            sample_rate_hz=int(rate),
            channels=int(channels),
        )
    except ValueError as error:
        raise Problem(f"--pcm {text} is not of the form int24,48000,2 (encoding, hertz, channels)") from error


def follow(channel, options):
    """Prints one line per note during the session; a later line with its number replaces it."""
    pcm = pcm_format(options.pcm)
    try:
        with open(options.sheet, encoding="utf-8") as file:
            sheet = file.read()
    except (OSError, UnicodeDecodeError) as error:
        raise Problem(f"{options.sheet} cannot be read") from error

    def requests():
        config = session_pb2.FollowSessionConfig(sheet_text=sheet, take=options.take, format=pcm)
        yield session_pb2.FollowSessionRequest(config=config)
        # What has arrived by now, and never more than the service accepts in one message.
        while piece := os.read(sys.stdin.fileno(), CHUNK_BYTES):
            yield session_pb2.FollowSessionRequest(audio=piece)

    def cell(cell):
        return " ".join(filter(None, [str(cell.midi) if cell.HasField("midi") else "", cell.dynamic, f"rr{cell.rr}"]))

    service = session_pb2_grpc.SessionServiceStub(channel)
    for response in service.FollowSession(requests(), metadata=options.metadata):
        if response.HasField("note"):
            note = response.note
            line = [
                "note",
                note.number,
                f"{note.onset_frame / pcm.sample_rate_hz:.6f}",
                f"{note.end_frame / pcm.sample_rate_hz:.6f}",
                note.pitch.note,
                f"{note.pitch.cents:.1f}" if note.HasField("pitch") else "",
                session_pb2.NoteStatus.Name(note.status).replace("NOTE_STATUS_", "").lower(),
                cell(note.cell) if note.HasField("cell") else "",
                " ".join(audio_pb2.Flag.Name(flag).replace("FLAG_", "").lower() for flag in note.flags),
            ]
        elif response.HasField("missing"):
            cells = response.missing.cells
            line = ["missing", len(cells), ", ".join(map(cell, cells))]
        else:
            continue
        print(*line, sep="\t", flush=True)


def explain(error, server):
    """What went wrong in a call, and the remedy."""
    code, said = error.code(), error.details()
    if code == grpc.StatusCode.UNAVAILABLE:
        return f"no service answers at {server}; start one with ./takewright serve --allow FOLDER"
    if code == grpc.StatusCode.PERMISSION_DENIED:
        return f"{code.name}: {said}, or send the audio with --stream"
    return f"{code.name}: {said}"


def main():
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    connection = argparse.ArgumentParser(add_help=False)
    connection.add_argument(
        "--server", default="127.0.0.1:7171", metavar="HOST:PORT", help="where the service listens (%(default)s)"
    )
    connection.add_argument(
        "--token-file", metavar="FILE", help="file with its token (~/.takewright/token-PORT)"
    )
    connection.add_argument("--stream", action="store_true", help="read the WAV file here and stream the audio")
    commands = parser.add_subparsers(dest="command", required=True)
    one = commands.add_parser("segment", parents=[connection], help="print the regions of a take")
    one.add_argument("files", nargs=1, metavar="FILE")
    one.set_defaults(run=segment)
    many = commands.add_parser("analyse", parents=[connection], help="print what is heard in samples")
    many.add_argument("files", nargs="+", metavar="FILE")
    many.set_defaults(run=analyse)
    live = commands.add_parser("follow", parents=[connection], help="follow a session while it is recorded")
    live.add_argument("sheet", metavar="SHEET")
    live.add_argument("--take", default="", metavar="NAME", help="the take of the sheet (the only one)")
    live.add_argument(
        "--pcm", required=True, metavar="ENCODING,HZ,CH", help="format of standard input: int16, int24, int32 or float32"
    )
    live.set_defaults(run=follow)
    options = parser.parse_args()

    token_file = options.token_file or os.path.expanduser(
        "~/.takewright/token-" + options.server.rpartition(":")[2]
    )
    try:
        with open(token_file, encoding="ascii") as file:
            token = file.read().strip()
    except (OSError, UnicodeDecodeError) as error:
        raise Problem(
            f"{token_file} cannot be read; ./takewright serve writes it as it starts and names it"
        ) from error
    options.metadata = [("authorization", "Bearer " + token)]
    # A proxy of the environment is for other machines, not for a service on this one.
    with grpc.insecure_channel(options.server, options=[("grpc.enable_http_proxy", 0)]) as channel:
        try:
            options.run(channel, options)
        except grpc.RpcError as error:
            raise Problem(explain(error, options.server)) from error


if __name__ == "__main__":
    try:
        main()
    except Problem as problem:
        print(f"takewright: {problem}", file=sys.stderr)
        sys.exit(2)
