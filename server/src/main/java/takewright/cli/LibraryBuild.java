package takewright.cli;

import com.google.protobuf.Any;
import com.google.protobuf.InvalidProtocolBufferException;
import com.google.protobuf.util.JsonFormat;
import com.google.rpc.ErrorInfo;
import io.grpc.Status;
import io.grpc.Status.Code;
import io.grpc.StatusRuntimeException;
import io.grpc.protobuf.StatusProto;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.Iterator;
import takewright.cli.connect.Connection;
import takewright.cli.option.LocalFiles;
import takewright.cli.show.ProgressDisplay;
import takewright.cli.show.Texts;
import takewright.diagnosis.Problem;
import takewright.diagnosis.ProblemException;
import takewright.diagnosis.Reason;
import takewright.v1.BuildChanges;
import takewright.v1.BuildPart;
import takewright.v1.BuildProgress;
import takewright.v1.BuildResult;
import takewright.v1.CancelBuildRequest;
import takewright.v1.GetBuildRequest;
import takewright.v1.LibraryServiceGrpc;
import takewright.v1.LibraryServiceGrpc.LibraryServiceBlockingStub;
import takewright.v1.OpenBuildPageRequest;
import takewright.v1.StartBuildRequest;
import takewright.v1.WatchBuildRequest;
import takewright.v1.WatchBuildResponse;

/** Starts a build and shows it in the terminal: its progress, then its result. */
final class LibraryBuild implements AutoCloseable {
  static final JsonFormat.Printer JSON =
      JsonFormat.printer().alwaysPrintFieldsWithNoPresence().omittingInsignificantWhitespace();

  /** What is said of a build that is interrupted. */
  static final String INTERRUPTED = "interrupted; the same command continues the build";

  /** Pause before a server that failed is called again, in milliseconds. */
  private static final long PAUSE_MS = 500;

  /** Failed calls in a row before the build is given up, for each server. */
  private static final int VAIN_EACH = 3;

  private final Main main;
  private final Connection.OpenConnection session;
  private final Manner manner;

  /** Path of the page on the disk. */
  private final Path page;

  /** Stops the build when the command is interrupted. */
  private final Interruption interruption;

  /** The build that runs; null if there is none. */
  private volatile String buildId;

  /** Null before there is anything to show. */
  private ProgressDisplay display;

  /** What is watched after the result; null before it. */
  private volatile Iterator<WatchBuildResponse> further;

  private int vain;

  /**
   * How the command goes about a build.
   *
   * @param watch whether to say at once where the page can be opened, and to keep it open
   * @param withPictures whether to wait for the pictures of the report
   * @param strict whether what a person should look at shows in the exit status
   * @param json whether to print the result as JSON
   */
  record Manner(boolean watch, boolean withPictures, boolean strict, boolean json) {
    /** As without options. */
    static final Manner USUAL = new Manner(false, false, false, false);
  }

  private LibraryBuild(Main main, Connection.OpenConnection session, Manner manner, Path page) {
    this.main = main;
    this.session = session;
    this.manner = manner;
    this.page = page;
    interruption = new Interruption(() -> main.complain(INTERRUPTED), this::cancel);
  }

  private void cancel() {
    String id = buildId;
    if (id != null) {
      if (further == null) {
        interruption.tell();
      }
      try {
        ask(stub -> stub.cancelBuild(CancelBuildRequest.newBuilder().setBuildId(id).build()));
      } catch (StatusRuntimeException e) {
        // The service is gone, and the build with it.
      }
    }
  }

  private void show(BuildProgress progress) {
    if (display == null) {
      if (manner.watch) {
        // Printed before the progress bar, which it would disturb.
        main.err.println("watch: " + address());
      }
      display = ProgressDisplay.on(main.err);
    }
    display.show(progress);
  }

  @Override
  public void close() {
    if (display != null) {
      display.close();
      display = null;
    }
    buildId = null;
    interruption.close();
  }

  /**
   * Builds on one of the servers. Returns the result, or null if that server is gone and another is
   * to continue from the journal in the folder.
   */
  private BuildResult attempt(StartBuildRequest request) {
    boolean isBegun = false;
    try {
      buildId = stub().startBuild(request).getBuild().getBuildId();
      Iterator<WatchBuildResponse> answers = watch();
      while (answers.hasNext()) {
        WatchBuildResponse answer = answers.next();
        isBegun = true;
        if (answer.hasResult()) {
          further = answers;
          return answer.getResult();
        }
        show(answer.getProgress());
      }
      return BuildResult.getDefaultInstance();
    } catch (StatusRuntimeException e) {
      // A service in this process may be gone before the build is cancelled.
      interruption.endIfBegun();
      buildId = null;
      vain = isBegun ? 0 : vain + 1;
      if (session.servers() == 1 && isBegun && isCutOff(e)) {
        throw new ProblemException(
            new Problem(
                Reason.STOPPING,
                "",
                "the service that ran the build is gone",
                "start it again and repeat the command, which continues the build"),
            e);
      }
      if (session.servers() == 1 || !isForAnother(e) || vain >= VAIN_EACH * session.servers()) {
        throw e;
      }
      if (isBegun) {
        // Another server has another address for the page.
        display.close();
        display = null;
        main.err.println("warning: the service that ran the build is gone; another continues it");
      }
      try {
        Thread.sleep(PAUSE_MS);
      } catch (InterruptedException stopped) {
        Thread.currentThread().interrupt();
        throw e;
      }
      return null;
    }
  }

  /** Whether a call ended with its connection: a service that ends it says more. */
  private static boolean isCutOff(StatusRuntimeException e) {
    com.google.rpc.Status status = StatusProto.fromThrowable(e);
    return e.getStatus().getCode() == Code.UNAVAILABLE
        && (status == null || status.getDetailsCount() == 0);
  }

  private LibraryServiceBlockingStub stub() {
    return LibraryServiceGrpc.newBlockingStub(session.channel());
  }

  /** The answers of a watch, of which the first has arrived. */
  private Iterator<WatchBuildResponse> watch() {
    WatchBuildRequest request =
        WatchBuildRequest.newBuilder()
            .setBuildId(buildId)
            .setWithPage(manner.watch)
            .setWithPictures(manner.withPictures)
            .build();
    return ask(
        stub -> {
          Iterator<WatchBuildResponse> answers = stub.watchBuild(request);
          answers.hasNext(); // An error arrives instead of the first answer.
          return answers;
        });
  }

  /** A call about a build. */
  private interface Question<A> {
    A ask(LibraryServiceBlockingStub stub);
  }

  /** One of several services builds; they are asked in turn until that one answers. */
  private <A> A ask(Question<A> question) {
    for (int ask = 1; ; ask++) {
      try {
        return question.ask(stub());
      } catch (StatusRuntimeException e) {
        boolean isElsewhere = isUnknown(e) || e.getStatus().getCode() == Code.UNAVAILABLE;
        if (!isElsewhere || session.servers() == 1) {
          throw e;
        }
        if (ask == session.servers()) {
          throw Status.UNAVAILABLE
              .withDescription("the service that ran the build is gone")
              .asRuntimeException();
        }
      }
    }
  }

  /** Whether the service that answered does not know the build. */
  private static boolean isUnknown(StatusRuntimeException e) {
    if (e.getStatus().getCode() != Code.NOT_FOUND) {
      return false;
    }
    com.google.rpc.Status status = StatusProto.fromThrowable(e);
    try {
      for (Any detail : status.getDetailsList()) {
        if (detail.is(ErrorInfo.class)) {
          return "build_id".equals(detail.unpack(ErrorInfo.class).getMetadataMap().get("field"));
        }
      }
    } catch (InvalidProtocolBufferException malformed) {
      // Not one of our services.
    }
    return false;
  }

  /**
   * Whether another server may succeed: this one is gone or full, or has not noticed yet that our
   * earlier build, which holds the folder, has ended.
   */
  static boolean isForAnother(StatusRuntimeException e) {
    return switch (e.getStatus().getCode()) {
      case UNAVAILABLE, ABORTED -> true;
      // A build that someone cancelled says why; one cut off by a server's end does not.
      case CANCELLED -> Status.trailersFromThrowable(e).keys().isEmpty();
      default -> false;
    };
  }

  /** A request for what a sheet asks for. */
  static StartBuildRequest.Builder request(Path sheet, Path out) {
    return StartBuildRequest.newBuilder()
        .setSheetFile(LocalFiles.absolute(sheet))
        .setOutputFolder(LocalFiles.absolute(out));
  }

  /** Builds; the exit status. */
  static int run(
      Main main, Connection.OpenConnection session, StartBuildRequest request, Manner manner)
      throws IOException {
    Path page = Path.of(request.getOutputFolder()).normalize().resolve("report/index.html");
    Path saved = Path.of(request.getOutputFolder()).resolve("decisions.yaml");
    if (request.getDecisionsFile().isEmpty() && Files.exists(saved)) {
      main.err.println("decisions: those that the report page has saved in " + saved);
    }
    BuildResult result = null;
    int picturesLeft;
    LibraryBuild build = new LibraryBuild(main, session, manner, page);
    try (build) {
      while (result == null) {
        result = build.attempt(request);
      }
      picturesLeft = build.picturesLeft();
    }
    result.getWarningsList().forEach(warning -> main.err.println("warning: " + warning));
    int more = result.getWarningsTotal() - result.getWarningsCount();
    if (more > 0) {
      main.err.println("and " + Texts.count(more, "more warning", "more warnings"));
    }
    if (manner.json) {
      main.out.println(JSON.print(result));
    } else if (request.hasPart()) {
      main.out.println(part(request.getPart(), result));
    } else {
      say(main, result, page);
      if (picturesLeft > 0) {
        main.out.println(
            Texts.count(picturesLeft, "picture", "pictures")
                + " of the report will follow within seconds; --with-pictures waits for them");
      }
    }
    if (manner.watch && session.servers() == 1) {
      Rebuilds rebuilds = new Rebuilds(main.err, manner.json ? main.out : null, build.further);
      rebuilds.untilEnter(Path.of(request.getSheetFile()), session.isOwn());
    }
    return status(result, manner.strict);
  }

  private static String part(BuildPart part, BuildResult result) {
    return Texts.count(result.getSamples(), "sample", "samples")
        + (result.getSamplesReused() > 0
            ? " (" + result.getSamplesReused() + " of an earlier run)"
            : "")
        + " of part "
        + part.getNumber()
        + " of "
        + part.getCount()
        + "; once all parts are made, build without --part to finish the library";
  }

  private static void say(Main main, BuildResult result, Path page) {
    main.out.println(
        Texts.count(result.getSamples(), "sample", "samples")
            + (result.getSamplesReused() > 0
                ? " (" + result.getSamplesReused() + " of an earlier run)"
                : "")
            + ", "
            + Texts.count(result.getMissing(), "cell", "cells")
            + " missing, "
            + Texts.count(result.getFlagged(), "sample", "samples")
            + " flagged, "
            + Texts.count(result.getLeftOut(), "region", "regions")
            + " left out: see "
            + result.getIndexFile()
            + ", open "
            + page
            + ", or play it on "
            + page.getParent().resolveSibling("play.html"));
    if (!result.getChanges().getIsFirst()) {
      main.out.println(changes(result.getChanges()));
    }
  }

  /** What a build changed, in one line. */
  static String changes(BuildChanges changes) {
    int added = changes.getSamplesAdded();
    int changed = changes.getSamplesChanged();
    int vanished = changes.getSamplesVanished();
    if (added + changed + vanished == 0) {
      return "since the last build: no sample changed";
    }
    return "since the last build: "
        + Texts.count(added, "sample", "samples")
        + " new, "
        + changed
        + " changed, "
        + vanished
        + " gone"
        + (changed + vanished > 0 ? "; as they were until the next build: .takewright/before" : "");
  }

  /** Pictures that the service draws after the result; 0 where the page shows them as they come. */
  private int picturesLeft() {
    if (manner.watch || manner.json) {
      return 0;
    }
    try {
      GetBuildRequest request = GetBuildRequest.newBuilder().setBuildId(buildId).build();
      return ask(stub -> stub.getBuild(request)).getBuild().getPicturesLeft();
    } catch (StatusRuntimeException e) {
      return 0; // The library is complete; the service has ended since.
    }
  }

  /** Where a service shows the page; on the disk, if it cannot. */
  private String address() {
    try {
      OpenBuildPageRequest request = OpenBuildPageRequest.newBuilder().setBuildId(buildId).build();
      return ask(stub -> stub.openBuildPage(request)).getUrl();
    } catch (StatusRuntimeException e) {
      // A build does not fail for want of a page: it is on the disk as well.
      return page.toUri().toString();
    }
  }

  /** The exit status of a successful build. */
  static int status(BuildResult result, boolean strict) {
    boolean look =
        result.getMissing() > 0 || result.getFlagged() > 0 || result.getWarningsCount() > 0;
    return strict && look ? Main.NEEDS_A_LOOK : Main.DONE;
  }
}
