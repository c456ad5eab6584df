package takewright.cli;

import java.nio.file.Path;
import java.util.Iterator;
import takewright.v1.BuildProgress;
import takewright.v1.BuildRequest;
import takewright.v1.BuildResponse;
import takewright.v1.BuildResult;
import takewright.v1.LibraryServiceGrpc;
import takewright.v1.OpenBuildPageRequest;

/** A build as the commands show it: progress while it runs, then what to look at. */
final class LibraryBuild {
  private LibraryBuild() {}

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
    Iterator<BuildResponse> answers =
        LibraryServiceGrpc.newBlockingStub(session.channel())
            .build(
                BuildRequest.newBuilder()
                    .setSheetFile(LocalFiles.absolute(sheet))
                    .setOutputFolder(LocalFiles.absolute(out))
                    .setAllSounds(allSounds)
                    .build());
    BuildResult result = BuildResult.getDefaultInstance();
    if (watch && answers.hasNext()) {
      // Before there is a bar that it would stand in the way of.
      BuildResponse first = answers.next();
      result = first.getResult();
      if (first.hasProgress()) {
        main.err.println("watch: " + address(session, first.getProgress(), page));
      }
    }
    try (ProgressDisplay display = ProgressDisplay.on(main.err)) {
      while (answers.hasNext()) {
        BuildResponse answer = answers.next();
        if (answer.hasProgress()) {
          display.show(answer.getProgress());
        } else if (answer.hasResult()) {
          result = answer.getResult();
        }
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
    return LibraryServiceGrpc.newBlockingStub(session.channel())
        .openBuildPage(OpenBuildPageRequest.newBuilder().setBuildId(progress.getBuildId()).build())
        .getUrl();
  }

  /** The exit status of a build that ended well. */
  static int status(BuildResult result, boolean strict) {
    boolean look =
        result.getMissing() > 0 || result.getFlagged() > 0 || result.getWarningsCount() > 0;
    return strict && look ? Main.NEEDS_A_LOOK : Main.DONE;
  }
}
