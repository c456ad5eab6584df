package takewright.cli;

import io.grpc.Status;
import io.grpc.StatusRuntimeException;
import java.nio.file.Path;
import java.util.Iterator;
import takewright.v1.BuildProgress;
import takewright.v1.BuildRequest;
import takewright.v1.BuildResponse;
import takewright.v1.BuildResult;
import takewright.v1.LibraryServiceGrpc;
import takewright.v1.OpenBuildPageRequest;

/** A build as the commands show it: progress while it runs, then what to look at. */
final class LibraryBuild implements AutoCloseable {
  /** Before a server is asked again that gave nothing, in milliseconds. */
  private static final long PAUSE_MS = 500;

  /** Calls on end that give nothing before it is given up, for each server. */
  private static final int VAIN_EACH = 3;

  private final Main main;
  private final Connection.Session session;

  /** Where the page is on the disk; null if nobody wants to be told. */
  private final Path page;

  /** Null before there is anything to show. */
  private ProgressDisplay display;

  private int vain;

  private LibraryBuild(Main main, Connection.Session session, Path page) {
    this.main = main;
    this.session = session;
    this.page = page;
  }

  private void show(BuildProgress progress) {
    if (display == null) {
      if (page != null) {
        // Before there is a bar that it would stand in the way of.
        main.err.println("watch: " + address(session, progress, page));
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
  }

  /**
   * Builds on one of the servers; the result, or null if that server is gone and another one is to
   * go on: the journal in the folder says where.
   */
  private BuildResult attempt(BuildRequest request) {
    boolean isBegun = false;
    try {
      Iterator<BuildResponse> answers =
          LibraryServiceGrpc.newBlockingStub(session.channel()).build(request);
      while (answers.hasNext()) {
        BuildResponse answer = answers.next();
        isBegun = true;
        if (answer.hasResult()) {
          return answer.getResult();
        }
        show(answer.getProgress());
      }
      return BuildResult.getDefaultInstance();
    } catch (StatusRuntimeException e) {
      vain = isBegun ? 0 : vain + 1;
      if (session.servers() == 1 || !isForAnother(e) || vain >= VAIN_EACH * session.servers()) {
        throw e;
      }
      if (isBegun) {
        // Another server shows its page elsewhere.
        close();
        main.err.println("warning: the service that ran the build is gone; another continues it");
      }
      try {
        Thread.sleep(PAUSE_MS);
      } catch (InterruptedException interrupted) {
        Thread.currentThread().interrupt();
        throw e;
      }
      return null;
    }
  }

  /**
   * Whether another server may do better: this one is gone, or is full, or has not noticed yet that
   * a call of ours, which holds the folder, is over.
   */
  private static boolean isForAnother(StatusRuntimeException e) {
    return switch (e.getStatus().getCode()) {
      case UNAVAILABLE, ABORTED -> true;
      // One that someone else cancelled says why; one that was cut off by a server's end does not.
      case CANCELLED -> Status.trailersFromThrowable(e).keys().isEmpty();
      default -> false;
    };
  }

  /**
   * Builds; the exit status.
   *
   * @param watch whether to say at once where the page can be opened
   */
  static int run(
      Main main,
      Connection.Session session,
      Path sheet,
      Path out,
      boolean allSounds,
      boolean watch,
      boolean strict) {
    Path page = out.toAbsolutePath().normalize().resolve("report").resolve("index.html");
    BuildRequest request =
        BuildRequest.newBuilder()
            .setSheetFile(LocalFiles.absolute(sheet))
            .setOutputFolder(LocalFiles.absolute(out))
            .setAllSounds(allSounds)
            .build();
    BuildResult result = null;
    try (LibraryBuild build = new LibraryBuild(main, session, watch ? page : null)) {
      while (result == null) {
        result = build.attempt(request);
      }
    }
    result.getWarningsList().forEach(warning -> main.err.println("warning: " + warning));
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
            + ", or open "
            + page);
    return status(result, strict);
  }

  /** A server shows its page; what runs in this process ends before the page was looked through. */
  private static String address(Connection.Session session, BuildProgress progress, Path page) {
    if (session.isOwn()) {
      return page.toUri().toString();
    }
    OpenBuildPageRequest request =
        OpenBuildPageRequest.newBuilder().setBuildId(progress.getBuildId()).build();
    // Of several services one builds; they are asked in turn until it answers.
    for (int ask = 0; ask < session.servers(); ask++) {
      try {
        return LibraryServiceGrpc.newBlockingStub(session.channel())
            .openBuildPage(request)
            .getUrl();
      } catch (StatusRuntimeException e) {
        // No page is no reason to end a build: it will lie on the disk as well.
      }
    }
    return page.toUri().toString();
  }

  /** The exit status of a build that ended well. */
  static int status(BuildResult result, boolean strict) {
    boolean look =
        result.getMissing() > 0 || result.getFlagged() > 0 || result.getWarningsCount() > 0;
    return strict && look ? Main.NEEDS_A_LOOK : Main.DONE;
  }
}
