package takewright.cli;

import java.nio.file.Path;
import java.util.Iterator;
import takewright.v1.BuildRequest;
import takewright.v1.BuildResponse;
import takewright.v1.BuildResult;
import takewright.v1.LibraryServiceGrpc;

/** A build as the commands show it: progress while it runs, then what to look at. */
final class LibraryBuild {
  private LibraryBuild() {}

  /** Builds; the exit status. */
  static int run(
      Main main,
      Connection.Session session,
      Path sheet,
      Path out,
      boolean allSounds,
      boolean strict) {
    Iterator<BuildResponse> answers =
        LibraryServiceGrpc.newBlockingStub(session.channel())
            .build(
                BuildRequest.newBuilder()
                    .setSheetFile(LocalFiles.absolute(sheet))
                    .setOutputFolder(LocalFiles.absolute(out))
                    .setAllSounds(allSounds)
                    .build());
    BuildResult result = BuildResult.getDefaultInstance();
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
            + Path.of(result.getIndexFile()).resolveSibling("report").resolve("index.html"));
    return status(result, strict);
  }

  /** The exit status of a build that ended well. */
  static int status(BuildResult result, boolean strict) {
    boolean look =
        result.getMissing() > 0 || result.getFlagged() > 0 || result.getWarningsCount() > 0;
    return strict && look ? Main.NEEDS_A_LOOK : Main.DONE;
  }
}
