package takewright.library;

import java.io.IOException;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.HashMap;
import java.util.HashSet;
import java.util.IdentityHashMap;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Set;
import java.util.concurrent.CancellationException;
import java.util.concurrent.Future;
import java.util.function.BooleanSupplier;
import java.util.function.Consumer;
import takewright.audio.original.CheckedFile;
import takewright.denoise.room.NoiseProfile;
import takewright.diagnosis.FileProblemException;
import takewright.diagnosis.Flag;
import takewright.diagnosis.Problem;
import takewright.diagnosis.ProblemException;
import takewright.diagnosis.Reason;
import takewright.level.NoteGain;
import takewright.level.Played;
import takewright.library.folder.Changes;
import takewright.library.folder.IndexRow;
import takewright.library.folder.Journal;
import takewright.library.folder.OutputFolder;
import takewright.library.match.OtherPlan;
import takewright.library.sample.RegionSamples;
import takewright.library.sample.SampleNames;
import takewright.library.take.CutTake;
import takewright.library.take.KeptRegion;
import takewright.library.take.LevelsOfTakes;
import takewright.library.take.PickUps;
import takewright.library.take.Stamps;
import takewright.sheet.Layer;
import takewright.sheet.Sheet;
import takewright.sheet.SheetException;
import takewright.sheet.SheetProblem;
import takewright.sheet.Take;
import takewright.sheet.cell.CellSelection;
import takewright.sheet.read.DecisionsReader;
import takewright.sheet.read.SelectionReader;

/**
 * Builds a library: takes are cut, their regions matched with the cells that the sheet asks for,
 * levels found, and the samples cleaned, tuned, looped, named and written, with a table of all of
 * it.
 *
 * <p>An interrupted build continues where it stopped: what its journal says is finished is not made
 * again. A sample's bytes follow from the takes, the sheet and the last finished build ({@link
 * SettledMoves}) alone, never from time, threads or chance, so the files are the same as of a build
 * that ran through.
 */
public final class Build {
  private final Sheet sheet;

  /** Those of the part that is built, or all. */
  private final List<Take> takes;

  private final CellSelection only;
  private final BuildListener listener;
  private final OutputFolder folder;
  private final BuildReporter reporter;
  private final Background background;
  private final SampleNames names;
  private final IndexRows indexRows;
  private final Stamps stamps = new Stamps();
  private final List<SheetProblem> warnings = new ArrayList<>();

  /** The index of the last build that was finished. */
  private final List<IndexRow> last;

  private final Map<String, IndexRow> lastByFile = new HashMap<>();
  private final RegionIds ids;
  private final SettledMoves settled;

  private Build(
      Sheet sheet,
      List<Take> takes,
      CellSelection only,
      BuildListener listener,
      SampleNames names,
      OutputFolder folder,
      BuildReporter reporter,
      Background background) {
    this.sheet = sheet;
    this.takes = takes;
    this.only = only;
    this.listener = listener;
    this.folder = folder;
    this.reporter = reporter;
    this.background = background;
    this.names = names;
    this.indexRows = new IndexRows(sheet);
    this.last = RegionIds.last(folder.index());
    last.forEach(row -> lastByFile.put(row.file(), row));
    this.ids = new RegionIds(last);
    this.settled = new SettledMoves(folder.file(Journal.PRIVATE_FOLDER + "/moves.json"));
  }

  /**
   * Builds a library, or continues a build.
   *
   * @param sheetFile the sheet
   * @param outputFolder the folder to write to; made if missing
   * @param progress told where the build is, from several threads but never at once
   * @param cancelled asked now and then; once true the build stops, and what is finished stays
   * @throws SheetException if the sheet cannot be understood, or what is heard fits another plan
   *     much better; then nothing is written
   * @throws takewright.audio.BadAudioException if a take cannot be
   * @throws FileProblemException if another build writes to the folder, or a take is in it
   * @throws IOException if reading or writing fails; nothing half-written is left
   * @throws CancellationException if it was cancelled
   */
  public static BuildResult run(
      Path sheetFile,
      Path outputFolder,
      Consumer<BuildProgress> progress,
      BooleanSupplier cancelled)
      throws IOException {
    return run(BuildOrder.of(sheetFile, outputFolder), progress, BuildListener.NOBODY, cancelled);
  }

  /**
   * As above, with decisions and a listener.
   *
   * @param listener told what was heard in each take, and which samples there are so far
   */
  public static BuildResult run(
      BuildOrder order,
      Consumer<BuildProgress> progress,
      BuildListener listener,
      BooleanSupplier cancelled)
      throws IOException {
    DecisionsReader.DecidedSheet decided = order.read();
    Sheet sheet = decided.sheet();
    Path path = order.out().toAbsolutePath().normalize();
    CellSelection only = SelectionReader.read(order.only(), sheet);
    SampleNames names = new SampleNames(sheet);
    BuildChecks.requireMicrophonesAlike(sheet);
    BuildChecks.requireNoTakesIn(path, sheet);
    BuildPart part = order.part();
    if (part != null && order.markers() != null) {
      throw ProblemException.invalid(
          "markers_folder",
          "cannot be written by a part of a build",
          "leave it to the build without a part that finishes the library");
    }
    List<Take> takes = part == null ? sheet.takes() : part.of(sheet);
    FreshFolder fresh = new FreshFolder(path);
    CheckedFile.createFolders(path);
    try (Journal journal =
        part == null ? Journal.open(path) : Journal.openPart(path, part.words())) {
      OutputFolder folder = new OutputFolder(path, journal);
      List<String> files = new ArrayList<>(names.of(takes));
      if (part == null) {
        files.addAll(KeyMapFiles.names(sheet));
      }
      folder.prepare(files);
      BuildReporter reporter = new BuildReporter(takes.size(), journal.folderId(), progress);
      // Closed before the journal: then no thread writes to the folder.
      try (Background background = new Background(cancelled)) {
        Build build = new Build(sheet, takes, only, listener, names, folder, reporter, background);
        build.warnings.addAll(decided.warnings());
        BuildResult result = build.work(order);
        if (part == null && !listener.hasMoreToDo()) {
          end(path);
        }
        return result;
      }
    } catch (SheetException e) {
      if (part == null && e.problem().reason() == Reason.PLAN_DOUBTED) {
        fresh.remove(Journal.PRIVATE_FOLDER);
      }
      throw e;
    }
  }

  /**
   * A build has ended, with all that belongs to it: what the next one changes is compared with it.
   */
  public static void end(Path outputFolder) throws IOException {
    OutputFolder.end(outputFolder);
  }

  private BuildResult work(BuildOrder order) throws IOException {
    // First, for a template that cannot be used is said before hours of work.
    KeyMapFiles keyMap = new KeyMapFiles(sheet, folder, background);
    Map<KeptRegion, Future<Played>> measuring = new LinkedHashMap<>();
    List<TakeWork> works = cutAndMatch(measuring);
    doubtPlan(works, order.asWritten());
    Map<KeptRegion, Played> played = background.results(measuring);
    Map<KeptRegion, SettledMoves.Move> moves = moves(works, played);
    RegionSamples samples =
        new RegionSamples(sheet, names, folder, ExpectedKeys.of(sheet, names, cuts(works), moves));
    // What is written after the last sample is small then.
    List<TakeWork> longestFirst = TakeSizes.longestFirst(works, TakeWork::take);
    Map<KeptRegion, Future<List<IndexRow>>> making = new HashMap<>();
    for (TakeWork take : longestFirst) {
      for (KeptRegion kept : take.cut().kept()) {
        if (!only.fits(kept.cell())) {
          continue;
        }
        reporter.toMake(sheet.layers(kept.take()).size());
        making.put(kept, background.submit(() -> make(samples, take, kept, moves.get(kept))));
      }
    }
    Map<Take, List<IndexRow>> made = new IdentityHashMap<>();
    for (TakeWork work : longestFirst) {
      made.put(work.take(), rows(work, making));
      String articulation = work.take().articulation();
      List<TakeWork> ofIt =
          works.stream().filter(w -> articulation.equals(w.take().articulation())).toList();
      boolean isComplete = ofIt.stream().allMatch(w -> made.containsKey(w.take()));
      if (order.part() == null && made.size() < works.size() && isComplete) {
        keyMap.begin(ofIt.stream().flatMap(w -> made.get(w.take()).stream()).toList());
      }
    }
    List<IndexRow> rows = works.stream().flatMap(w -> made.get(w.take()).stream()).toList();
    stamps.checkAll();
    if (order.part() != null) {
      folder.flush();
      return result(rows, Changes.NONE);
    }
    if (order.markers() != null) {
      MarkedTakes.write(sheet, cuts(works), order.markers(), warnings, background::stopIfCancelled);
    }
    Changes changes = folder.finish(rows, keyMap.write(rows, warnings));
    settled.write();
    return result(rows, changes);
  }

  private static List<CutTake> cuts(List<TakeWork> takes) {
    return takes.stream().map(TakeWork::cut).toList();
  }

  /** How far each region is moved in level and pitch. */
  private Map<KeptRegion, SettledMoves.Move> moves(
      List<TakeWork> takes, Map<KeptRegion, Played> played) throws IOException {
    Map<KeptRegion, NoteGain> gains = LevelsOfTakes.gains(played);
    Map<KeptRegion, Double> leans = IntonationOfTakes.leans(sheet, cuts(takes), background);
    Map<KeptRegion, SettledMoves.Move> moves = new HashMap<>();
    for (TakeWork take : takes) {
      for (KeptRegion kept : take.cut().kept()) {
        String sample = names.of(kept.cell(), sheet.layers(kept.take()).get(0));
        moves.put(
            kept,
            settled.settle(
                new SettledMoves.Move(
                    take.id(kept), sample, played.get(kept), gains.get(kept), leans.get(kept))));
      }
    }
    return moves;
  }

  /**
   * Stops where what is heard fits another plan much better than the sheet.
   *
   * @param asWritten whether that is only a warning
   */
  private void doubtPlan(List<TakeWork> takes, boolean asWritten) throws IOException {
    List<SheetProblem> doubts = PlanDoubts.of(sheet, cuts(takes));
    if (!asWritten && !doubts.isEmpty()) {
      throw new SheetException(sheet.file(), OtherPlan.stopping(doubts));
    }
    warnings.addAll(doubts);
  }

  /**
   * Cuts and matches all takes.
   *
   * @param measuring receives the measuring of each region that is kept; stays empty where levels
   *     are left alone
   */
  private List<TakeWork> cutAndMatch(Map<KeptRegion, Future<Played>> measuring) throws IOException {
    PickUps pickUps = new PickUps();
    Map<Integer, Map<String, NoiseProfile>> roomsOfTakes = new HashMap<>();
    new CutAndMatch(sheet, background, reporter, stamps, pickUps, this::isNew)
        .apply(
            this.takes,
            matched -> {
              Take take = matched.cut().take();
              Map<String, NoiseProfile> profiles = CutTake.profiles(matched.rooms());
              listener.heard(matched.heard());
              warnings.addAll(matched.warnings());
              listener.matched(take, missing(matched.cut()), profiles);
              measuring.putAll(matched.measuring());
              roomsOfTakes.put(take.index(), profiles);
            });
    List<TakeWork> takes = new ArrayList<>();
    for (CutTake cut : pickUps.settled()) {
      takes.add(
          new TakeWork(cut, ids.of(cut), cut.besideOthers(), roomsOfTakes.get(cut.take().index())));
    }
    if (this.takes.stream().anyMatch(take -> take.fills().isPickUp())) {
      for (TakeWork take : takes) {
        listener.matched(take.cut().take(), missing(take.cut()), take.rooms());
      }
      Set<KeptRegion> kept = new HashSet<>();
      takes.forEach(take -> kept.addAll(take.cut().kept()));
      measuring.keySet().retainAll(kept);
    }
    return takes;
  }

  /** Whether a region's first sample is to be made and not there yet. */
  private boolean isNew(KeptRegion kept) {
    return only.fits(kept.cell())
        && !folder.has(names.of(kept.cell(), sheet.layers(kept.take()).get(0)));
  }

  /** Makes the samples of a region in all layers; their rows of the index. */
  private List<IndexRow> make(
      RegionSamples samples, TakeWork work, KeptRegion kept, SettledMoves.Move move)
      throws IOException {
    List<IndexRow> made = new ArrayList<>();
    NoteGain gain = move.gain();
    Set<Flag> besideOthers = work.besideOthers().getOrDefault(kept.region(), Set.of());
    samples.make(
        work.cut(),
        kept,
        work.rooms(),
        move.leanCents(),
        gain,
        new RegionSamples.SampleWatcher() {
          @Override
          public void next() throws IOException {
            background.stopIfCancelled();
            stamps.check(kept.take());
          }

          @Override
          public void made(Layer layer, Journal.Entry entry, boolean reused) {
            reporter.made(kept.take(), reused);
            made.add(
                indexRows.kept(work.id(kept), work.cut(), kept, layer, entry, gain, besideOthers));
          }
        });
    listener.made(made);
    return made;
  }

  /** The rows of a take: its regions in their order, then the cells that none fills. */
  private List<IndexRow> rows(TakeWork take, Map<KeptRegion, Future<List<IndexRow>>> making)
      throws IOException {
    CutTake cut = take.cut();
    List<IndexRow> rows = new ArrayList<>();
    for (int i = 0; i < cut.regions().size(); i++) {
      if (cut.isKept(i) && !only.fits(cut.kept(i).cell())) {
        rows.addAll(asLeft(cut.kept(i)));
      } else if (cut.isKept(i)) {
        rows.addAll(background.result(making.get(cut.kept(i))));
      } else {
        rows.add(indexRows.leftOut(take.ids().get(i), cut, i));
      }
    }
    rows.addAll(missing(cut));
    return rows;
  }

  /**
   * The rows of a cell that is not to be made, as the last build left them; none if it has none.
   */
  private List<IndexRow> asLeft(KeptRegion kept) throws IOException {
    List<IndexRow> left = new ArrayList<>();
    for (Layer layer : sheet.layers(kept.take())) {
      String name = names.of(kept.cell(), layer);
      IndexRow row = lastByFile.get(name);
      if (row != null && folder.has(name)) {
        left.add(row);
      }
    }
    return left;
  }

  private List<IndexRow> missing(CutTake cut) {
    return cut.matching().missing().stream()
        .map(missing -> indexRows.missing(cut, cut.cells().get(missing)))
        .toList();
  }

  private BuildResult result(List<IndexRow> rows, Changes changes) {
    List<Problem> said =
        warnings.stream().map(w -> new SheetException(sheet.file(), w).problem()).toList();
    return BuildResult.of(rows, folder.index(), reporter.reused(), changes, said);
  }
}
