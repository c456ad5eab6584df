package takewright.service.build;

import java.io.IOException;
import java.nio.file.Path;
import java.util.concurrent.CancellationException;
import java.util.function.BooleanSupplier;
import org.slf4j.Logger;
import org.slf4j.LoggerFactory;
import takewright.diagnosis.ProblemException;
import takewright.library.BuildOrder;
import takewright.report.PageSource;
import takewright.service.call.Site;
import takewright.service.work.Priority;
import takewright.v1.BuildProgress;
import takewright.v1.BuildResult;

/**
 * The page of a build while it is served: gives pictures and sounds that are not on the disk, saves
 * decisions, and builds again what they concern.
 */
final class LivePage {
  private static final Logger LOG = LoggerFactory.getLogger(LivePage.class);

  private final Site site;
  private final BuildRun run;
  private final BuildJobs.Builder builder;

  /** Whether a build of this page's own runs. */
  private boolean isBuilding;

  /** Whether decisions were saved since it began. */
  private volatile boolean isOutdated;

  private volatile boolean isClosed;

  LivePage(Site site, BuildRun run, BuildJobs.Builder builder) {
    this.site = site;
    this.run = run;
    this.builder = builder;
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
    // Called at once if the build has ended.
    run.watch(
        new BuildRun.Watcher() {
          @Override
          public void progress(BuildProgress progress) {}

          @Override
          public void over(BuildResult result, ProblemException failure) {
            build();
          }
        });
  }

  private synchronized void build() {
    isOutdated = true;
    run.outdatePage();
    if (!isBuilding) {
      site.workers().run(Priority.BATCH, this::work);
      isBuilding = true;
    }
  }

  /** Builds until no decision has been saved meanwhile: a build that is outdated is stopped. */
  private void work() {
    while (begin()) {
      try {
        BuildOrder order = DecisionsFile.of(site.folders(), run.request()).orderOfSaved();
        BooleanSupplier cancelled =
            () -> {
              site.workers().scheduler().stepAside();
              return isOutdated || isClosed;
            };
        builder.run(
            order, progress -> {}, cancelled, run.request().getAllSounds(), run::pageSource);
        run.pageSource().draw(progress -> {}, cancelled);
      } catch (CancellationException e) {
        // It is begun again with the newer decisions.
      } catch (IOException | RuntimeException e) {
        LOG.warn("build {} could not be made again: {}", run.id(), e.toString());
      }
    }
  }

  /** The service ends. */
  void close() {
    isClosed = true;
  }

  private synchronized boolean begin() {
    isBuilding = isOutdated && !isClosed;
    isOutdated = false;
    return isBuilding;
  }
}
