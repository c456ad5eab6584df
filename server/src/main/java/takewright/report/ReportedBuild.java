package takewright.report;

import java.io.IOException;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.concurrent.ConcurrentHashMap;
import java.util.function.BooleanSupplier;
import java.util.function.Consumer;
import java.util.function.DoubleConsumer;
import takewright.denoise.room.NoiseProfile;
import takewright.diagnosis.ProblemException;
import takewright.diagnosis.Reason;
import takewright.library.Build;
import takewright.library.BuildListener;
import takewright.library.BuildOrder;
import takewright.library.BuildProgress;
import takewright.library.BuildResult;
import takewright.library.BuildStep;
import takewright.library.FreshFolder;
import takewright.library.folder.IndexRow;
import takewright.library.take.TakeHeard;
import takewright.segment.Region;
import takewright.sheet.Sheet;
import takewright.sheet.SheetException;
import takewright.sheet.Take;

/**
 * A build with its page: the library is built, and what came of it is drawn. While it runs, the
 * page says how far it is.
 */
public final class ReportedBuild implements BuildListener {
  /** The state of a build that was neither stopped nor failed. */
  private static final String DONE = "done";

  /** Share of the whole work that building is; the rest is drawing. By measuring. */
  private static final double BUILDING_SHARE = 0.92;

  /** The page is told this often at most, in milliseconds, and looks as often. */
  private static final long TELL_EVERY_MS = 700;

  private final Report report;
  private final Sheet sheet;
  private final CellStates cells;
  private final Consumer<BuildProgress> progress;
  private final List<TakeHeard> takes = new ArrayList<>();
  private final Map<Integer, Map<String, NoiseProfile>> rooms = new ConcurrentHashMap<>();
  private final long startedMs = System.currentTimeMillis();
  private long toldMs;
  private boolean begun;
  private String state = "running";
  private String error = "";
  private double drawnShare;
  private BuildProgress last = new BuildProgress(BuildStep.SEGMENT, "", 0, 0, 0);

  private ReportedBuild(BuildOrder order, boolean allSounds, Consumer<BuildProgress> progress)
      throws IOException {
    this.sheet = order.read().sheet();
    this.report = new Report(sheet, order, allSounds);
    this.cells = new CellStates(sheet);
    this.progress = progress;
  }

  /**
   * Builds a library and its page; parameters and errors as of {@link Build#run(Path, Path,
   * Consumer, BooleanSupplier)}.
   *
   * @param allSounds whether the page keeps sounds of all samples, not only of flagged ones
   */
  public static BuildResult run(
      Path sheetFile,
      Path outputFolder,
      Consumer<BuildProgress> progress,
      BooleanSupplier cancelled,
      boolean allSounds)
      throws IOException {
    return run(BuildOrder.of(sheetFile, outputFolder), progress, cancelled, allSounds);
  }

  /** As above, with decisions. */
  public static BuildResult run(
      BuildOrder order,
      Consumer<BuildProgress> progress,
      BooleanSupplier cancelled,
      boolean allSounds)
      throws IOException {
    return run(order, progress, cancelled, allSounds, source -> {});
  }

  /**
   * As above, for a page that is served.
   *
   * @param served told, once the page is finished, what makes further parts of it
   */
  public static BuildResult run(
      BuildOrder order,
      Consumer<BuildProgress> progress,
      BooleanSupplier cancelled,
      boolean allSounds,
      Consumer<PageSource> served)
      throws IOException {
    return new ReportedBuild(order, allSounds, progress).run(order, cancelled, true, served);
  }

  /**
   * The same without the pictures, which whoever receives the page has drawn later: {@link
   * PageSource#draw}. Served, it makes those that are looked at before.
   */
  public static BuildResult runUndrawn(
      BuildOrder order,
      Consumer<BuildProgress> progress,
      BooleanSupplier cancelled,
      boolean allSounds,
      Consumer<PageSource> served)
      throws IOException {
    return new ReportedBuild(order, allSounds, progress).run(order, cancelled, false, served);
  }

  private BuildResult run(
      BuildOrder order, BooleanSupplier cancelled, boolean isDrawn, Consumer<PageSource> served)
      throws IOException {
    if (order.part() != null) {
      // The page is of the whole library.
      return Build.run(order, progress, BuildListener.NOBODY, cancelled);
    }
    report.refuseForeign();
    FreshFolder fresh = new FreshFolder(order.out());
    String end = "failed";
    boolean isDoubted = false;
    try {
      BuildResult result = Build.run(order, this::built, this, cancelled);
      begin();
      Report.Pictures pictures =
          report.write(
              result.indexFile(),
              new HeardTakes(takes, rooms),
              result.changes(),
              result.warnings());
      PageSource page =
          new PageSource(pictures, (share, told, stopped) -> draw(pictures, share, told, stopped));
      if (isDrawn) {
        page.draw(progress, cancelled);
      }
      served.accept(page);
      end = DONE;
      return result;
    } catch (java.util.concurrent.CancellationException e) {
      end = "stopped";
      throw e;
    } catch (ProblemException | IOException e) {
      error = String.valueOf(e.getMessage());
      isDoubted = e instanceof SheetException x && x.problem().reason() == Reason.PLAN_DOUBTED;
      throw e;
    } finally {
      end(end);
      if (end.equals(DONE)) {
        // The very last step: a build that is killed before it goes on, page and all.
        Build.end(order.out());
      }
      if (isDoubted) {
        fresh.remove(Report.FOLDER);
      }
    }
  }

  private void draw(
      Report.Pictures pictures,
      DoubleConsumer share,
      Consumer<BuildProgress> told,
      BooleanSupplier cancelled)
      throws IOException {
    pictures.draw(
        now -> {
          share.accept(now);
          drawn(now, told);
        },
        cancelled);
    drawn(1, told);
  }

  private synchronized void begin() throws IOException {
    if (!begun) {
      report.begin(cells.plan());
      begun = true;
    }
  }

  @Override
  public synchronized void heard(TakeHeard take) {
    takes.add(take);
  }

  @Override
  public void matched(Take take, List<IndexRow> missing, Map<String, NoiseProfile> roomsOfTake) {
    rooms.put(take.index(), roomsOfTake);
    cells.matched(take, missing);
  }

  @Override
  public void made(List<IndexRow> samples) {
    cells.made(samples);
  }

  @Override
  public boolean hasMoreToDo() {
    return true;
  }

  private synchronized void built(BuildProgress now) {
    send(now.done(BUILDING_SHARE * now.done()));
  }

  private synchronized void drawn(double share, Consumer<BuildProgress> told) {
    double done = BUILDING_SHARE + (1 - BUILDING_SHARE) * share;
    last =
        new BuildProgress(
            BuildStep.REPORT, last.take(), done, last.samplesDone(), last.samplesTotal());
    drawnShare = share;
    tell(share == 1);
    told.accept(last);
  }

  private void send(BuildProgress now) {
    last = now;
    // First the page, so that anyone who hears of the build finds it there.
    tell(false);
    progress.accept(now);
  }

  private synchronized void end(String how) {
    state = how;
    if (begun) {
      tell(true);
    }
  }

  /** The page of a running build is a convenience: if it cannot be written, the build continues. */
  private void tell(boolean always) {
    long nowMs = System.currentTimeMillis();
    if (!always && nowMs - toldMs < TELL_EVERY_MS) {
      return;
    }
    toldMs = nowMs;
    Map<String, Object> content = new LinkedHashMap<>();
    content.put("state", state);
    content.put("startedMs", startedMs);
    content.put("error", error);
    content.put("step", last.step().name().toLowerCase(java.util.Locale.ROOT));
    content.put("take", last.take());
    content.put("done", last.done());
    content.put("drawn", drawnShare);
    content.put("samplesDone", last.samplesDone());
    content.put("samplesTotal", last.samplesTotal());
    content.put("elapsedS", (nowMs - startedMs) / 1000.0);
    content.put("takes", sheet.takes().stream().map(this::soFar).toList());
    try {
      begin();
      report.progress(content);
    } catch (IOException e) {
      toldMs = Long.MAX_VALUE / 2;
    }
  }

  /** Progress of a take. */
  private Map<String, Object> soFar(Take take) {
    Map<String, Object> so = new LinkedHashMap<>();
    so.put("cells", cells.of(take));
    for (TakeHeard heard : takes) {
      if (heard.take().index() == take.index()) {
        List<Region> regions = heard.segmentation().regions();
        so.put("regions", regions.size());
        so.put("rejected", regions.stream().filter(Region::rejected).count());
      }
    }
    return so;
  }
}
