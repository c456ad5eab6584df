package takewright.service.build;

import java.io.IOException;
import java.nio.file.Path;
import java.util.List;
import java.util.concurrent.CancellationException;
import java.util.concurrent.CopyOnWriteArrayList;
import java.util.concurrent.TimeUnit;
import java.util.function.BooleanSupplier;
import org.slf4j.Logger;
import org.slf4j.LoggerFactory;
import takewright.diagnosis.ProblemException;
import takewright.diagnosis.Reason;
import takewright.library.BuildOrder;
import takewright.report.PageSource;
import takewright.service.call.Site;
import takewright.service.wire.Failures;
import takewright.service.work.Priority;
import takewright.v1.BuildProgress;
import takewright.v1.BuildResult;
import takewright.v1.Rebuilt;

/**
 * The page of a build while it is served: gives pictures and sounds that are not on the disk, saves
 * decisions, and builds again what they or an edit of the sheet concern.
 */
final class LivePage {
  private static final Logger LOG = LoggerFactory.getLogger(LivePage.class);

  /**
   * A browser that shows the page asks for something at least this often, in minutes; hidden pages
   * may do so once a minute.
   */
  private static final long LOOKED_AT_MIN = 3;

  /** Hears of each build of a page; called by one thread at a time, which must not wait. */
  interface Listener {
    void rebuilt(Rebuilt rebuilt);

    /** The service ends. */
    void closed(ProblemException why);
  }

  private final Site site;
  private final BuildRun run;
  private final BuildJobs.Builder builder;
  private final BooleanSupplier hasSuccessor;
  private final SheetEdits edits;
  private final List<Listener> listeners = new CopyOnWriteArrayList<>();

  /** Whether it waits for the end of the build that it shows. */
  private boolean isWaiting;

  /** Whether a build of this page's own runs. */
  private boolean isBuilding;

  /** Whether decisions or the sheet were saved since it began. */
  private volatile boolean isOutdated;

  /** Whether the sheet was edited since the last build of this page that ended. */
  private volatile boolean isEdited;

  /** Whether decisions have been saved by this page. */
  private volatile boolean isSaved;

  private volatile boolean isClosed;

  /** When a browser last asked for something, in nanoseconds. */
  private volatile long askedNs = System.nanoTime();

  private int rebuilds;
  private Rebuilt last;

  /**
   * @param hasSuccessor whether a later build writes to the same folder
   */
  LivePage(Site site, BuildRun run, BuildJobs.Builder builder, BooleanSupplier hasSuccessor) {
    this.site = site;
    this.run = run;
    this.builder = builder;
    this.hasSuccessor = hasSuccessor;
    edits = new SheetEdits(Path.of(run.request().getSheetFile()));
  }

  /**
   * The last build of this page.
   *
   * @param number counts them, from 1; 0 if there is none yet
   * @param rebuilt what came of it; null if there is none yet
   */
  record Latest(int number, Rebuilt rebuilt) {}

  synchronized Latest latest() {
    return new Latest(rebuilds, last);
  }

  /** A browser asked for a part of the page. */
  void asked() {
    askedNs = System.nanoTime();
  }

  /**
   * Adds a listener, which hears of the builds from now on.
   *
   * @throws ProblemException OVERLOADED if too many listen already
   */
  synchronized void listen(Listener listener) {
    if (listeners.size() >= BuildRun.MAX_WATCHERS) {
      throw BuildRun.tooMany();
    }
    listeners.add(listener);
  }

  void leave(Listener listener) {
    listeners.remove(listener);
  }

  /**
   * Looks whether the sheet was edited, and builds again if so. An edit that nobody waits for is
   * left alone: a page stays open as long as its service runs.
   */
  void look() {
    boolean isLookedAt =
        !listeners.isEmpty()
            || System.nanoTime() - askedNs < TimeUnit.MINUTES.toNanos(LOOKED_AT_MIN);
    if (!isClosed && isLookedAt && !hasSuccessor.getAsBoolean() && edits.isEdited()) {
      isEdited = true;
      buildOnceOver();
    }
  }

  /** The output folder. */
  Path folder() throws IOException {
    return site.folders().folderToWrite("output_folder", run.request().getOutputFolder());
  }

  /** A script of the page that is not on the disk; null if there is none. */
  byte[] script(String part, String name) throws IOException {
    PageSource source = run.pageSource();
    return source == null ? null : source.script(part, name);
  }

  /** Where decisions are saved. */
  Path decisions() throws IOException {
    return DecisionsFile.of(site.folders(), run.request()).toSave();
  }

  /** Saves decisions, and builds again as soon as no build of the folder runs. */
  void decide(byte[] text) throws IOException {
    DecisionsFile.of(site.folders(), run.request()).save(text);
    isSaved = true;
    buildOnceOver();
  }

  /** Builds once the first build has ended; however much is decided before, it waits once. */
  private void buildOnceOver() {
    synchronized (this) {
      if (isWaiting) {
        return;
      }
      isWaiting = true;
    }
    boolean isWatching = false;
    try {
      // Called at once if the build has ended.
      run.watch(
          new BuildRun.Watcher() {
            @Override
            public void progress(BuildProgress progress) {}

            @Override
            public void over(BuildResult result, ProblemException failure) {
              isWaiting(false);
              build();
            }
          });
      isWatching = true;
    } finally {
      if (!isWatching) {
        isWaiting(false);
      }
    }
  }

  private synchronized void isWaiting(boolean waits) {
    isWaiting = waits;
  }

  private void build() {
    try {
      beginWork();
    } catch (ProblemException refused) {
      // What is decided is saved; the next decision, or the next build, takes it up.
      tell(ended(refused).build());
    }
  }

  private synchronized void beginWork() {
    isOutdated = true;
    run.outdatePage();
    if (!isBuilding) {
      site.workers().run(Priority.BATCH, this::work);
      isBuilding = true;
    }
  }

  /** Builds until nothing has been saved meanwhile: a build that is outdated is stopped. */
  private void work() {
    while (begin()) {
      long beganNs = System.nanoTime();
      Rebuilt.Builder rebuilt;
      try {
        rebuilt = ended(null).setResult(BuildJobs.wire(build(this::isToStop)));
      } catch (CancellationException e) {
        continue; // It is begun again with what is newer.
      } catch (IOException | RuntimeException e) {
        rebuilt = ended(e);
      }
      tell(rebuilt.setSeconds((System.nanoTime() - beganNs) / 1e9).build());
      if (rebuilt.hasResult()) {
        run.draw(this::isToStop);
      }
    }
  }

  /**
   * The end of a build of this page.
   *
   * @param failure null if there was none. One that a person can mend is told to those who look;
   *     any other is logged.
   */
  private Rebuilt.Builder ended(Exception failure) {
    Rebuilt.Builder rebuilt = Rebuilt.newBuilder();
    if (isEdited) {
      rebuilt.setEditedSheet(run.request().getSheetFile());
    }
    return failure == null ? rebuilt : rebuilt.setError(Failures.of(failure).text());
  }

  private boolean isToStop() {
    site.workers().scheduler().stepAside();
    return isOutdated || isClosed;
  }

  private takewright.library.BuildResult build(BooleanSupplier cancelled) throws IOException {
    DecisionsFile decisions = DecisionsFile.of(site.folders(), run.request());
    BuildOrder order = isSaved ? decisions.orderOfSaved() : decisions.order();
    return builder.run(
        order, progress -> {}, cancelled, run.request().getAllSounds(), run::pageSource);
  }

  private void tell(Rebuilt rebuilt) {
    synchronized (this) {
      // An edit that was saved while this build ended belongs to the next.
      isEdited &= isOutdated;
      rebuilds++;
      last = rebuilt;
    }
    listeners.forEach(listener -> listener.rebuilt(rebuilt));
  }

  /** The service ends. */
  void close() {
    isClosed = true;
    ProblemException why =
        new ProblemException(
            Reason.STOPPING, "", "the service is stopping", "once it runs again, build again");
    listeners.forEach(listener -> listener.closed(why));
  }

  private synchronized boolean begin() {
    isBuilding = isOutdated && !isClosed;
    isOutdated = false;
    return isBuilding;
  }
}
