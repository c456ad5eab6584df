"""The command line of the client: each operation once, with results as lines for a script.

Fields are separated by tabs. By default the service reads and writes the files; with --stream this program reads them
(WAV) and sends the audio, for files that the service may not read.
"""
import argparse
import os
import sys

import grpc

from . import TIMEOUT_S, Client, Problem, WavFile, WavWriter
from . import follow as follow_session
from .v1 import audio_pb2, library_pb2, operations_pb2, session_pb2

CLOSED_PIPE = 141  # as the shell has it for SIGPIPE


def line(*fields):
    """Prints fields, separated by tabs, at once."""
    print(*fields, sep="\t", flush=True)


def source(file, options):
    """What a call takes: a path for the service, or a WAV file that this program sends."""
    return WavFile(file) if options.stream else file


def number(value, places):
    """A number as text; empty where there is none."""
    return "" if value is None else f"{value:.{places}f}"


def optional(message, field):
    """A field's value, None where it is not set."""
    return getattr(message, field) if message.HasField(field) else None


def flag_words(flags):
    """Flags in words, separated by spaces."""
    return " ".join(audio_pb2.Flag.Name(flag).replace("FLAG_", "").lower() for flag in flags)


def info(client, options):
    """Prints facts about the service, named as in the contract."""
    facts = client.info()
    line("fact", "value")
    line("version", facts.version)
    for folder in facts.granted_folders:
        line("granted_folders", folder)
    for limit, value in facts.limits.ListFields():
        line(limit.name, value)
    for extension in facts.input_formats:
        line("input_formats", extension)
    for extension in facts.output_formats:
        line("output_formats", extension)
    if facts.http_port:
        line("http_port", facts.http_port)
    line("cores", facts.cores)


def segment(client, options):
    """Prints the kept regions of one take."""
    regions, rate = client.segment(source(options.file, options))
    line("start_s", "onset_s", "end_s", "note")
    kept = [region for region in regions if region.status == operations_pb2.REGION_STATUS_KEPT]
    for region in kept:
        frames = (region.start_frame, region.onset_frame, region.end_frame)
        line(*(f"{frame / rate:.6f}" for frame in frames), region.pitch.note)
    if len(kept) < len(regions):
        print(f"{len(regions) - len(kept)} more sounds were no notes of the instrument", file=sys.stderr)


def analyse(client, options):
    """Prints what is heard in each sample; goes on past a bad file."""
    line("file", "note", "cents", "level_lufs")
    failed = 0
    for file in options.files:
        try:
            facts = client.analyse(source(file, options))
        except (Problem, grpc.RpcError) as error:
            if is_about_connection(error):
                raise
            failed += 1
            message = explain(error, options.server)
            say(message if os.path.basename(file) in message else f"{file}: {message}")
            continue
        cents = facts.pitch.cents if facts.HasField("pitch") else None
        line(file, facts.pitch.note, number(cents, 1), number(optional(facts, "level_lufs"), 1))
    return 0 if failed == 0 else 1 if failed < len(options.files) else 2


def change(method, options, **settings):
    """One operation that makes sound: written by the service, or sent back and written here. Its report."""
    settings = {name: value for name, value in settings.items() if value is not None}
    if not options.stream:
        return method(options.file, output=options.out, **settings)[1]
    with WavWriter(options.out) as writer:
        sink = lambda part: writer.write(part) if isinstance(part, bytes) else writer.begin(part)
        return method(WavFile(options.file), sink=sink, **settings)[1]


def denoise(client, options):
    """Removes the noise of the room."""
    report = change(client.denoise, options, amount_db=options.amount_db)
    line("floor_before_dbfs", "floor_after_dbfs", "flags")
    floors = [number(optional(report, field), 1) for field in ("floor_before_dbfs", "floor_after_dbfs")]
    line(*floors, flag_words(report.flags))


def retune(client, options):
    """Moves a sample to its nearest note, or by a number of cents."""
    report = change(client.retune, options, cents=options.cents)
    line("note", "moved_cents", "flags")
    line(report.before.note, number(report.moved_cents, 1), flag_words(report.flags))


def layer(client, options):
    """Puts a sample in a computed room."""
    report = change(client.layer, options, wet_db=options.wet_db)
    line("frames", "gain_db")
    line(report.frames, number(report.gain_db, 1))


def build(client, options):
    """Starts a build and watches it; it goes on if this program ends."""
    watch_build(client, client.start_build(options.sheet, options.out).build_id)


def watch(client, options):
    """Watches a build that somebody started."""
    watch_build(client, options.id)


def resume(client, options):
    """Continues a build that was cut off, and watches it."""
    watch_build(client, client.resume_build(options.id).build_id)


def watch_build(client, build_id):
    """Prints the id of a build, its progress and its result."""
    line("build", build_id)
    for response in client.watch_build(build_id):
        if response.HasField("progress"):
            progress = response.progress
            step = library_pb2.BuildStep.Name(progress.step).replace("BUILD_STEP_", "").lower()
            line("progress", number(progress.done, 2), step, progress.take)
        elif response.HasField("result"):
            result = response.result
            for warning in result.warnings:
                print(f"warning: {warning}", file=sys.stderr)
            line("result", result.samples, result.missing, result.flagged, result.left_out, result.index_file)


FACTS = ("library", "articulation", "layer", "midi", "dynamic", "rr")


def name(client, options):
    """Prints the name for some facts, or the facts in a name."""
    if options.name is None:
        facts = {fact: getattr(options, fact) for fact in FACTS if getattr(options, fact) is not None}
        print(client.format_name(**facts))
        return
    facts = client.parse_name(options.name)
    line(*FACTS)
    line(*("" if (value := optional(facts, fact)) is None else value for fact in FACTS))


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


def cell_name(cell):
    """A cell of the sheet in words."""
    return " ".join(filter(None, [str(cell.midi) if cell.HasField("midi") else "", cell.dynamic, f"rr{cell.rr}"]))


def follow(client, options):
    """Prints one line per note during the session; a later line with its number replaces it."""
    pcm = pcm_format(options.pcm)
    try:
        with open(options.sheet, encoding="utf-8") as file:
            sheet = file.read()
    except (OSError, UnicodeDecodeError) as error:
        raise Problem(f"{options.sheet} cannot be read") from error
    config = session_pb2.FollowSessionConfig(sheet_text=sheet, take=options.take, format=pcm)
    pieces = iter(lambda: os.read(sys.stdin.fileno(), 64 * 1024), b"")  # what has arrived by now
    for response in follow_session(client, config, pieces, say):
        if response.HasField("note"):
            note = response.note
            line(
                "note",
                note.number,
                f"{note.onset_frame / pcm.sample_rate_hz:.6f}",
                f"{note.end_frame / pcm.sample_rate_hz:.6f}",
                note.pitch.note,
                number(note.pitch.cents if note.HasField("pitch") else None, 1),
                session_pb2.NoteStatus.Name(note.status).replace("NOTE_STATUS_", "").lower(),
                cell_name(note.cell) if note.HasField("cell") else "",
                flag_words(note.flags),
            )
        elif response.HasField("missing"):
            cells = response.missing.cells
            line("missing", len(cells), ", ".join(map(cell_name, cells)))


def say(message):
    """A line for the user."""
    print(f"takewright: {message}", file=sys.stderr)


def is_about_connection(error):
    """Whether no other file will fare better."""
    return isinstance(error, grpc.RpcError) and error.code() in (
        grpc.StatusCode.UNAVAILABLE,
        grpc.StatusCode.UNAUTHENTICATED,
    )


def explain(error, server):
    """What went wrong, and the remedy."""
    if isinstance(error, Problem):
        return str(error)
    code, details = error.code(), error.details()
    if code == grpc.StatusCode.UNAVAILABLE:
        return explain_connection(details or "", server)
    if code == grpc.StatusCode.DEADLINE_EXCEEDED:
        return f"{code.name}: {details}; --timeout gives a call more seconds"
    if code == grpc.StatusCode.PERMISSION_DENIED:
        return f"{code.name}: {details}, or send the audio with --stream"
    return f"{code.name}: {details}"


def explain_connection(details, server):
    """Why there is no connection: the libraries tell it in words only."""
    said = details.lower()
    if "stopping" in said:
        return details
    if "certificate verify failed" in said:
        return f"the certificate of {server} is not signed by the CA that --tls-ca names; name the right one"
    if "wrong version number" in said:
        return f"the service at {server} does not use TLS; leave --tls-ca out"
    if "socket closed" in said or "read failed" in said or "certificate required" in said or "reset" in said:
        return (
            f"{server} closed the connection; if the service uses TLS, name its CA with --tls-ca; if it wants clients"
            " to have a certificate, use ./takewright with --tls-cert and --tls-key"
        )
    return f"no service answers at {server}; start one with ./takewright serve --allow FOLDER"


def parse(words):
    parser = argparse.ArgumentParser(
        prog="takewright-client", description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    connection = argparse.ArgumentParser(add_help=False)
    connection.add_argument(
        "--server", default="127.0.0.1:7171", metavar="HOST:PORT", help="where the service listens (%(default)s)"
    )
    connection.add_argument("--token-file", metavar="FILE", help="file with its token (~/.takewright/token-PORT)")
    connection.add_argument(
        "--tls-ca", metavar="FILE", help="certificate of the CA of a service on another machine (PEM)"
    )
    connection.add_argument(
        "--timeout", type=float, default=TIMEOUT_S, metavar="SECONDS", help="how long a call may take (%(default)g)"
    )
    connection.add_argument("--stream", action="store_true", help="read and write WAV files here and send the audio")
    commands = parser.add_subparsers(dest="command", required=True)

    def command(run, about, *positional):
        sub = commands.add_parser(run.__name__, parents=[connection], help=about)
        for word in positional:
            sub.add_argument(word.lower().rstrip("."), metavar=word.rstrip("."), nargs="+" if word[-1] == "." else None)
        sub.set_defaults(run=run)
        return sub

    command(info, "print the version, limits and folders of the service")
    command(segment, "print the regions of a take", "FILE")
    many = command(analyse, "print what is heard in samples")
    many.add_argument("files", metavar="FILE", nargs="+")
    command(denoise, "remove the noise of the room", "FILE", "OUT").add_argument(
        "--amount-db", type=float, metavar="DB", help="how far the floor is lowered (24)"
    )
    command(retune, "move a sample to its nearest note", "FILE", "OUT").add_argument(
        "--cents", type=float, metavar="CENTS", help="move it by this instead"
    )
    command(layer, "put a sample in a computed room", "FILE", "OUT").add_argument(
        "--wet-db", type=float, metavar="DB", help="level of the room (-6)"
    )
    names = command(name, "print the name for facts, or the facts in a name")
    names.add_argument("name", metavar="NAME", nargs="?")
    for fact in FACTS:
        names.add_argument("--" + fact, type=int if fact in ("midi", "rr") else str, metavar=fact.upper())
    command(build, "build a library, and watch it", "SHEET", "OUT")
    command(watch, "watch a build", "ID")
    command(resume, "continue a build that was cut off", "ID")
    live = command(follow, "follow a session while it is recorded", "SHEET")
    live.add_argument("--take", default="", metavar="NAME", help="the take of the sheet (the only one)")
    live.add_argument(
        "--pcm",
        required=True,
        metavar="ENCODING,HZ,CH",
        help="format of standard input: int16, int24, int32 or float32, sample rate, channels",
    )
    return parser.parse_args(words)


def main(words=None):
    """Runs a command; its exit status: 0 done, 1 some of several files failed, 2 nothing could be done."""
    options = parse(words)
    try:
        with Client(options.server, options.token_file, options.tls_ca, options.timeout) as client:
            return options.run(client, options) or 0
    except (Problem, grpc.RpcError) as error:
        say(explain(error, options.server))
        return 2
    except BrokenPipeError:
        # Whoever read the lines has gone; Python must not try to write the rest as it ends.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return CLOSED_PIPE
    except KeyboardInterrupt:
        return 130


if __name__ == "__main__":
    try:
        status = main()
    except OSError as error:
        say(f"{error.filename or 'output'}: {error.strerror}")
        status = 2
    sys.stdout.flush()
    os._exit(status)  # a thread may still wait for standard input
