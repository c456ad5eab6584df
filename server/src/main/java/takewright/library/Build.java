package takewright.library;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.concurrent.CancellationException;
import java.util.concurrent.Future;
import java.util.function.BooleanSupplier;
import java.util.function.Consumer;
import takewright.audio.AudioFile;
import takewright.denoise.NoiseProfile;
import takewright.diagnosis.FileProblemException;
import takewright.level.Gain;
import takewright.level.Played;
import takewright.library.folder.IndexRow;
import takewright.library.folder.Journal;
import takewright.library.folder.OutputFolder;
import takewright.library.sample.Intonation;
import takewright.library.sample.LayerMaker;
import takewright.library.sample.Recipe;
import takewright.library.sample.SampleMaker;
import takewright.library.sample.SampleNames;
import takewright.library.take.CutTake;
import takewright.library.take.LevelsOfTakes;
import takewright.library.take.Stamps;
import takewright.library.take.TakeHeard;
import takewright.segment.Region;
import takewright.sheet.Cell;
import takewright.sheet.CellStatus;
import takewright.sheet.Check;
import takewright.sheet.Layer;
import takewright.sheet.LevelRules;
import takewright.sheet.Sheet;
import takewright.sheet.SheetException;
import takewright.sheet.SheetProblem;
import takewright.sheet.SheetReader;
import takewright.sheet.Take;

/**
 * Builds a library: takes are cut, their regions matched with the cells that the sheet asks for,
 * levels found, and the samples cleaned, tuned, looped, named and written, with a table of all of
 * it.
 *
 * <p>An interrupted build goes on where it stopped: what its journal says is finished is not made
 * again. A sample's bytes follow from the takes and the sheet alone, never from time, threads or
 * chance, so the files are the same as of a build that ran through.
 */
public final class Build {
  private final Sheet sheet;
  private final BuildListener listener;
  private final SampleNames names;
  private final OutputFolder folder;
  private final BuildReporter reporter;
  private final Background background;
  private final LayerMaker layers;
  private final Stamps stamps = new Stamps();
  private final List<SheetProblem> warnings = new ArrayList<>();

  private Build(
      Sheet sheet,
      BuildListener listener,
      SampleNames names,
      OutputFolder folder,
      BuildReporter reporter,
      Background background) {
    this.sheet = sheet;
    this.listener = listener;
    this.names = names;
    this.folder = folder;
    this.reporter = reporter;
    this.background = background;
    this.layers = new LayerMaker(sheet, names, folder);
  }

  /**
   * Builds a library, or goes on with it.
   *
   * @param sheetFile the sheet
   * @param outputFolder the folder to write to; made if missing
   * @param progress told where the build is, from several threads but never at once
   * @param cancelled asked now and then; once true the build stops, and what is finished stays
   * @throws SheetException if the sheet cannot be understood
   * @throws takewright.audio.BadAudioException if a take cannot be
   * @throws FileProblemException if another build writes to the folder
   * @throws IOException if reading or writing fails; nothing half-written is left
   * @throws CancellationException if it was cancelled
   */
  public static BuildResult run(
      Path sheetFile,
      Path outputFolder,
      Consumer<BuildProgress> progress,
      BooleanSupplier cancelled)
      throws IOException {
    return run(sheetFile, outputFolder, progress, BuildListener.NOBODY, cancelled);
  }

  /**
   * As above, for who also wants to see what is found.
   *
   * @param listener told what was heard in each take, and which samples there are so far
   */
  public static BuildResult run(
      Path sheetFile,
      Path outputFolder,
      Consumer<BuildProgress> progress,
      BuildListener listener,
      BooleanSupplier cancelled)
      throws IOException {
    Sheet sheet = SheetReader.read(sheetFile);
    Path path = outputFolder.toAbsolutePath().normalize();
    SampleNames names = new SampleNames(sheet);
    requireMicrophonesAlike(sheet);
    Files.createDirectories(path);
    try (Journal journal = Journal.open(path)) {
      OutputFolder folder = new OutputFolder(path, journal);
      List<String> files = new ArrayList<>(names.all());
      files.addAll(KeyMapFiles.names(sheet));
      folder.prepare(files);
      BuildReporter reporter = new BuildReporter(sheet, progress);
      // Closed before the journal: then no thread writes to the folder.
      try (Background background = new Background(cancelled)) {
        return new Build(sheet, listener, names, folder, reporter, background).work();
      }
    }
  }

  private static void requireMicrophonesAlike(Sheet sheet) throws IOException {
    for (Take take : sheet.takes()) {
      if (take.files().size() == 1) {
        continue;
      }
      List<AudioFile> microphones = new ArrayList<>();
      try {
        for (Path file : take.files().values()) {
          microphones.add(CutTake.open(file));
        }
        Check.requireAlike(sheet, take, microphones);
      } finally {
        for (AudioFile microphone : microphones) {
          microphone.close();
        }
      }
    }
  }

  private BuildResult work() throws IOException {
    List<CutTake> cuts = new ArrayList<>();
    List<Map<String, CutTake.RoomTone>> rooms = new ArrayList<>();
    List<Gain[]> gains = cutAndLevel(cuts, rooms);
    List<double[]> leans = leans(cuts);
    List<List<Future<List<IndexRow>>>> making = new ArrayList<>();
    for (CutTake cut : cuts) {
      int take = cut.take().index();
      making.add(make(cut, rooms.get(take), gains.get(take), leans.get(take)));
    }
    List<IndexRow> rows = new ArrayList<>();
    for (CutTake cut : cuts) {
      collect(cut, making.get(cut.take().index()), rows);
    }
    stamps.checkAll();
    List<String> others = new KeyMapFiles(sheet, folder, background).write(rows, warnings);
    folder.finish(rows, others);
    return result(rows);
  }

  /** Cuts and matches all takes, and finds the gain of each region that is kept. */
  private List<Gain[]> cutAndLevel(List<CutTake> cuts, List<Map<String, CutTake.RoomTone>> rooms)
      throws IOException {
    Map<Integer, Future<TakeHeard>> cutting = new HashMap<>();
    for (Take take : longestFirst()) {
      cutting.put(take.index(), background.submit(() -> cut(take)));
    }
    List<List<Future<Played>>> measuring = new ArrayList<>();
    for (Take take : sheet.takes()) {
      TakeHeard listened = background.result(cutting.get(take.index()));
      listener.heard(listened);
      reporter.at(BuildStep.MATCH, take);
      CutTake cut = CutTake.match(sheet, take, listened.segmentation(), warnings);
      cuts.add(cut);
      rooms.add(cut.rooms(sheet.recorded(take)));
      listener.matched(take, missing(cut), profiles(rooms.get(take.index())));
      measuring.add(measure(cut, rooms.get(take.index())));
    }
    List<Played[]> played = new ArrayList<>();
    for (List<Future<Played>> ofTake : measuring) {
      Played[] measured = new Played[ofTake.size()];
      for (int i = 0; i < measured.length; i++) {
        measured[i] = ofTake.get(i) == null ? null : background.result(ofTake.get(i));
      }
      played.add(measured);
    }
    return LevelsOfTakes.gains(sheet, played);
  }

  /** The longest take last would leave all cores but one idle. */
  private List<Take> longestFirst() {
    Map<Integer, Long> sizes = new HashMap<>();
    for (Take take : sheet.takes()) {
      // 0 for one that is gone, which is told of where it is cut.
      sizes.put(take.index(), take.files().values().iterator().next().toFile().length());
    }
    List<Take> takes = new ArrayList<>(sheet.takes());
    takes.sort(Comparator.comparing(take -> -sizes.get(take.index())));
    return takes;
  }

  private static Map<String, NoiseProfile> profiles(Map<String, CutTake.RoomTone> rooms) {
    Map<String, NoiseProfile> profiles = new HashMap<>();
    rooms.forEach(
        (layer, room) -> {
          if (room != null) {
            profiles.put(layer, room.profile());
          }
        });
    return profiles;
  }

  private TakeHeard cut(Take take) throws IOException {
    stamps.check(take);
    reporter.at(BuildStep.SEGMENT, take);
    TakeHeard found = CutTake.cut(sheet, take, background::isCancelled);
    reporter.cut(take);
    return found;
  }

  /** By region; null for what is not kept, and for all where levels are left alone. */
  private List<Future<Played>> measure(CutTake cut, Map<String, CutTake.RoomTone> rooms) {
    List<Future<Played>> futures = new ArrayList<>();
    for (int i = 0; i < cut.regions().size(); i++) {
      boolean measured = cut.isKept(i) && sheet.levels().gain() != LevelRules.GainPlace.OFF;
      Region region = cut.regions().get(i);
      Cell cell = cut.isKept(i) ? cut.cell(i) : null;
      futures.add(
          measured
              ? background.submit(() -> LevelsOfTakes.measure(cut.take(), region, cell, rooms))
              : null);
    }
    return futures;
  }

  /** What the short notes of each take, heard together, add to how far each is off, in cents. */
  private List<double[]> leans(List<CutTake> cuts) throws IOException {
    List<List<Future<Intonation.Heard>>> listening = new ArrayList<>();
    for (CutTake cut : cuts) {
      List<Future<Intonation.Heard>> ofTake = new ArrayList<>();
      for (int i = 0; i < cut.regions().size(); i++) {
        if (!cut.isKept(i)) {
          ofTake.add(null);
          continue;
        }
        SampleMaker.Order order =
            SampleMaker.Order.of(sheet, cut.take(), cut.regions().get(i), cut.cell(i), 0, null);
        SampleMaker maker = new SampleMaker(order, cut.take().mainFile());
        ofTake.add(background.submit(maker::listenAhead));
      }
      listening.add(ofTake);
    }
    List<double[]> leans = new ArrayList<>();
    for (List<Future<Intonation.Heard>> ofTake : listening) {
      List<Intonation.Heard> heard = new ArrayList<>();
      for (Future<Intonation.Heard> future : ofTake) {
        heard.add(future == null ? null : background.result(future));
      }
      leans.add(Intonation.leans(heard));
    }
    return leans;
  }

  private List<Future<List<IndexRow>>> make(
      CutTake cut, Map<String, CutTake.RoomTone> rooms, Gain[] gains, double[] leans) {
    List<Future<List<IndexRow>>> futures = new ArrayList<>();
    for (int i = 0; i < cut.regions().size(); i++) {
      if (!cut.isKept(i)) {
        futures.add(null);
        continue;
      }
      SampleMaker.Order order =
          SampleMaker.Order.of(
              sheet, cut.take(), cut.regions().get(i), cut.cell(i), leans[i], gains[i]);
      reporter.toMake(sheet.layers(cut.take()).size());
      futures.add(background.submit(() -> makeAll(cut, order, rooms)));
    }
    return futures;
  }

  /** Makes the samples of all microphones of one region, or finds them made. */
  private List<IndexRow> makeAll(
      CutTake cut, SampleMaker.Order order, Map<String, CutTake.RoomTone> rooms)
      throws IOException {
    Take take = cut.take();
    IndexRows row = new IndexRows(sheet);
    SampleMaker maker = new SampleMaker(order, take.mainFile());
    List<IndexRow> made = new ArrayList<>();
    Journal.Entry main = null;
    for (Layer layer : mainFirst(take)) {
      background.stopIfCancelled();
      String name = names.of(order.cell(), layer);
      String description = names.describe(order.cell(), layer);
      stamps.check(take);
      String recipe = Recipe.digest(cut, order, layer, description);
      Journal.Entry entry = folder.made(name, recipe);
      boolean reused = entry != null;
      if (!reused) {
        Path microphone = take.files().get(layer.name());
        CutTake.RoomTone room = rooms.get(layer.name());
        entry =
            folder.make(
                name,
                recipe,
                file ->
                    maker.make(
                        new SampleMaker.Source(
                            microphone, room == null ? null : room.profile(), file, description)));
      }
      maker.made(entry.sample());
      reporter.made(take, reused);
      made.add(row.kept(cut, order.region(), order.cell(), layer, entry, order.gain()));
      main = main == null ? entry : main;
    }
    for (Layer layer : sheet.made(take)) {
      background.stopIfCancelled();
      LayerMaker.Made further = layers.make(cut, order, layer, main);
      reporter.made(take, further.reused());
      made.add(row.kept(cut, order.region(), order.cell(), layer, further.entry(), order.gain()));
    }
    listener.made(made);
    return made;
  }

  /** The other microphones get the loop of the main one. */
  private List<Layer> mainFirst(Take take) {
    List<Layer> layers = new ArrayList<>(sheet.recorded(take));
    layers.sort(
        Comparator.comparing(layer -> !take.files().get(layer.name()).equals(take.mainFile())));
    return layers;
  }

  private void collect(CutTake cut, List<Future<List<IndexRow>>> made, List<IndexRow> rows)
      throws IOException {
    IndexRows row = new IndexRows(sheet);
    for (int i = 0; i < made.size(); i++) {
      if (made.get(i) != null) {
        rows.addAll(background.result(made.get(i)));
      } else {
        rows.add(row.leftOut(cut, i));
      }
    }
    rows.addAll(missing(cut));
  }

  private List<IndexRow> missing(CutTake cut) {
    IndexRows row = new IndexRows(sheet);
    List<IndexRow> rows = new ArrayList<>();
    for (int missing : cut.matching().missing()) {
      rows.add(row.missing(cut, cut.cells().get(missing)));
    }
    return rows;
  }

  private BuildResult result(List<IndexRow> rows) {
    int kept = 0;
    int missing = 0;
    int leftOut = 0;
    int flagged = 0;
    for (IndexRow row : rows) {
      if (row.status() == CellStatus.KEPT) {
        kept++;
        flagged += row.flags().isEmpty() ? 0 : 1;
      } else if (row.status() == CellStatus.MISSING) {
        missing++;
      } else {
        leftOut++;
      }
    }
    return new BuildResult(
        kept,
        missing,
        leftOut,
        flagged,
        folder.index(),
        reporter.reused(),
        warnings.stream().map(w -> new SheetException(sheet.file(), w).getMessage()).toList());
  }
}
