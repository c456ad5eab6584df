package takewright.cli;

import com.google.protobuf.InvalidProtocolBufferException;
import com.google.protobuf.util.JsonFormat;
import io.grpc.StatusRuntimeException;
import java.io.IOException;
import java.io.InputStream;
import java.nio.ByteBuffer;
import java.nio.ByteOrder;
import java.nio.file.Path;
import java.util.Arrays;
import java.util.Locale;
import java.util.concurrent.Callable;
import java.util.concurrent.TimeUnit;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import picocli.CommandLine.Command;
import picocli.CommandLine.Mixin;
import picocli.CommandLine.Option;
import picocli.CommandLine.Parameters;
import picocli.CommandLine.ParentCommand;
import takewright.audio.AudioFile;
import takewright.audio.original.AtomicFile;
import takewright.cli.connect.Backlog;
import takewright.cli.connect.Connection;
import takewright.cli.connect.SessionFollower;
import takewright.cli.option.LocalFiles;
import takewright.cli.show.FollowDisplay;
import takewright.cli.show.Sets;
import takewright.cli.show.Terminal;
import takewright.v1.FollowSessionConfig;
import takewright.v1.FollowSessionResponse;
import takewright.v1.OpenBoardRequest;
import takewright.v1.PcmEncoding;
import takewright.v1.PcmFormat;
import takewright.v1.SessionDecisions;
import takewright.v1.SessionServiceGrpc;

@Command(
    name = "follow",
    mixinStandardHelpOptions = true,
    description =
        "Listens while a take is recorded, and prints what was played and what is missing.")
final class FollowCommand implements Callable<Integer> {
  private static final JsonFormat.Printer JSON =
      JsonFormat.printer().alwaysPrintFieldsWithNoPresence().omittingInsignificantWhitespace();

  private static final Pattern PCM =
      Pattern.compile(
          "(?<encoding>int16|int24|int32|float32),(?<rate>[1-9]\\d{0,5}),(?<channels>[1-9]\\d?)");

  /** Pieces per second of audio: 40 ms each, so that little is heard late. */
  private static final int PIECES = 25;

  @ParentCommand private Main main;
  @Mixin private Connection connection;

  @Parameters(index = "0", paramLabel = "SHEET", description = "The sheet (YAML).")
  @Sets("config.sheet_file")
  private Path sheet;

  @Parameters(
      index = "1",
      arity = "0..1",
      paramLabel = "FILE",
      description =
          "A recorded take to play through. Default: raw audio from standard input,"
              + " see --pcm.")
  private Path file;

  @Option(
      names = "--take",
      paramLabel = "NAME",
      description = "The take of the sheet, by its file name there. Default: the only one.")
  private String take = "";

  @Option(
      names = "--pcm",
      paramLabel = "ENCODING,RATE,CHANNELS",
      description =
          "Format of standard input: int16, int24, int32 or float32, little-endian;"
              + " for instance int24,48000,2.")
  @Sets("config.format")
  private String pcm;

  @Option(
      names = "--speed",
      paramLabel = "N",
      description = "Plays FILE at this many times real time. Default: as fast as possible.")
  private Double speed;

  @Option(
      names = "--board",
      description =
          "Prints where a browser shows the session's board: the next note, what was just heard,"
              + " what is missing, the levels; notes are decided on by touch.")
  private boolean board;

  @Option(
      names = "--decisions",
      paramLabel = "OUT",
      description =
          "Writes what is decided on the board to this file, for build --decisions. The times fit"
              + " a take whose recording begins with the session.")
  private Path decisions;

  @Option(names = "--json", description = "Prints each report as a line of JSON.")
  private boolean json;

  @Option(names = "--strict", description = "Exit with status 1 if cells are missing at the end.")
  private boolean strict;

  private FollowDisplay display;
  private Connection.OpenConnection session;
  private String sessionId = "";
  private String takeName = "";
  private double rate;

  @Override
  public Integer call() throws IOException {
    if ((file == null) == (pcm == null)) {
      throw new IllegalArgumentException(
          "give either FILE or --pcm, for raw audio from standard input");
    }
    if (speed != null && (file == null || !(speed > 0))) {
      throw new IllegalArgumentException(
          file == null
              ? "--speed is for a FILE; leave it out, as --pcm is heard as it comes"
              : "--speed must be above 0; leave it out to play FILE as fast as possible");
    }
    if (decisions != null) {
      // At the end of a take is too late to hear that the file cannot be written.
      AtomicFile.requireWritable(LocalFiles.toWrite(decisions));
    }
    try (AudioFile audio = file == null ? null : AudioFile.open(file);
        Connection.OpenConnection opened = connection.open()) {
      session = opened;
      PcmFormat format = format(audio);
      rate = format.getSampleRateHz();
      display = new FollowDisplay(main.out, Terminal.showsOutput(), Terminal.width(), rate);
      int frameBytes = frameBytes(format);
      Backlog backlog = new Backlog(audio == null ? rate * frameBytes : 0);
      SessionFollower follower =
          new SessionFollower(
              session,
              FollowSessionConfig.newBuilder()
                  .setSheetFile(LocalFiles.absolute(sheet))
                  .setTake(take)
                  .setFormat(format)
                  .build(),
              frameBytes,
              backlog,
              this::hear,
              main::complain);
      Thread reader = new Thread(() -> read(audio, frameBytes, backlog), "follow-reader");
      reader.setDaemon(true);
      reader.start();
      try {
        follower.run();
      } finally {
        reader.interrupt();
      }
      if (!json) {
        display.end();
      }
      boolean isIncomplete = follower.lostFrames() > 0 || display.missing() > 0;
      return strict && isIncomplete ? Main.NEEDS_A_LOOK : Main.DONE;
    }
  }

  /** Reads the source to its end, whatever the service does meanwhile. */
  private void read(AudioFile audio, int frameBytes, Backlog backlog) {
    try {
      if (audio == null) {
        readInput(backlog, (int) (frameBytes * rate / PIECES));
      } else {
        readFile(audio, backlog);
      }
      backlog.end(null);
    } catch (IOException e) {
      backlog.end(e);
    } catch (InterruptedException e) {
      backlog.end(new IOException("interrupted", e));
    } catch (RuntimeException | Error e) {
      backlog.end(new IOException("the audio cannot be read any further: " + e, e));
    }
  }

  private static int frameBytes(PcmFormat format) {
    int sampleBytes =
        switch (format.getEncoding()) {
          case PCM_ENCODING_INT16 -> 2;
          case PCM_ENCODING_INT24 -> 3;
          default -> 4;
        };
    return sampleBytes * format.getChannels();
  }

  private PcmFormat format(AudioFile audio) {
    if (audio != null) {
      return PcmFormat.newBuilder()
          .setEncoding(PcmEncoding.PCM_ENCODING_FLOAT32)
          .setSampleRateHz(audio.sampleRate())
          .setChannels(audio.channels())
          .build();
    }
    Matcher words = PCM.matcher(pcm);
    if (!words.matches()) {
      throw new IllegalArgumentException("--pcm must be like int24,48000,2, not " + pcm);
    }
    String encoding = "PCM_ENCODING_" + words.group("encoding").toUpperCase(Locale.ROOT);
    return PcmFormat.newBuilder()
        .setEncoding(PcmEncoding.valueOf(encoding))
        .setSampleRateHz(Integer.parseInt(words.group("rate")))
        .setChannels(Integer.parseInt(words.group("channels")))
        .build();
  }

  private void readFile(AudioFile audio, Backlog backlog) throws IOException, InterruptedException {
    int piece = audio.sampleRate() / PIECES;
    float[][] block = new float[audio.channels()][piece];
    long began = System.nanoTime();
    long read = 0;
    for (int n; (n = audio.read(block, 0, piece)) >= 0; ) {
      ByteBuffer bytes = ByteBuffer.allocate(4 * n * block.length).order(ByteOrder.LITTLE_ENDIAN);
      for (int i = 0; i < n; i++) {
        for (float[] channel : block) {
          bytes.putFloat(channel[i]);
        }
      }
      read += n;
      if (speed != null) {
        long left = began + (long) (1e9 * read / rate / speed) - System.nanoTime();
        if (left > 0) {
          TimeUnit.NANOSECONDS.sleep(left);
        }
      }
      if (n > 0) {
        backlog.add(bytes.array());
      }
    }
  }

  private static void readInput(Backlog backlog, int max) throws IOException, InterruptedException {
    byte[] piece = new byte[Math.max(64, max)];
    InputStream in = System.in;
    // Whatever is there by now.
    for (int n; (n = in.read(piece)) >= 0; ) {
      if (n > 0) {
        backlog.add(Arrays.copyOf(piece, n));
      }
    }
  }

  private void hear(FollowSessionResponse answer) {
    if (answer.hasStarted() && !answer.getStarted().getSessionId().equals(sessionId)) {
      sessionId = answer.getStarted().getSessionId();
      takeName = answer.getStarted().getTake();
      display.begin();
      showBoard();
    }
    if (answer.hasDecisions() && decisions != null) {
      keep(answer.getDecisions());
    }
    if (answer.hasDoubt()) {
      main.err.println("warning: " + answer.getDoubt().getText());
    }
    if (json) {
      print(answer);
    } else if (answer.hasNote()) {
      display.show(answer.getNote());
    } else if (answer.hasMissing()) {
      display.show(answer.getMissing());
    }
  }

  private void print(FollowSessionResponse answer) {
    try {
      main.out.println(JSON.print(answer));
      main.out.flush();
    } catch (InvalidProtocolBufferException e) {
      throw new AssertionError("every report can be written as JSON", e);
    }
  }

  private void showBoard() {
    if (board) {
      // Called by gRPC's thread, which must not wait for another call.
      Thread asking =
          new Thread(
              () -> {
                try {
                  main.err.println(
                      "board: "
                          + SessionServiceGrpc.newBlockingStub(session.channel())
                              .openBoard(
                                  OpenBoardRequest.newBuilder().setSessionId(sessionId).build())
                              .getUrl());
                } catch (StatusRuntimeException e) {
                  main.complain("the board cannot be shown: " + e.getStatus().getDescription());
                }
              },
              "follow-board");
      asking.setDaemon(true);
      asking.start();
    }
  }

  private void keep(SessionDecisions decided) {
    try {
      new SessionDecisionsFile(LocalFiles.toWrite(decisions), takeName).write(decided);
    } catch (IOException e) {
      main.complain("the decisions cannot be written: " + e.getMessage());
    }
  }
}
